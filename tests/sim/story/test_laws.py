"""Laws that hold in every lift, drawn at random (`tests/random_lifts.py`); each is one that can be argued.

Plausible ones that are false are not here: a faster chase can widen the largest gap, since it changes when the next
call comes; more hands can lengthen a schedule.
"""

import os
import subprocess
import sys
from dataclasses import replace
from importlib.resources import files
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from sim.lessons.cast import endless
from sim.model.scenario import Mishap
from sim.record.measures import measure
from sim.record.series import place_series, side_series
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse
from tests.builders import collar, lift, lifter, operator, station, two_lifters
from tests.random_lifts import chains, collars, lifts, millimetres, pins

# shrinking a lift takes minutes, and it can be read as it is
drawn = settings(suppress_health_check=[HealthCheck.too_slow], phases=[Phase.explicit, Phase.reuse, Phase.generate])
NEAR = 1e-9  # [m], as everywhere in the model

SHIPPED = {name: (files("sim.examples") / f"{name}.toml").read_text(encoding="utf-8") for name in ("trailer", "van")}
shipped = st.sampled_from([(n, v) for n in SHIPPED for v in ("", "pinned", "pinned with cribbing", "no holds")])


def every_place_with(scenario, devices, **leader):
    """The same lift, each of its places with one device, taken in turn from a list, nothing slack."""
    turn = iter(range(1000))

    def changed(place):
        if not place.capture:
            return place
        only = {"capture": (devices[next(turn) % len(devices)],), "catchers": place.catchers[:1]}
        return replace(place, **only, **({"tie": None} if hasattr(place, "tie") else {}))

    return replace(
        scenario,
        lifters=tuple(map(changed, scenario.lifters)),
        stations=tuple(map(changed, scenario.stations)),
        leader=replace(scenario.leader, **leader),
    )


def csv(record):
    """The record as its file has it."""
    return record.events.to_csv(index=False).encode()


def flat(tree, at=()):
    """A tree of figures as a list of paths and leaves."""
    if isinstance(tree, dict):
        return [leaf for key, value in tree.items() for leaf in flat(value, (*at, key))]
    return [(at, tree)]


# --- what is held


@drawn
@given(lifts())
def test_nothing_that_is_not_open_holds_more_than_the_demand(scenario):
    """Captured is at most demand, before and after every event, whatever goes wrong."""
    rows = simulate_fixed(scenario).events
    rows = rows[(rows["station"] != "") & ~rows["open"].fillna(True).astype(bool)]
    assert (rows["captured_m"] <= rows["demand_m"] + NEAR).all()


@drawn
@given(lifts(mishaps=False), st.lists(collars, min_size=1, max_size=3))
def test_with_collars_the_gap_never_exceeds_the_limit_and_what_one_call_adds(scenario, devices):
    """Under stop-until-caught, collars starting caught, without an end: within the limit at the call, then it grows."""
    scenario = every_place_with(scenario, [endless(device) for device in devices], rule="stop-until-caught")
    record = simulate_fixed(scenario)
    rows = record.events
    ends = np.array([*rows["time_s"][rows["what"].isin(["calls", "levels"])], rows["time_s"].iloc[-1]])
    for place in place_series(record.columns).values():
        gap, demand = place.gap(), place.demand.just_after(ends)
        for (begin, end), (low, high) in zip(pairwise(ends), pairwise(demand), strict=True):
            during = (place.time > begin) & (place.time < end)
            largest = max([*gap.before[during], *gap.after[during]], default=0.0)
            assert largest <= scenario.leader.gap_limit + max(0.0, high - low) + NEAR


@drawn
@given(lifts(mishaps=False), st.lists(st.one_of(pins, chains), min_size=1, max_size=3))
def test_a_seated_pin_with_no_slack_leaves_less_than_one_spacing_standing(scenario, devices):
    """A pin or a chain, alone at its place, with holes enough, the first at most one spacing up: when it is caught."""
    scenario = every_place_with(scenario, [endless(device) for device in devices])
    rows = simulate_fixed(scenario).events
    for where in scenario.places:
        own = rows[rows["station"] == where.name]
        own = own[own["caught"].astype(bool) & ~own["open"].astype(bool)]
        assert (own["gap_m"] < where.capture[0].spacing + NEAR).all()
        assert (own["gap_m"] > -NEAR).all()


@drawn
@given(lifts())
def test_settled_is_never_more_than_risen_and_raised_means_settled(scenario):
    """The load comes down onto its captures, not up; `raised` if and only if what is left then is enough."""
    found = measure(simulate_fixed(scenario))
    assert found["settled_rise_m"] <= found["point_rise_m"] + NEAR
    if found["outcome"] == "raised":
        assert found["settled_rise_m"] >= scenario.need.rise - 2 * NEAR
    if found["outcome"] == "stopped":
        assert scenario.leader.if_uncapturable == "stop"


@drawn
@given(lifts())
def test_no_drop_is_higher_than_the_rise(scenario):
    """Onto the lifter's own capture at most as far as past it, and neither further than down to the start.

    Where what meets the load past it gives by nobody knows how much, that drop is at least its fall, and says so.
    """
    record = simulate_fixed(scenario)
    found = measure(record)
    pressure, lost = found["largest_drop_pressure_lost"]["drop_m"], found["largest_drop_lifter_lost"]["drop_m"]
    highest = max(s.after.max() for s in side_series(record.columns, record.columns.rise_m).values())
    assert max(pressure, lost) <= highest + NEAR
    assert 0 <= pressure <= lost + NEAR or not found["largest_drop_lifter_lost"]["give_known"]


# --- holds


@drawn
@given(lifts(mishaps=False))
def test_a_hold_adds_no_rise(scenario):
    """From the refused look to the next call no handle moves, and no side is higher in the end."""
    record = simulate_fixed(scenario)
    held = None
    for row in record.events.itertuples():
        if row.what == "holds":
            held = {name: s.just_after([row.time_s])[0] for name, s in side_series(record.columns).items()}
        elif row.what in ("calls", "levels"):
            held = None
        elif held is not None and row.side:
            assert row.what != "strokes"
            assert row.u <= held[row.side] + 1e-12


@drawn
@given(lifts(mishaps=False), st.integers(1, 3), st.sampled_from([0.0, 0.5, 2.0]))
def test_a_stop_only_delays(scenario, call, after):
    """All freezes for 7 s: the same calls, captures and gaps, and the end 7 s later."""
    stopped = replace(scenario, mishaps=(Mishap("stop", call, after=after, time=7.0),))
    plain, frozen = measure(simulate_fixed(scenario)), simulate_fixed(stopped)
    found = measure(frozen)
    late = 7.0 if (frozen.events["what"] == "freezes").any() else 0.0
    assert found["duration_s"] == pytest.approx(plain["duration_s"] + late, abs=1e-6)
    for key in ("outcome", "calls", "pumps", "over_limit_calls", "holds"):
        assert found[key] == plain[key]
    assert found["largest_gap"]["gap_m"] == pytest.approx(plain["largest_gap"]["gap_m"], abs=1e-8)


# --- the same again


@given(shipped, st.integers(0, 2**32), st.integers(0, 10**6))
@settings(max_examples=8)
def test_the_same_seed_gives_the_same_record_byte_for_byte(which, seed, replication):
    """And another replication gives another."""
    scenario = parse(SHIPPED[which[0]], *which)
    assert csv(simulate(scenario, seed, replication)) == csv(simulate(scenario, seed, replication))
    assert csv(simulate(scenario, seed, replication)) != csv(simulate(scenario, seed, replication + 1))


def test_the_same_seed_gives_the_same_record_in_another_process():
    """Whatever the seed of Python's own hashes."""
    say = (
        "import sys; from sim.story.lift import simulate; from sim.written.reading import parse; "
        "lift = simulate(parse(sys.stdin.read(), 'trailer'), 11, 12);"
        "sys.stdout.buffer.write(lift.events.to_csv(index=False).encode())"
    )
    there = subprocess.run(
        [sys.executable, "-c", say],
        input=SHIPPED["trailer"].encode(),
        capture_output=True,
        check=True,
        env=os.environ | {"PYTHONHASHSEED": "7", "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert there.stdout == csv(simulate(parse(SHIPPED["trailer"], "trailer"), 11, 12))


@drawn
@given(lifts(), st.floats(0.1, 10.0), millimetres(1, 12))
def test_the_weight_alone_changes_no_time(scenario, factor, stroke):
    """Where ram travel per pump is given: the same record, byte for byte."""
    rams = (replace(x, pump=None, travel_per_pump=x.travel_per_pump or stroke) for x in scenario.lifters)
    fixed = replace(scenario, lifters=tuple(rams))
    heavier = replace(fixed, load=replace(fixed.load, weight=fixed.load.weight * factor))
    assert csv(simulate_fixed(heavier)) == csv(simulate_fixed(fixed))


# --- mirrored


def mirrored(scenario):
    """Left for right, in a mirror that stands on the centreline. Everyone keeps their name."""

    def over(point):
        return point[0], -point[1], point[2]

    def other(place):
        side = {"left": "right", "right": "left", "both": "both"}[place.side]
        return replace(place, side=side, head=over(place.head), base=over(place.base))

    return replace(
        scenario,
        load=replace(scenario.load, cg=over(scenario.load.cg)),
        need=replace(scenario.need, point=over(scenario.need.point)),
        lifters=tuple(map(other, scenario.lifters)),
        stations=tuple(map(other, scenario.stations)),
    )


@drawn
@given(lifts())
def test_in_a_mirror_left_and_right_swap_and_nothing_else(scenario):
    """The same people do the same things at the same times; only the sides have other names."""
    there, here = simulate_fixed(mirrored(scenario)), simulate_fixed(scenario)
    assert csv(there) == csv(here)
    swap = {"left": "right", "right": "left"}
    for key in ("largest_drop_pressure_lost", "largest_drop_lifter_lost"):
        a, b = measure(there)[key], measure(here)[key]
        assert a["drop_m"] == b["drop_m"]
        assert a["side"] == swap[b["side"]]


@drawn
@given(lifts(mishaps=False))
def test_the_order_in_which_sides_are_written_does_not_matter(scenario):
    """Right before left in the file, everyone with their own catcher: the same figures."""
    alone = [replace(p, catchers=tuple(f"{p.name} {n}" for n, _ in enumerate(p.catchers))) for p in scenario.stations]
    scenario = replace(scenario, stations=tuple(alone), walk={})
    turned = replace(scenario, lifters=scenario.lifters[::-1], stations=scenario.stations[::-1])
    a, b = dict(flat(measure(simulate_fixed(scenario)))), dict(flat(measure(simulate_fixed(turned))))
    # of two equal ones the first is named
    named = ("reason", "waited_for_s", "station", "side", "onto", "call", "time_s", "energy_J")
    named += ("next_onto", "next_time_s", "next_call", "next_drop_m", "rise_m", "peak_N", "fall_m", "rest_m")
    for path, value in a.items():
        if not set(path) & set(named):
            assert b[path] == (pytest.approx(value, abs=1e-7) if isinstance(value, float) else value), path


# --- more and less


@given(millimetres(1, 60), millimetres(1, 60), st.integers(1, 3))
def test_two_halves_of_a_need_cost_no_fewer_strokes_than_the_whole(first, second, strokes):
    """Each half is rounded up to whole calls of its own."""

    def pumps(need):
        scenario = lift(need, lifter(collar(react=0, seat=0, turns=50.0), name="ram"), strokes=strokes)
        return measure(simulate_fixed(scenario))["pumps"]["ram"]

    assert pumps(first) + pumps(second) >= pumps(first + second)


@given(st.integers(0, 10**6), st.floats(0.3, 3.0))
@settings(max_examples=8)
def test_people_are_who_they_are_whatever_they_work_with(seed, scale):
    """A collar of another lead meets the same hands: all strokes of call 1 as they were."""
    scenario = parse(SHIPPED["trailer"], "trailer")
    (thread,) = scenario.stations[0].capture
    other = replace(thread, rise_per_turn=thread.rise_per_turn * scale)
    changed = replace(scenario, stations=tuple(replace(s, capture=(other,)) for s in scenario.stations))
    strokes = []
    for record in (simulate(scenario, seed), simulate(changed, seed)):
        rows = record.events[(record.events["what"] == "strokes") & (record.events["call"] == 1)]
        strokes.append(rows["time_s"].diff().tolist()[1:])
    assert len(strokes[0]) == 5
    assert strokes[0] == pytest.approx(strokes[1], abs=1e-6)


def test_a_stroke_ends_when_the_clock_says_so() -> None:
    """Between the two sides a station sees their mean. A stroke of 1/3 s ends on the clock's grid, up to half a
    nanosecond off: what the station sees when the other side's ends is reckoned with that end, and not with 1/3 s."""
    quick, slow = operator(stroke=0.1, react=1 / 7), operator(stroke=1 / 3, react=1 / 9)
    record = simulate_fixed(
        lift(0.03, *two_lifters(left={"operator": quick}, right={"operator": slow}), station(collar(), side="both"))
    )
    left, right = side_series(record.columns).values()
    place = place_series(record.columns)["strut"].demand
    for end in left.time[1:]:
        there = np.array([end])
        assert place.just_after(there) == pytest.approx(
            (left.just_after(there) + right.just_after(there)) / 2, abs=1e-15
        )
