"""The gap chart: what was asked of each station, what it held, and the gap between the two, through time.

Every station is in the figure; one is chosen, the others are faint lines behind its gap. Lengths stay in metres until
`figures.finished` (or the page) shows them.
"""

from __future__ import annotations

import copy
from typing import Any

import numpy as np

from reports.lift.stage_marks import bounds, made_gap
from reports.paper.figures import CLEAR, LABEL_PX, Figure, as_text, axis, checked, layout, time_axis
from reports.words.plain import limit
from sim.model.units import show_up
from sim.record.gaps import largest_gaps
from sim.record.measured import KINDS, Measured, Peak
from sim.record.record import Record
from sim.record.series import Array, Flags, PlaceSeries, Series
from sim.record.stages import stages_of

MARGIN = {"l": 188, "r": 14, "t": 24, "b": 40}  # left and right as the timeline has them: one time axis
NARROW_MARGIN = {"l": 58, "r": 10, "t": 24, "b": 40}
HEIGHT = 430
WAYS = {"here": {"visible": True}, "beside": {"visible": False}}  # a trace of the chosen station, or of another
GAP_WAYS = {
    "here": {
        "visible": True, "name": "gap", "line": {"color": "$gap", "width": 2, "dash": "solid"}, "fill": "tozeroy",
    },
    "beside": {
        "visible": True, "name": "gap at the other stations", "line": {"color": "$others", "width": 1, "dash": "dot"},
        "fill": "none",
    },
}  # fmt: skip


def gap_figure(record: Record) -> Figure:
    """Demand, captured and gap of every station, with the one of the largest gap chosen.

    Parameters
    ----------
    record : Record
        Of one lift.

    Returns
    -------
    dict
        A figure, before units, colours and width are filled in (see figures.py).
    """
    lift = Measured(record)
    tops = {name: _tops(place, record.scenario.leader.gap_limit) for name, place in lift.places.items()}
    traces = [trace for place in lift.places.values() for trace in _traces(place, lift, tops[place.name])]
    traces.append(_limit(record.scenario.leader.gap_limit, lift.end))
    figure: Figure = {"data": traces, "layout": _layout(lift, tops)}
    notes = {name: _peak_note(place, lift, tops[name][1][1]) for name, place in lift.places.items()}
    figure["layout"]["meta"] |= {"limit": _limit_note(record.scenario.leader.gap_limit), "peaks": notes}
    return checked(chosen(figure, most(record)))


def most(record: Record) -> str:
    """The station with the largest gap, or the first."""
    lift = Measured(record)
    largest = largest_gaps(lift)["largest_gap"]["station"]
    widest = {name: float(np.max(place.gap().after)) for name, place in lift.places.items()}
    return str(largest or max(widest, key=lambda name: widest[name], default=""))


def chosen(figure: Figure, station: str) -> Figure:
    """The same figure with another station chosen; `charts.js` does the same, with what every trace says of it."""
    figure = copy.copy(figure)
    figure["layout"] = copy.deepcopy(figure["layout"])
    figure["data"] = [_as_chosen(trace, station) for trace in figure["data"]]
    meta = figure["layout"]["meta"]
    tops = meta["tops"].get(station)
    if tops:
        meta["station"] = station
        figure["layout"]["yaxis"]["range"], figure["layout"]["yaxis2"]["range"] = tops
        figure["layout"]["meta"]["notes"] = [note for note in (meta["limit"], meta["peaks"][station]) if note]
    return figure


def _as_chosen(trace: dict[str, Any], station: str) -> dict[str, Any]:
    meta = trace["meta"]
    if "station" not in meta:
        return trace
    return {**trace, **meta["here" if meta["station"] == station else "beside"]}


def _tops(place: PlaceSeries, limit: float) -> tuple[list[float], list[float]]:
    """From where to where the two axes of one station go [m]."""
    gap, demand, captured = place.gap(), place.demand, place.captured
    top = max(0.005, float(demand.after.max()))
    low = min(0.0, float(captured.after.min()))
    widest = max(0.001, 1.35 * limit, float(np.max(np.maximum(gap.before, gap.after))))
    return [low - 0.05 * (top - low), 1.08 * top], [-0.04 * widest, 1.3 * widest]


def points(series: Series, end: float) -> tuple[list[float], list[float]]:
    """A line with its jumps, to the end, as few points as show it: milliseconds and hundredths of a millimetre."""
    x = np.append(np.repeat(np.round(series.time, 3), 2), round(end, 3))
    y = np.append(np.stack([series.before, series.after], axis=1).ravel(), series.after[-1])
    keep = np.ones(len(x), dtype=bool)
    keep[1:] = (np.diff(x) != 0) | (np.abs(np.diff(y)) > 1e-7)
    x, y = x[keep], y[keep]
    for _ in range(8):  # what lies between its neighbours says nothing; of two side by side one goes at a time
        between = _between_neighbours(x, y)
        between[1:] &= ~(between[:-1] & (np.arange(1, len(x)) % 2 == 0))
        between[:-1] &= ~between[1:]
        if not between.any():
            break
        x, y = x[~between], y[~between]
    return x.tolist(), (np.round(y, 5) + 0.0).tolist()


def _between_neighbours(x: Array, y: Array) -> Flags:
    """Which points lie on the line from the one before to the one after, to some thousandths of a millimetre."""
    found = np.zeros(len(x), dtype=bool)
    if len(x) > 2:
        span = x[2:] - x[:-2]
        share = np.divide(x[1:-1] - x[:-2], span, out=np.zeros(len(span)), where=span > 0)
        found[1:-1] = (span > 0) & (np.abs(y[:-2] + share * (y[2:] - y[:-2]) - y[1:-1]) < 6e-6)
        found[1:-1] &= (x[1:-1] > x[:-2]) & (x[1:-1] < x[2:])  # a jump stays
    return found


def open_stretches(place: PlaceSeries) -> list[tuple[float, float]]:
    """When a station held nothing."""
    stretches: list[tuple[float, float]] = []
    for start, end, is_open in zip(
        place.time[:-1].tolist(), place.time[1:].tolist(), place.open[:-1].tolist(), strict=True
    ):
        if is_open and end > start:
            if stretches and stretches[-1][1] == start:
                start = stretches.pop()[0]
            stretches.append((start, end))
    return stretches


def _traces(place: PlaceSeries, lift: Measured, tops: tuple[list[float], list[float]]) -> list[dict[str, Any]]:
    name = as_text(place.name)
    lines: list[dict[str, Any]] = []
    for role, series, yaxis, line, ways in (
        ("captured", place.captured, "y", {"color": "$captured", "width": 2.5}, WAYS),
        ("demand", place.demand, "y", {"color": "$demand", "width": 2, "dash": "dash"}, WAYS),
        ("gap", place.gap(), "y2", {}, GAP_WAYS),
    ):
        x, y = points(series, lift.end)
        lines.append(
            {
                "type": "scatter", "mode": "lines", "name": role, "x": x, "y": y, "yaxis": yaxis, "line": line,
                "xaxis": "x",
                "hovertemplate": f"<b>{name}</b><br>{role} %{{y}} at %{{x}}<extra></extra>",
                "meta": {"station": place.name, "role": role, "length": "y"} | ways,
            }
        )  # fmt: skip
    lines[1] |= {"fill": "tonexty", "fillcolor": "$gapfill"}
    lines[2] |= {"fillcolor": "$gapfill"}
    made = made_gap(place, lift, lines[2]) | {"meta": {"station": place.name, "role": "made", "length": "y"} | WAYS}
    lines += [made] if made["x"] else []
    hatched = [_hatch(place, yaxis, span) for yaxis, span in zip(("y", "y2"), tops, strict=True)]
    return lines + [h for h in hatched if h["x"]] + _peak(place, lift, tops[1][1])


def _hatch(place: PlaceSeries, yaxis: str, span: list[float]) -> dict[str, Any]:
    """When the station was open: hatched from bottom to top."""
    x: list[float | None] = []
    y: list[float | None] = []
    for start, end in open_stretches(place):
        x += [start, end, end, start, start, None]
        y += [span[0], span[0], span[1], span[1], span[0], None]
    return {
        "type": "scatter", "mode": "lines", "name": "open: holds nothing", "x": x, "y": y, "xaxis": "x", "yaxis": yaxis,
        "line": {"width": 0, "color": "$open"}, "fill": "toself", "fillcolor": CLEAR, "hoverinfo": "skip",
        "fillpattern": {"shape": "/", "fgcolor": "$soft", "bgcolor": CLEAR, "size": 8, "solidity": 0.2},
        "showlegend": yaxis == "y",
        "meta": {"station": place.name, "role": "open", "length": "y"} | WAYS,
    }  # fmt: skip


def _peak(place: PlaceSeries, lift: Measured, top: float) -> list[dict[str, Any]]:
    """Where the largest gap was, from the first call on, and a thin line up to its words."""
    peak = _largest(place, lift)
    if peak.value <= 0:
        return []
    time = round(peak.time, 3)
    return [
        {
            "type": "scatter", "mode": "lines+markers", "name": "largest gap", "x": [time, time], "y": [peak.value,
            0.93 * top],
            "xaxis": "x", "yaxis": "y2", "hoverinfo": "skip", "line": {"color": "$ink", "width": 1},
            "marker": {"symbol": "diamond", "size": [11, 0], "color": "$ink", "line": {"width": 1.5,
            "color": "$paper"}, "opacity": 1},
            "meta": {"station": place.name, "role": "peak", "length": "y"} | WAYS,
        }
    ]  # fmt: skip


def _largest(place: PlaceSeries, lift: Measured) -> Peak:
    return max((lift.largest_gap(place, kind) for kind in KINDS), key=lambda p: p.value)


def _kind(place: PlaceSeries, lift: Measured, peak: Peak) -> str:
    """Which kind it was, where that is the question: on the way down one is made on purpose."""
    if not lift.scenario.stages:
        return ""
    return f" {next(kind for kind in KINDS if lift.largest_gap(place, kind) == peak)}"


def _peak_note(place: PlaceSeries, lift: Measured, top: float) -> dict[str, Any]:
    """The words over it."""
    peak = _largest(place, lift)
    if peak.value <= 0:
        return {}
    kind = _kind(place, lift, peak)
    share = peak.time / lift.end
    return {
        "x": round(peak.time, 3), "y": top, "length": "y", "xref": "x", "yref": "y2", "yanchor": "top",
        "showarrow": False,
        "xanchor": "left" if share < 0.33 else "right" if share > 0.67 else "center",
        "font": {"size": 13, "color": "$ink"}, "bgcolor": "$paper", "borderpad": 1,
        "text": {
            units: f"<b>{show_up(peak.value, 'length', units)}</b>{kind} in call {lift.call_at(peak.time)}"
            for units in ("us", "si")
        },
    }  # fmt: skip


def _limit(limit: float, end: float) -> dict[str, Any]:
    return {
        "type": "scatter", "mode": "lines", "name": "leader's gap limit", "x": [0.0, end],
        "y": [limit, limit], "xaxis": "x", "yaxis": "y2",
        "line": {"color": "$limit", "width": 1.5, "dash": "dashdot"}, "hoverinfo": "skip",
        "meta": {"length": "y", "role": "limit"},
    }  # fmt: skip


def _limit_note(length: float) -> dict[str, Any]:
    return {
        "x": 0, "y": length, "length": "y", "xref": "paper", "yref": "y2", "xanchor": "right", "yanchor": "middle",
        "showarrow": False,
        "font": {"size": LABEL_PX, "color": "$ink"}, "bgcolor": "$paper", "xshift": -70,
        "narrow": {"x": 1, "y": 0.44, "yref": "paper", "length": "", "yanchor": "bottom", "xshift": 0},
        "text": {units: f"limit {limit(length, units)}" for units in ("us", "si")},
    }  # fmt: skip


def _layout(lift: Measured, tops: dict[str, Any]) -> dict[str, Any]:
    def panel(words: str, y: float) -> dict[str, Any]:
        return {
            "text": f"<b>{words}</b>", "xref": "paper", "yref": "paper", "x": 0, "y": y, "xanchor": "left",
            "yanchor": "bottom",
            "showarrow": False, "font": {"size": LABEL_PX, "color": "$ink"},
        }  # fmt: skip

    return layout(
        margin=dict(MARGIN),
        height=HEIGHT,
        xaxis=time_axis(lift.end, anchor="y2"),
        yaxis=axis(domain=[0.56, 1.0], fixedrange=True, nticks=6),
        yaxis2=axis(domain=[0.0, 0.44], fixedrange=True, nticks=6),
        annotations=[panel("demand and captured", 1.0), panel("gap", 0.44)],
        shapes=[
            {
                "type": "line", "xref": "x", "yref": "paper", "x0": t, "x1": t, "y0": 0, "y1": 1, "layer": "below",
                "line": {"color": "$rule", "width": 0.7},
            }
            for t in np.round(lift.call_times, 3).tolist()
        ]
        + bounds(stages_of(lift.leader, lift.end), "paper", 1, 0),
        meta={
            "lengths": ["yaxis", "yaxis2"],
            "tops": tops,
            "narrow": {"margin": dict(NARROW_MARGIN), "xaxis": {"nticks": 6}},
            "calls": np.round(lift.call_times, 3).tolist(),
            "end": lift.end,
        },
    )  # fmt: skip
