"""The batch and the story simulate the same lifts: replication k of the one is replication k of the other, to 1e-9."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from importlib.resources import files
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from sim.batch import simulate_replications, why_not
from sim.batch.by_story import row_of
from sim.model.devices import Device
from sim.model.draw import Draw
from sim.model.scenario import Scenario, Station
from sim.story.lift import simulate
from sim.written.reading import parse
from tests.builders import MM, ONE_OF_EACH, collar, crib, lift, lifter, operator, pin, reset, station, two_lifters
from tests.random_lifts import lifts

pytestmark = pytest.mark.filterwarnings("error::RuntimeWarning")

NAMED = (
    "_station",
    "_side",
    "_onto",
    "_call",
    "_time_s",
    "_energy_J",
    "_next_m",
)  # of a peak: which of two equal ones may differ


def shipped(name: str, variant: str = "") -> Scenario:
    """A scenario that ships."""
    return parse((files("sim.examples") / f"{name}.toml").read_text(encoding="utf-8"), name, variant)


def differences(scenario: Scenario, seed: int, first: int, n: int, ties: bool = False) -> list[str]:
    """Where the two differ by more than 1e-9; with `ties`, but for which of two equal peaks they name."""
    batch = simulate_replications(scenario, seed, first, n)
    found = []
    for k in range(n):
        story = row_of(simulate(scenario, seed, first + k))
        missing = story.keys() ^ batch.keys()
        found += [f"{first + k}: only one of them has {name}" for name in sorted(missing)]
        row = {name: values[k] for name, values in batch.items()}
        found += [
            f"{first + k}: {name}: story {value!r}, batch {row[name]!r}"
            for name, value in story.items()
            if name in row and not same(value, row[name]) and not (ties and one_of_two(name, story, row))
        ]
    return found


def same(story: Any, batch: Any) -> bool:
    """Equal, numbers to 1e-9."""
    if isinstance(story, str):
        return bool(story == batch)
    return bool(abs(story - batch) <= 1e-9 * max(1.0, abs(story))) or bool(np.isnan(story) and np.isnan(batch))


def one_of_two(name: str, story: dict[str, Any], batch: dict[str, Any]) -> bool:
    """Whether this only names another of two peaks of the same size: two sides alike, in lifts without chance."""
    for end in NAMED:
        peak = name.removesuffix(end)
        if name.endswith(end) and f"{peak}_m" in story:
            return abs(story[f"{peak}_m"] - batch[f"{peak}_m"]) <= 1e-9
    return False


SHIPPED = [(name, v) for name in ("trailer", "van") for v in ("", "pinned", "pinned with cribbing", "no holds")]


@pytest.mark.parametrize(("name", "variant"), SHIPPED)
def test_every_shipped_scenario_is_simulated_alike(name: str, variant: str) -> None:
    """Calls, times, gaps, drops and measures."""
    assert not differences(shipped(name, variant), seed=7, first=8178, n=12)


@st.composite
def varied(draw: st.DrawFn) -> Scenario:
    """A lift without mishaps, each device with a catcher of its own, whose people differ from call to call."""
    scenario = draw(lifts(mishaps=False))
    stations = tuple(
        replace(s, catchers=tuple(f"{s.name} hand {k}" for k in range(len(s.capture)))) for s in scenario.stations
    )
    scenario = replace(scenario, stations=stations, walk={})
    if draw(st.booleans()):
        return scenario
    share = draw(st.sampled_from([0.05, 0.3]))
    scenario = with_chance(scenario, share)
    miss = draw(st.sampled_from([0.0, 0.0, 0.2]))
    lifters = tuple(replace(x, operator=replace(x.operator, miss=miss)) for x in scenario.lifters)
    return replace(scenario, lifters=lifters)


def with_chance(part: Any, share: float) -> Any:
    """The same with a standard deviation for every quantity that has none."""
    if isinstance(part, Draw):
        if part.mean == 1.0 or part.sd or part.mean == 0:  # a full stroke stays full
            return part
        return Draw(part.mean, min(share * part.mean, 0.5 * abs(1 - part.mean)) if part.mean < 1 else share * part.mean)
    if isinstance(part, tuple):
        return tuple(with_chance(each, share) for each in part)
    if is_dataclass(part) and not isinstance(part, type):
        inits = {f.name: with_chance(getattr(part, f.name), share) for f in fields(part) if f.init}
        return replace(part, **inits)
    return part


@pytest.mark.parametrize("device", ONE_OF_EACH, ids=lambda device: device.kind)
def test_the_batch_knows_the_work_at_every_device(device: Device) -> None:
    """One that it does not know is simulated by the story, lift by lift: slower, and so to be chosen, not forgotten."""
    assert why_not(lift(50 * MM, lifter(), station(device))) == ""


def test_a_crib_whose_pieces_are_swapped_is_left_to_the_story() -> None:
    """What may come off hangs on the order of the pile."""
    swapped = lift(50 * MM, lifter(), station(crib(19 * MM, 38 * MM, swap_up=True)))
    assert why_not(swapped) == "it does not know the work at a crib"


@pytest.mark.parametrize(
    "where",
    [
        station(collar(turns=10.0, reach=12 * MM)),  # met, and then at its end, while the load moves
        station(collar(reach=12 * MM), collar(turns=3.0, react=0.5, reach=17 * MM)),  # one overtakes the other's end
        station(collar(reach=8 * MM, react=1.5, chases="after"), slack=4 * MM),  # at rest, and behind a slack tie
        station(pin(8 * MM, holes=2)),
        station(crib(4 * MM, 9 * MM, place=1.0, layer=2, wedge=3 * MM)),
    ],
    ids=["met", "two", "after", "pin", "crib"],
)
@pytest.mark.parametrize("rule", ["stop-until-caught", "keep-pace"])
def test_what_ends_or_is_built_by_layers_is_simulated_alike(where: Station, rule: str) -> None:
    """Gaps, drops and times, with people whose times vary."""
    chosen = lift(40 * MM, lifter(), where, strokes=2, max_calls=6, gap_limit=1 * MM, rule=rule)
    assert not differences(with_chance(chosen, 0.2), seed=3, first=0, n=20)


@settings(
    max_examples=2 * settings().max_examples,  # what everything else stands on
    suppress_health_check=[HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
@given(varied(), st.integers(0, 5))
def test_lifts_drawn_at_random_are_simulated_alike(scenario: Scenario, seed: int) -> None:
    """Any lift that the batch covers."""
    assume(not why_not(scenario))
    assert not differences(scenario, seed, first=40, n=3, ties=True)


def test_a_drop_that_is_largest_where_slack_is_taken_up_is_simulated_alike() -> None:
    """The load rises 10 mm/s from 0.5 s on. The strut is 4 mm slack; its collar starts at 0.9 s, at 20 mm/s, and so
    holds the load above its start from 1.1 s on. Up to then the load would come down all that it has risen: 6 mm. At
    1.5 s, when the stroke ends, 2 mm are left."""
    lifted = lift(0.01, lifter(), station(collar(react=0.9, turns=10.0), slack=0.004), gap_limit=1.0)
    story, batch = row_of(simulate(lifted, 0, 0)), simulate_replications(lifted, 0, 0, 1)
    for row in (story, {name: values[0] for name, values in batch.items()}):
        assert row["drop_pressure_lost_m"] == pytest.approx(0.006, abs=1e-9)
        assert row["drop_pressure_lost_time_s"] == pytest.approx(1.1, abs=1e-9)


def test_a_capture_let_go_for_a_re_set_has_no_gap_meanwhile() -> None:
    """The lifter's own pin holds 16 mm of the 20 mm that its ram has: 4 mm over no limit. In the 1,000 s of the re-set,
    with the load on the strut's collar, it hangs loose at the load: that is no gap that stands."""
    lifted = lift(0.03, lifter(pin(8 * MM), travel=0.02), station(collar()), gap_limit=0.0, reset=reset(1000.0))
    assert not differences(lifted, seed=0, first=0, n=1)
    story = row_of(simulate(lifted, 0, 0))
    assert story["resets"] == 1 and 0 < story["standing_over_limit_s"] < 100


def test_a_station_on_both_sides_holds_one_only_as_far_as_its_middle_is_up() -> None:
    """The left side rises 10 mm a call, the right one 30, from 0.5 s to 1.5 s after it. The collar in the middle turns
    from then on, 40 mm/s: it stops a side at twice what it holds less where the other is.

    Call 1: the left side from 15 mm on, at 1.875 s (alone for 1.375 s), the right one from 5 mm on, at 1.625 s.
    Call 2, from 2.75 s: the left one is let go of when the right one passes 40 mm, a third of the way, and held again
    from 30 mm on: from 3.583 s to 4.5 s (0.917 s)."""
    sides = two_lifters(left={"travel_per_pump": 10 * MM}, right={"travel_per_pump": 30 * MM})
    lifted = lift(0.04, *sides, station(collar(react=1.0, turns=20.0), side="both"), rule="stop-until-caught")
    assert not differences(lifted, seed=0, first=0, n=1)
    assert row_of(simulate(lifted, 0, 0))["ram_only_s"] == pytest.approx(1.375 + 1.125 + 0.75 + 1 / 6, abs=1e-9)


def test_what_is_let_go_for_a_re_set_is_open_once_the_load_has_settled() -> None:
    """The ram is spent at 20 mm. The load comes down onto the strut's pin, at 16 mm, and its collar is let go."""
    lifted = lift(0.03, lifter(collar(), travel=0.02), station(pin(8 * MM)), gap_limit=0.0, reset=reset(10.0))
    assert not differences(lifted, seed=0, first=0, n=1, ties=True)
    assert row_of(simulate(lifted, 0, 0))["largest_open_m: left lifter"] == pytest.approx(0.016, abs=1e-9)


def test_a_drop_that_is_largest_between_two_rows_is_simulated_alike() -> None:
    """The load rises 10 mm/s from 0.5 s on. The strut's collar starts at once, at 4 mm/s: its gap grows by 6 mm/s. The
    lifter's starts at 0.8 s, 3 mm behind, at 20 mm/s: its gap shrinks by 10 mm/s. They are equal, and the drop is the
    largest, at 0.875 s: 2.25 mm."""
    hand, own = collar(react=0.0), collar(react=0.3, turns=10.0)
    lifted = lift(0.03, lifter(own), station(hand), gap_limit=0.0)
    story, batch = row_of(simulate(lifted, 0, 0)), simulate_replications(lifted, 0, 0, 1)
    for simulated in (story, {name: values[0] for name, values in batch.items()}):
        assert simulated["drop_pressure_lost_m"] == pytest.approx(0.00225, abs=1e-9)
        assert simulated["drop_pressure_lost_time_s"] % 1 == pytest.approx(0.875, abs=1e-6)


def test_a_drop_that_is_largest_where_its_give_ceases_to_reach_the_start_is_simulated_alike() -> None:
    """The load rises 10 mm/s from 0.5 s on; its own collar, which gives 1 mm at rest, starts at 1.2 s, at 40 mm/s.

    Holding c of u mm it gives d (1 + sqrt(1 + 2 (u - c) / d)): down to the start while c^2 < 2 d u. So up to 1.3 s,
    when u is 8 and c is 4 mm, the load comes down all that it has risen: 8 mm. At 1.2 s that is 7 mm, and at 1.333 s,
    when the collar meets it, 2 mm are left."""
    own = lifter(collar(react=0.7, turns=20.0), give=1 * MM)
    rigid = station(collar(react=0.7, turns=30.0))  # meets it earlier: 8 mm is what it would be if this did not hold
    alone, beside = lift(0.01, own), lift(0.01, own, rigid)
    for scenario, drop in ((alone, "drop_pressure_lost"), (beside, "drop_pressure_lost_next")):
        assert not differences(scenario, seed=0, first=0, n=1)
        story = row_of(simulate(scenario, 0, 0))
        assert story[f"{drop}_m"] == pytest.approx(8 * MM, abs=1e-9)
    assert row_of(simulate(alone, 0, 0))["drop_pressure_lost_time_s"] == pytest.approx(1.3, abs=1e-8)


def test_a_collar_that_comes_past_a_crib_just_when_its_turner_looks_up_bends_the_line_there() -> None:
    """The collar, 4 mm slack, is turned from 0.25 s on at 4 mm/s, and would be at the load at 1.25 s; the load has gone
    up 10 mm from 0.5 s to 0.8 s meanwhile. Up to 1.25 s the crib holds 0 mm there, and the rams alone the load."""
    quick = lifter(operator=operator(stroke=0.3))
    lifted = lift(0.01, quick, station(collar(), crib(50 * MM), slack=4 * MM))
    assert not differences(lifted, seed=0, first=0, n=1)
    assert row_of(simulate(lifted, 0, 0))["ram_only_s"] == pytest.approx(0.75, abs=1e-9)
