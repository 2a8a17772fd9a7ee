"""What a device asks of its catcher: seconds a call, and steps that are never finer than it says."""

import math
from itertools import pairwise

import pytest

from sim.model.devices.protocol import can_capture
from tests.builders import MM, ONE_OF_EACH, chain, collar, crib, pin, strap


@pytest.mark.parametrize("device", [pin(25 * MM), chain(30 * MM), strap(4 * MM, reach=20.0)], ids=lambda d: d.kind)
@pytest.mark.parametrize("gives", [3 * MM, 7 * MM, 24 * MM])
def test_what_a_call_asks_is_what_the_steps_take_on_average(device, gives):
    """Over 500 calls that give so much each: reaction and steps, at mean values."""
    held, seconds, calls = device.at_start(0.0), 0.0, 500
    for n in range(1, calls + 1):
        if can_capture(device, held, n * gives):
            planned = device.steps(held, n * gives)
            seconds += device.react.mean + sum(step.takes.mean for step in planned)
            held = planned[-1].then
    assert device.seconds_a_call(gives) == pytest.approx(seconds / calls, rel=0.01)


@pytest.mark.parametrize(
    ("device", "gives_mm", "seconds"),
    [
        (collar(), 10, 0.25 + 10 / 4 + 0.5),  # 4 mm/s
        (pin(25 * MM), 10, 0.4 * (1 + 8)),  # a hole in two calls of five
        (pin(25 * MM), 70, 1 + 8),  # to the highest at once
        (chain(30 * MM), 70, 1 + 6),
        (strap(4 * MM, react=2.0), 1, 0.25 * (2 + 0.5)),  # a click in one call of four
        (strap(4 * MM, react=2.0), 12, 2 + 3 * 0.5),
        (crib(38 * MM, 19 * MM, wedge=25 * MM, react=3.0), 57, 3 + 2 * 10 + 6),  # pieces of 28.5 mm on average
        (crib(38 * MM, 19 * MM, react=3.0), 57, 3 + 2 * 10),  # no wedges to drive
        (crib(38 * MM, 19 * MM, react=3.0), 38, 3 + 10 * 4 / 3),  # four pieces in three calls
    ],
)
def test_what_a_call_asks_by_hand(device, gives_mm, seconds):
    """Reaction and steps, on average over many calls."""
    assert device.seconds_a_call(gives_mm * MM) == pytest.approx(seconds)


@pytest.mark.parametrize("device", ONE_OF_EACH, ids=lambda d: d.kind)
def test_no_step_but_the_last_captures_less_than_the_finest(device):
    """So a line that lengthens by so much asks for no more steps than it holds of the finest, and a pair of wedges."""
    planned = device.steps(device.at_start(0.0), 200 * MM)
    held = [0.0, *(step.then.captured for step in planned)]
    grown = [then - before for before, then in pairwise(held)]
    assert all(more >= device.finest - 1e-9 for more in (grown[:-1] if device.kind == "crib" else grown))
    assert len(planned) <= 200 * MM / device.finest + 1 if planned else device.finest == math.inf
