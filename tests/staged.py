"""Lifts that go up, stand and come down, for the tests that ask what becomes of one."""

from sim.examples import example
from tests.short_forms import NOSE

UP_AND_STAND = """
[[stage]]
do = "raise"
to = "1 in"
leader = {strokes = 1}
[[stage]]
do = "raise"
[[stage]]
do = "hold"
time = "10 min"
"""
STAGES = f"""{UP_AND_STAND}\
[[stage]]
do = "lower"
to = "1/2 in"
leader = {{step = "1/4 in", pace = "6 s"}}
[[stage]]
do = "raise"
to = "2 in"
[[stage]]
do = "lower"
"""
UP_AND_DOWN = f"""{UP_AND_STAND}\
[[stage]]
do = "lower"
leader = {{step = "1/4 in"}}
"""
VALVE = 'lowering = {mean = "0.2 in/s", sd = "0.05 in/s"}\nclose = "0.5 s"\n'
LOST_ON_THE_WAY_DOWN = """
[[mishap]]
kind = "pressure-lost"
who = "left lifter"
call = 30
after = "1 s"
phase = "room"
"""
HALF_WAY = """
[start]
rise = "1/2 in"
"""


def staged(stages: str = STAGES, *more: str) -> str:
    """The shipped trailer, with an operator's valve, in these stages, and whatever else."""
    text = example("trailer")
    assert "recover" in text and "[[stage]]" not in text
    return "".join([text.replace('recover = "0.5 s"\n', f'recover = "0.5 s"\n{VALVE}', 1), stages, *more])


WHOLE = staged(STAGES, LOST_ON_THE_WAY_DOWN, HALF_WAY)  # every key there is of the way down
SHORT = NOSE + 'hold = "10 min"\ndown_again = true\nstep = "1/2 in"\n'
