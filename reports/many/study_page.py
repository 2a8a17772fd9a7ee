"""The page of a study: the answer, how sure it is, who the crew waits for, what would help."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any, TypeVar

import numpy as np
from markupsafe import Markup, escape

from reports.lift.key import doubt_key, fan_key, over_key
from reports.many.doubt_figure import doubt_figure
from reports.paper.figures import Figure, axis, checked, layout
from reports.paper.page import either, render
from reports.words import doubt as doubts
from reports.words import study as words
from reports.words.doubt import GAP, TIME
from reports.words.plain import together, whose
from reports.words.stops import stops_of
from sim.many.judged import gap_measure, measures_of, values_of
from sim.many.studied import Study
from sim.model.units import Units

MARGIN = {"l": 84, "r": 16, "t": 16, "b": 48}
HEIGHT = 340
BANDS = ((0.05, 0.95, "$soft", "dot", "nine in ten"), (0.25, 0.75, "$d", "dash", "half of the lifts"))
Each = TypeVar("Each")
LEAST = 100  # lifts that still go on at a call, or a fifth of a short study, for its gaps to be drawn


def write_study_page(study: Study, file: str) -> str:
    """The page of a study, one HTML file; `file` is the scenario as a command would name it."""
    units = study.scenario.units
    figures: dict[str, Figure] = {"over": over_figure(study), "times": times_figure(study)}
    if study.by_call is not None:
        figures["fan"] = fan_figure(study)
    if study.doubt and study.doubt.marked and study.doubt.values:
        figures |= {f"doubt-{name}": doubt_figure(study.doubt, a) for name, a in (("time", TIME), ("gap", GAP))}
    limit_named = whose(study.scenario.limits, "gap")
    doubt = doubt_key(bool(study.doubt and study.doubt.at_once))
    return render(
        "study.html",
        units=units,
        stops=stops_of(study.scenario),
        title=f"{study.scenario.title}: {study.n:,} lifts",
        scenario=study.scenario,
        study=study,
        said=[together(words.headline(study, u)) for u in ("us", "si")],
        sure=[together(words.SIMULATION_ONLY + doubts.beside(study, u)) for u in ("us", "si")],
        figures=figures,
        measures=[
            (said, [either(*pair, units) for pair in row(study, name, d)])
            for name, (said, d) in measures_of(study.scenario).items()
        ],
        answers=[_answer(study, answer) for answer in doubts.answers(study)],
        assumed_head=doubts.assumed_head(study.doubt),
        doubts=[either(*pair, units) for pair in _in_both(lambda u: doubts.sentences(study, u))],
        assumed=[
            (
                breakable(name),
                together(f"{low} to {high}") if low else "",
                [_cell(*pair, units) for pair in zip(us, si, strict=True)],
            )
            for (name, low, high, us), (_, _, _, si) in _in_both(lambda u: doubts.rows(study, u))
        ],
        limit_named=limit_named,
        keys={"fan": fan_key(), "over": over_key(limit_named), "doubt": doubt},
        waits=words.waits(study),
        helps=[
            (
                h.change,
                [_cell(*pair, units) for pair in zip(words.changed(h, "us"), words.changed(h, "si"), strict=True)],
            )
            for h in study.helps
        ],
        named=[(x, study.command(x, file)) for x in study.named],
    )


def _in_both(said: Callable[[Units], Iterable[Each]]) -> Iterator[tuple[Each, Each]]:
    """Each thing that is said, in US units and in SI."""
    return zip(said("us"), said("si"), strict=True)


def _answer(study: Study, answer: str) -> dict[str, Markup]:
    """One answer with its two doubts, apart."""
    units = study.scenario.units
    cells = (doubts.simulated, doubts.over_assumed, doubts.over_crews)
    named = doubts.called(answer, study)
    return {"name": _cell(named("us"), named("si"), units)} | {
        cell.__name__: _cell(cell(answer, study, "us"), cell(answer, study, "si"), units) for cell in cells
    }


def _cell(us: str, si: str, units: Units) -> Markup:
    """Figures that may take several lines, none broken from its unit."""
    return either(together(us), together(si), units)


def breakable(path: str) -> Markup:
    """A path that may go on in another line after each of its points."""
    return Markup(str(escape(path)).replace(".", ".<wbr>"))


def row(study: Study, name: str, dimension: str) -> list[tuple[str, str]]:
    """The figures of one measure, each in US units and in SI."""
    s = study.spreads[name]
    high = s.quantiles[0.95]
    values = (s.mean.value, s.sd, s.quantiles[0.05].value, s.quantiles[0.5].value, high.value)
    cells = [(words.figure(v, dimension, "us"), words.figure(v, dimension, "si")) for v in values]
    return [*cells, (words.between(high, dimension, "us"), words.between(high, dimension, "si"))]


def fan_figure(study: Study) -> Figure:
    """The largest gap since each call: bands that hold half, and nine in ten, of the lifts still going on."""
    least = min(LEAST, max(1, study.by_call.shape[1] // 5))
    gaps = [known for row in study.by_call if len(known := row[np.isfinite(row)]) >= least]  # they end, none begins
    x = list(range(1, len(gaps) + 1))
    quantiles = {q: [round(float(np.quantile(g, q)), 6) for g in gaps] for q in (0.05, 0.25, 0.5, 0.75, 0.95)}
    traces: list[dict[str, Any]] = []
    for low, high, colour, dash, name in BANDS:
        for q, fill in ((low, "none"), (high, "tonexty")):
            traces.append(_line(x, quantiles[q], f"{name}: {100 * q:.0f} in 100 below", colour, dash, fill))
    traces.append(_line(x, quantiles[0.5], "the median", "$ink", "solid", "none"))
    limit = study.scenario.leader.gap_limit
    traces.append(_line(x, [limit] * len(x), "leader's gap limit", "$limit", "dashdot", "none"))
    ticks = {"dtick": 1} if len(x) <= 15 else {}
    return checked(
        {
            "data": traces,
            "layout": layout(
                height=HEIGHT, margin=MARGIN, xaxis=axis(title={"text": "call"}, **ticks),
                yaxis=axis(title={"text": "largest gap since the call"}, rangemode="tozero"),
                meta={"lengths": ["yaxis"]},
            ),
        }
    )  # fmt: skip


def _line(x: list[Any], y: list[Any], name: str, colour: str, dash: str, fill: str) -> dict[str, Any]:
    return {
        "type": "scatter", "mode": "lines" if len(x) > 1 else "markers", "name": name, "x": x, "y": y, "fill": fill,
        "fillcolor": "$gapfill", "line": {"color": colour, "dash": dash, "width": 2}, "meta": {"length": "y"},
        "marker": {"color": colour, "size": 9}, "hovertemplate": f"call %{{x}}: %{{y}}<extra>{name}</extra>",
    }  # fmt: skip


def over_figure(study: Study) -> Figure:
    """How many lifts have a largest gap over any size."""
    measure = gap_measure(study.scenario)
    values, kind = np.sort(values_of(study.table, measure)), measures_of(study.scenario)[measure][0]
    keep = np.unique(np.linspace(0, len(values) - 1, min(len(values), 400)).astype(int))
    limit = study.scenario.limits.gap
    right = 1.05 * max(limit, float(values[-1]), 1e-3)
    x = [0.0, *np.round(values[keep], 6).tolist(), right]
    y = [100.0, *np.round(100 * (1 - (keep + 1) / len(values)), 3).tolist(), 0.0]
    return checked(
        {
            "data": [
                {
                    "type": "scatter", "mode": "lines", "name": "lifts with a larger gap", "x": x, "y": y,
                    "line": {"color": "$gap", "width": 2, "shape": "hv"}, "meta": {"length": "x"},
                    "hovertemplate": "over %{x}: %{y:.2f} %<extra></extra>",
                },
                {
                    "type": "scatter", "mode": "lines", "name": "limit", "x": [limit, limit], "y": [0, 100],
                    "line": {"color": "$limit", "width": 1.5, "dash": "dash"}, "meta": {"length": "x"},
                    "hovertemplate": f"{whose(study.scenario.limits, 'gap')}: %{{x}}<extra></extra>",
                },
            ],
            "layout": layout(
                height=HEIGHT, margin=MARGIN, xaxis=axis(title={"text": kind}, range=[0.0, right], nticks=8),
                yaxis=axis(title={"text": "lifts with a larger one"}, ticksuffix=" %", range=[-1, 101]),
                meta={"lengths": ["xaxis"]},
            ),
        }
    )  # fmt: skip


def times_figure(study: Study) -> Figure:
    """How long the lifts take."""
    bins = int(min(40, max(10, study.n**0.5)))
    counts, edges = np.histogram(study.table["duration_s"].to_numpy(), bins=bins)
    middles = np.round((edges[:-1] + edges[1:]) / 2, 2)
    return checked(
        {
            "data": [
                {
                    "type": "bar", "name": "lifts", "x": middles.tolist(), "y": counts.tolist(),
                    "marker": {"color": "$d"}, "hovertemplate": "about %{x:.0f} s: %{y} lifts<extra></extra>",
                }
            ],
            "layout": layout(
                height=HEIGHT, margin=MARGIN, bargap=0.05,
                xaxis=axis(title={"text": "time of the lift"}, ticksuffix=" s"), yaxis=axis(title={"text": "lifts"}),
                meta={},
            ),
        }
    )  # fmt: skip
