"""The page of a debrief: what happened, the crew's own times, the drills against the plan, what to call by then."""

from __future__ import annotations

from markupsafe import Markup

from reports.lift.key import kinds_in, timeline_key
from reports.lift.lanes import lanes_of
from reports.lift.run_page import timeline_alt
from reports.lift.timeline import timeline_figure
from reports.paper.figures import Figure, axis, checked, layout
from reports.paper.page import either, in_both, render
from reports.words.drill import debrief as words
from reports.words.drill import way_down
from reports.words.drill.observed import asked_again
from reports.words.plain import together
from reports.words.stops import stops_of
from sim.drill.against import Predicted
from sim.drill.crew import Known
from sim.drill.debriefed import Debrief
from sim.drill.lognormal import quantile_points
from sim.drill.written import tables
from sim.model.units import Units

UNITS: tuple[Units, Units] = ("us", "si")
MARGIN = {"l": 64, "r": 16, "t": 12, "b": 48}
PLOTTED = 12  # quantile plots on a page


def write_debrief_page(found: Debrief) -> str:
    """The page, one HTML file; the lifts themselves stand in pages of their own beside it."""
    units = found.scenario.units
    lanes = lanes_of(found.drills[0].record)
    plots = [k for k in found.crew.fitted if k.fit is not None and not k.fit.no_spread][:PLOTTED]
    figures: dict[str, Figure] = {"timeline": timeline_figure(found.drills[0].record, lanes)}
    figures |= {f"quantiles-{n}": quantile_figure(k) for n, k in enumerate(plots)}

    return render(
        "debrief.html",
        units=units,
        title=f"{found.scenario.title}: debrief",
        scenario=found.scenario,
        stops=stops_of(found.scenario),
        found=found,
        computed=words.COMPUTED,
        headline=in_both(lambda u: together(words.headlines(found.drills, u)[0]), units),
        held=in_both(lambda u: together(words.headlines(found.drills, u)[1]), units),
        headlines=[
            either(together(words.headline(d, "us")), together(words.headline(d, "si")), units) for d in found.drills
        ],
        questions=[
            either(ours, theirs, units)
            for ours, theirs in zip(*(asked_again(found.drills, found.crew.known, u) for u in UNITS), strict=True)
        ],
        happened=_happened(found, units),
        downs=[
            (d.name, way_down.sentence(d.down), way_down.HEAD, way_down.rows(d.down)) for d in found.drills if d.down
        ],
        timeline_alt=timeline_alt(lanes, found.drills[0].summary),
        timeline_key=timeline_key(kinds_in(lanes)),
        crew=[words.crew_row(k) for k in found.crew.known],
        plots=[(f"quantiles-{n}", words.called(k), k) for n, k in enumerate(plots)],
        kept=words.kept_words(found.crew.unknown),
        lines=[words.line_words(line) for line in found.crew.lines],
        tables=tables(found.scenario, found.crew, found.file, len(found.drills)) if found.crew.fitted else "",
        predicted=[_predicted(p, units) for p in found.predicted],
        trends=[
            [either(*pair, units) for pair in zip(words.trend_row(t, "us"), words.trend_row(t, "si"), strict=True)]
            for t in found.trends
        ],
        advice=in_both(lambda u: words.advice(found, u), units),
        shown=words.SHOWN,
        figures=figures,
    )


def _happened(found: Debrief, units: Units) -> list[tuple[str, list[Markup]]]:
    """A row a name, a cell a drill."""
    us, si = (words.together_by_name(found.drills, u) for u in UNITS)
    return [
        (name, [either(*pair, units) for pair in zip(ours, theirs, strict=True)])
        for (name, ours), (_, theirs) in zip(us, si, strict=True)
    ]


def _predicted(p: Predicted, units: Units) -> list[tuple[Markup, str]]:
    """A measure: the figure of each cell, and what stands small under it."""
    us, si = (words.predicted_cells(p, u) for u in UNITS)
    return [(either(ours, theirs, units), place) for (ours, place), (theirs, _) in zip(us, si, strict=True)]


def quantile_figure(known: Known) -> Figure:
    """Times against where the fit has them: points on the line where a lognormal fits."""
    assert known.fit is not None
    expected, noted = quantile_points(known.sample.times, known.fit)
    step = max(1, len(noted) // 400)
    unit = " /s" if known.sample.is_rate else " s"
    ends = [float(min(expected.min(), noted.min())), float(max(expected.max(), noted.max()))]
    points = {
        "type": "scatter",
        "mode": "markers",
        "x": [round(float(x), 4) for x in expected[::step]],
        "y": [round(float(y), 4) for y in noted[::step]],
        "marker": {"color": "$d", "size": 7, "symbol": "circle-open"},
        "hovertemplate": "noted %{y:.2f}" + unit + "<br>by the fit %{x:.2f}" + unit + "<extra></extra>",
    }
    line = {"type": "scatter", "mode": "lines", "x": ends, "y": ends, "hoverinfo": "skip",
            "line": {"color": "$soft", "dash": "dash", "width": 1.5}}  # fmt: skip
    return checked(
        {
            "data": [line, points],
            "layout": layout(
                margin=MARGIN, height=280,
                xaxis=axis(title={"text": "by the fit", "standoff": 8}, ticksuffix=unit, nticks=6),
                yaxis=axis(title={"text": "noted", "standoff": 8}, ticksuffix=unit, nticks=6),
            ),
        }
    )  # fmt: skip
