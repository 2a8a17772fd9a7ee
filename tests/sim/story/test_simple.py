"""The simple simulator stands on its own: the worked lift of the design, and timelines worked by hand."""

import math
from dataclasses import replace

import pytest

from sim.model.devices import Chain, Collar, Crib, Pin, Strap
from sim.model.draw import Draw
from sim.model.scenario import Leader, Lifter, Limits, Load, Mishap, Need, Operator, Pump, Reset, Scenario, Station, Tie
from tests.simple.physics import Line, after_stroke
from tests.simple.simple import simulate

CREW = Operator("steady", stroke=Draw(1.0), react=Draw(0.5), recover=Draw(0.5))
COLLAR = Collar("ram-collar", rise_per_turn=0.002, turns=Draw(2.0), react=Draw(0.25), seat=Draw(0.5))
LEADER = Leader(pace=2.0, look=0.25)


def near(x):
    """To a microsecond or a micrometre: these timelines lie on the steps."""
    return pytest.approx(x, abs=1e-6)


def lifter(*capture, side="left", **keys):
    keys = {"travel": 1.0, "travel_per_pump": 0.010, "share": 1.0, "operator": CREW} | keys
    name = f"{side} lifter"
    return Lifter(name, side, (3.0, 0.0, 0.5), (3.0, 0.0, 0.0), capture=capture,
                  catchers=tuple(f"{name}: {d.name}" for d in capture), **keys)  # fmt: skip


def station(*capture, side="left", name="strut", catchers=None, slack=0.0):
    return Station(name, side, (3.0, 0.5, 1.0), (3.0, 0.5, 0.0), capture,
                   catchers or tuple(f"{name}: {d.name}" for d in capture), Tie("chain", slack))  # fmt: skip


def straight(need, lifters, stations=(), leader=LEADER, weight=10e3, **keys):
    load = Load(weight, "straight", (3.0, 0.0, 1.0), take_up=keys.pop("take_up", 0.0))
    return Scenario(
        "", "si", load, Need((3.0, 0.0, 0.0), need), leader, Limits(), tuple(lifters), tuple(stations), **keys
    )


def test_the_worked_lift():
    """The table at the end of part 3 of the design."""
    simulated = simulate(straight(0.015, [lifter(COLLAR)]), sample=0.25)

    assert (simulated.outcome, simulated.calls, simulated.pumps, simulated.holds) == (
        "raised",
        2,
        {"left lifter": 2},
        1,
    )
    assert simulated.call_times == near([0.0, 4.0])
    assert (simulated.hold_time, simulated.duration) == near((2.0, 7.75))
    assert simulated.largest_passing_gap == (near(0.007), "left lifter", 1, near(1.5))
    assert simulated.largest_standing_gap[0] == near(0.0)
    assert simulated.settled_rise == near(0.020)
    gaps = {round(t, 2): demand - held for t, demand, held in simulated.history["left lifter"]}
    assert [gaps[t] for t in (0.5, 0.75, 1.5, 2.0, 3.25, 6.0, 7.75)] == near([0, 0.0025, 0.007, 0.005, 0, 0.005, 0])


def test_the_step_does_not_matter():
    """Half the step, the same lift; a step that the times are no multiple of, nearly the same."""
    scenario = straight(0.015, [lifter(COLLAR)])
    assert simulate(scenario, dt=0.0005).duration == near(7.75)
    assert simulate(scenario, dt=0.003).duration == pytest.approx(7.75, abs=10 * 0.003)


def test_collar_after_waits_for_the_stop():
    """10 mm at the stop (1.5), reacts until 1.75, 2.5 s of turning, seated at 4.75."""
    simulated = simulate(straight(0.010, [lifter(replace(COLLAR, chases="after"))]))
    assert (simulated.duration, simulated.largest_passing_gap[0]) == near((4.75, 0.010))


def test_pin():
    """Holes 15 mm apart, 10 mm a call: the second call brings up the first hole, the third settles on it."""
    pin = Pin("pinned", spacing=0.015, swap=Draw(3.0), react=Draw(1.0))
    simulated = simulate(straight(0.015, [lifter()], [station(pin)], replace(LEADER, gap_limit=0.012)))

    # Call 1 at 0: nothing to capture, caught at 1.5. Call 2 at 2: stops at 3.5, the pin is out from 4.5 to 7.5. The
    # look at 4.0 finds 20 mm raised and the catcher not done: waits until 7.5; 15 mm is enough.
    assert simulated.call_times == near([0.0, 2.0])
    assert (simulated.outcome, simulated.duration, simulated.settled_rise) == ("raised", near(7.5), near(0.015))
    assert simulated.largest_gap == (near(0.020), "strut", 2, near(3.5))
    # standing: 10 mm after call 1 (5 mm at the end)
    assert simulated.largest_standing_gap == (near(0.010), "strut", 1, near(1.5))
    assert (simulated.captures, simulated.open_time) == ({"strut": 1}, {"strut": near(3.0)})
    # with the pin out nothing but the ram holds 20 mm
    assert simulated.largest_drop_lifter_lost[:2] == (near(0.020), "left")
    assert (simulated.holds, simulated.hold_time) == (0, 0.0)


def test_pin_between_two_holes_is_uncapturable():
    """All caught and 10 mm over: `look`, then a call (go-on) or the end (stop)."""
    pin = Pin("pinned", spacing=0.015, swap=Draw(3.0), react=Draw(1.0))
    scenario = straight(0.015, [lifter()], [station(pin)])
    simulated = simulate(scenario)
    assert simulated.call_times == near([0.0, 2.25])
    assert (simulated.holds, simulated.over_limit_calls) == (0, 1)
    simulated = simulate(replace(scenario, leader=replace(LEADER, if_uncapturable="stop")))
    assert (simulated.outcome, simulated.calls, simulated.duration, simulated.settled_rise) == (
        "stopped",
        1,
        near(2.25),
        0.0,
    )


def test_pin_with_slack_never_holds_the_last_of_it():
    """Slack stays: at the first hole (10 mm) it holds 6 mm."""
    pin = Pin("pinned", spacing=0.010, swap=Draw(1.0))
    simulated = simulate(straight(0.006, [lifter()], [station(pin, slack=0.004)], replace(LEADER, rule="keep-pace")))
    assert (simulated.settled_rise, simulated.calls, simulated.duration) == (near(0.006), 1, near(2.5))


def test_chain():
    """Off and on again at each stop, by links of 4 mm with the first at 1 mm: 1, 5, 9 mm."""
    chain = Chain("chain", spacing=0.004, rehook=Draw(2.0), react=Draw(0.5), first_link=0.001)
    simulated = simulate(straight(0.015, [lifter()], [station(chain)], replace(LEADER, gap_limit=0.002)))

    # call 1: stop 1.5, off 2.0 to 4.0 at 9 mm; the look at 2.0 is refused; call 2 at 4.25; stop 5.75, off 6.25 to 8.25
    # at 17 mm
    assert simulated.call_times == near([0.0, 4.25])
    assert (simulated.duration, simulated.settled_rise, simulated.hold_time) == near((8.25, 0.017, 2.25))
    assert simulated.open_time["strut"] == near(4.0)
    assert simulated.largest_standing_gap[0] == near(0.003)


def test_strap():
    """3 mm of slack taken up before the first call, whole clicks of 2 mm, no further than it reaches."""
    strap = Strap("strap", click=0.002, click_time=Draw(0.5), reach_limit=0.012, react=Draw(1.0))
    simulated = simulate(straight(0.012, [lifter()], [station(strap, slack=0.003)], replace(LEADER, gap_limit=0.001)))

    # 0: 3 mm over the limit, hold. 1.0 reacts, one click, -1 mm at 1.5: caught; `look`: call 1 at 1.75. Stop at 3.25
    # with 11 mm, 4.25: five clicks to 9 mm at 6.75. The look at 3.75 was refused. Call 2 at 7.0, stop 8.5 at 20 mm;
    # 9.5: one click, 11 mm at 10.0; 12 mm is a reach it cannot come to by whole clicks.
    assert simulated.call_times[:2] == near([1.75, 7.0])
    assert simulated.settled_rise == near(0.011)
    assert (
        simulated.holds == 3
    )  # before the first call, and after the first two; from call 3 on nothing can be captured
    assert (simulated.outcome, simulated.calls) == ("not-reached", 100)  # 1 m of travel
    assert simulated.captures["strut"] == 3
    assert simulated.over_limit_calls == 98


@pytest.mark.parametrize("wedge_out", ["held", "open"])
def test_crib(wedge_out):
    """20 mm a call; pieces of 15 mm, wedges to 8 mm: a piece and 5 mm of wedges, then another and 10 - 8 mm short."""
    crib = Crib(
        "cribbing", (0.015,), place=Draw(2.0), wedge=0.008, drive=Draw(1.0), react=Draw(0.5), wedge_out=wedge_out
    )
    scenario = straight(
        0.038, [lifter(travel_per_pump=0.020)], [station(crib, slack=0.5)], replace(LEADER, gap_limit=0.003)
    )
    simulated = simulate(scenario, sample=0.25)

    # call 1: stop 1.5; 2.0 piece, 4.0 wedges, 5.0 caught at 20 mm; look at 2.0 refused; call 2 at 5.25; stop 6.75; at
    # 7.25: 40 mm, pile 15, so one piece (30 mm) until 9.25, and wedges to 38 mm until 10.25
    assert simulated.call_times == near([0.0, 5.25])
    assert (simulated.outcome, simulated.duration, simulated.settled_rise) == ("raised", near(10.25), near(0.038))
    assert (simulated.captures, simulated.open_time) == ({"strut": 2}, {"strut": 0.0})
    held = {round(t, 2): c for t, _, c in simulated.history["strut"]}
    drawn = 0.015 if wedge_out == "open" else 0.020
    assert [held[t] for t in (1.5, 3.75, 4.0, 5.0, 7.0, 7.5, 9.25, 10.25)] == near(
        [0, 0, 0.015, 0.020, 0.020, drawn, 0.030, 0.038]
    )
    assert simulated.largest_gap[0] == near(0.025 if wedge_out == "open" else 0.020)
    assert simulated.largest_standing_gap[0] == near(0.002)


def test_one_person_for_two_stations_walks_between_them():
    """The first in file order, then walk and react to the other."""
    pins = [station(Pin("p", 0.010, Draw(2.0), Draw(1.0)), name=n, catchers=("Ann",)) for n in ("a", "b")]
    simulated = simulate(straight(0.010, [lifter()], pins, walk={"Ann": Draw(4.0)}))
    # stop 1.5, a: 2.5 to 4.5; walk to 8.5, react to 9.5, b: to 11.5
    assert simulated.duration == near(11.5)
    assert simulated.open_time == near({"a": 2.0, "b": 2.0})


def test_crib_beside_a_pin_holds_while_the_pin_is_out():
    """The station is never open, and holds what the best of the two holds."""
    pin = Pin("pinned", spacing=0.015, swap=Draw(3.0), react=Draw(1.0))
    crib = Crib("cribbing", (0.010,), place=Draw(0.5), react=Draw(0.25))
    simulated = simulate(straight(0.020, [lifter()], [station(pin, crib)]))
    # call 1: crib at 2.25 on 10 mm; look 2.0 refused; 2.5 call 2: stop 4.0, crib on 20 mm at 4.75, pin out 5.0 to 8.0
    assert simulated.call_times == near([0.0, 2.5])
    assert (simulated.duration, simulated.open_time["strut"], simulated.largest_gap[0]) == near((8.0, 0.0, 0.010))
    assert simulated.largest_drop_lifter_lost[0] == near(0.010)


def test_both_and_two_sides_share_and_level():
    """A station across both sides turns the load about the side that stays; the low side alone is called."""
    lifters = [
        lifter(side="left", share=0.5),
        lifter(side="right", share=0.5, travel_per_pump=0.005),
    ]
    middle = station(COLLAR, side="both")
    simulated = simulate(straight(0.010, lifters, [middle], replace(LEADER, level_limit=0.004)))
    # call 1: 10 and 5 mm; call 2: right alone, 10 mm each: a mean of 10 mm
    assert (simulated.calls, simulated.levelling_calls) == (2, 1)
    assert simulated.pumps == {"left lifter": 1, "right lifter": 2}
    assert (simulated.largest_level_difference, simulated.final_level_difference, simulated.settled_rise) == near(
        (0.005, 0, 0.010)
    )
    # The worst drop is the left's, as the rams stop: the collar holds 0.75 s x 4 mm/s = 3 mm of the mean 7.5, the right
    # stands at 5: 2 x 3 - 5 = 1 mm is where the left stops.
    assert simulated.largest_drop_pressure_lost[:2] == (near(0.009), "left")
    assert simulated.largest_drop_pressure_lost[3] == near(0.5 * 10e3 * 0.009)


def test_pump_shifts_and_stalls_in_the_middle_of_a_stroke():
    """0.1 m^3 and 0.05 m^3 a stroke on 1 m^2; the force comes to the shift pressure half way through the take-up."""
    pump = Pump("two-speed", 0.1, 0.05, shift_pressure=500.0, relief_pressure=math.inf)
    ram = lifter(travel=5.0, travel_per_pump=None, pump=pump, ram_area=1.0)
    # to 0.05 (half the stroke) at the first stage, the other half at the second: 0.025
    assert after_stroke(ram, 0.0, 0.1, 1000.0, 1.0) == near(0.075)
    assert after_stroke(ram, 0.0, 0.1, 1000.0, 0.25) == near(0.025)
    assert after_stroke(ram, 0.2, 0.1, 1000.0, 1.0) == near(0.25)
    weak = replace(ram, pump=replace(pump, relief_pressure=800.0))
    assert after_stroke(weak, 0.0, 0.1, 1000.0, 2.0) == near(0.08)
    assert after_stroke(weak, 0.2, 0.1, 1000.0, 1.0) == near(0.2)


def test_relief_ends_the_lift():
    """A call that can move no lifter."""
    pump = Pump("weak", 1e-5, 1e-5, math.inf, relief_pressure=1e6)
    ram = lifter(COLLAR, travel_per_pump=None, pump=pump, ram_area=1e-3)
    simulated = simulate(straight(0.1, [ram]))
    assert (simulated.outcome, simulated.reason, simulated.calls, simulated.duration) == (
        "not-reached",
        "relief pressure",
        0,
        0.0,
    )


def test_hinged_line_there_and_back():
    """u from L is the inverse of L from u; a head over its base at the right angle rises by x sin u."""
    load = Load(10e3, "hinged", (2.0, 0.0, 1.0), pivot_height=0.3)
    line = Line(load, (3.0, 0.5, 0.8), (3.2, 1.4, 0.0))
    for u in (0.0, 0.01, 0.1, 0.3):
        assert line.u_at(line.length(u)) == pytest.approx(u, abs=1e-12)
    level = Line(load, (3.0, 0.0, 0.3), (3.0, 0.0, 0.0))
    assert level.length(0.1) == pytest.approx(math.hypot(3 - 3 * math.cos(0.1), 0.3 + 3 * math.sin(0.1)))
    # the moment 10 kN x 2 m about the pivot, held 3 m from it by a vertical lifter
    assert level.force(1.0, 0.0) == near(10e3 * 2 / 3)


def test_take_up_is_spent_before_the_load_moves():
    """4 mm of the first stroke: 6 mm of rise, linear over the whole stroke."""
    simulated = simulate(straight(0.006, [lifter(COLLAR)], take_up=0.004))
    assert (simulated.calls, simulated.head_rise["left lifter"], simulated.ram_travel["left lifter"]) == (
        1,
        near(0.006),
        near(0.010),
    )
    assert simulated.largest_gap[0] == near(0.006 - 0.003)


def test_reset():
    """One stroke is all the travel: the load settles on the strut, 20 s, 2 mm to spend."""
    ram = lifter(COLLAR, travel=0.010)
    simulated = simulate(straight(0.018, [ram], [station(COLLAR)], reset=Reset(20.0, 0.002)))
    # call 1, caught at 3.75 and `look`: 4.0, no travel, settled at 10 mm; 24.0 call 2: 8 mm in 1 s from 24.5: 18 mm;
    # collars from 24.75, 8 - 3 = 5 mm at 25.5, met 26.75, seated 27.25
    assert simulated.call_times == near([0.0, 24.0])
    assert (simulated.outcome, simulated.duration, simulated.settled_rise) == ("raised", near(27.25), near(0.018))
    assert simulated.ram_travel["left lifter"] == near(0.020)
    simulated = simulate(straight(0.018, [ram], [station(COLLAR)]))
    assert (simulated.outcome, simulated.calls) == ("not-reached", 1)


def test_lifter_lost():
    """Half a second after the end of call 1 (1.5) that side comes down to what still holds it; the lift is over."""
    slow = replace(COLLAR, turns=Draw(1.0))
    mishap = Mishap("lifter-lost", 1, "left lifter", after=0.5)
    simulated = simulate(straight(0.05, [lifter(COLLAR)], [station(slow)], mishaps=(mishap,)))
    # at 2.0 the ram's own collar holds 5 mm, the strut's 1.25 s x 2 mm/s = 2.5 mm; only the second counts
    assert (simulated.outcome, simulated.duration, simulated.point_rise) == ("dropped", near(2.0), near(0.0025))
    simulated = simulate(
        straight(0.05, [lifter(COLLAR)], [station(slow)], mishaps=(replace(mishap, kind="pressure-lost"),))
    )
    assert simulated.point_rise == near(0.005)
    assert simulated.settled_rise == near(0.005)


def test_stop_freezes_slow_slows_false_and_missed():
    """The worked lift with one mishap each."""

    def simulated(kind, **keys):
        return simulate(straight(0.015, [lifter(COLLAR)], mishaps=(Mishap(kind, 1, **keys),)))

    catcher = "left lifter: ram-collar"
    frozen = simulated("stop", after=1.0, time=10.0)
    assert (frozen.call_times[1], frozen.hold_time, frozen.duration) == near((14.0, 12.0, 17.75))
    missed = simulated("missed", who="left lifter")
    assert (missed.call_times, missed.duration) == (near([0.0, 2.0, 6.0]), near(9.75))
    assert missed.pumps == {"left lifter": 2}
    # caught at 1.5, having done nothing: 10 mm stand, uncapturable: call 2 at 2.25, then 20 - 3.5 s ... to close
    false = simulated("false-caught", who=catcher)
    assert (false.call_times, false.holds) == (near([0.0, 2.25]), 0)
    assert false.duration == near(2.25 + 0.5 + 0.25 + 5.0 + 0.5)
    assert false.largest_standing_gap[0] == near(0.010)
    # react 0.5, 2 mm/s, seat 1.0: 10 mm takes until 6.0, seated 7.0
    slow = simulated("slow", who=catcher, factor=2.0)
    assert slow.call_times[1] == near(7.25)


def test_slow_slows_what_is_under_way():
    """Keep-pace, call 2 at 2.0: 5 mm held, from there 2 mm/s: 8 mm at 3.5, 20 mm at 9.5, seated 10.5."""
    slow = (Mishap("slow", 2, "left lifter: ram-collar", factor=2.0),)
    simulated = simulate(straight(0.015, [lifter(COLLAR)], leader=replace(LEADER, rule="keep-pace"), mishaps=slow))
    assert simulated.duration == near(10.5)
    assert simulated.largest_gap == (near(0.012), "left lifter", 2, near(3.5))


def test_keep_pace_calls_whatever_the_gaps():
    """Call 2 at 2.0 with 5 mm open: the collar never stops turning."""
    simulated = simulate(straight(0.015, [lifter(COLLAR)], leader=replace(LEADER, rule="keep-pace")))
    assert simulated.call_times == near([0.0, 2.0])
    assert (simulated.holds, simulated.over_limit_calls) == (0, 1)
    # turning from 0.75 on, 20 mm in 5 s: 5.75, seated 6.25
    assert simulated.duration == near(6.25)
    assert simulated.largest_gap == (near(0.020 - 2.75 * 0.004), "left lifter", 2, near(3.5))
