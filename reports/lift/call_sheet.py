"""The call sheet: one page for the pocket, with what a leader has to have in mind while the crew pumps.

Plain black on white, as large as fits one page of Letter or A4. What is planned comes from the scenario; what one lift
of it took (calls, pumps, holds, for whom) from the record, and is said to be so.
"""

from __future__ import annotations

from html import escape
from typing import Any

from markupsafe import Markup

from reports.lift.way_down_sheet import way_down
from reports.paper import page
from reports.paper.svg_paper import spread
from reports.views import captions
from reports.views.shape import tie_end
from reports.words.plain import NOT_KNOWN, all_of, clock, count, limit
from reports.words.stages import is_done, job_words
from reports.words.stops import stops_of
from reports.words.work import KINDS
from sim.check.sideways.bearings import over_the_need
from sim.model.scenario import Lifter, Point, Scenario, Station
from sim.model.units import INCH, Units, show
from sim.record.measures import measure
from sim.record.record import Record

PLAN_WIDE, PLAN_HIGH = 720.0, 210.0  # the plan from above, in its own units
ASIDE = 112.0  # left and right of what stands on it: the words pivot, and chock here
NUMBER = 22.0  # across a numbered mark on it


def sheet(record: Record, units: Units | None = None) -> str:
    """The whole page, HTML."""
    scenario, summary = record.scenario, measure(record)
    units = units or scenario.units
    people = [_person(where, n, units) for n, where in enumerate(_stands(scenario), 1)]
    stops = stops_of(scenario)
    longest = sum(len(" ".join(str(v) for v in p.values())) for p in people)
    longest += sum(250 + len(each.what.words(units)) for each in stops)  # they stand above the rest
    return page.render(
        "call_sheet.html",
        units=units,
        title=scenario.title + (f", {scenario.variant}" if scenario.variant else ""),
        size="large" if longest < 500 else "middle" if longest < 1200 else "small",
        lift=_what(scenario, summary, units),
        people=people,
        devices=_devices(scenario),
        origin="the pivot" if scenario.load.motion == "hinged" else "where lengths are counted from",
        plan=Markup(plan(scenario)),
        calls=_calls(scenario, summary),
        hold=_hold(scenario, units),
        waited=_waited(summary),
        words=_words(scenario),
        stops=stops,
        stop_when=_stops(scenario, units),
        down=way_down(scenario, summary, units),
    )


def _stands(scenario: Scenario) -> list[Lifter | Station]:
    return [*scenario.lifters, *scenario.stations]


def _what(scenario: Scenario, summary: dict[str, Any], units: Units) -> list[tuple[str, str]]:
    load, need = scenario.load, scenario.need
    weight = show(load.weight, "force", units) if load.weight_known else NOT_KNOWN
    how = "turns about its pivot" if load.motion == "hinged" else "goes straight up"
    came = f"{summary['outcome'].replace('-', ' ')}, {show(summary['settled_rise_m'], 'length', units)} once settled"
    if summary["stages"] and is_done(summary["outcome"]):
        came = job_words(summary["stages"], units)
    return [
        ("Load", f"{weight}; it {how}"),
        ("Raise", f"{show(need.rise, 'length', units)} at the point, and no more"),
        ("Result", f"{came}, in {clock(summary['duration_s'])}"),
    ]


def _person(where: Lifter | Station, number: int, units: Units) -> dict[str, Any]:
    """One line of who stands where, and does what."""
    doing = [f"pumps ({where.operator.name})"] if isinstance(where, Lifter) else []
    for device, who in zip(where.capture, where.catchers, strict=True):
        doing.append(device.name if who == where.name else f"{who}: {device.name}")
    x, y, _ = where.base
    across = "on the centreline" if abs(y) < 0.005 else f"{_far(y, units)} {'left' if y > 0 else 'right'}"
    ahead = f"{_far(x, units)} {'ahead' if x >= 0 else 'behind'}"
    return {"number": number, "name": where.name, "does": "; ".join(doing), "at": f"{ahead}, {across}"}


def _far(metres: float, units: Units) -> str:
    """A distance on the ground, as exactly as one paces it out."""
    return f"{abs(metres) / INCH:.0f} in" if units == "us" else f"{abs(metres):.2f} m"


def _devices(scenario: Scenario) -> str:
    """What is done at each kind of device, said once."""
    found = {device.name: device.kind for where in scenario.places for device in where.capture}
    return "; ".join(f"{name} ({kind}): {KINDS[kind]}" for name, kind in found.items())


def _calls(scenario: Scenario, summary: dict[str, Any]) -> list[str]:
    leader = scenario.leader
    pumps = " and ".join(f"{number} at {name}" for name, number in summary["pumps"].items())
    said = [
        f"{count(leader.strokes, 'stroke')} a call. This lift took {count(summary['calls'], 'call')}: pumps {pumps}.",
        f"Pace: never sooner than {leader.pace:g} s after the last call, and only when every operator is ready.",
    ]
    raises = [stage for stage in summary["stages"] if stage["do"] == "raise"] or [summary]
    calls = sum(each["calls"] for each in raises)
    if calls > 1:
        every = clock(sum(each["duration_s"] for each in raises) / calls)
        way = " on the way up" if summary["stages"] else ""
        said.append(f"On average this crew was called every {every}{way}.")
    return said


def _hold(scenario: Scenario, units: Units) -> list[str]:
    leader = scenario.leader
    most = limit(leader.gap_limit, units)
    if leader.rule == "keep-pace":
        return [
            f"This plan keeps the pace whatever the gaps, to show what holding is for. The gap limit would be {most}."
        ]
    held = [f"Hold while any gap is over {most}, anything is open, or hands are in. Call again when all say “caught”."]
    kinds = {device.kind for where in scenario.places for device in where.capture}
    if kinds & {"pin", "chain"}:
        then = "call on" if leader.if_uncapturable == "go-on" else "stop the lift"
        held.append(f"All caught and a gap still over {most} (between two holes or links): {then}.")
    if leader.level_limit is not None and len(scenario.lifters) > 1:
        level = limit(leader.level_limit, units)
        held.append(f"Sides more than {level} apart: call the low side only.")
    return held


def _waited(summary: dict[str, Any]) -> str:
    if not summary["holds"]:
        return "In this lift: no hold."
    longest = sorted(summary["waited_for_s"].items(), key=lambda each: -each[1])
    names = [f"{name} ({clock(seconds)})" for name, seconds in longest[:4]]
    more = f" and {len(longest) - 4} more" if len(longest) > 4 else ""
    held = f"{count(summary['holds'], 'hold')}, {clock(summary['hold_time_s'])} in all"
    return f"In this lift: {held}, for {', '.join(names)}{more}."


def _words(scenario: Scenario) -> list[tuple[str, str]]:
    strokes = count(scenario.leader.strokes, "stroke")
    said = [(captions.LIFT, f"leader: every operator, {strokes}")]
    if len(scenario.lifters) > 1:
        said.append((f"left only, {captions.LIFT}", f"leader, or “right only”: that side, {strokes}"))
    said.append((captions.HOLD, "leader: nobody pumps; catchers go on"))
    said.append((captions.CAUGHT, "each catcher: nothing more to take up here, hands are out"))
    return [*said, (captions.STOP, "anybody: all freeze until the leader speaks")]


def _stops(scenario: Scenario, units: Units) -> list[str]:
    limits = scenario.limits
    travel = ", ".join(f"{x.name} {show(x.travel, 'length', units)}" for x in scenario.lifters)
    again = f"re-set ({clock(scenario.reset.time)})" if scenario.reset else "stop"
    gap, drop = limit(limits.gap, units), limit(limits.drop, units)
    return [
        "The load, a foot or the ground moves as nobody planned; a sound nobody expected; a word not understood.",
        f"A gap over {gap}, or more than {drop} to fall if something let go: {all_of(limits, 'gap', 'drop')}.",
        f"A ram at the end of its travel ({travel}): {again}.",
        f"{show(scenario.need.rise, 'length', units)} reached, or {count(scenario.leader.max_calls, 'call')} made.",
    ]


def plan(scenario: Scenario) -> str:
    """Where everybody stands, from above: the pivot to the left, the load's left side at the top."""
    stands = _stands(scenario)
    points: list[Point] = [p for w in stands for p in (w.head, w.base)] + [scenario.need.point]
    points += [p for w in scenario.stations if (p := tie_end(w)) is not None]
    points += [(0.0, 0.0, 0.0)] if scenario.load.motion == "hinged" else []
    (x0, x1), (y0, y1) = ((min(p[n] for p in points), max(p[n] for p in points)) for n in (0, 1))
    scale = min((PLAN_WIDE - 120) / max(0.3, x1 - x0), (PLAN_HIGH - 50) / max(0.3, y1 - y0))
    left, top = (PLAN_WIDE - (x1 - x0) * scale) / 2 - x0 * scale, (PLAN_HIGH + (y1 + y0) * scale) / 2

    def on(p: Point) -> tuple[float, float]:
        return round(left + p[0] * scale, 1), round(top - p[1] * scale, 1)

    heads = [on(w.head) for w in stands] + [on(scenario.need.point)]
    hx = [x for x, _ in heads] + ([on((0.0, 0.0, 0.0))[0]] if scenario.load.motion == "hinged" else [])
    hy = [y for _, y in heads]
    wide, high = max(hx) - min(hx) + 24, max(hy) - min(hy) + 24
    parts = [
        f'<rect x="{min(hx) - 12:.1f}" y="{min(hy) - 12:.1f}" width="{wide:.1f}" height="{high:.1f}" class="load"/>'
    ]
    if scenario.load.motion == "hinged":
        x, y = on((0.0, 0.0, 0.0))
        parts.append(f'<path d="M{x},{min(hy) - 16:.1f} V{max(hy) + 16:.1f}" class="pivot"/>')
        parts.append(f'<text x="{min(hx) - 18:.1f}" y="{y + 5}" text-anchor="end" font-size="14">pivot</text>')
        parts += _chocks(scenario, x, max(hy) + 16)
    nx, ny = on(scenario.need.point)
    parts.append(f'<path d="M{nx - 6},{ny} l6,-6 6,6 -6,6 Z"/>')
    for where in stands:
        (bx, by), (hx_, hy_) = on(where.base), on(where.head)
        parts.append(f'<path d="M{bx},{by} L{hx_},{hy_}" class="{"ram" if isinstance(where, Lifter) else "strut"}"/>')
    parts += _numbers([on(w.base) for w in stands])
    title = "Where everybody stands, from above"
    drawn = [x for x, _ in heads + [on(w.base) for w in stands]] + hx
    half = max(PLAN_WIDE / 2 - min(drawn), max(drawn) - PLAN_WIDE / 2) + ASIDE
    half = min(PLAN_WIDE / 2, max(half, (NUMBER + 5) * len(stands) / 2))  # what is empty at the sides is cut away
    share = f"{200 * half / PLAN_WIDE:.0f}%"
    size = f'viewBox="{PLAN_WIDE / 2 - half:.0f} 0 {2 * half:.0f} {PLAN_HIGH:g}" style="width: {share}"'
    return f'<svg {size} role="img" aria-label="{escape(title)}" class="plan">{"".join(parts)}</svg>'


def _chocks(scenario: Scenario, x: float, y: float) -> list[str]:
    """Where the lifters push the pivot to: a wedge on that side of it, and the words."""
    found: list[str] = []
    for way in over_the_need(scenario).chocks:
        to, anchor = (1, "start") if way == "ahead" else (-1, "end")
        found.append(f'<path d="M{x + 3 * to:.1f},{y:.1f} h{16 * to} l{-16 * to},-12 Z" class="ram"/>')
        found.append(f'<text x="{x + 24 * to:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="14">chock here</text>')
    return found


def _numbers(feet: list[tuple[float, float]]) -> list[str]:
    """A number at every foot: above those of the upper half, below the others; none overlaps another."""
    leads, marks = [], []
    middle = sum(y for _, y in feet) / len(feet)
    for upper in (True, False):
        own = sorted((x, y, n) for n, (x, y) in enumerate(feet, 1) if (y <= middle if upper else y > middle))
        rows = max(1, -(-len(own) * int(NUMBER + 5) // int(PLAN_WIDE - 40)))
        for row in range(rows):
            line = own[row::rows]
            level = NUMBER / 2 + 1 + row * NUMBER if upper else PLAN_HIGH - NUMBER / 2 - 1 - row * NUMBER
            at = spread([x for x, _, _ in line], 20, PLAN_WIDE - 20, NUMBER + 5)
            for x, (fx, fy, n) in zip(at, line, strict=True):
                leads.append(f'<path d="M{x:.1f},{level:.1f} L{fx},{fy}" class="lead"/>')
                marks.append(f'<circle cx="{x:.1f}" cy="{level:.1f}" r="{NUMBER / 2 - 1:g}"/>')
                where = f'x="{x:.1f}" y="{level + 5:.1f}" text-anchor="middle" font-size="14"'
                marks.append(f'<text {where} class="number">{n}</text>')
    return leads + marks
