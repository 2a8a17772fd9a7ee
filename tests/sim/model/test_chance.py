"""Draws: the right distributions, one a person, quantity and call, and the same whoever asks and in whatever order."""

import math
import subprocess
import sys
from itertools import product

import numpy as np
import pytest
from scipy.special import ndtri

from sim.model.chance import BLOCK, TILE, Crew, FixedValues, beta_at, lognormal, read_tile
from sim.model.draw import Draw
from sim.record.measures import measure
from sim.story.lift import simulate
from tests.builders import MM, collar, lift, lifter, operator, pin, station, times_of

MANY = read_tile(7, 0, "left hand", "turns", 0, 0, BLOCK)  # 131,072 uniform numbers


def draws(of, quantity="turns"):
    """What a Crew makes of those numbers: the same functions, over the array."""
    if quantity == "fill":
        return beta_at(MANY, of)
    mu, sigma = lognormal(of.mean, of.sd)
    return np.exp(mu + sigma * ndtri(MANY))


def test_uniform_numbers_are_uniform():
    """Mean 1/2, variance 1/12, each to four standard errors; and none is 0 or 1."""
    n = MANY.size
    assert MANY.mean() == pytest.approx(1 / 2, abs=4 * math.sqrt(1 / 12 / n))
    assert MANY.var() == pytest.approx(1 / 12, abs=4 * math.sqrt(1 / 180 / n))
    assert MANY.min() > 0 and MANY.max() < 1
    assert np.histogram(MANY, 16)[0] == pytest.approx(n / 16, abs=5 * math.sqrt(n / 16))


@pytest.mark.parametrize(("mean", "sd"), [(0.6, 0.15), (8.0, 2.0), (10.0, 3.0), (1.0, 1.0)])
def test_a_time_is_lognormal_with_the_mean_and_sd_written(mean, sd):
    """To four standard errors of each (that of the variance from the lognormal's own fourth moment)."""
    some, n = draws(Draw(mean, sd)), MANY.size
    v = math.log1p((sd / mean) ** 2)
    kurtosis = math.exp(4 * v) + 2 * math.exp(3 * v) + 3 * math.exp(2 * v) - 3
    assert some.mean() == pytest.approx(mean, abs=4 * sd / math.sqrt(n))
    assert some.var() == pytest.approx(sd**2, abs=4 * sd**2 * math.sqrt((kurtosis - 1) / n))
    assert np.median(some) == pytest.approx(mean / math.sqrt(1 + (sd / mean) ** 2), rel=0.02)
    assert some.min() > 0


@pytest.mark.parametrize(("mean", "sd"), [(0.97, 0.02), (0.5, 0.2)])
def test_a_fill_is_beta_with_the_mean_and_sd_written(mean, sd):
    """Between 0 and 1, to four standard errors of the mean and 2 % of the sd."""
    some = draws(Draw(mean, sd), "fill")
    assert some.mean() == pytest.approx(mean, abs=4 * sd / math.sqrt(some.size))
    assert some.std() == pytest.approx(sd, rel=0.02)
    assert some.min() >= 0 and some.max() <= 1


def test_a_crew_draws_from_those_numbers():
    """Replication 5, call 3: the number in its place, made lognormal, or beta for a fill."""
    crew = Crew(seed=7, replication=5)
    assert crew.uniform("left hand", "turns", 3) == MANY[5, 3]
    assert crew.draw("left hand", "turns", Draw(0.6, 0.15), 3) == pytest.approx(draws(Draw(0.6, 0.15))[5, 3])
    fills = beta_at(read_tile(7, 0, "left hand", "fill", 0, 5, 1), Draw(0.97, 0.02))
    assert crew.draw("left hand", "fill", Draw(0.97, 0.02), 3) == pytest.approx(fills[0, 3])


def test_a_fixed_quantity_is_what_it_is():
    """No draw at all; and with fixed values every quantity is its mean, and only what is certain happens."""
    assert Crew().draw("a", "react", Draw(0.5), 1) == 0.5
    assert FixedValues().draw("a", "react", Draw(0.5, 0.2), 1) == 0.5
    assert [FixedValues().happens("a", "miss", chance, 1) for chance in (0, 0.99, 1)] == [False, False, True]


def test_something_happens_as_often_as_its_chance():
    """0.2 of 2,000 calls, to four standard errors; never at 0, always at 1."""
    crew = Crew(seed=3)
    missed = sum(crew.happens("a", "miss", 0.2, call) for call in range(2000))
    assert missed == pytest.approx(400, abs=4 * math.sqrt(2000 * 0.2 * 0.8))
    assert not any(crew.happens("a", "miss", 0.0, call) for call in range(99))
    assert all(crew.happens("a", "miss", 1.0, call) for call in range(99))


def test_the_order_of_asking_does_not_matter():
    """One draw a person, quantity and call: asked forwards, backwards, and again."""
    asked = list(product(("a", "b"), ("react", "seat"), range(0, 3 * TILE, 7)))
    crew, other = Crew(1, 2), Crew(1, 2)
    there = {key: crew.uniform(*key) for key in asked}
    assert {key: other.uniform(*key) for key in reversed(asked)} == there
    assert {key: crew.uniform(*key) for key in asked} == there


def test_each_of_seed_replication_person_quantity_and_call_has_numbers_of_its_own():
    """No two streams share a number, and between any two of them there is no correlation to speak of."""
    base = (1, 0, "a", "react", 0)
    others = [
        (2, 0, "a", "react", 0),
        (1, 1, "a", "react", 0),
        (1, 0, "b", "react", 0),
        (1, 0, "a", "seat", 0),
        (1, 0, "a", "react", 1),
    ]
    streams = [read_tile(*key, 0, 1000).ravel() for key in (base, *others)]
    assert len(np.unique(np.concatenate(streams))) == 6 * 16_000
    correlation = np.corrcoef(streams) - np.eye(6)
    assert np.abs(correlation).max() < 4.5 / math.sqrt(16_000)
    calls = MANY[:, :-1].ravel(), MANY[:, 1:].ravel()  # and none from call to call
    assert abs(np.corrcoef(calls)[0, 1]) < 4.5 / math.sqrt(calls[0].size)


@pytest.mark.parametrize("replication", [0, 1, 4711, BLOCK - 1, BLOCK, 3 * BLOCK + 5])
def test_any_replication_is_simulated_alone(replication):
    """What one lift reads is the row of a whole block's reading, in any block."""
    block, index = divmod(replication, BLOCK)
    whole = read_tile(9, block, "a", "swap", 2, 0, BLOCK)
    alone = [Crew(9, replication).uniform("a", "swap", call) for call in range(2 * TILE, 3 * TILE)]
    assert alone == whole[index].tolist()


def test_variants_see_the_same_people():
    """Pins for a collar, another leader: the operator's and the ram catcher's draws in call 1 stay what they were."""
    people = {"operator": operator(react=Draw(0.6, 0.15), stroke=Draw(1.2, 0.2))}
    first = lift(15 * MM, lifter(collar(), **people), station(collar(turns=Draw(2.0, 0.5))))
    other = lift(15 * MM, lifter(collar(), **people), station(pin(5 * MM)), rule="keep-pace")
    a, b = simulate(first, seed=4), simulate(other, seed=4)
    assert times_of(a, "strokes")[0] == times_of(b, "strokes")[0] != 0.6
    assert times_of(a, "recovers")[0] == times_of(b, "recovers")[0]


def test_one_draw_serves_all_strokes_of_a_call():
    """Three strokes of one length in a call, another in the next."""
    scenario = lift(50 * MM, lifter(collar(), operator=operator(stroke=Draw(1.0, 0.3))), strokes=3)
    record = simulate(scenario, seed=1)
    seconds = np.subtract(times_of(record, "recovers"), times_of(record, "strokes")).round(6)
    assert seconds[0] == pytest.approx(seconds[1]) == pytest.approx(seconds[2])
    assert abs(seconds[3] - seconds[0]) > 1e-3


def test_fill_varies_the_ram_travel():
    """Each call a fill of its own, and all of them short of a full stroke."""
    scenario = lift(50 * MM, lifter(collar(), operator=operator(fill=Draw(0.9, 0.05))))
    travel = np.array(measure(simulate(scenario, seed=1))["ram_travel_m"]["left lifter"])
    assert 0.75 < travel / (6 * 10 * MM) < 1


def test_a_seed_is_the_same_in_another_process():
    """Whatever Python's own hash seed is."""
    say = "from sim.model.chance import Crew; print(Crew(5, 6).uniform('left hand', 'turns', 7))"
    out = subprocess.run(
        [sys.executable, "-c", say], capture_output=True, text=True, check=True, env={"PYTHONHASHSEED": "12345"}
    ).stdout
    assert float(out) == Crew(5, 6).uniform("left hand", "turns", 7)
