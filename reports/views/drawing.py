"""The drawing in motion: what the page's script needs to draw a lift, made plain from a scenario and a record.

The script turns and shifts points and runs along straight lines between rows, nothing more. Where a side would come
down to, how far that is, what is said when: all of that is worked out here, by the same code that measures the lift.

    geometry(scenario)      what stands where; all that a live rehearsal needs before the first row
    rows(record)            the event record, with what is said
    falls(record)           where each side would be stopped, and by what, at every instant
    section(record)         the HTML of the drawing, on a page that holds STYLE and, after it, SCRIPTS
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import jinja2
import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from reports.paper.page import packed
from reports.views import shape, still
from reports.views.captions import TONES, said
from reports.views.stands import pressed_time
from reports.words.plain import limit
from reports.words.work import STEPS, STEPS_DOWN
from sim.model.devices.protocol import EXACT, stands_alone
from sim.model.motion import motion_of
from sim.model.scenario import Lifter, Scenario, Station
from sim.model.units import SHOWN
from sim.record.drops import drops_of
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.series import Array
from sim.record.stages import stages_of
from sim.record.what import What
from sim.rehearsal.foretold import LOSSES

STYLE = "drawing.css"
SCRIPTS = ("pressed_time.js", "drawing_record.js", "drawing_views.js", "drawing_cards.js", "drawing.js", "sound.js")
STARTED = 2e-5  # [s]; the button of what has just begun goes to just after it; any other to just before
PLACES = 10  # decimals of what the page is given: a tenth of EXACT, so that no gap is over its limit there alone

Cell = str | float | None

# What a person at a place or a handle is doing, by the record's word for it.
DOING: dict[str, str] = {
    What.STARTS: "ready", What.REACTS: "reacting", What.STROKES: "pumping", What.RECOVERS: "recovering",
    What.READY: "ready", What.MISSES: "missed the call", **{step: it.doing for step, it in STEPS.items()},
    What.WALKS: "walking over", What.CAPTURES: "looking again", What.CAUGHT: "waiting",
    What.NOTHING_TO_CAPTURE: "waiting", What.SAYS_CAUGHT: "waiting", What.FREEZES: "frozen", What.RESUMES: "going on",
    What.SLOWS: "slower from here on",
    What.SETTLES: "let go", What.SETTLED: "settled", What.IN_CONTACT: "in contact again",
    What.FALLS: "coming down", What.FELL: "has come down",
    What.FREES: "freeing it", What.CLEAR: "clear: waiting for room", What.OPENS: "letting the load down",
    What.LANDS: "landed", What.LET_DOWN: "waiting", What.TURNS_BACK: STEPS_DOWN[What.TURNS_BACK].doing,
}  # fmt: skip
# The same where a gap is being made.
DOING_DOWN: dict[str, str] = {step: it.doing for step, it in STEPS_DOWN.items()}


def geometry(scenario: Scenario) -> dict[str, Any]:
    """What stands where, who is there, and the limits: plain data, known before the lift begins [m]."""
    outlines = shape.body(scenario)
    return {
        "title": scenario.title,
        "units": scenario.units,
        "motion": scenario.load.motion,
        "pivot_height": scenario.load.pivot_height,
        "need": {**shape.weighted(scenario, scenario.need.point), "rise": scenario.need.rise} | _middle(scenario),
        "cg": shape.weighted(scenario, scenario.load.cg) if scenario.load.weight_known else None,
        "gap_limit": scenario.leader.gap_limit,
        "gap_limit_said": {units: limit(scenario.leader.gap_limit, units) for units in ("us", "si")},
        "drop_limit": scenario.limits.drop,
        "outlines": outlines,
        "sides": [
            {
                "name": x.name,
                "side": x.side,
                "head": shape.head_of(scenario, x),
                "base": list(x.base),
                "travel": x.travel,
            }
            for x in scenario.lifters
        ],
        "places": [_place(scenario, where, n) for n, where in enumerate(scenario.places, 1)],
        "ghosts": shape.ghosts(scenario),
        "extent": shape.extent(scenario, outlines, _most_u(scenario)),
        "gap_room": shape.MOST_ROOM * _largest_gap_to_expect(scenario),
        "drop_room": shape.MOST_ROOM * scenario.limits.drop,
        "times": shape.TIMES,
        "exact": EXACT,
        "lengths": {units: asdict(shown) for units, shown in SHOWN["length"].items()},
        "doing": DOING,
        "doing_down": DOING_DOWN,
        "tones": TONES,
        "moments": [],
        "stands": [],
    }


def geometry_of(record: Record, summary: dict[str, Any] | None = None) -> dict[str, Any]:
    """The same for a lift that has been simulated: magnified pictures as large as this lift needs, and its moments."""
    summary, lift = summary or measure(record), Measured(record)
    largest = max((float(max(p.gap().before.max(), p.gap().after.max())) for p in lift.places.values()), default=0.0)
    drops = {key: summary[f"largest_drop_{key}"] for key in ("pressure_lost", "lifter_lost")}
    worst = max(drops.values(), key=lambda drop: drop["drop_m"])
    moments = [{"label": "largest gap", "time_s": _moment(summary)}]
    moments += [{"label": "largest drop", "time_s": worst["time_s"]}]
    spans = stages_of(lift.leader, lift.end)
    moments += [{"label": f"stage {s.number}: {s.do}", "time_s": s.start + STARTED} for s in spans]
    return {
        **geometry(record.scenario),
        "gap_room": shape.MOST_ROOM * max(largest, 1.3 * record.scenario.leader.gap_limit, 0.002),
        "drop_room": shape.MOST_ROOM * max(worst["drop_m"], 0.002),
        "moments": [m for m in moments if m["time_s"] is not None],
        "stands": [list(each) for each in pressed_time(record).stretches],
    }


def _moment(summary: dict[str, Any]) -> float | None:
    """When to look at the largest gap: one that is made is there from then on, any other until then."""
    time: float | None = summary["largest_gap"]["time_s"]
    return None if time is None else time + STARTED * still.largest_is_made(summary)


def rows(record: Record) -> dict[str, Sequence[Cell]]:
    """The event record as columns of plain values, with the caption, the words aloud and the tone of what is said."""
    own = record.columns
    texts = (each.tolist() for each in (own.what, own.call, own.who, own.station, own.note))
    spoken = [said(*each) for each in zip(*texts, strict=True)]
    at_place = (own.station != "").tolist()
    return {
        "time_s": _plain(own.time_s),
        **{name: getattr(own, name).tolist() for name in ("call", "who", "what", "station", "device", "side")},
        **{name: _plain(getattr(own, name)) for name in ("demand_m", "captured_before_m", "captured_m")},
        **{
            name: [int(x) if known else None for x, known in zip(getattr(own, name).tolist(), at_place, strict=True)]
            for name in ("open", "hands", "caught")
        },
        "u": _plain(own.u),
        "caption": [s.text if s else None for s in spoken],
        "aloud": [s.aloud if s else None for s in spoken],
        "tone": [s.tone if s else None for s in spoken],
    }


def falls(record: Record) -> dict[str, list[Cell]]:
    """Where each side would be stopped if its pressure, or its lifter, were lost: before and after every instant."""
    lift = Measured(record)
    found: dict[str, list[Cell]] = {
        name: [] for name in ("time_s", "side", "loss", "stop_before_u", "stop_u", "drop_before_m", "drop_m", "onto")
    }
    for lifter in record.scenario.lifters:
        for loss, lifter_holds in LOSSES.items():
            side = drops_of(lift, lifter, lifter_holds)
            times, stop, drop = side.first.times, side.first.stop, side.first.drop
            names = [side.name(n) for n in side.first.who]
            keep = _turns(times[::2], drop[::2], drop[1::2], names[1::2]) | _turns(
                times[::2], stop[::2], stop[1::2], names[1::2]
            )
            found["side"] += [lifter.name] * int(keep.sum())
            found["loss"] += [loss] * int(keep.sum())
            found["onto"] += [names[2 * n + 1] for n in np.flatnonzero(keep)]
            for name, values in (
                ("time_s", times[::2]), ("stop_before_u", stop[::2]), ("stop_u", stop[1::2]),
                ("drop_before_m", drop[::2]), ("drop_m", drop[1::2]),
            ):  # fmt: skip
                found[name] += _plain(values[keep])
    return found


def short(columns: Mapping[str, Sequence[Cell]]) -> dict[str, Sequence[Cell]]:
    """The same without what was before where it is as after: the script knows."""
    befores = {"captured_before_m": "captured_m", "stop_before_u": "stop_u", "drop_before_m": "drop_m"}
    found = dict(columns)
    for before, after in befores.items():
        if before in found:
            pairs = zip(columns[before], columns[after], strict=True)
            found[before] = [None if was == now else was for was, now in pairs]
    return found


def section(record: Record, summary: dict[str, Any] | None = None) -> Markup:
    """The drawing of a lift as a part of a page; until the script has started, a picture that stands still."""
    summary = summary or measure(record)
    data = {"geometry": geometry_of(record, summary), "rows": short(rows(record)), "falls": short(falls(record))}
    environment = jinja2.Environment(loader=jinja2.PackageLoader("reports"), autoescape=True)
    picture = Markup(still.svg(record, still.time_to_show(record, summary)))
    return Markup(environment.get_template("drawing.html").render(data=packed("drawing-data", data), picture=picture))


def _place(scenario: Scenario, where: Lifter | Station, number: int) -> dict[str, Any]:
    tie = None if isinstance(where, Lifter) else shape.tie_end(where)
    return {
        "name": where.name,
        "number": number,
        "side": where.side,
        "lifter": isinstance(where, Lifter),
        "head": shape.head_of(scenario, where),
        "base": list(where.base),
        "length": math.dist(where.head, where.base),
        "tie": list(tie) if tie else None,
        "devices": [
            {"name": device.name, "kind": device.kind, "who": who, "alone": stands_alone(device)}
            for device, who in zip(where.capture, where.catchers, strict=True)
        ],
    }


def _middle(scenario: Scenario) -> dict[str, list[float]]:
    """The needed point's rise is read at the mean of the sides, wherever it lies."""
    return {"w": [1 / len(scenario.lifters)] * len(scenario.lifters)}


def _most_u(scenario: Scenario) -> float:
    u = motion_of(scenario.load).u_for_rise(scenario.need.point, 1.15 * scenario.need.rise)
    return 0.0 if math.isnan(u) else u


def _largest_gap_to_expect(scenario: Scenario) -> float:
    steps = [getattr(d, "spacing", 0.0) for where in scenario.places for d in where.capture]
    slacks = [where.slack for where in scenario.stations]
    return max([scenario.limits.gap, 1.3 * scenario.leader.gap_limit, *steps, *slacks, 0.002])


def _turns(times: Array, before: Array, after: Array, names: list[str | None]) -> NDArray[np.bool_]:
    """Which instants a line through time needs: those where it jumps, bends, or is held by another."""
    if len(times) < 3:
        return np.ones(len(times), dtype=bool)
    slope = (before[1:] - after[:-1]) / np.diff(times)
    bend, near = np.abs(np.diff(slope)), np.minimum(np.diff(times)[1:], np.diff(times)[:-1])
    bends = (bend * near > 1e-9) | ((near < 1e-3) & (bend > 1e-6))  # two close together may share one bend
    other = np.array([a != b for a, b in zip(names[1:-1], names[:-2], strict=True)])
    return np.concatenate([[True], bends | other | (np.abs(after - before)[1:-1] > 1e-8), [True]])


def _plain(values: Array) -> list[float | None]:
    return [None if math.isnan(x) else round(x, PLACES) + 0.0 for x in values.tolist()]
