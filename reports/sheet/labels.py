"""The labels below a view of the sheet: what is said of each line of sight, and how its line gets to it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reports.paper.svg_paper import cut
from reports.sheet.marks import FONT, Spot, pair
from reports.words.sheet import carried, figure
from sim.check import Sheet
from sim.model.scenario import Lifter, Station
from sim.model.units import Units

LABEL_WIDE, LABEL_HIGH, LINE = 38.0, 12.6, 3.2  # a label below the ground [mm]
BESIDE = 8.0  # between labels, where there are several rows of them [mm]


def label(sheet: Sheet, places: Sequence[Lifter | Station], force: float) -> list[tuple[str, str]]:
    """What is said of a line of sight with this force [N], a line each, in the one units and in the other."""
    names = " and ".join(place.name for place in places)
    if len(places) == 2 and {p.side for p in places} == {"left", "right"}:
        plain = places[0].name.replace(places[0].side, "").strip()
        names = f"left and right {plain}" if plain in places[1].name else names
    elif len(places) > 2:
        names = f"{places[0].name} + {len(places) - 1} behind it"
    head = cut(names, LABEL_WIDE - 1, FONT)
    place = places[0]
    lines = [(head, head)]
    both: tuple[Units, Units] = ("us", "si")
    if isinstance(place, Lifter):
        lifter = sheet.lifters[place.name]
        lines.append(pair(f"{figure(lifter.angle_start, 'angle', u)}, {carried(force, u)}" for u in both))
        thrust = math.hypot(lifter.thrust_along, lifter.thrust_across)
        lines.append(pair(f"push at the foot {carried(thrust, u)}" for u in both))
        return lines
    station = sheet.stations[place.name]
    lines.append(pair(f"{figure(station.angle_start, 'angle', u)}, {carried(force, u)}*" for u in both))
    tie = sheet.ties.get(place.name)
    if tie is not None:
        lines.append(pair(f"tie {carried(tie.tension_static, u)}*" for u in both))
    else:
        thrust = math.hypot(station.thrust_along, station.thrust_across)
        lines.append(pair(f"push at the foot {carried(thrust, u)}*" for u in both))
    return lines


def past(centres: Sequence[float], n: int, rows: int, ground: float, wide: float) -> list[Spot]:
    """The corners of the line to a label in a lower row: through the gap right of its neighbour in each above [mm]."""
    row, corners = n % rows, list[Spot]()
    for upper in range(row):
        before = n - row + upper
        left, after = centres[before] + LABEL_WIDE / 2, before + rows
        right = centres[after] - LABEL_WIDE / 2 if after < len(centres) else min(left + BESIDE, wide)
        gap = left + (right - left) * (row - upper) / (rows - upper)
        corners += [(gap, ground + upper * LABEL_HIGH - 0.4), (gap, ground + (upper + 1) * LABEL_HIGH - 1.6)]
    return corners
