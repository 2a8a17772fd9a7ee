"""What a live drawing is simulated ahead comes true, and simulating it changes nothing."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from sim.model.chance import Crew
from sim.model.scenario import Scenario
from sim.record.drops import drops_of
from sim.record.measured import Measured
from sim.rehearsal import foretold
from sim.rehearsal.led import Rehearsal
from sim.story.lift import simulate
from sim.written.reading import parse, variants
from tests.builders import MM, collar, crib, lift, pin, station, two_lifters
from tests.sim.rehearsal.scripted import ByTheRule


def shipped() -> list[Scenario]:
    """The trailer and its variants, a collar with a pin beside it, and threads that end beside a pile with swaps."""
    scenario = parse((files("sim.examples") / "trailer.toml").read_text(encoding="utf-8"), "trailer")
    several = station(collar(turns=0.8), pin(8 * MM, swap=2.0), name="strut")
    mixed = replace(lift(60 * MM, *two_lifters(collar()), several, gap_limit=2 * MM), variant="collar and pin")
    short = station(collar(turns=0.8, reach=22 * MM), crib(10 * MM, 30 * MM, place=1.0, swap_up=True), name="strut")
    ends = lift(60 * MM, *two_lifters(collar(reach=31 * MM)), short, gap_limit=2 * MM, max_calls=8)
    return [scenario, *variants(scenario), mixed, replace(ends, variant="ends")]


class Watched(ByTheRule):
    """A rule-following person at whose shoulder someone reads all that can be foretold, at every step."""

    def __init__(self, rehearsal: Rehearsal) -> None:
        super().__init__(rehearsal)
        self.aims: list[tuple[str, float, tuple[float, float], foretold.Aim]] = []
        self.ends: list[tuple[str, float, float]] = []
        self.falls: list[tuple[float, list[foretold.Fall]]] = []

    def pass_time(self, to: float) -> None:
        """Let the crew act until then, reading as time passes."""
        r = self.rehearsal
        while r.due <= to:
            middle = (r.now + r.due) / 2
            self.falls.append((middle, foretold.falls(r.lift.site, middle)))
            r.advance(r.due)
            self.aims += [
                (p.name, r.now, foretold.seen(p, r.now), aim)
                for p in r.lift.site.places
                if (aim := foretold.place_aim(p, r.now)) is not None
            ]
            self.ends += [(s.lifter.name, *aim) for s in r.lift.site.sides if (aim := foretold.side_aim(s)) is not None]
        super().pass_time(to)


def watched(scenario: Scenario) -> Watched:
    """A lift from start to end, read all along."""
    person = Watched(Rehearsal(scenario, Crew(5)))
    person.lead()
    return person


@pytest.mark.parametrize("scenario", shipped(), ids=lambda s: s.variant or "as written")
def test_a_lift_that_is_watched_is_the_lift_that_is_not(scenario: Scenario) -> None:
    """To the byte: nothing is brought up to date by being looked at."""
    assert watched(scenario).rehearsal.record(5).events.to_csv() == simulate(scenario, 5).events.to_csv()


@pytest.mark.parametrize("scenario", shipped(), ids=lambda s: s.variant or "as written")
def test_where_things_will_be_is_where_they_are_then(scenario: Scenario) -> None:
    """Demand, captured and u that were aimed at are those of the record; drops are those of the measures."""
    person = watched(scenario)
    lift = Measured(person.rehearsal.record(5))
    assert len(person.aims) > 20 and len(person.ends) > 20
    for name, made, start, aim in person.aims:
        place = lift.places[name]
        then = min(aim.time, next((t for t in place.time if t > made), made))  # an aim holds until the next row
        share = (then - made) / (aim.time - made)
        demand, captured = (a + share * (b - a) for a, b in zip(start, (aim.demand, aim.captured), strict=True))
        found = (place.demand.just_before(np.array([then]))[0], place.captured.just_before(np.array([then]))[0])
        assert found == pytest.approx((demand, captured), abs=1e-9), (name, aim)
    for name, end, u in person.ends:
        assert lift.sides[name].just_before(np.array([end]))[0] == pytest.approx(u, abs=1e-12)
    for loss, lifter_holds in foretold.LOSSES.items():
        for lifter in scenario.lifters:
            found = drops_of(lift, lifter, lifter_holds)
            times, stops = found.first.times, found.first.stop
            for time, falls in person.falls[:: max(1, len(person.falls) // 60)]:
                simulated = next(f for f in falls if f.side == lifter.name and f.loss == loss)
                n = int(np.searchsorted(times, time)) - 1  # between two instants: what was after the one
                share = (time - times[n]) / (times[n + 1] - times[n])
                between = stops[n] + share * (stops[n + 1] - stops[n])
                assert simulated.stop == pytest.approx(between, abs=2e-5)  # a hinged stop is not quite a straight line
