"""Where a thread, a row of holes or a strap ends, held against what the rise asks of its line."""

from dataclasses import replace

import pytest

from sim.check import check
from tests.builders import MM, collar, crib, lift, lifter, pin, reset, station, strap


def ends(scenario):
    """What is found of devices that end: how bad, where, how much is asked and where it ends [mm]."""
    found = [f for f in check(scenario).findings if f.check.name == "DEVICE_ENDS"]
    return [(f.level, f.subject, round(f.value / MM, 6), round(f.limit / MM, 6)) for f in found]


@pytest.mark.parametrize(
    ("device", "found"),
    [
        (collar(reach=40 * MM), [("stop", "strut", 50, 40)]),
        (collar(reach=50 * MM), []),
        (collar(), []),
        (pin(10 * MM, holes=4), [("stop", "strut", 50, 40)]),
        (pin(10 * MM, holes=5), []),
        (pin(20 * MM, holes=2), []),  # a third hole would come up at 60 mm only
        (strap(4 * MM, reach=30 * MM), [("stop", "strut", 50, 30)]),
        (crib(10 * MM), []),
    ],
    ids=lambda x: x.kind if hasattr(x, "kind") else "",
)
def test_a_device_that_ends_before_the_rise_is_a_stop(device, found):
    """Straight up, so its line lengthens by the rise of 50 mm; in steps only what a longer one would hold counts."""
    assert ends(lift(50 * MM, lifter(), station(device), max_calls=9)) == found


def test_where_another_device_goes_on_it_is_a_caution():
    """A short thread, and cribbing beside it."""
    both = station(collar(reach=40 * MM), crib(10 * MM))
    assert ends(lift(50 * MM, lifter(), both, max_calls=9)) == [("caution", "strut", 50, 40)]


def test_the_collar_of_a_ram_that_is_re_set_need_reach_no_further_than_the_ram():
    """20 mm of travel and of thread, run after run; without a re-set it is short."""
    one = lift(50 * MM, lifter(collar(reach=20 * MM), travel=20 * MM), station(collar()), reset=reset(60.0))
    assert ends(one) == []
    assert ends(replace(one, reset=None)) == [("stop", "left lifter", 50, 20)]


def test_both_units_are_each_rounded_against_the_reader():
    """What it has is rounded down, what is asked up; each from the same 150.52 and 139.97 mm."""
    sheet = check(lift(150.52 * MM, lifter(), station(collar(reach=139.97 * MM)), max_calls=20))
    (said,) = [f.what for f in sheet.findings if f.check.name == "DEVICE_ENDS"]
    assert said.words("si") == (
        "its collar ends 139.9 mm beyond the start, and the rise asks 150.6 mm of its line: "
        "from there on it captures nothing"
    )
    assert "5.51 in" in said.words("us") and "5.93 in" in said.words("us")
