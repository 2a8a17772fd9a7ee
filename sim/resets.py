"""A lifter out of travel: let go, packed up, brought back to contact for another run."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

import simpy

from sim.devices import EXACT
from sim.scenario import Lifter, Station
from sim.stage import PlaceNow, SideNow, Stage
from sim.stops import highest, settled_mean


def refusal(stage: Stage, spent: list[SideNow], settled_rise: float, last_settled_rise: float) -> str:
    """Why a re-set cannot be made, in plain words; empty where it can.

    The spent lifters are let go, so that each of their sides needs something else to stand on; and one that leaves
    the load no higher than the last one did would go on for ever.
    """
    for side in spent:
        if not any(isinstance(p.where, Station) and p.u_held > 0 for p in side.places):
            return f"{side.lifter.name}: no ram travel left, and no other station holds that side up for a re-set"
    if settled_rise <= last_settled_rise + EXACT:
        return (
            f"a re-set gains nothing: the load settles at {settled_rise * 1000:.1f} mm, "
            f"no higher than the {last_settled_rise * 1000:.1f} mm of the last one"
        )
    return ""


def carry_out(stage: Stage, spent: list[SideNow]) -> Generator[simpy.Event, Any, None]:
    """Settle the load on the other stations, and give the spent lifters their whole travel back."""
    assert stage.scenario.reset is not None
    stage.book.leader(stage.env.now, stage.call, "re-sets", ", ".join(s.lifter.name for s in spent))
    let_go = [p for s in spent for p in s.places if isinstance(p.where, Lifter)]
    for place in let_go:
        for d in place.devices:
            d.open = True
    _come_down(stage, spent)
    yield stage.env.timeout(stage.scenario.reset.time)
    for side in spent:
        side.earlier_travel += side.travel
        side.travel, side.free = 0.0, stage.scenario.reset.reseat
        side.contact = side.line.demand(side.u)
        stage.book_side(side, "in contact")
    for place in let_go:
        before = place.captured
        place.set_up(0.0)
        stage.book_place(place, "", "in contact", before=before)


def _come_down(stage: Stage, spent: list[SideNow]) -> None:
    places: list[PlaceNow] = list(dict.fromkeys(p for s in spent for p in s.places))
    for side in spent:
        stage.book_side(side, "settles")
    for place in places:
        stage.book_place(place, "", "settles")
    if len(spent) == 1:
        stage.put(spent[0], min(spent[0].u, float(highest(stage.holding(spent[0], lifter_holds=False).values()))))
    else:
        own = [stage.own_stop(s) for s in spent]
        both = [p.u_held for p in stage.places if p.where.side == "both"]
        up = float(settled_mean(own, both)) - sum(own) / len(own)
        for side, stop in zip(spent, own, strict=True):
            stage.put(side, min(side.u, stop + up))
    for side in spent:
        stage.book_side(side, "settled")
    for place in places:
        stage.book_place(place, "", "settled")
