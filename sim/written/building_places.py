"""Lifters and stations, from what a person wrote of them: their sides, their feet, their people, their shares."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sim.model.devices import Device
from sim.model.errors import Problem
from sim.model.scenario import Lifter, Load, Operator, Point, Pump, Station, StationSide, Strut, Tie
from sim.written.keys.people import MIRRORED, catchers_of, replaced, sided_names
from sim.written.keys.stands import WrittenLifter, WrittenStation, WrittenTie
from sim.written.tie_limits import Limit, looked_up, weakest


@dataclass(frozen=True, slots=True)
class Kinds:
    """What lifters and stations name: operators, pumps, devices, and the devices that a variant puts in place."""

    operators: Mapping[str, Operator]
    pumps: Mapping[str, Pump]
    devices: Mapping[str, Device]
    replace: Mapping[str, Sequence[str]]

    def capture(self, names: Sequence[str]) -> tuple[Device, ...]:
        """The devices of a place."""
        return tuple(self.devices[name] for name in replaced(names, self.replace))


def lifters_of(row: WrittenLifter, kinds: Kinds) -> Iterator[Lifter]:
    """The lifter, or one for each of its sides; a share that is not written is NaN until `shared` has worked it out."""
    capture = kinds.capture(row.capture)
    for name, side in zip(sided_names(row.name, row.sides), _sides(row), strict=True):
        assert side != "both", "a lifter has one side"
        yield Lifter(
            name=name,
            side=side,
            head=_on_side(row.head, row, side),
            base=_base(row, side),
            travel=row.travel,
            operator=kinds.operators[row.operator],
            share=math.nan if row.share is None else row.share,
            travel_per_pump=row.travel_per_pump,
            pump=kinds.pumps[row.pump] if row.pump else None,
            ram_area=row.ram_area,
            capture=capture,
            catchers=catchers_of(name, True, len(capture), row.catcher),
            rated_load=row.rated_load,
            base_area=row.base_area,
            friction=low_to_high(row.friction),
            handle_stroke=row.handle_stroke,
            give=row.give,
            tie=_tie(row.tie, row, side) if row.tie else None,
        )


def stations_of(row: WrittenStation, kinds: Kinds) -> Iterator[Station]:
    """The station, or one for each of its sides."""
    capture = kinds.capture(row.capture)
    for name, side in zip(sided_names(row.name, row.sides), _sides(row), strict=True):
        yield Station(
            name=name,
            side=side,
            head=_on_side(row.head, row, side),
            base=_base(row, side),
            capture=capture,
            catchers=catchers_of(name, False, len(capture), row.catcher),
            tie=_tie(row.tie, row, side) if row.tie else None,
            rated_load=row.rated_load,
            give=row.give,
            base_area=row.base_area,
            friction=low_to_high(row.friction),
            strut=_strut(row),
        )


def _strut(row: WrittenStation) -> Strut:
    """What it is made of, as far as it is written."""
    tube = None if row.tube is None else (row.tube[0], row.tube[1])
    return Strut(tube, row.post, row.material, row.yields)


def low_to_high(written: list[float] | None) -> tuple[float, float] | None:
    """A friction coefficient's bounds as the model has them."""
    return (written[0], written[1]) if written else None


def _sides(row: WrittenLifter | WrittenStation) -> tuple[StationSide, ...]:
    if row.sides:
        return MIRRORED
    assert row.side is not None, "choices.py sees to it that there is one"
    return (row.side,)


def _on_side(written: Sequence[float], row: WrittenLifter | WrittenStation, side: StationSide) -> Point:
    """The point, mirrored where one table stands for both sides and this is the right one."""
    y = -written[1] if row.sides and side == "right" else written[1]
    return written[0], y + 0.0, written[2]


def _base(row: WrittenLifter | WrittenStation, side: StationSide) -> Point:
    """Where it stands: as written, or on the ground below its head, off by its angle the way its foot stands."""
    if row.base is not None:
        return _on_side(row.base, row, side)
    assert row.angle is not None, "choices.py sees to it that there is one"
    x, y, z = _on_side(row.head, row, side)
    off = z / math.tan(row.angle) if 0 < row.angle < math.pi / 2 else 0.0
    outwards = 1.0 if side == "left" or (side == "both" and y >= 0) else -1.0
    if row.foot in ("ahead", "behind"):
        return x + (off if row.foot == "ahead" else -off), y, 0.0
    return x, y + outwards * (off if row.foot == "out" else -off), 0.0


def _tie(written: WrittenTie, row: WrittenLifter | WrittenStation, side: StationSide) -> Tie:
    """The tie, with the limit of its weakest part (49 CFR 393.108(a)), looked up where none is written."""
    if written.working_load_limit is not None:
        own: Limit | None = Limit(written.working_load_limit, "given in the scenario: as marked")
    else:
        own = looked_up(written.kind, written.size, written.grade, written.width)
    limit = weakest(own, written.tensioner_limit, written.anchor_limit)
    return Tie(
        kind=written.kind,
        slack=written.slack,
        length=written.length,
        working_load_limit=limit.force if limit else None,
        limit_source=limit.source if limit else "",
        elongation=written.elongation,
        anchor=_on_side(written.anchor, row, side) if written.anchor else None,
        to=written.to,
    )


def shared(load: Load, lifters: tuple[Lifter, ...]) -> tuple[tuple[Lifter, ...], list[Problem]]:
    """The lifters, each with its share of the load; and what is wrong with the shares.

    Parameters
    ----------
    load : Load
        Its centre of gravity sets the lever rule: on y (hinged), along the line between the two heads (straight).
    lifters : tuple of Lifter
        One or two; NaN where no share is written.

    Returns
    -------
    lifters : tuple of Lifter
        Shares that sum to 1. A share below 0 means that the centre of gravity lies outside the lifters' line.
    problems : list of Problem
        Empty, if there is nothing wrong.
    """
    written = [x.share for x in lifters if not math.isnan(x.share)]
    if written and not abs(sum(written) - 1) <= 1e-6 and len(written) == len(lifters):
        what = f"the shares sum to {sum(written):g}, not to 1"
        return lifters, [Problem(f'lifter "{lifters[-1].name}" > share', what, "or leave them out: the lever rule")]
    if len(lifters) == 1:
        return (replace(lifters[0], share=1.0),), []
    if len(written) == 2:
        return lifters, []
    one, other = lifters
    if len(written) == 1:
        return tuple(replace(x, share=1 - written[0]) if math.isnan(x.share) else x for x in lifters), []
    across = (0.0 if load.motion == "hinged" else other.head[0] - one.head[0], other.head[1] - one.head[1])
    square = across[0] ** 2 + across[1] ** 2
    if not square > 1e-6:
        what = "the two lifters' heads are in one line, so nothing says who carries how much"
        return lifters, [Problem(f'lifter "{other.name}" > head[1]', what, "give each lifter a share, or move one")]
    if load.motion == "hinged" and (one.head[1] > other.head[1]) != (one.side == "left"):
        what = f"the {other.side} lifter is on the wrong side of the {one.side} one: y goes to the left"
        return lifters, [Problem(f'lifter "{other.name}" > head[1]', what, "check the sign of y, or the sides")]
    share = ((load.cg[0] - one.head[0]) * across[0] + (load.cg[1] - one.head[1]) * across[1]) / square
    return (replace(one, share=1 - share), replace(other, share=share)), []
