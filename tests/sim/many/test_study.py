"""Studies: the same bytes however they are simulated, whoever dies; answers that agree with what is known."""

from __future__ import annotations

import os
from dataclasses import replace
from importlib.resources import files
from math import erf, exp, log, sqrt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad

from sim.many import blocks
from sim.many.block import BlockResult
from sim.many.blocks import blocks_of, blocks_of_several, folder_for, of_each, simulate_all, simulate_block, together
from sim.many.statistics import clopper_pearson, mean
from sim.many.study import size_for, study
from sim.many.what_if import all_times, another_crew, improvements, one_a_place, people
from sim.model.chance import lognormal
from sim.model.devices import Chain, Collar, Crib, Pin, Strap
from sim.model.draw import Draw
from sim.model.scenario import Leader, Lifter, Limits, Load, Mishap, Need, Operator, Scenario, Station
from sim.written.reading import parse
from tests.builders import lift, operator, station, two_lifters


def shipped(name: str = "trailer", variant: str = "") -> Scenario:
    """A scenario that ships."""
    return parse((files("sim.examples") / f"{name}.toml").read_text(encoding="utf-8"), name, variant)


VARIED = Draw(0.8, 0.2)


def of_kind(kind: str) -> Scenario:
    """Two lifters straight up, whose operators and catchers vary, and a station of this kind each side."""
    device = {
        "collar": Collar("it", 0.002, Draw(2.0, 0.4), VARIED, VARIED),
        "pin": Pin("it", 0.008, Draw(4.0, 1.0), VARIED),
        "chain": Chain("it", 0.007, Draw(4.0, 1.0), VARIED),
        "strap": Strap("it", 0.003, VARIED, 0.3, VARIED),
        "crib": Crib("it", (0.02, 0.01), VARIED, 0.015, Draw(2.0, 0.5), VARIED),
    }[kind]
    hands = operator(react=VARIED, stroke=Draw(1.0, 0.2), recover=0.5)
    pair = two_lifters(left={"operator": hands}, right={"operator": hands})
    sides = [station(device, name=f"{side} {kind}", side=side) for side in ("left", "right")]
    return lift(0.06, *pair, *sides)


def small(scenario: Scenario, monkeypatch: pytest.MonkeyPatch, n: int = 100) -> list[blocks.Block]:
    """Some blocks of a few replications."""
    monkeypatch.setattr(blocks, "SIZE", 32)
    return blocks_of(scenario, 3, n, by_call=True)


def test_the_same_bytes_on_one_core_and_on_several(monkeypatch: pytest.MonkeyPatch) -> None:
    """Blocks are keyed by number: who simulates them does not matter."""
    mine = small(shipped(), monkeypatch)
    one, several = (together(simulate_all(mine, workers=w)) for w in (1, 3))
    pd.testing.assert_frame_equal(one, several, check_exact=True)
    assert one["replication"].tolist() == list(range(100))


def test_cut_otherwise_the_same_lifts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A replication does not depend on the block that it is simulated in."""
    small(shipped(), monkeypatch)
    cut = together(simulate_all(blocks_of(shipped(), 3, 50), workers=1))
    whole = simulate_block(blocks.Block(shipped(), 3, 0, 50)).rows()
    assert cut["duration_s"].tolist() == whole["duration_s"].tolist()
    assert cut["largest_gap_m"].tolist() == whole["largest_gap_m"].tolist()


def dies_once(block: blocks.Block) -> BlockResult:
    """Simulate a block; but the first to try the second block dies of it."""
    mark = Path(os.environ["DIES_ONCE"])
    if block.first == 32 and not mark.exists():
        mark.touch()
        os._exit(1)
    return simulate_block(block)


def test_a_worker_that_dies_changes_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Its block is begun again, and counted once."""
    mine = small(shipped(), monkeypatch)
    whole = together(simulate_all(mine, workers=1))
    monkeypatch.setenv("DIES_ONCE", str(tmp_path / "died"))
    monkeypatch.setattr(blocks, "simulate_block", dies_once)
    again = together(simulate_all(mine, workers=2))
    assert (tmp_path / "died").exists()
    pd.testing.assert_frame_equal(whole, again, check_exact=True)


def test_an_interrupted_study_goes_on_from_its_blocks(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What is finished counts and is kept; the rest is simulated later; the same bytes as in one go."""
    mine = small(shipped(), monkeypatch)
    folder = folder_for(shipped(), 3, tmp_path, resume=False)

    finished: list[int] = []

    def stop(done: int) -> None:
        finished.append(done)
        if len(finished) == 2:
            raise KeyboardInterrupt

    stopped = simulate_all(mine, 1, folder=folder, on_done=stop)
    assert [t is not None for t in stopped] == [True, True, False, False]
    assert len(list(folder.glob("*.parquet"))) == 2
    simulated: list[int] = []
    real = simulate_block
    monkeypatch.setattr(blocks, "simulate_block", lambda b: simulated.append(b.first) or real(b))
    whole = together(simulate_all(mine, 1, folder=folder_for(shipped(), 3, tmp_path, resume=True)))
    assert simulated == [64, 96]
    pd.testing.assert_frame_equal(whole, together([real(b) for b in mine]), check_exact=True)


@pytest.mark.parametrize("kind", ["collar", "pin", "chain", "strap", "crib"])
def test_ways_that_are_alike_are_simulated_together_as_they_are_one_by_one(kind: str) -> None:
    """What would help and other crews, for every kind of device: the same rows, way by way, simulated in one pass."""
    lift = of_kind(kind)
    ways = {name: (s, 20) for name, s in improvements(lift)}
    ways |= {f"crew {k}": (another_crew(lift, 0.2, 3, k), 20) for k in range(3)}
    ways["unlike"] = (replace(lift, need=replace(lift.need, rise=0.9 * lift.need.rise)), 20)
    groups = blocks_of_several(ways, 3)
    assert ("unlike",) in groups and max(map(len, groups)) > 3
    simulated: dict[str, pd.DataFrame] = {}
    for names, several in groups.items():
        simulated |= of_each(names, [simulate_block(b) for b in several])
    assert simulated.keys() == ways.keys()
    for name, (way, n) in ways.items():
        alone = together([simulate_block(b) for b in blocks_of(way, 3, n)])
        pd.testing.assert_frame_equal(alone, simulated[name], rtol=1e-9, atol=1e-9, check_categorical=False)
    assert len({tuple(t["duration_s"]) for t in simulated.values()}) > 3, "nothing was changed"


def test_on_a_cluster_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """A dask cluster of two workers, one of them killed on the way: the same bytes."""
    distributed = pytest.importorskip("distributed", reason="the extra [cluster] is not installed")
    mine = small(shipped(), monkeypatch)
    whole = together(simulate_all(mine, workers=1))
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        victim = next(iter(cluster.workers.values()))

        def kill(done: int) -> None:
            if victim.process is not None and victim.process.is_alive():
                victim.process.process._process.kill()  # as a machine that is switched off

        again = together(simulate_all(mine, cluster=cluster.scheduler_address, on_done=kill))
    pd.testing.assert_frame_equal(whole, again, check_exact=True)


def test_what_the_batch_does_not_cover_the_story_simulate() -> None:
    """Mishaps: chosen by the program, and said; a catcher shared by two devices is simulated by the batch."""
    slow = replace(shipped(), mishaps=(Mishap("slow", call=2, who="left strut", factor=2.0),))
    shared = one_a_place(shipped("trailer", "pinned with cribbing"))
    for scenario, by in ((slow, "the story"), (shared, "the batch")):
        found = study(scenario, 20, helps=False, workers=1)
        assert found.told_by.startswith(by)
        assert found.n == 20


def max_of_two(mean: float, sd: float) -> float:
    """Mean of the later of two lognormals with this mean and sd, by numerical integration."""
    mu, sigma = lognormal(mean, sd)

    def survives(t: float) -> float:
        return 1 - (0.5 * (1 + erf((log(t) - mu) / (sigma * sqrt(2))))) ** 2 if t > 0 else 1.0

    return float(quad(survives, 0, exp(mu + 9 * sigma), limit=300)[0])


def two_sides(need: float = 0.04, stations: tuple[Station, ...] = ()) -> Scenario:
    """A straight lift of 10 mm a call by two lifters that react in a lognormal time and do the rest in fixed ones."""
    operator = Operator("steady", stroke=Draw(1.0), react=Draw(2.0, 1.0), recover=Draw(0.5))
    lifters = tuple(
        Lifter(f"{side} lifter", side, (0.0, y, 1.0), (0.0, y, 0.0), 1.0, operator, 0.5, travel_per_pump=0.01)  # type: ignore[arg-type]
        for side, y in (("left", 1.0), ("right", -1.0))
    )
    return Scenario(
        "two sides", "si", Load(1e4, "straight", (0.0, 0.0, 1.0)), Need((0.0, 0.0, 1.0), need),
        Leader(rule="keep-pace"), Limits(), lifters, stations,
    )  # fmt: skip


def test_the_mean_cycle_is_the_mean_of_the_later_of_two_lognormals() -> None:
    """Nobody captures, so 20 calls never settle: each takes the later reaction, a stroke and a recovery."""
    scenario = replace(two_sides(need=0.05), leader=Leader(rule="keep-pace", max_calls=20))
    found = study(scenario, 4000, helps=False, workers=1)
    assert (found.table["calls"] == 20).all()
    cycle = found.spreads["duration_s"].mean
    expected = 20 * (max_of_two(2.0, 1.0) + 1.5)
    assert cycle.low - 0.02 * (cycle.high - cycle.low) <= expected <= cycle.high + 0.02 * (cycle.high - cycle.low)


def test_the_intervals_of_repeated_studies_cover() -> None:
    """600 studies of 60 lifts whose mean time and whose chance are known: 93 to 97 % of the means, at least 95 % of the
    chances (Clopper-Pearson covers no less than it says)."""
    scenario = replace(two_sides(need=0.05), leader=Leader(rule="keep-pace", max_calls=20))
    simulated = together(simulate_all(blocks_of(scenario, 11, 600 * 60), workers=1))
    times = simulated["duration_s"].to_numpy().reshape(600, 60)
    expected = 20 * (max_of_two(2.0, 1.0) + 1.5)
    means = [mean(each) for each in times]
    assert 0.93 <= np.mean([m.low <= expected <= m.high for m in means]) <= 0.97
    one = replace(scenario, leader=Leader(rule="keep-pace", max_calls=1))
    late = together(simulate_all(blocks_of(one, 11, 600 * 60), workers=1))["duration_s"].to_numpy() > 1.5 + 3.0
    mu, sigma = lognormal(2.0, 1.0)
    chance = 1 - (0.5 * (1 + erf((log(3.0) - mu) / (sigma * sqrt(2))))) ** 2  # either reacts in more than 3 s
    found = [clopper_pearson(int(each.sum()), 60) for each in late.reshape(600, 60)]
    assert 0.95 <= np.mean([e.low <= chance <= e.high for e in found]) < 1


def test_what_whole_steps_leave_is_what_the_pins_leave_standing() -> None:
    """Holes every 25 mm, 10 mm a call: after calls 1, 2, 3, 4, 5 there stand 10, 20, 5, 15, 0 mm."""
    pin = Pin("pin", spacing=0.025, swap=Draw(1.0, 0.2))
    station = Station("post", "both", (0.0, 0.0, 1.0), (0.0, 0.0, 0.0), (pin,), ("post",))
    scenario = replace(two_sides(0.05, (station,)), leader=Leader(gap_limit=0.1))
    found = study(scenario, 200, helps=False, workers=1)
    assert found.table["largest_standing_gap_m"].to_numpy() == pytest.approx(np.full(200, 0.020))
    assert found.table["captures: post"].tolist() == [2] * 200
    assert found.table["settled_rise_m"].to_numpy() == pytest.approx(np.full(200, 0.05))


def test_the_holds_are_what_a_swap_takes_longer_than_the_recovery() -> None:
    """A hole every call: each hold is a lognormal swap less 0.5 s of recovery, where it is longer; in closed form."""
    pin = Pin("pin", spacing=0.01, swap=Draw(1.0, 0.8))
    station = Station("post", "both", (0.0, 0.0, 1.0), (0.0, 0.0, 0.0), (pin,), ("post",))
    scenario = replace(two_sides(0.1, (station,)), leader=Leader(gap_limit=0.001))
    found = study(scenario, 4000, helps=False, workers=1)
    assert (found.table["calls"] == 10).all() and (found.table["captures: post"] == 10).all()
    mu, sigma = lognormal(1.0, 0.8)

    def phi(x: float) -> float:
        return 0.5 * (1 + erf(x / sqrt(2)))

    d = (mu - log(0.5)) / sigma  # E max(0, X - k) of a lognormal X, as in Black and Scholes
    each = phi(d + sigma) - 0.5 * phi(d)
    holds = found.spreads["hold_time_s"].mean
    assert holds.low <= 9 * each <= holds.high


def test_answers_and_their_two_kinds_of_doubt() -> None:
    """Intervals hold their value; slower people take longer than faster ones; the named lifts can be simulated."""
    found = study(shipped(), 300, crew_sd=0.2, workers=1)
    for spread in found.spreads.values():
        assert spread.mean.low <= spread.mean.value <= spread.mean.high
        assert all(e.low <= e.value <= e.high for e in spread.quantiles.values())
    assert found.doubt is not None
    faster, slower = found.doubt.over_assumed("duration_s") or (0.0, 0.0)
    assert slower > found.spreads["duration_s"].mean.value > faster > 0
    worst = next(x for x in found.named if x.which == "worst")
    assert worst.gap == found.table["largest_gap_m"].max()
    assert found.command(worst, "my lift.toml").startswith("liftcadence run 'my lift.toml' --seed 0 --replication ")
    assert {w.station for w in found.waited} == {p.name for p in shipped().places}
    assert sum(w.hold_time for w in found.waited) == pytest.approx(1)
    assert found.helps[0].change == "threaded: turns a fifth faster"
    assert found.helps[0].time.high < 0


def test_a_pilot_of_other_people_fixes_the_size() -> None:
    """Of 500 pilot lifts; never fewer than those."""
    limits = replace(shipped().limits, gap=0.0056)  # about the middle of the largest gaps
    assert size_for(replace(shipped(), limits=limits), 0, within=0.05, workers=1) >= 500
    assert size_for(shipped(), 0, within=0.5, workers=1) == 500


def test_the_people_a_lift_asks_for() -> None:
    """Leader, two operators, a catcher a device; one at each place with cribbing beside the pins."""
    scenario = shipped("trailer", "pinned with cribbing")
    assert (people(scenario), people(one_a_place(scenario))) == (9, 7)


def test_another_crew_is_the_same_every_time_and_has_mean_one() -> None:
    """A person's factor depends on seed, crew and name alone; over many crews its mean is 1."""
    factors = []
    for crew in range(400):
        other = another_crew(shipped(), 0.3, 5, crew)
        factors.append(other.lifters[0].operator.stroke.mean / shipped().lifters[0].operator.stroke.mean)
    assert another_crew(shipped(), 0.3, 5, 7) == another_crew(shipped(), 0.3, 5, 7)
    assert np.mean(factors) == pytest.approx(1.0, abs=4 * 0.3 / 20)
    assert all_times(shipped(), 1.0) == shipped()
    assert len({change for change, _ in improvements(shipped())}) == len(list(improvements(shipped())))


def test_how_much_people_differ_may_stand_in_the_scenario() -> None:
    """`[crew] crew_sd` gives the same as the option; without either, other crews are not asked."""
    text = (files("sim.examples") / "trailer.toml").read_text(encoding="utf-8")
    written = parse(f"{text}\n[crew]\ncrew_sd = 0.2\n", "trailer")
    assert written.crew_sd == 0.2
    crews = [study(written, 50, workers=1).doubt, study(shipped(), 50, crew_sd=0.2, workers=1).doubt]
    assert crews[0] == crews[1] and len(crews[0].crews) == 20
    for bare in (study(written, 50, crew_sd=0.0, workers=1), study(shipped(), 50, workers=1)):
        assert bare.doubt is not None and bare.doubt.over_crews("duration_s") is None


def test_a_valve_that_lets_the_load_down_faster_is_a_help_and_one_that_is_slower_is_not() -> None:
    """Lowering is a rate, as turns are: a fifth more of it, not less."""
    from sim.many.what_if import all_times, improvements
    from tests.sim.story.test_lowering import WORKED

    (name,) = [name for name, _ in improvements(WORKED) if "lowering" in name]
    (helped,) = [scenario for each, scenario in improvements(WORKED) if each == name]
    own = WORKED.lifters[0].operator.lowering.mean
    assert name.endswith("faster") and helped.lifters[0].operator.lowering.mean > own
    assert all_times(WORKED, 1.2).lifters[0].operator.lowering.mean < own
