"""Several ways to make a lift, many lifts of each, on the page that compares them: sentences, tables, lanes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypedDict

from markupsafe import Markup

from reports.lift.key import kinds_in, timeline_key
from reports.lift.lanes import lanes_of
from reports.lift.pressed import pressed
from reports.lift.run_page import timeline_alt
from reports.lift.timeline import timeline_figure
from reports.paper.figures import Figure, time_axis
from reports.paper.page import either
from reports.views.stands import pressed_time
from reports.words.compared import rows, sentences, tables
from reports.words.plain import clock, together
from reports.words.study import SIMULATION_ONLY
from sim.many.compared import Compared, WayCompared
from sim.model.units import Units
from sim.record.measures import measure
from sim.story.lift import simulate


class Parts(TypedDict):
    """What the page of a comparison shows of many lifts."""

    said: list[Markup]
    sure: str
    first: str
    seed: int
    tables: list[tuple[str, list[str], list[str], list[tuple[str, list[tuple[Markup, Markup | str]]]]]]


class Head(TypedDict):
    """What stands over the lanes of a way's median replication."""

    name: str
    figure: str
    replication: int
    gap_m: float
    time: str
    alt: str


def page_parts(compared: Compared, units: Units) -> Parts:
    """What the page of a comparison shows of many lifts."""
    return {
        "said": [
            either(together(us), together(si), units)
            for us, si in zip(sentences(compared, "us"), sentences(compared, "si"), strict=True)
        ],
        "sure": SIMULATION_ONLY,
        "first": compared.as_asked[0].name,
        "seed": compared.seed,
        "tables": [
            (title, [w.name for w in ways], [w.told_by for w in ways], _in_both(ways, units))
            for title, ways in tables(compared)
        ],
    }


def _in_both(ways: Sequence[WayCompared], units: Units) -> list[tuple[str, list[tuple[Markup, Markup | str]]]]:
    """The rows, each cell as its figure and what stands small under it."""
    us, si = rows(ways, "us"), rows(ways, "si")
    return [
        (said, [_parts(*pair, units) for pair in zip(cells, other, strict=True)])
        for (said, cells), (_, other) in zip(us, si, strict=True)
    ]


def _parts(us: str, si: str, units: Units) -> tuple[Markup, Markup | str]:
    (figure, _, more), (other, _, others) = us.partition("; "), si.partition("; ")
    return either(figure, other, units), either(more, others, units) if more else ""


def median_lanes(compared: Compared) -> tuple[dict[str, Figure], list[Head], list[tuple[Markup, str]]]:
    """The lanes of each way's median replication on one axis of time: figures, what stands over each, and the key."""
    records = [simulate(way.scenario, compared.seed, way.median) for way in compared.as_asked]
    all_lanes = [lanes_of(record) for record in records]
    drawings = [
        pressed(timeline_figure(record, lanes), pressed_time(record))
        for record, lanes in zip(records, all_lanes, strict=True)
    ]
    whole = time_axis(max(drawn["layout"]["meta"]["end"] for drawn in drawings))["range"]
    figures: dict[str, Figure] = {}
    heads: list[Head] = []
    shown = zip(compared.as_asked, records, all_lanes, drawings, strict=True)
    for number, (way, record, lanes, drawn) in enumerate(shown, 1):
        drawn["layout"]["xaxis"] |= {"range": list(whole)}
        figures[f"lanes-{number}"] = drawn
        summary = measure(record)
        heads.append(
            {
                "name": way.name,
                "figure": f"lanes-{number}",
                "replication": way.median,
                "gap_m": summary["largest_gap"]["gap_m"],
                "time": clock(summary["duration_s"]),
                "alt": timeline_alt(lanes, summary).rpartition(" The table")[0],
            }
        )
    return figures, heads, timeline_key(set().union(*(kinds_in(lanes) for lanes in all_lanes)))
