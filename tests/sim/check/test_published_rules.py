"""What published rules and laws of chance ask of a whole lift; sources and marks as in `test_published.py`."""

import math
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from scipy.special import ndtri

from sim.model.chance import Crew, lognormal, read_tile
from sim.model.draw import Draw
from sim.record.measures import measure
from sim.record.series import place_series
from sim.story.lift import simulate_fixed
from sim.written.reading import parse
from tests.builders import MM, collar, crib, lift, lifter, pin, station, times_of
from tests.random_lifts import lifts
from tests.sim.check.test_published import INCH, drawn, to_the_last_digit

# --- a raised load is secured at once


def at_its_end(device, held):
    """Whether a device is as far up as it goes: a strap within its last click, a collar, a pin in its last hole."""
    if device.kind == "strap":
        return held > device.reach_limit - device.click
    if device.kind == "collar":
        return held > device.reach_limit - 1e-9
    return device.kind == "pin" and device.holes is not None and held > device.ends_at - 1e-9


def could_still_capture(device, gap):
    """Whether a device of this kind, alone at its place and without slack, could take up something of this gap."""
    if device.kind == "collar":
        return gap > 1e-9
    if device.kind == "crib":
        return gap > max(0.0, min(device.pieces) - device.wedge) + 1e-9
    return gap >= (device.click if device.kind == "strap" else device.spacing) + 1e-9


@drawn
@given(lifts(mishaps=False))
def test_no_lift_ends_with_a_station_that_could_still_capture(scenario):
    """ "cribbed, blocked, or otherwise secured at once": however a lift ends, everything is caught first."""
    # 29 CFR 1910.244(a)(2)(iii) (V); the same words 29 CFR 1926.305(d)(1)(i) (V2)
    record = simulate_fixed(scenario)
    for where in scenario.places:
        last = record.events[record.events["station"] == where.name].iloc[-1]
        assert last["caught"]
        assert not last["hands"]
        slack = getattr(where, "slack", 0.0)
        (device, *others) = where.capture
        if others or last["open"] or at_its_end(device, last["captured_m"] + slack):
            continue
        stays = slack if device.kind in ("pin", "chain") else 0.0
        assert not could_still_capture(device, last["gap_m"] - stays)


@drawn
@given(lifts(mishaps=False))
def test_no_call_goes_out_over_a_gap_that_could_be_captured(scenario):
    """Under stop-until-caught: no station open, no hands in, and a gap over the limit only where all is caught."""
    # 29 CFR 1910.244(a)(2)(iii) (V)
    scenario = replace(scenario, leader=replace(scenario.leader, rule="stop-until-caught"))
    record = simulate_fixed(scenario)
    places = place_series(record.columns)
    latest = {}
    for row in record.events.itertuples():
        if row.station:
            latest[row.station] = row
        elif row.what in ("calls", "levels"):
            over = [
                n
                for n, p in places.items()
                if p.gap().just_after(np.array([row.time_s]))[0] > scenario.leader.gap_limit + 1e-8
            ]
            assert not any(place.open or place.hands for place in latest.values())
            assert not over or all(place.caught for place in latest.values())


def test_lift_an_inch_crib_an_inch():
    """An inch a call, pieces an inch high: every call finds the load cribbed, no gap is ever wider than the inch."""
    # FEMA CERT Basic Training, light search and rescue, as quoted in secondary literature (V2)
    scenario = lift(5 * INCH, lifter(travel_per_pump=INCH), station(crib(INCH)))
    found = measure(simulate_fixed(scenario))
    assert (found["outcome"], found["calls"], found["over_limit_calls"]) == ("raised", 5, 0)
    assert found["largest_gap"]["gap_m"] / INCH == pytest.approx(1)
    assert found["largest_standing_gap"]["gap_m"] == 0


# --- people


@pytest.mark.parametrize("name", ["trailer", "van"])
def test_the_shipped_crews_are_people(name):
    """Nobody answers a call sooner than a person can hear it and move; pumping at a rate that people keep."""
    # Cattell, Mind 11 (1886): simple reaction to sound 122 and 126 ms (V)
    # hand pumping preferred at 30 to 50 cycles a minute, a field study (V)
    scenario = parse((files("sim.examples") / f"{name}.toml").read_text(encoding="utf-8"), name)
    for ram in scenario.lifters:
        person = ram.operator
        mu, sigma = lognormal(person.react.mean, person.react.sd)
        assert math.exp(mu - 3 * sigma) > 0.126
        assert 30 <= 60 / (person.stroke.mean + person.recover.mean) <= 50
    for device in (d for place in scenario.places for d in place.capture):
        assert device.react.mean > 0.126


# --- mathematics and statistics


def test_what_is_left_by_whole_steps_is_uniform():
    """Of a random first hole, mean s/2 and variance s^2/12: lifts with the first hole at each of fifty places."""
    # renewal theory (C)
    s, n = 25 * MM, 50
    left = []
    for k in range(n):
        pinned = station(pin(s, first_hole=(k + 0.5) / n * s))
        record = simulate_fixed(lift(61 * MM, lifter(travel_per_pump=61.3 * MM), pinned, max_calls=1))
        left.append(record.events["gap_m"].dropna().iloc[-1])
    assert np.mean(left) == pytest.approx(s / 2, abs=s / (2 * n))
    assert np.var(left) == pytest.approx(s**2 / 12 * (1 - 1 / n**2), rel=1e-6)
    assert min(left) >= 0 and max(left) < s


def test_the_mean_residual_of_a_lognormal_step():
    """E[X^2] / (2 E[X]): of steps with mean 10 and cv 0.3, 5.45."""
    # renewal theory (V); the figure computed (C)
    mu, sigma = lognormal(10.0, 3.0)
    assert math.exp(2 * mu + 2 * sigma**2) / (2 * math.exp(mu + sigma**2 / 2)) == to_the_last_digit("5.45")
    crew = Crew(
        seed=1
    )  # and of the steps that a crew draws, a point thrown among 2,000 of them: to four standard errors
    steps = np.array([crew.draw("a", "place", Draw(10.0, 3.0), call) for call in range(2000)])
    ends = np.cumsum(steps)
    thrown = (np.arange(20_000) + 0.5) / 20_000 * ends[-1]
    residual = ends[np.searchsorted(ends, thrown)] - thrown
    assert residual.mean() == pytest.approx(5.45, abs=4 * 5.45 * 0.5 / math.sqrt(2000))


@pytest.mark.parametrize(("sides", "printed"), [(2, 0.56419), (3, 0.84628)])
def test_the_later_of_two_sides_and_of_three(sides, printed):
    """Each nearly normal (cv 0.02): the latest is mean + 0.56419 sd, of three + 0.84628 sd; to four standard errors."""
    # order statistics (C)
    mean, sd = 10.0, 0.2
    mu, sigma = lognormal(mean, sd)
    n = 8192
    each = [np.exp(mu + sigma * ndtri(read_tile(5, 0, f"hand {k}", "swap", 0, 0, n).ravel())) for k in range(sides)]
    latest = (np.max(each, axis=0).mean() - mean) / sd
    assert latest == pytest.approx(printed, abs=4 * 0.83 / math.sqrt(16 * n))


def max_plus(matrix, state):
    """One step of a max-plus system."""
    return tuple(max(a + x for a, x in zip(row, state, strict=True)) for row in matrix)


def test_a_lift_is_a_max_plus_system():
    """Call, first and second station caught: each waits for the latest of what it waits for."""
    # Heidergott, Olsder, van der Woude, Max Plus at Work, ch. 0 (from memory): [[2, 5], [3, 3]], cycle time 4
    state, seen = (0, 0), []
    for _ in range(4):
        state = max_plus(((2, 5), (3, 3)), state)
        seen.append(state)
    assert seen == [(5, 3), (8, 8), (13, 11), (16, 16)]
    assert (seen[3][0] - seen[1][0]) / 2 == 4

    # simulated: ready 2.0 after the call; a caught 0.25 + 10 / 4 + 0.5 after the stop at 1.5, b 1.0 + 10 / 2 + 0.5
    slow = replace(collar(chases="after", react=1.0, turns=1.0), name="slow")
    scenario = lift(45 * MM, lifter(), station(collar(chases="after"), name="a"), station(slow, name="b"))
    record = simulate_fixed(scenario)
    ready, look, a, b = 2.0, 0.25, 4.75, 8.0
    matrix = tuple(tuple(after + x for x in (ready, look, look)) for after in (0.0, a, b))
    state, simulated = (0.0, a, b), []
    for _ in range(5):
        simulated.append(state)
        state = max_plus(matrix, state)
    assert (
        list(
            zip(
                times_of(record, "calls"),
                times_of(record, "caught", "a collar"),
                times_of(record, "caught", "b collar"),
                strict=True,
            )
        )
        == simulated
    )
    assert np.diff(times_of(record, "calls")) == pytest.approx(b + look)  # the cycle time: the slowest circuit
