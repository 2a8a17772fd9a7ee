"""What a sheet says, in words and figures, for page and terminal. No physics here: `sim.check` has reckoned."""

from __future__ import annotations

import math

from reports.sheet_sides import gathered
from reports.words import NOT_KNOWN, count
from sim.check import Sheet
from sim.check.people import by_hand
from sim.units import Units, show, show_up


def verdict(sheet: Sheet) -> str:
    """How much was found, in one line; nothing found promises nothing."""
    said = [each.level for each in gathered(sheet, sheet.units)]
    counts = ", ".join(count(said.count(level), level) for level in ("stop", "caution", "note"))
    if sheet.stopped:
        return f"Do not lift like this: {counts}"
    return counts if "caution" in said else f"{counts}; what is known is within the limits you set"


def figure(value: float | None, dimension: str, units: Units, up: bool = False) -> str:
    """A figure; one that is missing is "not known"."""
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    return (show_up if up else show)(value, dimension, units)


def times(value: float | None, least: float) -> str:
    """A margin, rounded down; one below the least that was set says so."""
    if value is None:
        return NOT_KNOWN
    if not math.isfinite(value):
        return "nothing carried"
    shown = f"{math.floor(value * 100 + 1e-9) / 100:.2f}"
    return shown if value >= least else f"{shown}, below {least:g}"


def push(along: float, across: float, units: Units) -> str:
    """A thrust in words: "228 lb ahead, 0 lb across"."""
    words = []
    for value, (ahead, back) in ((along, ("ahead", "back")), (across, ("left", "right"))):
        if abs(value) > 0.5:
            words.append(f"{show(abs(value), 'force', units)} {ahead if value > 0 else back}")
    return ", ".join(words) or "none"


Row = tuple[str, list[str]]


def lifter_rows(sheet: Sheet, units: Units) -> list[Row]:
    """The lifters side by side: a name, and a figure for each."""
    loads = list(sheet.lifters.values())

    def row(name: str, *values: str) -> Row:
        return name, list(values)

    def force(key: str) -> list[str]:
        return [figure(getattr(x, key), "force", units) for x in loads]

    def length(key: str) -> list[str]:
        return [figure(getattr(x, key), "length", units) for x in loads]

    rows = [
        row("share of the load", *(f"{x.share:.0%}" for x in loads)),
        row("axial force, start", *force("axial_start")),
        row("axial force, end", *force("axial_end")),
        row("axial force, worst", *force("axial_worst")),
        row("rated load", *force("rated_load")),
        row("margin", *(times(x.margin, sheet.design_factor) for x in loads)),
        row("if one side bore all", *force("alone")),
        row(
            "from horizontal, start, least",
            *(f"{figure(x.angle_start, 'angle', units)}, {figure(x.angle_least, 'angle', units)}" for x in loads),
        ),
        row("its foot pushes", *(push(x.thrust_along, x.thrust_across, units) for x in loads)),
        row("travel needed", *length("travel_needed")),
        row("travel left then", *length("travel_left")),
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
                    f"{figure(x.pressure_start, 'pressure', units)}, {figure(x.pressure_worst, 'pressure', units)}"
                    for x in loads
                ),
            )
        )
        rows.append(row("pump stage, worst", *(str(x.stage_worst) if x.stage_worst else "one" for x in loads)))
    if any(x.handle_force is not None for x in loads):
        hands = [NOT_KNOWN if x.handle_force is None else by_hand(x.handle_force, units) for x in loads]
        rows.append(row("at the handle, no friction", *hands))
    return rows


STATION_HEADS = (
    "station", "if lost", "at rest", "rated", "margin", "drop along it", "give", "peak", "margin at peak",
    "from horizontal", "its foot pushes",
)  # fmt: skip


def station_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each station, under `STATION_HEADS`."""
    rows, least = [], sheet.design_factor
    for name, x in sheet.stations.items():
        drop = "none onto it" if not x.stops_first else figure(x.drop_along, "length", units, up=True)
        peak = figure(x.peak, "force", units)
        if x.impact_factor is not None:
            peak = f"{peak} ({x.impact_factor:.2f} x)"
        angles = f"{figure(x.angle_start, 'angle', units)} to {figure(x.angle_end, 'angle', units)}"
        rows.append(
            [
                name, x.lost, figure(x.static_worst, "force", units), figure(x.rated_load, "force", units),
                times(x.margin, least), drop, figure(x.give, "length", units), peak, times(x.margin_peak, least),
                angles, push(x.thrust_along, x.thrust_across, units),
            ]
        )  # fmt: skip
    return rows


TIE_HEADS = ("tie of", "kind", "limit", "limit from", "at rest", "margin", "at the peak", "margin at peak", "stretch", "adds to drop")  # fmt: skip # noqa: E501


def tie_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each tie, under `TIE_HEADS`."""
    least = sheet.design_factor
    return [
        [
            name, x.kind, figure(x.working_load_limit, "force", units), x.limit_source or NOT_KNOWN,
            figure(x.tension_static, "force", units), times(x.margin, least), figure(x.tension_peak, "force", units),
            times(x.margin_peak, least), figure(x.stretch, "length", units, up=True),
            figure(x.stretch_drop, "length", units, up=True),
        ]
        for name, x in sheet.ties.items()
    ]  # fmt: skip


CRIB_HEADS = ("crib", "carries", "capacity", "margin", "contacts x stress", "high at the end", "wide", "layers", "pieces lying ready for the rise")  # fmt: skip # noqa: E501


def crib_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each crib, under `CRIB_HEADS`."""
    rows, least = [], sheet.design_factor
    for name, x in sheet.cribs.items():
        pieces = [f"{n} x {figure(float(mm) / 1e3, 'length', units)}" for mm, n in x.pieces_added.items()]
        pieces += [f"wedges for {figure(x.wedge, 'length', units, up=True)}"] if x.wedge > 1e-9 else []
        stress = figure(x.stress, "pressure", units)
        rows.append(
            [
                name, figure(x.carries, "force", units), figure(x.capacity, "force", units), times(x.margin, least),
                f"{x.contacts} x {stress}", figure(x.height_end, "length", units), figure(x.width, "length", units),
                f"{x.layers_start} at the start, {x.layers_end} at the end", ", ".join(pieces) or "none",
            ]
        )  # fmt: skip
    return rows


GROUND_HEADS = ("foot of", "stands with", "at a peak", "base area", "pressure", "ground bears", "area needed")


def ground_rows(sheet: Sheet, units: Units) -> list[list[str]]:
    """A row for each foot, under `GROUND_HEADS`."""
    return [
        [
            name, figure(x.force, "force", units), figure(x.peak, "force", units),
            figure(x.base_area, "area", units), figure(x.pressure, "bearing", units),
            figure(x.bearing, "bearing", units), figure(x.area_needed, "area", units),
        ]
        for name, x in sheet.ground.items()
    ]  # fmt: skip


def quick_rows(sheet: Sheet, units: Units) -> list[Row]:
    """Drops, pivot and quick estimates: a name and its figure."""
    quick, pivot, rows = sheet.estimates, sheet.pivot, list[Row]()
    for loss, name in (("pressure_lost", "pressure lost"), ("lifter_lost", "lifter lost")):
        x = sheet.drops[loss]
        words = figure(x.total, "length", units, up=True)
        if x.total > 0:
            onto = f"onto {x.onto}, if it holds" if x.onto else "nothing above the start stops it"
            words += f" at call {x.call}, {onto}; {figure(x.energy, 'energy', units)}"
        rows.append((f"largest drop, {name}", [words]))
    grip = "" if pivot.grip_needed is None else f"; friction of {pivot.grip_needed:.2f} would hold it"
    rows.append(("the lifters' lean pushes the load", [push(pivot.along, pivot.across, units) + grip]))
    if quick.half_weight is not None and quick.out_by is not None:
        words = f"{figure(quick.half_weight, 'force', units)}; here {figure(quick.at_the_end, 'force', units)}"
        out = "the same" if abs(quick.out_by) < 0.005 else f"{quick.out_by:+.0%}"
        rows.append(("half the weight (common practice)", [f"{words}, {out}"]))
    else:
        rows.append(("the lifters carry at the start", [figure(quick.at_the_end, "force", units)]))
    if quick.goes_first is not None and quick.further_out > 0:
        first = quick.goes_first
        words = f"{first.subject}, {first.what}: margin {times(first.times, sheet.design_factor)}"
        rows.append((f"first to go with the CG {figure(quick.further_out, 'length', units)} further out", [words]))
    return rows
