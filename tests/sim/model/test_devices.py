"""Each device on its own: what it holds at the start, what it could come to hold, and by which steps."""

import math
from dataclasses import FrozenInstanceError, fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.devices import Held
from sim.model.devices.collar import chase, climbed, time_to_reach
from sim.model.devices.protocol import at_its_end, can_capture, leaves_past_its_end, stands_alone
from sim.model.devices.row import whole_steps
from sim.written.keys.devices import DEVICE_TABLES
from tests.builders import MM, chain, collar, crib, pin, strap
from tests.builders import ONE_OF_EACH as EVERY

demands = st.floats(0, 0.3)
slacks = st.floats(0, 0.02)


def steps(device, held, demand_mm):
    """Name, and what is held while it is done and after it [mm]."""
    found = device.steps(held, demand_mm * MM)
    return [(s.doing, round(s.meanwhile.captured / MM, 9), round(s.then.captured / MM, 9)) for s in found]


def test_every_kind_is_known_by_its_name():
    """And one of each that can be written is tried below."""
    assert [device.kind for device in EVERY] == list(DEVICE_TABLES)


@pytest.mark.parametrize("device", EVERY, ids=lambda d: d.kind)
def test_a_device_and_what_it_holds_are_never_changed(device):
    """One table stands for the kind at every station, and every replication of a study shares it."""
    planned = device.steps(device.at_start(0.0), 0.1)
    for part in (device, device.at_start(0.0), *planned, *(s.then for s in planned)):
        with pytest.raises(FrozenInstanceError):
            setattr(part, fields(part)[0].name, None)


LEAST = {  # the keys that each kind cannot do without
    "collar": {"rise_per_turn": "2 mm", "turns": "2 /s"},
    "pin": {"spacing": "25 mm", "swap": "8 s"},
    "chain": {"spacing": "30 mm", "rehook": "6 s"},
    "strap": {"click": "4 mm", "click_time": "0.5 s", "reach": "300 mm"},
    "crib": {"pieces": ["38 mm"], "place": "10 s"},
}


@pytest.mark.parametrize("device", EVERY, ids=lambda d: d.kind)
def test_what_is_left_out_means_the_same_in_a_file_and_in_python(device):
    """No time for what takes none, one spacing to the first hole, nothing known of the timber."""
    written = DEVICE_TABLES[device.kind](kind=device.kind, **LEAST[device.kind]).device("x")
    needed = {"click_time": "click_time", "reach": "reach_limit"}
    said = {needed.get(key, key): getattr(written, needed.get(key, key)) for key in LEAST[device.kind]}
    assert type(device)("x", **said) == written


def test_only_a_collar_follows_a_load_that_moves():
    """With it, unless it is simulated to wait; all the others work while their side is at rest."""
    assert [device.chases for device in EVERY] == ["with", None, None, None, None]


@pytest.mark.parametrize("device", EVERY, ids=lambda d: d.kind)
def test_slack_is_behind_the_load_at_the_start_but_not_for_a_crib(device):
    """A crib starts in contact, whatever the tie of the strut beside it."""
    assert device.at_start(5 * MM).captured == (0 if device.kind == "crib" else -5 * MM)


@pytest.mark.parametrize("device", EVERY, ids=lambda d: d.kind)
def test_only_a_crib_stands_alone(device):
    """All the others are behind the slack of a tie at the start: without its strut each of them stands on nothing."""
    assert stands_alone(device) == (device.kind == "crib")


@pytest.mark.parametrize("device", EVERY, ids=lambda d: d.kind)
@given(slack=slacks, demand=demands)
def test_no_device_holds_more_than_the_demand(device, slack, demand):
    """Nor less than it held before."""
    held = device.at_start(slack)
    reached = device.reach(held, demand)
    assert reached <= demand + 1e-9
    assert reached >= held.captured


@pytest.mark.parametrize("device", EVERY[1:], ids=lambda d: d.kind)
@given(slack=slacks, first=demands, second=demands)
def test_the_steps_lead_to_what_was_to_be_reached(device, slack, first, second):
    """Work at one demand, then at a larger: the last step holds `reach`, none holds more, and then none is left."""
    held = device.at_start(slack)
    for demand in sorted((first, second)):
        reach, planned = device.reach(held, demand), device.steps(held, demand)
        if not can_capture(device, held, demand):
            continue
        assert planned
        assert planned[-1].then.captured == pytest.approx(reach, abs=1e-9)
        assert all(s.then.captured <= reach + 1e-9 and s.meanwhile.captured <= reach + 1e-9 for s in planned)
        held = planned[-1].then
        assert not can_capture(device, held, demand)


# --- collar


def test_a_collar_climbs_its_lead_a_turn():
    """2 turns a second of 2 mm: 4 mm/s."""
    assert climbed(2.0, 2 * MM) == pytest.approx(4 * MM)


def test_a_collar_closes_on_a_load():
    """7 mm behind a load at rest, 4 mm/s: met after 1.75 s, and 3 mm are left after one."""
    assert chase(7 * MM, 0.0, 4 * MM, 3.0) == pytest.approx((0, 1.75))
    gap, met = chase(7 * MM, 0.0, 4 * MM, 1.0)
    assert (gap, met) == (pytest.approx(3 * MM), math.inf)
    assert chase(1.0, 0.0, 0.5, 2.0) == (0, 2)  # met just as the time is up is met


def test_a_collar_slower_than_its_load_falls_behind():
    """4 mm/s after 10."""
    assert chase(2 * MM, 10 * MM, 4 * MM, 0.5) == (pytest.approx(5 * MM), math.inf)
    assert chase(0.0, 10 * MM, 4 * MM, 0.5) == (pytest.approx(3 * MM), math.inf)  # from where it touches, too


def test_a_collar_as_fast_as_its_load_keeps_its_distance():
    """And with none to begin with, stays with it."""
    assert chase(2 * MM, 4 * MM, 4 * MM, 9.0) == (pytest.approx(2 * MM), math.inf)
    assert chase(0.0, 4 * MM, 4 * MM, 9.0) == (0, 0)
    assert chase(-1e-17, 4 * MM, 4 * MM, 9.0) == (0, 0)  # ahead by a rounding


@given(
    gap=st.floats(0, 0.05),
    load=st.floats(0, 0.05),
    climb=st.floats(0.001, 0.05),
    t=st.floats(0, 9),
    part=st.floats(0, 1),
)
def test_a_chase_is_its_two_parts_one_after_the_other(gap, load, climb, t, part):
    """Wherever it is cut."""
    middle, _ = chase(gap, load, climb, t * part)
    end, _ = chase(middle, load, climb, t * (1 - part))
    assert end == pytest.approx(chase(gap, load, climb, t)[0], abs=1e-12)


def test_a_thread_ends():
    """12 mm of it: at 10 the collar holds 10, at 20 it holds 12, and past that there is nothing to turn."""
    short = collar(reach=12 * MM)
    assert [short.reach(Held(0.0), d * MM) / MM for d in (10, 12, 20)] == pytest.approx([10, 12, 12])
    assert can_capture(short, Held(10 * MM), 20 * MM) and not can_capture(short, Held(12 * MM), 20 * MM)
    assert at_its_end(short, Held(12 * MM)) and not at_its_end(short, Held(11 * MM))


@pytest.mark.parametrize(
    ("start_mm", "climb", "demand_mm", "rate", "seconds"),
    [
        (0, 4, 30, 0, 3.0),  # the load is above: 12 mm at 4 mm/s
        (0, 4, 10, 0, math.inf),  # it is met at 10, and comes no further
        (0, 4, 10, 1, 3.0),  # it has gone on by then
        (10, 20, 10, 1, 2.0),  # met at once, and 2 mm more at the load's own 1 mm/s
        (0, 4, 0, 10, 3.0),  # far behind the load
    ],
)
def test_when_a_thread_ends(start_mm, climb, demand_mm, rate, seconds):
    """At 12 mm: not before the collar has climbed there, nor before the load is there."""
    found = time_to_reach(12 * MM, start_mm * MM, climb * MM, demand_mm * MM, rate * MM)
    assert found == pytest.approx(seconds)


# --- pin and chain


def test_a_pin_has_so_many_holes():
    """Two beyond the start, at 25 and 50 mm: nothing at 75. Less the slack that stays."""
    two = pin(25 * MM, holes=2)
    assert [two.reach(Held(0.0), d * MM) / MM for d in (24, 25, 60, 80, 300)] == pytest.approx([0, 25, 50, 50, 50])
    assert pin(25 * MM, first_hole=10 * MM, holes=2).ends_at == pytest.approx(35 * MM)
    held = Held(46 * MM, slack=4 * MM)
    assert not can_capture(two, held, 80 * MM) and can_capture(pin(25 * MM), held, 80 * MM)


@pytest.mark.parametrize(
    ("device", "demand_mm", "leaves_mm"),
    [
        (collar(reach=100 * MM), 100, 0),
        (collar(reach=100 * MM), 101, 1),
        (pin(25 * MM, holes=4), 124, 0),  # a longer one would leave as much
        (pin(25 * MM, holes=4), 125, 25),
        (strap(4 * MM, reach=100 * MM), 103, 0),
        (strap(4 * MM, reach=100 * MM), 104, 4),
        (pin(25 * MM), 1000, 0),
        (crib(38 * MM), 1000, 0),
    ],
)
def test_what_a_device_leaves_because_it_ends(device, demand_mm, leaves_mm):
    """And not because it works in steps."""
    assert leaves_past_its_end(device, demand_mm * MM) == pytest.approx(leaves_mm * MM)


@pytest.mark.parametrize(
    ("demand_mm", "first_mm", "height_mm"),
    [
        (0, None, 0),
        (0, 60, 0),
        (24.9, None, 0),
        (25, None, 25),
        (74.9, None, 50),
        (9, 10, 0),
        (10, 10, 10),
        (34, 10, 10),
        (35, 10, 35),
    ],
)
def test_the_highest_hole_that_has_come_up(demand_mm, first_mm, height_mm):
    """Every 25 mm, the first one spacing after the start or where it is said."""
    first = None if first_mm is None else first_mm * MM
    assert whole_steps(demand_mm * MM, 25 * MM, first) == pytest.approx(height_mm * MM)


def test_four_strokes_of_half_an_inch_do_reach_a_hole_at_two_inches():
    """Though 4 x 0.0127 and 0.0508 need not be the same number: lengths within a nanometre are."""
    for stroke, n in ((0.0127, 4), (0.0127, 13), (0.01, 10)):
        spacing, demand = n * stroke, 0.0
        for _ in range(n):
            demand += stroke
        assert whole_steps(demand, spacing) == spacing
        assert whole_steps(demand - 2e-9, spacing) == 0


@given(demands, st.floats(0.005, 0.06), st.floats(0, 1))
def test_what_is_left_above_the_highest_hole_is_less_than_a_spacing(demand, spacing, share):
    """Once the first has come up."""
    height = whole_steps(demand, spacing, spacing * share)
    assert demand < spacing * share + 1e-9 or -1e-9 <= demand - height < spacing


@pytest.mark.parametrize(("device", "doing"), [(pin(25 * MM), "swap"), (chain(25 * MM), "rehook")])
def test_a_pin_or_a_chain_goes_to_the_highest_at_once_open_and_with_hands_in(device, doing):
    """60 mm: to 50, less 4 of slack that stays; while it is out the old level is kept in mind."""
    (step,) = device.steps(device.at_start(4 * MM), 60 * MM)
    assert (step.doing, step.open, step.hands) == (doing, True, True)
    assert (step.meanwhile.captured, step.then.captured) == pytest.approx((-4 * MM, 46 * MM))


def test_a_first_hole_comes_up_where_it_is_said():
    """At 10 mm, then every 25."""
    holes = pin(25 * MM, first_hole=10 * MM)
    assert [holes.reach(Held(0.0), d * MM) / MM for d in (9, 10, 34, 35)] == pytest.approx([0, 10, 10, 35])


def test_a_pin_that_something_else_holds_is_not_open():
    """`pin_out = "held"`."""
    (step,) = pin(25 * MM, pin_out="held").steps(Held(0.0), 60 * MM)
    assert (step.open, step.hands) == (False, True)


def test_a_first_link_comes_up_where_it_is_said():
    """At 15 mm, then every 30."""
    links = chain(30 * MM, first_link=15 * MM)
    assert [links.reach(Held(0.0), d * MM) / MM for d in (14, 15, 44, 45)] == pytest.approx([0, 15, 15, 45])


# --- strap


def test_a_strap_takes_up_whole_clicks_within_its_reach():
    """Slack of 6 mm and a demand of 10 are four clicks of 4; a reach of 7 leaves three."""
    assert steps(strap(4 * MM), Held(-6 * MM), 10) == [
        ("click", -6, -2),
        ("click", -2, 2),
        ("click", 2, 6),
        ("click", 6, 10),
    ]
    assert len(steps(strap(4 * MM, reach=7 * MM), Held(-6 * MM), 10)) == 3
    assert {(s.open, s.hands) for s in strap(4 * MM).steps(Held(-6 * MM), 10 * MM)} == {(False, False)}


def test_a_strap_is_not_let_out_when_the_load_comes_back():
    """10 mm taken up, and the load has settled to 5: still 10, and nothing to do."""
    assert strap(4 * MM).reach(Held(10 * MM), 5 * MM) == 10 * MM
    assert steps(strap(4 * MM), Held(10 * MM), 5) == []


# --- crib


def test_a_crib_takes_the_largest_pieces_that_fit_then_wedges():
    """100 mm from pieces of 38 and 19, wedges up to 25: 38, 38, 19, and 5 of wedge."""
    timber = crib(19 * MM, 38 * MM, wedge=25 * MM)
    assert steps(timber, Held(0.0), 100) == [("place", 0, 38), ("place", 38, 76), ("place", 76, 95), ("drive", 95, 100)]
    assert all(s.hands and not s.open for s in timber.steps(Held(0.0), 100 * MM))


def test_a_piece_as_high_as_what_is_left_fits():
    """38 mm under 38; and 2 in under four strokes of half an inch, whose sum need not be the same number."""
    assert steps(crib(38 * MM), Held(0.0), 38) == [("place", 0, 38)]
    risen = 0.0127 + 0.0127 + 0.0127 + 0.0127 - 5e-10
    assert len(crib(0.0508).steps(Held(0.0), risen)) == 1


def test_while_work_goes_on_the_pile_is_what_stands():
    """38, then 57; the wedges add nothing to it, and what they are driven on is as high as before."""
    planned = crib(38 * MM, 19 * MM, wedge=25 * MM).steps(Held(0.0), 60 * MM)
    assert [round(s.meanwhile.pile / MM, 9) for s in planned] == [0, 38, 57]
    assert [round(s.then.pile / MM, 9) for s in planned] == [38, 57, 57]


def test_pieces_are_added_to_the_pile_not_to_the_wedges():
    """30 mm held on a pile of 19: at 60 another 38 goes on the 19, then 3 of wedge; meanwhile the wedges hold 30."""
    on_wedges = Held(30 * MM, pile=19 * MM)
    assert steps(crib(38 * MM, 19 * MM, wedge=25 * MM), on_wedges, 60) == [("place", 30, 57), ("drive", 57, 60)]


def test_wedges_drawn_first_leave_the_pile_alone():
    """`wedge_out = "open"`: 19 mm until the new piece is in; the station is not open."""
    on_wedges = Held(30 * MM, pile=19 * MM)
    timber = crib(38 * MM, 19 * MM, wedge=25 * MM, wedge_out="open")
    assert steps(timber, on_wedges, 60) == [("place", 19, 57), ("drive", 57, 60)]
    assert not any(s.open for s in timber.steps(on_wedges, 60 * MM))


def test_wedges_alone_are_driven_further():
    """From 30 to 34 mm on the same pile."""
    assert steps(crib(38 * MM, 19 * MM, wedge=25 * MM), Held(30 * MM, pile=19 * MM), 34) == [("drive", 30, 34)]


def test_wedges_go_no_higher_than_they_reach():
    """8 mm of wedge under 30 mm on a piece of 19: 27."""
    assert steps(crib(19 * MM, wedge=8 * MM), Held(0.0), 30) == [("place", 0, 19), ("drive", 19, 27)]
    assert steps(crib(19 * MM), Held(0.0), 30) == [("place", 0, 19)]
    assert crib(19 * MM).reach(Held(0.0), 30 * MM) == pytest.approx(19 * MM)


def test_wedges_are_drawn_for_a_larger_piece():
    """19 of timber and 11 of wedges under 30; at 40 a 38 goes in its place: wedges out, 19 off, 38 on, wedges for 2."""
    timber = crib(38 * MM, 19 * MM, wedge=25 * MM, swap_up=True)
    on_wedges = Held(30 * MM, pile=19 * MM, pieces=(19 * MM,))
    planned = timber.steps(on_wedges, 40 * MM)
    assert [(s.doing, s.open, s.hands) for s in planned] == [
        ("drive", True, True),
        ("place", True, True),
        ("place", True, True),
        ("drive", False, True),
    ]
    assert [round(s.meanwhile.captured / MM, 9) for s in planned] == [30, 30, 30, 38]
    assert planned[-1].then == Held(40 * MM, pile=38 * MM, pieces=(38 * MM,))


def test_nothing_is_swapped_where_the_smaller_pieces_get_higher():
    """15 of timber under 30: another 15 makes 30; the 20 that would go in their place, 20."""
    timber = crib(20 * MM, 15 * MM, swap_up=True)
    assert steps(timber, Held(15 * MM, pile=15 * MM, pieces=(15 * MM,)), 30) == [("place", 15, 30)]


def test_what_lies_under_a_larger_piece_stays():
    """10 on 30 on 10, with room for another 30 only where the middle one is: nothing comes off but the top."""
    timber = crib(30 * MM, 10 * MM, swap_up=True)
    pile = Held(50 * MM, pile=50 * MM, pieces=(10 * MM, 30 * MM, 10 * MM))
    assert steps(timber, pile, 60) == [("place", 50, 60)]
    assert timber.steps(pile, 70 * MM)[-1].then.pieces == (10 * MM, 30 * MM, 30 * MM)


def test_a_layer_takes_so_many_times_as_long():
    """Three timbers of 2 s; the wedges are one pair."""
    planned = crib(38 * MM, wedge=25 * MM, place=2.0, layer=3).steps(Held(0.0), 40 * MM)
    assert [(s.doing, s.times, s.mean) for s in planned] == [("place", 3, 6.0), ("drive", 1, 6.0)]


@given(st.lists(st.floats(0.001, 0.02), min_size=1, max_size=6), st.lists(st.integers(5, 60), min_size=1, max_size=3))
def test_timber_that_is_swapped_is_all_there_and_then_left_alone(rises, sizes):
    """Whatever the load rises by, call by call: the pile is its pieces, within the demand, and done is done."""
    device, held, demand = crib(*(size * MM for size in sizes), swap_up=True, wedge=8 * MM), Held(0.0), 0.0
    for rise in rises:
        demand += rise
        if can_capture(device, held, demand):
            before, held = held, device.steps(held, demand)[-1].then
            assert held.captured > before.captured
            assert not device.steps(held, demand)
        assert held.pile == pytest.approx(sum(held.pieces), abs=1e-12)
        assert held.pile <= held.captured + 1e-9 <= demand + 2e-9


def test_a_crib_has_no_work_where_nothing_more_would_be_held():
    """A piece that fits under the wedges but holds no more than they do is left for later."""
    timber, wedged = crib(19 * MM, wedge=25 * MM), Held(19 * MM, pile=0.0)
    assert not can_capture(timber, wedged, 19 * MM)
    assert can_capture(timber, wedged, 20 * MM)
