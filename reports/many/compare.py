"""A lift and its variants side by side: the gap against the rise, one panel each, on the same scales."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from reports.lift.tables import call_rows
from reports.many.many_compared import median_lanes, page_parts
from reports.paper.figures import CLEAR, LABEL_PX, Figure, as_text, axis, checked, layout
from reports.paper.page import render
from reports.words.compared import listed
from reports.words.plain import clock, limit, together, whose
from reports.words.stages import gap_as_said, lowers, ways_down
from reports.words.stops import stops_of
from sim.many.compared import Compared
from sim.model.scenario import Scenario
from sim.model.units import Units, show_up
from sim.record.gaps import at_station, largest_gaps
from sim.record.measured import Measured
from sim.record.record import Record
from sim.record.series import Array
from sim.record.stages import stages_of

PANEL_PX, BETWEEN_PX = 140, 58  # where the panels stand one under the other
HEIGHT = 440
GUTTER = 0.022


def compare_figure(records: Sequence[Record], names: Sequence[str] = ()) -> Figure:
    """Gap against rise, a panel for each record.

    Parameters
    ----------
    records : sequence of Record
        The scenario first, then its variants; or several scenarios.
    names : sequence of str
        What the panels are called; none: as the variants are.

    Returns
    -------
    dict
        A figure, before units, colours and width are filled in (see figures.py).
    """
    paths = [path_of(record) for record in records]
    names = names or [label(record.scenario) for record in records]
    limits = [(r.scenario.limits.gap, r.scenario.leader.gap_limit) for r in records]
    right = 1.03 * max(
        0.005, *(max(float(p[0].max()), r.scenario.need.rise) for r, p in zip(records, paths, strict=True))
    )
    top = 1.18 * max(0.001, *(max(each) for each in limits), *(float(gap.max()) for _, gap, _ in paths))
    traces: list[dict[str, Any]] = []
    named = zip(names, limits, paths, records, strict=True)
    for number, (name, (wanted, at_call), path, record) in enumerate(named, 1):
        (rise, gap, opens), turn = path, turn_of(record)
        if record.scenario.places:  # else there is no gap to draw, and none that is nought
            traces += _panel(number, name, rise[:turn], gap[:turn], opens, right, top)
            traces += [_way_down(number, name, rise[turn:], gap[turn:])]
        traces += [
            _level(number, at_call, right, "dashdot", "leader's gap limit"),
            _level(number, wanted, right, "dash", whose(record.scenario.limits, "gap")),
        ]
    return checked({"data": [t for t in traces if t["x"]], "layout": _layout(records, names, right, top)})


def path_of(record: Record) -> tuple[Array, Array, list[tuple[float, float]]]:
    """Rise of the needed point and the widest gap then: shape (n,) [m]; (rise, seconds) of each time one was open."""
    lift = Measured(record)
    times = _times(lift)

    def rise_at(when: Array) -> Array:
        u = np.mean([side.just_after(when) for side in lift.sides.values()], axis=0)
        return np.asarray(lift.motion.rise(record.scenario.need.point, u))

    gaps = [place.gap() for place in lift.places.values()]
    before, after = (
        np.max([getattr(g, name)(times) for g in gaps], axis=0, initial=0.0) if gaps else np.zeros_like(times)
        for name in ("just_before", "just_after")
    )
    both = np.stack([before, after], axis=1).ravel()[1:]
    opens = [
        (float(rise_at(np.asarray([start]))[0]), end - start)
        for place in lift.places.values()
        for start, end in zip(place.time[:-1].tolist(), place.time[1:].tolist(), strict=True)
        if end > start and place.flag_after(place.open, np.asarray([start]))[0]
    ]
    return np.repeat(rise_at(times), 2)[1:], np.maximum(0.0, both), opens


def _times(lift: Measured) -> Array:
    """The instants from the first call on."""
    return np.unique(np.concatenate([[lift.first_call], lift.time[lift.time >= lift.first_call]]))


def turn_of(record: Record) -> int:
    """How much of a path is before the load begins to come down: all of it where it never does."""
    lift = Measured(record)
    begins = [span.start for span in stages_of(lift.leader, lift.end) if span.do == "lower"]
    times = _times(lift)
    return 2 * int(np.searchsorted(times, begins[0])) if begins else 2 * len(times)


def _way_down(number: int, name: str, rise: Array, gap: Array) -> dict[str, Any]:
    """The widest gap on the way down, most of it made on purpose: a line of its own."""
    return {
        "type": "scatter", "mode": "lines", "name": "widest gap on the way down", "xaxis": _axis("x", number),
        "yaxis": _axis("y", number), "x": np.round(rise, 5).tolist(), "y": np.round(gap, 5).tolist(),
        "line": {"color": "$gap", "width": 1.5, "dash": "dot"}, "meta": {"length": "xy"},
        "hovertemplate": f"<b>{as_text(name)}</b><br>on the way down at %{{x}} of rise: gap %{{y}}<extra></extra>",
    }  # fmt: skip


def _panel(
    number: int, name: str, rise: Array, gap: Array, opens: list[tuple[float, float]], right: float, top: float
) -> list[dict[str, Any]]:
    axes = {"xaxis": _axis("x", number), "yaxis": _axis("y", number)}
    name = as_text(name)
    at: dict[float, float] = {}
    for where, seconds in opens:
        near = next((r for r in at if abs(r - where) < 0.012 * right), where)
        at[near] = at.get(near, 0.0) + seconds
    return [
        {
            "type": "bar", "name": "a station open", "x": list(at), "y": [top] * len(at), "width": 0.03 * right, **axes,
            "marker": {
                "color": CLEAR, "line": {"width": 1, "color": "$open"},
                "pattern": {"shape": "/", "fgcolor": "$open", "bgcolor": CLEAR, "size": 5, "solidity": 0.3},
            },
            "customdata": [round(seconds, 1) for seconds in at.values()],
            "hovertemplate": f"<b>{name}</b><br>at %{{x}} of rise open for %{{customdata}} s<extra></extra>",
            "meta": {"length": "xy", "width": True},
        },
        {
            "type": "scatter", "mode": "lines", "name": "widest gap", **axes,
            "x": np.round(rise, 5).tolist(), "y": np.round(gap, 5).tolist(), "line": {"color": "$gap", "width": 2},
            "fill": "tozeroy", "fillcolor": "$gapfill", "meta": {"length": "xy"},
            "hovertemplate": f"<b>{name}</b><br>at %{{x}} of rise: gap %{{y}}<extra></extra>",
        },
    ]  # fmt: skip


def _level(number: int, level: float, right: float, dash: str, name: str) -> dict[str, Any]:
    return {
        "type": "scatter", "mode": "lines", "name": name, "x": [0.0, right], "y": [level, level], "hoverinfo": "skip",
        "xaxis": _axis("x", number), "yaxis": _axis("y", number), "showlegend": number == 1,
        "line": {"color": "$limit", "width": 1.3, "dash": dash}, "meta": {"length": "xy"},
    }  # fmt: skip


def _axis(letter: str, number: int) -> str:
    return letter if number == 1 else f"{letter}{number}"


def _layout(records: Sequence[Record], names: Sequence[str], right: float, top: float) -> dict[str, Any]:
    count = len(records)
    wide = (1 - GUTTER * (count - 1)) / count
    stack = count * PANEL_PX + (count - 1) * BETWEEN_PX
    tall, between = PANEL_PX / stack, BETWEEN_PX / stack
    axes: dict[str, Any] = {}
    narrow: dict[str, Any] = {}
    for n in range(count):
        x, y = f"xaxis{n + 1 if n else ''}", f"yaxis{n + 1 if n else ''}"
        left, up = n * (wide + GUTTER), 1 - n * (tall + between)
        axes[x] = axis(
            range=[0, right], domain=[left, left + wide], anchor=_axis("y", n + 1), nticks=5, fixedrange=True
        )
        axes[y] = axis(
            range=[0, top], domain=[0, 1], anchor=_axis("x", n + 1), nticks=7, fixedrange=True, showticklabels=n == 0
        )
        narrow[x] = {"domain": [0, 1], "showticklabels": n == count - 1}
        narrow[y] = {"domain": [max(0.0, up - tall), up], "showticklabels": True, "nticks": 4}
    notes = [_title(n, name, record) for n, (name, record) in enumerate(zip(names, records, strict=True), 1)]
    last = records[-1].scenario  # beside its panel stand the names of the limits
    theirs = "default" if last.limits.is_default("gap") else "you set"
    levels = [("leader's", last.leader.gap_limit), (theirs, last.limits.gap)]
    lower, upper = sorted(levels, key=lambda each: each[1])
    notes += [_limit_note(*lower, "top", count), _limit_note(*upper, "bottom", count)]
    return layout(
        **axes,
        barmode="overlay",
        height=HEIGHT,
        margin={"l": 58, "r": 84, "t": 66, "b": 62},
        annotations=[
            {
                "text": "rise at the needed point", "xref": "paper", "yref": "paper", "x": 0.5, "y": 0, "yshift": -38,
                "yanchor": "top",
                "showarrow": False, "font": {"size": LABEL_PX, "color": "$soft"},
            }
        ],
        meta={
            "lengths": [name for name in axes],
            "notes": notes,
            "narrow": {**narrow, "height": stack + 120, "margin": {"l": 54, "r": 74, "t": 60, "b": 60}},
        },
    )  # fmt: skip


def _title(number: int, name: str, record: Record) -> dict[str, Any]:
    """Over each panel: which variant, and its widest gap."""
    lift = Measured(record)
    gaps = largest_gaps(lift)
    gap, made = gaps["largest_gap"]["gap_m"], gaps["largest_made_gap"]
    kind = " made" if made["station"] and made == gaps["largest_gap"] else ""
    open_s = sum(at_station(lift, place)["open_time_s"] for place in lift.places.values())
    opened = f", open {open_s:.0f} s" if open_s else ""
    said: dict[Units, str] = {units: f"gap {show_up(gap, 'length', units)}{kind}{opened}" for units in ("us", "si")}
    said = said if lift.places else dict.fromkeys(("us", "si"), "nothing follows the load")
    return {
        "x": 0, "y": 1, "xref": f"{_axis('x', number)} domain", "yref": f"{_axis('y', number)} domain",
        "xanchor": "left",
        "yanchor": "bottom", "align": "left", "showarrow": False, "yshift": 4, "font": {"size": 13, "color": "$ink"},
        "text": {units: f"<b>{_short(name)}</b><br>{words}" for units, words in said.items()},
    }  # fmt: skip


def _short(words: str) -> str:
    return as_text(words if len(words) <= 26 else words[:25].rstrip() + "…")


def _limit_note(name: str, level: float, anchor: str, count: int) -> dict[str, Any]:
    return {
        "x": 1, "y": level, "length": "y", "xref": "paper", "yref": _axis("y", count), "xanchor": "left",
        "yanchor": anchor,
        "showarrow": False, "align": "left", "xshift": 6, "font": {"size": 11, "color": "$ink"},
        "text": {units: f"{name}<br>{limit(level, units)}" for units in ("us", "si")},
    }  # fmt: skip


def label(scenario: Scenario) -> str:
    """What a variant is called; the scenario itself by what its stations are captured with."""
    if scenario.variant:
        return scenario.variant_title or scenario.variant
    devices = dict.fromkeys(device.name for station in scenario.stations for device in station.capture)
    return f"as written: {', '.join(devices)}" if 0 < len(devices) < 3 else "as written"


def write_compare_page(
    records: Sequence[Record],
    summaries: Sequence[dict[str, Any]],
    names: Sequence[str] = (),
    many: Compared | None = None,
) -> str:
    """The page of a scenario and its variants.

    Parameters
    ----------
    records, summaries : sequences
        The scenario first, then its variants, in the same order; or several scenarios.
    names : sequence of str
        What they are called; none: as the variants are.
    many : Compared, optional
        The same ways simulated many times.

    Returns
    -------
    str
        HTML, one file, that needs nothing from outside.
    """
    scenario = records[0].scenario
    names = names or [label(record.scenario) for record in records]
    figures = {"compare": compare_figure(records, names)}
    lanes, heads, key = median_lanes(many) if many else ({}, [], [])
    return render(
        "compare.html",
        units=scenario.units,
        title=f"{scenario.title}: side by side",
        stops=stops_of(*(record.scenario for record in records)),
        scenario=scenario,
        record=records[0],
        names=names,
        summaries=summaries,
        said=[[together(s) for s in sentences(names, summaries, units)] for units in ("us", "si")],
        alt=alt(names),
        down=[clock(sum(x["duration_s"] for x in lowers(s))) if lowers(s) else "none" for s in summaries]
        if any(map(lowers, summaries))
        else [],
        figures=figures | lanes,
        many=page_parts(many, scenario.units) if many else None,
        heads=heads,
        timeline_key=key,
        calls=[call_rows(record) for record in records],
    )


def alt(names: Sequence[str]) -> str:
    """The picture in words."""
    return (
        f"The widest gap of all stations against the rise at the needed point, one panel each for "
        f"{listed(names)}, on the same scales. The tables below have the figures."
    )


def sentences(names: Sequence[str], summaries: Sequence[dict[str, Any]], units: Units) -> list[str]:
    """What the picture shows, in two sentences; where a way comes down again, what that took."""
    gaps = [f"{gap_as_said(s, units)} ({n})" for n, s in zip(names, summaries, strict=True)]
    times = [f"{clock(s['duration_s'])} ({n})" for n, s in zip(names, summaries, strict=True)]
    opens = [
        f"{clock(seconds)} ({n})"
        for n, s in zip(names, summaries, strict=True)
        if (seconds := sum(station["open_time_s"] for station in s["stations"].values())) > 0
    ]
    opened = f"and a station stood open for {listed(opens)}" if opens else "and no station ever stood open"
    return [
        f"Same lift, same people: the largest gap was {listed(gaps)}.",
        f"The lift took {listed(times)}, {opened}.",
        *ways_down(names, summaries, units),
    ]
