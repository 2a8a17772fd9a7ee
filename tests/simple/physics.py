"""Lines, forces, strokes and devices of the simple simulator: written from the design again, on purpose."""

from __future__ import annotations

import math

EXACT = 1e-9  # lengths [m] nearer than this are the same


def moved(load, point, u):
    """Where a point (x, z) of the load is once its side has moved by u."""
    x, z = point
    if load.motion == "straight":
        return x, z + u
    h = z - load.pivot_height
    return x * math.cos(u) - h * math.sin(u), load.pivot_height + x * math.sin(u) + h * math.cos(u)


def rise_of(load, point, u):
    """How far a point (x, y, z) of the load has risen."""
    return moved(load, (point[0], point[2]), u)[1] - point[2]


class Line:
    """From a base on the ground to a head on the load."""

    def __init__(self, load, head, base):
        self.load, self.head, self.base = load, head, base
        self.hinged = load.motion == "hinged"
        self.start = self.length(0.0)
        if self.hinged:  # the law of cosines about the pivot; y stands across it
            p, b = (head[0], head[2] - load.pivot_height), (base[0], base[2] - load.pivot_height)
            self.square = p[0] ** 2 + p[1] ** 2 + b[0] ** 2 + b[1] ** 2 + (head[1] - base[1]) ** 2
            self.twice = 2 * math.hypot(*p) * math.hypot(*b)
            self.angle = math.atan2(p[1], p[0]) - math.atan2(b[1], b[0])
            self.angle %= 2 * math.pi  # from base up to head, as seen from the pivot

    def length(self, u):
        x, z = moved(self.load, (self.head[0], self.head[2]), u)
        return math.sqrt((x - self.base[0]) ** 2 + (self.head[1] - self.base[1]) ** 2 + (z - self.base[2]) ** 2)

    def u_at(self, length):
        """The u at which the line is this long, on the branch where it lengthens."""
        if self.hinged:
            cosine = (self.square - length * length) / self.twice
            return math.acos(min(1.0, max(-1.0, cosine))) - self.angle
        across = (self.head[0] - self.base[0]) ** 2 + (self.head[1] - self.base[1]) ** 2
        return self.base[2] - self.head[2] + math.sqrt(max(0.0, length * length - across))

    def held(self, captured):
        """The u that a device holds which has captured this much of the line; the start if nothing."""
        return self.u_at(self.start + captured) if captured > 0 else 0.0

    def force(self, share, u):
        """Along the lifter, from its share of the effort."""
        x, z = moved(self.load, (self.head[0], self.head[2]), u)
        length = self.length(u)
        axis_x, axis_z = (x - self.base[0]) / length, (z - self.base[2]) / length
        if not self.hinged:
            return share * self.load.weight / axis_z
        cg_x = moved(self.load, (self.load.cg[0], self.load.cg[2]), u)[0]
        return share * self.load.weight * cg_x / (x * axis_z - (z - self.load.pivot_height) * axis_x)


def after_stroke(lifter, travelled, to_spend, force, fill):
    """Ram travel after one stroke; `to_spend` is the travel over which the force grows from nothing to `force`."""
    if lifter.travel_per_pump is not None:
        return min(lifter.travel, travelled + lifter.travel_per_pump * fill)
    pump, area = lifter.pump, lifter.ram_area
    pressure = force / area

    # Where in its travel the ram comes to the shift and to the relief pressure, if ever.
    shift_at = to_spend * pump.shift_pressure / pressure if pressure >= pump.shift_pressure else math.inf
    relief_at = to_spend * pump.relief_pressure / pressure if pressure > pump.relief_pressure else math.inf

    end, handle = travelled, fill
    if end < shift_at:
        used = min(handle, (shift_at - end) * area / pump.first_stage)
        end, handle = end + used * pump.first_stage / area, handle - used
    end += handle * pump.second_stage / area
    return max(travelled, min(end, relief_at, lifter.travel))


# What the devices other than collars can do, as (hold during, hold after) pairs.


def highest(demand, spacing, first, holes=None):
    """The highest of a row of holes or links that has come up; 0 if none has."""
    hole = spacing if first is None else first
    if demand < hole - EXACT:
        return 0.0
    further = math.floor((demand - hole + EXACT) / spacing)
    if holes is not None and further > holes - 1:
        further = holes - 1
    return hole + further * spacing


def plan(device, work, demand):
    """A catcher's work from now on: steps of (quantity, Draw, hold during, hold after), and the pile in the end."""
    now, pile = work.captured, work.pile
    if device.kind in ("pin", "chain"):
        first = device.first_hole if device.kind == "pin" else device.first_link
        holes = device.holes if device.kind == "pin" else None
        then = work.origin + highest(demand - work.origin, device.spacing, first, holes) - work.slack
        takes = ("swap", device.swap) if device.kind == "pin" else ("rehook", device.rehook)
        return ([(*takes, now, then)] if then > now + EXACT else []), pile
    steps = []
    if device.kind == "strap":
        while now + device.click <= min(demand, work.origin + device.reach_limit) + EXACT:
            steps.append(("click", device.click_time, now, now + device.click))
            now += device.click
        return steps, pile
    raise ValueError(device.kind)  # a crib is built piece by piece: see `next_at_crib`


def filled(device, top, demand):
    """The pieces that still fit above `top`, the largest first."""
    found = []
    for piece in sorted(device.pieces, reverse=True):
        while top + sum(found) + piece <= demand + EXACT:
            found.append(piece)
    return found


def next_at_crib(device, bottom, stack, now, demand):
    """What is done next at a crib: (its parts, the stack then, what is held then, whether it goes on after that).

    `bottom` is where the stack of pieces begins, `now` what the crib holds. A part is (quantity, Draw, times over,
    held during it, open during it). None: nothing can be done.
    """
    top = bottom + sum(stack)
    if device.swap_up:
        for piece in sorted(device.pieces, reverse=True):
            kept = list(stack)
            while kept and bottom + sum(kept) + piece > demand + EXACT and kept[-1] < piece - EXACT:
                del kept[-1]
            then = bottom + sum(kept) + piece
            if then > demand + EXACT:
                continue
            as_high = then + sum(filled(device, then, demand)) >= top + sum(filled(device, top, demand)) - EXACT
            if len(kept) == len(stack) or not as_high:
                break
            wedges = [("drive", device.drive, 1, now, True)] if now > top + EXACT else []
            moves = [("place", device.place, device.layer, now, True)] * (len(stack) - len(kept) + 1)
            return wedges + moves, [*kept, piece], then, True
    fits = filled(device, top, demand)
    if fits:
        part = ("place", device.place, device.layer, max(now, top), False)
        return [part], [*stack, fits[0]], max(now, top + fits[0]), True
    wedged = min(demand, top + device.wedge)
    if wedged > max(now, top) + EXACT:
        return [("drive", device.drive, 1, max(now, top), False)], stack, wedged, False
    return None


def crib_reaches(device, bottom, stack, now, demand):
    """What a crib would hold if all were done that this demand asks for."""
    if device.wedge_out == "open":
        now = bottom + sum(stack)
    while True:
        found = next_at_crib(device, bottom, stack, now, demand)
        if found is None:
            return now
        _, stack, now, _ = found


def wedged(device, bottom, stack, now, demand):
    """What is done next at a crib on the way down, as `next_at_crib` says it: wedges alone, no pieces."""
    top = bottom + sum(stack)
    reaches = min(demand, top + device.wedge)
    if reaches > max(now, top) + EXACT:
        return [("drive", device.drive, 1, max(now, top), False)], stack, reaches, False
    return None


def plan_down(device, work, low):
    """Letting a device down to `low`: steps of (quantity, Draw, times over, hold during, hold after, open, stack)."""
    now, stack = work.captured, list(work.stack)
    if device.kind in ("pin", "chain"):
        pin = device.kind == "pin"
        first, holes = (device.first_hole, device.holes) if pin else (device.first_link, None)
        then = work.origin + highest(low + work.slack - work.origin, device.spacing, first, holes) - work.slack
        takes = ("swap", device.swap) if pin else ("rehook", device.rehook)
        return [(*takes, 1, now, then, not pin or device.pin_out == "open", stack)]
    steps = []
    if device.kind == "strap":
        while now > low + EXACT:
            now -= device.click
            steps.append(("click", device.click_time, 1, now, now, False, stack))
        return steps
    top = work.pile + sum(stack)
    if now > top + EXACT:
        steps.append(("drive", device.drive, 1, top, top, False, stack))
    while stack and top > low + EXACT:
        stack = stack[:-1]
        top = work.pile + sum(stack)
        steps.append(("place", device.place, device.layer, top, top, False, stack))
    for piece in filled(device, top, low):
        steps.append(("place", device.place, device.layer, top, top + piece, False, [*stack, piece]))
        stack, top = [*stack, piece], top + piece
    reaches = min(low, top + device.wedge)
    if reaches > top + EXACT:
        steps.append(("drive", device.drive, 1, top, reaches, False, stack))
    return steps


def brought_up(device, work, demand):
    """What a device holds that has been kept up with the load to this demand, and a crib's stack then."""
    if device.kind == "collar":
        return min(demand, work.origin + device.reach_limit), []
    if device.kind == "crib":
        stack = filled(device, work.pile, demand)
        top = work.pile + sum(stack)
        return max(top, min(demand, top + device.wedge)), stack
    steps, _ = plan(device, work, demand)
    return (steps[-1][3] if steps else work.captured), []
