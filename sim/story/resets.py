"""A lifter out of travel: let go, packed up, brought back to contact for another run."""

from __future__ import annotations

from sim.model.devices.protocol import brought_up
from sim.model.scenario import Lifter, Station
from sim.model.stops import highest, settled_mean
from sim.record.what import What
from sim.story.clock import Process
from sim.story.now import PlaceNow, RamRun, SideNow, names_of
from sim.story.site import Site


def refusal(spent: list[SideNow]) -> str:
    """Why the spent lifters cannot be let go, in plain words; empty where they can.

    Each of their sides needs something else to stand on.
    """
    for side in spent:
        if not any(isinstance(p.where, Station) for p in side.places):
            return (
                f"{side.lifter.name}: no ram travel left, and no other station on that side to hold the load meanwhile"
            )
    return ""


def let_go(site: Site, spent: list[SideNow]) -> None:
    """Let the spent lifters go, to be packed up: the load settles on the other stations."""
    for side in spent:
        origin = sum(p.origin for p in own_captures([side]))
        side.runs.append(RamRun(side.contact, side.free, side.travel, origin))
    _let_go(site, spent, What.RE_SETS)


def _let_go(site: Site, sides: list[SideNow], what: What) -> None:
    site.book.leader(site.env.now, site.call, what, names_of(sides))
    for place in own_captures(sides):
        for d in place.devices:
            d.open = True
    _come_down(site, sides)


def pack_up(site: Site, spent: list[SideNow]) -> Process:
    """Bring the spent lifters back to contact, with their whole travel again."""
    assert site.scenario.reset is not None
    yield site.env.timeout(site.scenario.reset.time)
    for side in spent:
        side.earlier_travel += side.travel
        side.travel, side.free = 0.0, site.scenario.reset.reseat
        side.contact = side.line.demand(side.u)
        site.book_side(side, What.IN_CONTACT)
    for place in own_captures(spent):
        before = place.captured
        place.set_up(0.0)
        site.book_place(place, "", What.IN_CONTACT, before=before)


def run_out(site: Site, at_their_end: list[SideNow]) -> Process:
    """Take out what these rams were packed up with last, and run them out to contact as they stood before."""
    assert site.scenario.reset is not None
    _let_go(site, at_their_end, What.RUNS_OUT)
    yield site.env.timeout(site.scenario.reset.time)
    for side in at_their_end:
        run = side.runs.pop()
        side.run_out = True
        side.earlier_travel -= run.travel
        side.contact, side.free = run.contact, run.free
        side.travel = run.free + side.line.demand(side.u) - run.contact
        site.book_side(side, What.IN_CONTACT)
        for place in own_captures([side]):
            before = place.captured
            place.origin = run.origin
            for d in place.devices:
                d.held, d.open, d.caught = brought_up(d.device, 0.0, d.demand), False, True
            site.book_place(place, "", What.IN_CONTACT, before=before)


def own_captures(sides: list[SideNow]) -> list[PlaceNow]:
    """The lifters' own captures of these sides."""
    return [p for s in sides for p in s.places if isinstance(p.where, Lifter)]


def _come_down(site: Site, spent: list[SideNow]) -> None:
    places: list[PlaceNow] = list(dict.fromkeys(p for s in spent for p in s.places))
    for side in spent:
        site.book_side(side, What.SETTLES)
    for place in places:
        site.book_place(place, "", What.SETTLES)
    if len(spent) == 1:
        site.put(spent[0], min(spent[0].u, float(highest(site.holding(spent[0], lifter_holds=False).values()))))
    else:
        own = [site.own_stop(s) for s in spent]
        both = [p.u_held for p in site.places if p.where.side == "both"]
        mean = float(settled_mean(own, both))
        up = mean - sum(own) / len(own)
        rests = [min(side.u, stop + up) for side, stop in zip(spent, own, strict=True)]
        short = mean * len(rests) - sum(rests)  # what one side cannot rise back to, the other keeps: the mean is held
        for side, u in zip(spent, rests, strict=True):
            site.put(side, min(side.u, u + short))
    for side in spent:
        site.book_side(side, What.SETTLED)
    for place in own_captures(spent):  # let go, it hangs loose at the load: no gap, and nothing held
        place.set_up(0.0)
        for d in place.devices:
            d.open = True
    for place in places:
        site.book_place(place, "", What.SETTLED)
