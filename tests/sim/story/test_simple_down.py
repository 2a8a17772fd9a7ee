"""The simple simulator's way down: the worked table of the design, and timelines worked by hand."""

from dataclasses import replace

from sim.model.devices import Chain, Crib, Pin, Strap
from sim.model.draw import Draw
from sim.model.scenario import Stage
from tests.sim.story.test_simple import COLLAR, CREW, LEADER, lifter, near, station, straight
from tests.simple.simple import simulate

DOWN = Stage("lower", 0.0)
LOWERS = replace(CREW, lowering=Draw(0.010), close=Draw(0.5))


def test_the_worked_way_down():
    """The second table in part 3 of the design, going on from the worked lift: rise and gap at each of its times."""
    ram = lifter(COLLAR, operator=LOWERS)
    stages = (Stage("raise", 0.015), DOWN)
    simulated = simulate(straight(0.015, [ram], leader=replace(LEADER, step=0.010), stages=stages), sample=0.25)

    table = [  # t [s], rise [mm], gap [mm], as printed
        (7.75, 20, 0), (8.25, 20, 0), (9.25, 30, 10), (9.75, 30, 10), (10.00, 30, 10), (12.50, 30, 20),
        (12.75, 30, 20), (13.25, 30, 20), (15.25, 10, 0), (15.75, 10, 0), (17.75, 20, 10), (20.50, 20, 20),
        (21.25, 20, 20), (23.25, 0, 0), (23.75, 0, 0),
    ]  # fmt: skip
    found = {round(t, 2): (demand, demand - held) for t, demand, held in simulated.history["left lifter"]}
    for t, rise, gap in table:
        assert found[t] == near((rise / 1000, gap / 1000)), t
    assert (simulated.outcome, simulated.duration) == ("lowered", near(23.75))
    up, down = simulated.stages
    assert (up.do, up.outcome, up.calls, up.end) == ("raise", "raised", 2, near(7.75))
    assert (down.do, down.outcome, down.calls, down.end - up.end) == ("lower", "lowered", 2, near(16.0))
    assert simulated.call_times == near([0.0, 4.0, 7.75, 15.75])
    assert (simulated.pumps, simulated.holds) == ({"left lifter": 4}, 1)  # two of them, and the hold, on the way up
    assert simulated.largest_made_gap == (near(0.020), "left lifter", 3, near(12.5))
    assert simulated.largest_passing_gap[0] == near(0.007)  # nothing made is passing
    assert simulated.hands_in_on_rams_alone == 0.0  # there are no pins
    assert simulated.ram_travel == near({"left lifter": 0.0})


def staged(need, lifters, stations=(), step=0.010, stages=None, **keys):
    """Up to the need and down again, unless `stages` says otherwise."""
    return straight(
        need, lifters, stations, replace(LEADER, step=step), stages=stages or (Stage("raise", need), DOWN), **keys
    )


def holds(simulated, station, *times):
    """What a station held at these times."""
    held = {round(t, 2): captured for t, _, captured in simulated.history[station]}
    return [held[t] for t in times]


def test_a_pin_goes_down_by_a_whole_hole_and_hands_are_in_on_the_ram_alone():
    """Holes 15 mm apart; caught at 30 mm, 30 mm up after three strokes: it rests on the pin, and is freed to 40 mm."""
    pin = Pin("pinned", spacing=0.015, swap=Draw(3.0), react=Draw(1.0))
    simulated = simulate(staged(0.030, [lifter(operator=LOWERS)], [station(pin)]), sample=0.25)
    # Up, a call every stroke: 10 mm (uncapturable, `look`: 2.25), 20 mm at 3.75 (pin 4.75 to 7.75, `look`: 8.0), 30 mm
    # at 9.5 (pin 10.5 to 13.5). Call 4 at 13.5, moves 14.0, clear at 40 mm 15.0, room 15.5 to 30 - 10 = 20 mm: the hole
    # at 15, the pin out from 16.5 to 19.5, `look` 19.75, valve 20.25, 25 mm at 10 mm/s: lands at 22.75, shut 23.25.
    assert simulated.call_times[3:5] == near([13.5, 23.25])
    assert holds(simulated, "strut", 16.5, 19.25, 19.5, 22.75) == near([0.030, 0.030, 0.015, 0.015])
    # Call 5: clear at 25 mm 24.75, room 25.25 to 5 mm: out to the start, 26.25 to 29.25, `look` 29.5, valve 30.0, lands
    # at the start at 32.5, shut 33.0.
    assert (simulated.outcome, simulated.duration, simulated.calls_down) == ("lowered", near(33.0), 2)
    assert simulated.largest_made_gap == (near(0.025), "strut", 4, near(19.5))
    assert simulated.hands_in_on_rams_alone == near(4 * 3.0)  # two swaps up, two down, and nothing else on that side


def test_a_chain_is_open_while_off_and_a_strap_is_let_out_click_by_click():
    """Links 8 mm apart, clicks of 3 mm; one person for both goes to the least first."""
    chain, strap = (
        Chain("chain", 0.008, Draw(2.0), Draw(0.5)),
        Strap("strap", 0.003, Draw(0.25), 0.1, Draw(0.5)),
    )
    two = [station(d, name=d.name, catchers=("Ann",)) for d in (chain, strap)]
    started = staged(0.012, [lifter(operator=LOWERS)], two, start=0.012, stages=(DOWN,), walk={"Ann": Draw(1.0)})
    simulated = simulate(started, sample=0.25)
    # It begins at 12 mm on the strap (four clicks), the chain holds 8. Clear at 22 mm 1.5, room 2.0 to 2 mm. The chain
    # has the least to come down (6 mm): 2.5 to 4.5, out to the start. Walk 5.5, react 6.0, four clicks: 7.0.
    assert holds(simulated, "chain", 2.5, 4.25, 4.5) == near([0.008, 0.008, 0.0])
    assert holds(simulated, "strap", 5.75, 6.0, 6.25, 6.75, 7.0) == near([0.012, 0.009, 0.006, 0.0, 0.0])
    # `look` 7.25, valve 7.75, lands at the start at 9.95, shut 10.45
    assert (simulated.outcome, simulated.duration) == ("lowered", near(10.45))
    assert simulated.open_time == near({"chain": 2.0, "strap": 0.0})
    assert simulated.hands_in_on_rams_alone == 0.0  # the strap is within the inch of the limit: 10 mm


def test_a_crib_comes_down_to_the_largest_pieces_that_fit_and_wedges():
    """38 mm on 15 + 15 and wedges of 8; to 28 mm: wedges and a piece off, a small piece on, wedges the rest."""
    crib = Crib("crib", (0.015, 0.010), Draw(2.0), wedge=0.008, drive=Draw(1.0), react=Draw(0.5))
    down = (Stage("lower", 0.028),)
    begun = staged(0.038, [lifter(operator=LOWERS)], [station(crib)], start=0.038, stages=down)
    simulated = simulate(begun, sample=0.25)
    # Clear at 48 mm 1.5, room 2.0; touched 2.5: wedges until 3.5, a piece until 5.5, 10 mm on until 7.5, wedges 8.5.
    assert holds(simulated, "strut", 2.25, 2.5, 3.5, 5.5, 7.5, 8.25, 8.5) == near(
        [0.038, 0.030, 0.015, 0.015, 0.025, 0.025, 0.028]
    )
    # `look` 8.75, valve 9.25, 20 mm: lands 11.25, shut 11.75
    assert (simulated.outcome, simulated.duration, simulated.point_rise) == ("lowered", near(11.75), near(0.028))
    assert simulated.largest_made_gap[0] == near(0.048 - 0.015)
    assert simulated.hands_in_on_rams_alone == near(6.0)


def test_a_hold_settles_both_sides_by_the_same_until_the_middle_meets_what_holds_it():
    """40 and 40 mm; the left holds 36, across both 30 holds the mean: left stops first, right goes on to 24."""
    pin = Pin("pinned", spacing=0.036, swap=Draw(1.0))
    across = Pin("across", spacing=0.030, swap=Draw(1.0))
    stations = [station(pin, name="a"), station(across, name="b", side="both")]
    sides = [lifter(side=side, share=0.5, operator=LOWERS) for side in ("left", "right")]
    simulated = simulate(staged(0.040, sides, stations, start=0.040, stages=(Stage("hold", time=60.0),)))
    assert (simulated.outcome, simulated.duration, simulated.calls) == ("held", near(60.0), 0)
    assert simulated.head_rise == near({"left lifter": 0.036, "right lifter": 0.024})
    assert simulated.ram_travel == near({"left lifter": 0.036, "right lifter": 0.024})


def test_a_side_that_nothing_could_hold_is_told_to_stop():
    """10 mm/s from 20 mm to 8: told at 1.7 s, and it runs on for half a second: 3 mm."""
    begun = staged(0.020, [lifter(operator=LOWERS)], start=0.020, stages=(Stage("lower", 0.008),))
    simulated = simulate(begun)
    assert simulated.duration == near(0.25 + 0.5 + 1.2 + 0.5)  # `look`, react, down to where it is told, closing
    assert (simulated.outcome, simulated.point_rise) == ("lowered", near(0.003))


def test_a_side_with_no_travel_left_is_stuck():
    """30 mm of travel, all out, and it rests on its collar: the call is neither made nor counted."""
    simulated = simulate(staged(0.030, [lifter(COLLAR, travel=0.030, operator=LOWERS)]))
    assert (simulated.outcome, simulated.calls, simulated.calls_down) == ("stuck", 3, 0)
    assert simulated.pumps == {"left lifter": 3}
