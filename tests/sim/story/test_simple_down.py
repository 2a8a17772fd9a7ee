"""The simple simulator's way down: the worked table of the design, and timelines worked by hand."""

from dataclasses import replace

from sim.model.draw import Draw
from sim.model.scenario import Stage
from tests.sim.story.test_simple import COLLAR, CREW, LEADER, lifter, near, straight
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
