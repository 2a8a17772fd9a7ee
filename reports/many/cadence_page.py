"""The page of a cadence: the answer as words a leader can use, and the frontier it was chosen from."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from reports.lift.key import cadence_key
from reports.paper.figures import Figure, axis, checked, layout
from reports.paper.page import in_both, render
from reports.words import cadence as words
from reports.words.doubt import percent
from reports.words.plain import together
from reports.words.stops import stops_of
from sim.many.cadence import Cadence, Way
from sim.many.judged import gap_measure, measures_of
from sim.model.units import Units

UNITS: tuple[Units, Units] = ("us", "si")
MARGIN = {"l": 84, "r": 16, "t": 16, "b": 48}


def write_cadence_page(found: Cadence) -> str:
    """The page of a cadence, one HTML file."""
    units = found.scenario.units
    return render(
        "cadence.html",
        units=units,
        title=f"{found.scenario.title}: the cadence this crew can keep",
        scenario=found.scenario,
        stops=stops_of(found.scenario),
        found=found,
        said=[together(words.answer(found, u)) for u in UNITS],
        sure=[words.how_sure(found, u) for u in UNITS],
        why=[line for line in words.cadence_lines(found, units) if line != words.how_sure(found, units)],
        figures={"frontier": frontier_figure(found)},
        key=cadence_key(found.best is not None),
        frontier=[_row(w, units) for w in found.frontier],
        ways=[_row(w, units) for w in sorted(found.ways, key=lambda w: w.time.value)],
        percent=percent,
    )


def _row(way: Way, units: Units) -> tuple[Markup, Way, str, str]:
    said = in_both(lambda u: words.way_words(way, u), units)
    return said, way, percent(way.gap_risk), percent(way.drop_risk)


def frontier_figure(found: Cadence) -> Figure:
    """Every way to call that was tried, its time against its gap; the line joins those that no other beats in both."""
    inside = [w for w in found.ways if w.within(found.risk)]
    outside = [w for w in found.ways if not w.within(found.risk)]
    frontier, kind = found.frontier, measures_of(found.scenario)[gap_measure(found.scenario)][0]
    traces: list[dict[str, Any]] = [
        {
            "type": "scatter", "mode": "lines", "name": "no other is both faster and closer", "hoverinfo": "skip",
            "x": [w.time.value for w in frontier], "y": [w.gap for w in frontier],
            "line": {"color": "$edge", "width": 1.5, "dash": "dash"}, "meta": {"length": "y"},
        },
        _points(inside, "within the risk asked for", "circle", "$d"),
        _points(outside, "over it, or not raised", "circle-open", "$d"),
    ]  # fmt: skip
    if found.best is not None:
        traces.append(_points([found.best], "the answer, with fresh people", "star", "$ink", 16))
    return checked(
        {
            "data": traces,
            "layout": layout(
                height=400, margin=MARGIN,
                xaxis=axis(title={"text": "mean time of the lift"}, ticksuffix=" s"),
                yaxis=axis(title={"text": f"{kind}: one lift in twenty has a larger"}, rangemode="tozero"),
                meta={"lengths": ["yaxis"]},
            ),
        }
    )  # fmt: skip


def _points(ways: list[Way], name: str, symbol: str, colour: str, size: int = 10) -> dict[str, Any]:
    said = [[f"{words.way_words(w, u)}<br>gap risk under {percent(w.gap_risk)}" for u in UNITS] for w in ways]
    return {
        "type": "scatter", "mode": "markers", "name": name, "x": [w.time.value for w in ways],
        "y": [w.gap for w in ways], "marker": {"symbol": symbol, "size": size, "color": colour}, "customdata": said,
        "meta": {
            "length": "y",
            "hover": {u: f"%{{customdata[{n}]}}<br>%{{x:.0f}} s, %{{y}}<extra></extra>" for n, u in enumerate(UNITS)},
        },
    }  # fmt: skip
