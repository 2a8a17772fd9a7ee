"""The way down: travel to free the load, room to come down into, what the rams carry meanwhile, and what could drop."""

from __future__ import annotations

from collections.abc import Iterator
from operator import itemgetter

import numpy as np

from sim.check.course import STEPS, Course, Descent
from sim.check.drops import at_least
from sim.check.findings import ASSUMED, COMMON, Check, Finding, finding
from sim.check.lifters import stroke_travel
from sim.model.devices import EXACT, Device
from sim.model.devices.protocol import brought_up
from sim.model.loads import lifter_force
from sim.model.scenario import Lifter, Station
from sim.model.sentences import down, up
from sim.record.drops import Drops
from sim.record.gaps import hands_in_on_rams_alone, largest_gaps
from sim.record.measures import calls_and_holds
from sim.record.what import Outcome

STEP_SOURCE = "leader.step (gap_limit, or 1/2 in, where it is not written)"


def way_down_findings(course: Course) -> Iterator[Finding]:
    """What the stages ask of lifters, devices and people on the way down."""
    if course.record.outcome == Outcome.STUCK:
        yield finding("stop", Check.LIFT_STUCK, "lift", reason=course.record.reason)
    yield from _start(course)
    yield from _need(course)
    for descent in course.descents:
        yield _takes(descent)
        for lifter in course.scenario.lifters:
            yield from _travel(course, descent, lifter)
        yield from _ends(course, descent)
        yield from _hands(course, descent)
    if course.descents:
        yield from _carried(course)
        yield from _rooms(course)
        yield from _drops(course)


def _start(course: Course) -> Iterator[Finding]:
    """A lift that begins half-way, as high as no device can stand: between two holes, or with none at all."""
    motion, u = course.motion, course.motion.u_for_rise(course.scenario.need.point, course.scenario.start)
    for lifter in course.scenario.lifters if course.scenario.start > 0 else ():
        held = [
            line.u_at(max(0.0, brought_up(device, place.slack, line.demand(u)).captured))
            for place in course.measured.could_stop(lifter, lifter_holds=True)
            for line in [motion.line(place.head, place.base)]
            for device in place.capture
        ]
        far = motion.rise(lifter.head, u) - motion.rise(lifter.head, max(held, default=0.0))
        if far > EXACT:
            yield finding(
                "caution", Check.SIDE_STARTS_UNHELD, f"{lifter.side} side", far, 0.0, "m", "start.rise",
                far=up(far, "length"),
            )  # fmt: skip


def _need(course: Course) -> Iterator[Finding]:
    """Some stage raises to what must be cleared, if any raises at all."""
    need, raised = course.scenario.need.rise, [stage.to for stage in course.scenario.job if stage.do == "raise"]
    if raised and not max(raised) >= need - EXACT:
        most = max(raised)
        said = {"need": up(need, "length"), "most": down(most, "length")}
        yield finding("caution", Check.STAGES_BELOW_NEED, "stages", most, need, "m", "need.rise", **said)


def _takes(descent: Descent) -> Finding:
    """Calls, strokes and time, and the largest gap that is made."""
    counted, made = calls_and_holds(descent.lift), largest_gaps(descent.lift)["largest_made_gap"]["gap_m"]
    seconds = float(descent.lift.instants[-1] - descent.lift.instants[0])
    calls, strokes = counted["calls"], max(counted["pumps"].values())
    return finding(
        "note", Check.STAGE_TAKES, descent.subject, made, None, "m", ASSUMED, gap=up(made, "length"),
        calls=_count(calls, "call"), strokes=f"{_count(strokes, 'stroke')} a lifter", time=_seconds(seconds),
    )  # fmt: skip


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def _seconds(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"


def _travel(course: Course, descent: Descent, lifter: Lifter) -> Iterator[Finding]:
    """A stroke more than where the side stands: the first call down frees it there."""
    if course.scenario.reset is not None or not course.measured.could_stop(lifter, lifter_holds=True):
        return
    u = descent.begins(lifter)
    moved = course.scenario.load.take_up + course.motion.line(lifter.head, lifter.base).demand(u)
    needs = moved + stroke_travel(course, lifter, u)
    if u > EXACT and needs > lifter.travel + EXACT:
        need, has = up(needs, "length"), down(lifter.travel, "length")
        yield finding(
            "caution", Check.LIFTER_SHORT_TO_FREE, lifter.name, needs, lifter.travel, "m", need=need, has=has,
            stage=descent.subject,
        )  # fmt: skip


def _ends(course: Course, descent: Descent) -> Iterator[Finding]:
    """A side that comes down further than it was to: nothing that it could land on lies as high."""
    if descent.stage.to <= 0 or course.record.outcome == Outcome.STUCK:
        return
    for lifter in course.scenario.lifters:
        end = float(course.motion.rise(course.scenario.need.point, descent.ends(lifter)))
        if end < descent.stage.to - EXACT:
            held = bool(course.measured.could_stop(lifter, lifter_holds=True))
            why = "no device can stand there" if held else "no device holds it, and the valve takes a while to shut"
            yield finding(
                "caution", Check.SIDE_ENDS_BELOW, f"{lifter.side} side", end, descent.stage.to, "m", "stage.to",
                stage=descent.subject, end=down(end, "length"), to=up(descent.stage.to, "length"), why=why,
            )  # fmt: skip


def _hands(course: Course, descent: Descent) -> Iterator[Finding]:
    """Hands at a pin, a link or timber while that side hangs on its ram."""
    seconds, limit = hands_in_on_rams_alone(descent.lift), course.scenario.limits.gap
    if seconds > EXACT:
        time, most = _seconds(max(1.0, seconds)), down(limit, "length")
        source = f"{COMMON}; {course.scenario.limits.source('gap')}"
        yield finding(
            "caution", Check.STAGE_HANDS_ON_RAMS, descent.subject, seconds, 0.0, "s", source, time=time, most=most
        )


def _carried(course: Course) -> Iterator[Finding]:
    """What each lifter carries while the load is clear, from a stroke above where it begins to where it ends."""
    for lifter in course.scenario.lifters:
        begins = max(descent.begins(lifter) for descent in course.descents)
        ends = min(descent.ends(lifter) for descent in course.descents)
        u = np.linspace(ends, max(begins, course.tops[lifter.name]), STEPS)
        worst = float(lifter_force(lifter, course.scenario.load, course.motion, u).max())
        if worst > 0:
            yield finding(
                "note", Check.LIFTER_FREES, lifter.name, worst, None, "N", "statics", force=up(worst, "force")
            )


def _rooms(course: Course) -> Iterator[Finding]:
    """Devices that are let down by whole holes, links or clicks, and so by more than the step."""
    step = min(descent.stage.led(course.scenario.leader).room for descent in course.descents)
    furthest = {
        (place.name, device): _most_let_down(course, place, device)
        for place in course.scenario.places
        for device in place.capture
    }
    for place in course.scenario.places:
        for device in place.capture:
            far = furthest[place.name, device]
            if far > step + EXACT:
                near = [(x, d) for x in _beside(course, place) for d in x.capture]
                finer = [f"{d.name} of {x.name}" for x, d in near if furthest[x.name, d] < far - EXACT]
                beside = f"beside it the {finer[0]} stays closer" if finer else "nothing beside it stays closer"
                yield finding(
                    "note" if finer else "caution", Check.DEVICE_DROPS_MORE, place.name, far, step, "m", STEP_SOURCE,
                    device=device.name, far=up(far, "length"), step=up(step, "length"), beside=beside,
                )  # fmt: skip


def _beside(course: Course, place: Lifter | Station) -> list[Lifter | Station]:
    """What else would hold the load there, were the lifter lost: the place itself, and the stations of its side."""
    stations = [x for x in course.scenario.stations if x is not place and x.side in (place.side, "both")]
    return [place, *stations]


def _most_let_down(course: Course, place: Lifter | Station, device: Device) -> float:
    """The most that one call takes a device down from where the load stands [m], wherever on its way that is."""
    slack, line = place.slack, course.motion.line(place.head, place.base)
    most = 0.0
    for descent in course.descents:
        room = descent.stage.led(course.scenario.leader).room
        sides = course.lifters_of(place)
        begins, ends = (float(np.mean([at(x) for x in sides])) for at in (descent.begins, descent.ends))
        held = brought_up(device, slack, line.demand(begins))
        for demand in np.linspace(line.demand(begins), line.demand(ends), STEPS).tolist():
            to = max(demand - room, line.demand(ends), device.at_start(slack).captured)
            steps = device.let_down(held, to) if held.captured > to + EXACT else ()
            held = steps[-1].then if steps else held
            most = max(most, demand - held.captured) if steps else most
    return most


def _drops(course: Course) -> Iterator[Finding]:
    """The largest drop on the way down, where it is over the limit, and less than one that is said already."""
    limits = course.scenario.limits
    limit = limits.drop
    for loss, sides in (("the pressure", course.pressure_drops), ("the whole lifter", course.drops)):
        worst = max((_worst(course, side) for side in sides.values()), key=itemgetter(0))
        largest = max(float(side.first.drop.max(initial=0.0)) for side in sides.values())
        drop, time, onto, known, side = worst
        if limit + EXACT < drop < largest - EXACT:
            yield finding(
                "caution", Check.SIDE_DROPS_COMING_DOWN, f"{side} side", drop, limit, "m", limits.source("drop"),
                far=at_least(drop, known), loss=loss, call=str(course.measured.call_at(time)),
                onto=f"onto {onto}, if it holds" if onto else "with no capture above the start",
                most=down(limit, "length"), whose=limits.word("drop"),
            )  # fmt: skip


def _worst(course: Course, drops: Drops) -> tuple[float, float, str | None, bool, str]:
    """The largest drop of a side on the way down: how far, when, onto what, whether all that gives is known, whose."""
    first = drops.first
    during = np.zeros(first.times.shape, dtype=bool)
    for descent in course.descents:
        during |= (first.times >= descent.lift.instants[0]) & (first.times <= descent.lift.instants[-1])
    at = int(np.argmax(np.where(during, first.drop, -1.0)))
    onto, known = drops.name(int(first.who[at])), bool(first.known[at])
    return float(first.drop[at]), float(first.times[at]), onto, known, drops.lifter.side
