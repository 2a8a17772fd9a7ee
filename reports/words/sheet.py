"""What a sheet says, in words and figures, for page and terminal. No physics here: `sim.check` has reckoned."""

from __future__ import annotations

import math

from reports.words.plain import NOT_KNOWN, all_of, count
from reports.words.sheet_sides import gathered
from sim.check import Sheet, at_least
from sim.check.figures import times_down, times_up
from sim.check.sideways.bearings import Bearing
from sim.check.struts.buckling import Buckling
from sim.model.units import Units, show, show_down, show_up


def tally(sheet: Sheet) -> str:
    """How much was found, in one line; nothing found promises nothing."""
    said = [each.level for each in gathered(sheet.findings)]
    counts = ", ".join(count(said.count(level), level) for level in ("stop", "caution", "note"))
    if sheet.stopped:
        return f"Do not lift like this: {counts}"
    return counts if "caution" in said else f"{counts}; what is known is within {all_of(sheet.limits)}"


def takes(sheet: Sheet, rise: float, units: Units) -> str:
    """What the lift will take, in a sentence."""
    need = f"{show(rise, 'length', units)} of rise at the point takes"
    pumps = list(sheet.need.pumps.values())
    known = [n for n in pumps if n is not None]
    if len(known) < len(pumps) or sheet.need.calls is None:
        return f"{need} more than a pump can give."
    same = count(known[0], "pump") + (" a lifter" if len(known) > 1 else "")
    each = same if len(set(known)) == 1 else ", ".join(f"{n} at {name}" for name, n in sheet.need.pumps.items())
    short = " and ".join(name for name, x in sheet.lifters.items() if x.travel_left < -1e-9)
    each += f", more travel than {short} has," if short else ""
    worst = carried(max(x.axial_worst for x in sheet.lifters.values()), units)
    down = sheet.need.told_calls_down
    again = f" {count(down, 'call')} bring it down again;" if down else ""
    return f"{need} {each} in {count(sheet.need.calls, 'call')};{again} no lifter carries more than {worst}."


def figure(value: float | None, dimension: str, units: Units, up: bool = False, down: bool = False) -> str:
    """A figure, rounded up, down or to the nearest; one that is missing is "not known"."""
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    return (show_up if up else show_down if down else show)(value, dimension, units)


def carried(force: float | None, units: Units) -> str:
    """A force that something carries, rounded up as the findings have it; one below 0 is a pull."""
    if force is not None and force < 0:
        return f"a pull of {show_up(-force, 'force', units)}"
    return figure(force, "force", units, up=True)


def times(value: float | None, least: float) -> str:
    """A margin, rounded down; one below the least that was set says so."""
    if value is None:
        return NOT_KNOWN
    if not math.isfinite(value):
        return "nothing carried"
    return times_down(value) if value >= least else f"{times_down(value)}, below {least:g}"


def push(along: float, across: float, units: Units) -> str:
    """A thrust in words: "228 lb ahead, 0 lb across"."""
    words = []
    for value, (ahead, back) in ((along, ("ahead", "back")), (across, ("left", "right"))):
        if abs(value) > 0.5:
            words.append(f"{show_up(abs(value), 'force', units)} {ahead if value > 0 else back}")
    return ", ".join(words) or "none"


Row = tuple[str, list[str]]


def lifter_rows(sheet: Sheet, units: Units) -> list[Row]:
    """The lifters side by side: a name, and a figure for each."""
    loads = list(sheet.lifters.values())

    def row(name: str, *values: str) -> Row:
        return name, list(values)

    def force(key: str) -> list[str]:
        return [carried(getattr(x, key), units) for x in loads]

    rows = [
        row("share of the load", *(f"{x.share:.0%}" for x in loads)),
        row("axial force, start", *force("axial_start")),
        row("axial force, end", *force("axial_end")),
        row("axial force, worst", *force("axial_worst")),
        row("rated load", *(figure(x.rated_load, "force", units, down=True) for x in loads)),
        row("margin", *(times(x.margin, sheet.limits.design_factor) for x in loads)),
        row("if one lifter takes everything", *force("alone")),
        row(
            "from horizontal, start, least",
            *(f"{figure(x.angle_start, 'angle', units)}, {figure(x.angle_least, 'angle', units)}" for x in loads),
        ),
        row("push at the foot", *(push(x.thrust_along, x.thrust_across, units) for x in loads)),
        row("travel needed", *(figure(x.travel_needed, "length", units, up=True) for x in loads)),
        row("travel left then", *(figure(x.travel_left, "length", units, down=True) for x in loads)),
        row(
            "rise a pump, start, end",
            *(
                f"{figure(x.rise_per_pump_start, 'length', units)}, {figure(x.rise_per_pump_end, 'length', units)}"
                for x in loads
            ),
        ),
    ]
    if any(x.pressure_worst is not None for x in loads):
        rows.append(
            row(
                "ram pressure, start, worst",
                *(
                    f"{figure(x.pressure_start, 'pressure', units)}, "
                    f"{figure(x.pressure_worst, 'pressure', units, up=True)}"
                    for x in loads
                ),
            )
        )
        rows.append(row("pump stage, worst", *(str(x.stage_worst) if x.stage_worst else "one" for x in loads)))
    if any(x.handle_force is not None for x in loads):
        hands = [figure(x.handle_force, "hand", units, up=True) for x in loads]
        rows.append(row("at the handle, no friction", *hands))
    return rows


STATIONS = "Stations: what each would carry if its side's lifter were lost"
TIES = "Ties: what holds the feet in"
STATION_HEADS = (
    "station", "if lost", "at rest", "rated", "margin", "drop along it", "give", "peak", "margin at peak",
    "from horizontal", "push at the foot",
)  # fmt: skip


def station_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each station, under `STATION_HEADS`."""
    rows, least = [], sheet.limits.design_factor
    for name, x in sheet.stations.items():
        drop = "none onto it" if not x.stops_first else figure(x.drop_along, "length", units, up=True)
        peak = carried(x.peak, units)
        if x.impact_factor is not None:
            peak = f"{peak} ({times_up(x.impact_factor)} x)"
        angles = f"{figure(x.angle_start, 'angle', units)} to {figure(x.angle_end, 'angle', units)}"
        rows.append(
            [
                name, x.lost, carried(x.static_worst, units), figure(x.rated_load, "force", units, down=True),
                times(x.margin, least), drop, figure(x.give, "length", units), peak, times(x.margin_peak, least),
                angles, push(x.thrust_along, x.thrust_across, units),
            ]
        )  # fmt: skip
    return rows


STRUTS = "Struts: what buckles them, taken as straight, pinned at both ends and loaded in the middle"
STRUT_HEADS = (
    "strut", "made of", "longest", "slenderness", "rule", "buckles at", "at rest", "margin", "at the peak",
    "margin at peak",
)  # fmt: skip


def strut_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each strut, under `STRUT_HEADS`; for none where the file says of none what it is."""
    least = sheet.limits.design_factor
    if all(x.slenderness is None for x in sheet.struts.values()):
        return []
    return [
        [
            name, _made_of(x, units), figure(x.length, "length", units, up=True),
            NOT_KNOWN if x.slenderness is None else times_up(x.slenderness), x.rule or NOT_KNOWN,
            figure(x.capacity, "force", units, down=True), carried(x.static, units), times(x.margin, least),
            carried(x.peak, units), times(x.margin_peak, least),
        ]
        for name, x in sheet.struts.items()
    ]  # fmt: skip


def _made_of(strut: Buckling, units: Units) -> str:
    sides = (strut.outer, strut.wall) if strut.outer is not None else (strut.thick, strut.wide)
    size = " by ".join(figure(side, "length", units) for side in sides if side is not None)
    return ", ".join(filter(None, (size, strut.material))) or NOT_KNOWN


TIE_HEADS = ("tie of", "kind", "limit", "limit from", "at rest", "margin", "at the peak", "margin at peak", "stretch")  # fmt: skip # noqa: E501


def tie_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each tie, under `TIE_HEADS`."""
    least = sheet.limits.design_factor
    return [
        [
            name, x.kind, figure(x.working_load_limit, "force", units, down=True), x.limit_source or NOT_KNOWN,
            carried(x.tension_static, units), times(x.margin, least), carried(x.tension_peak, units),
            times(x.margin_peak, least), figure(x.stretch, "length", units, up=True),
        ]
        for name, x in sheet.ties.items()
    ]  # fmt: skip


CRIB_HEADS = ("crib", "carries", "capacity", "margin", "contacts x stress", "high at the end", "wide", "layers", "timbers needed for the rise")  # fmt: skip # noqa: E501


def crib_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each crib, under `CRIB_HEADS`."""
    rows, least = [], sheet.limits.design_factor
    for name, x in sheet.cribs.items():
        pieces = [f"{n} x {figure(float(mm) / 1e3, 'length', units)}" for mm, n in x.pieces_added.items()]
        pieces += [f"wedges for {figure(x.wedge, 'length', units, up=True)}"] if x.wedge > 1e-9 else []
        stress = figure(x.stress, "pressure", units, down=True)
        rows.append(
            [
                name, carried(x.carries, units), figure(x.capacity, "force", units, down=True), times(x.margin, least),
                f"{x.contacts} x {stress}", figure(x.height_end, "length", units, up=True),
                figure(x.width, "length", units, down=True),
                f"{x.layers_start} at the start, {x.layers_end} at the end", ", ".join(pieces) or "none",
            ]
        )  # fmt: skip
    return rows


GROUND_HEADS = ("foot of", "load on the foot", "at a peak", "base area", "pressure", "ground bears", "area needed")


def ground_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each foot, under `GROUND_HEADS`."""
    return [
        [
            name, carried(x.force, units), carried(x.peak, units),
            figure(x.base_area, "area", units, down=True), figure(x.pressure, "bearing", units, up=True),
            figure(x.bearing, "bearing", units, down=True), figure(x.area_needed, "area", units, up=True),
        ]
        for name, x in sheet.ground.items()
    ]  # fmt: skip


def quick_rows(sheet: Sheet, units: Units) -> list[Row]:
    """Drops, pivot and quick estimates: a name and its figure."""
    quick, pivot, rows = sheet.estimates, sheet.pivot, list[Row]()
    for loss, name in (("pressure_lost", "pressure lost"), ("lifter_lost", "lifter lost")):
        x = sheet.drops[loss]
        words = at_least(x.drop, x.give_known).words(units)
        if x.drop > 0:
            onto = f"onto {x.onto}, if it holds" if x.onto else "no capture above the start"
            words += f" at call {x.call}, {onto}; {figure(x.energy, 'energy', units)}"
        rows.append((f"largest drop, {name}", [words]))
    grip = "" if pivot.grip_needed is None else f"; unchocked, it needs friction of {times_up(pivot.grip_needed)}"
    rows.append(("side push from the leaning lifters", [push(pivot.along, pivot.across, units) + grip]))
    if quick.half_weight is not None and quick.out_by is not None:
        words = f"{figure(quick.half_weight, 'force', units)}; here {figure(quick.at_the_end, 'force', units)}"
        out = "the same" if abs(quick.out_by) < 0.005 else f"{quick.out_by:+.0%}"
        rows.append(("half the weight (common practice)", [f"{words}, {out}"]))
    else:
        rows.append(("the lifters carry at the start", [figure(quick.at_the_end, "force", units)]))
    if quick.goes_first is not None and quick.further_out > 0:
        first = quick.goes_first
        words = f"{first.subject}, {first.what}: margin {times(first.times, sheet.limits.design_factor)}"
        rows.append((f"first to go with the CG {figure(quick.further_out, 'length', units)} further out", [words]))
    return rows


def friction_needed(bearing: Bearing, n: int) -> str:
    """The friction coefficient that a contact needs at an instant, rounded up."""
    friction = bearing.friction(n)
    return NOT_KNOWN if friction is None else times_up(friction)


def friction_said(bearing: Bearing, n: int) -> str:
    """The words for it beside a contact in a picture."""
    needed = friction_needed(bearing, n)
    return f"friction {needed}" if needed == NOT_KNOWN else f"needs {needed}"
