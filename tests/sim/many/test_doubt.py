"""The second doubt: what the answers hang on, over what the file marks as assumed, and over other crews."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from sim.examples import example
from sim.many import blocks
from sim.many.blocks import blocks_of, simulate_all, together
from sim.many.doubt import answers_of, assumed_ways
from sim.many.doubted import Doubt
from sim.many.studied import Study
from sim.many.study import study
from sim.many.what_if import all_times
from sim.model.errors import KnownError
from sim.model.scenario import Scenario
from sim.written.reading import parse

N = 40
TRAILER = example("trailer").replace('rise = "5 in"', 'rise = "3 in"')  # the same people and places, fewer calls
MARKS = {  # path: the line of the trailer that has it, and with each end in place of its value
    "device.threaded.turns": (
        'turns = {mean = "0.18 /s", sd = "0.04 /s"}', ("0.12 /s", "0.27 /s"),
        'turns = {{mean = "{}", sd = "{sd} /s"}}',
    ),
    "operator.steady.recover": ('recover = "0.5 s"', ("0.4 s", "0.9 s"), 'recover = "{}"'),
    "load.take_up": ('take_up = "0.5 in"', ("0.25 in", "0.9 in"), 'take_up = "{}"'),
    "device.pinned.swap": (
        'swap = {mean = "8 s", sd = "2 s"}', ("6 s", "12 s"), 'swap = {{mean = "{}", sd = "{sd} s"}}',
    ),
}  # fmt: skip


def marked(*paths: str, variant: str = "", add: str = "") -> Scenario:
    """The trailer with ranges for these values."""
    lines = [f'"{path}" = ["{low}", "{high}"]' for path in paths for low, high in (MARKS[path][1],)]
    return parse("\n".join([TRAILER, add, "[assumed]", *lines, ""]), "trailer", variant)


def written(ends: dict[str, str], variant: str = "") -> Scenario:
    """The trailer with these values written into it by hand."""
    text = TRAILER
    for path, end in ends.items():
        line, _, form = MARKS[path]
        sd = {"device.threaded.turns": 0.04 / 0.18, "device.pinned.swap": 0.25}.get(path, 0.0) * float(end.split()[0])
        assert line in text
        text = text.replace(line, form.format(end, sd=sd))
    return parse(text, "trailer", variant)


@pytest.fixture(scope="module")
def found() -> Study:
    """A small study of the trailer with three values marked that count here, and one that does not."""
    return study(marked(*MARKS), N, crew_sd=0.2, workers=1)


def doubt(found: Study) -> Doubt:
    """Its second doubt, which was asked for."""
    assert found.doubt is not None
    return found.doubt


@pytest.mark.parametrize("path", list(MARKS)[:3])
@pytest.mark.parametrize("end", ["low", "high"])
def test_the_range_ends_at_a_study_of_the_scenario_with_that_value_written_in(
    found: Study, path: str, end: str
) -> None:
    """Replication by replication: the same people, the very lifts that the changed file gives."""
    value = MARKS[path][1][end == "high"]
    by_hand = study(written({path: value}), N, helps=False, workers=1).table
    way = assumed_ways(found.scenario).ends[path, end]
    simulated = together(simulate_all(blocks_of(way, 0, N), workers=1))
    pd.testing.assert_frame_equal(simulated, by_hand, rtol=1e-9, check_categorical=False)
    assert simulated["duration_s"].tolist() != found.table["duration_s"].tolist()
    bar = next(each for each in doubt(found).values if each.path == path)
    answers = bar.at_low if end == "low" else bar.at_high
    assert answers["duration_s"] == pytest.approx(by_hand["duration_s"].mean(), rel=1e-9)
    assert answers["largest_gap_m"] == pytest.approx(by_hand["largest_gap_m"].mean(), rel=1e-9)
    assert answers == pytest.approx(answers_of(found.scenario, by_hand))
    assert (bar.low, bar.high) == MARKS[path][1]


def test_the_widest_comes_first_for_each_answer(found: Study) -> None:
    """Which assumption matters most depends on what is asked."""
    for answer in ("duration_s", "largest_gap_m", "a gap over the limit"):
        widths = []
        for bar in doubt(found).widest(answer):
            ends = [bar.at_low[answer], bar.at_high[answer], doubt(found).as_written[answer]]
            widths.append(max(ends) - min(ends))
        assert widths == sorted(widths, reverse=True)
    by_time = [bar.path for bar in doubt(found).widest("duration_s")]
    assert by_time[0] == "device.threaded.turns"
    assert set(by_time) == set(list(MARKS)[:3])


def test_all_at_once_goes_the_way_that_the_single_ends_show(found: Study) -> None:
    """Every value at its slow end, and so on for fast, for a large gap and for a small one; like any study."""
    at_once = {each.what: each for each in doubt(found).at_once}
    assert set(at_once) >= {"slowest", "fastest", "largest gap", "smallest gap"}
    for what, answer, sign in (
        ("slowest", "duration_s", 1), ("fastest", "duration_s", -1),
        ("largest gap", "largest_gap_m", 1), ("smallest gap", "largest_gap_m", -1),
    ):  # fmt: skip
        wanted = {}
        for bar in doubt(found).values:
            options = {"": doubt(found).as_written[answer], bar.low: bar.at_low[answer], bar.high: bar.at_high[answer]}
            best = max(options, key=lambda end: sign * options[end])
            wanted |= {bar.path: best} if best else {}
        assert at_once[what].ends == wanted
        table = study(written(wanted), N, helps=False, workers=1).table
        assert at_once[what].answers == pytest.approx(answers_of(found.scenario, table))
    singles = [x["duration_s"] for bar in doubt(found).values for x in (bar.at_low, bar.at_high)]
    assert at_once["slowest"].answers["duration_s"] > max(singles)
    assert at_once["fastest"].answers["duration_s"] < min(singles)


def test_the_range_of_an_answer_holds_every_end_and_the_answer_as_written(found: Study) -> None:
    """Of the mean time, the mean largest gap and each chance; crews are another range."""
    simulated = doubt(found)
    every = [
        simulated.as_written,
        *(x for b in simulated.values for x in (b.at_low, b.at_high)),
        *(a.answers for a in simulated.at_once),
    ]
    assert set(simulated.as_written) == {"duration_s", "largest_gap_m", *(c.name for c in found.chances)}
    for answer in simulated.as_written:
        values = [each[answer] for each in every]
        assert simulated.over_assumed(answer) == (min(values), max(values))
        crews = [each[answer] for each in simulated.crews]
        assert simulated.over_crews(answer) == (min(crews), max(crews))
    assert len(simulated.crews) == 20
    low, high = simulated.over_assumed("duration_s")
    assert low < found.spreads["duration_s"].mean.value < high
    assert simulated.as_written == pytest.approx(answers_of(found.scenario, found.table))


def test_a_value_that_is_no_part_of_this_lift_is_named_and_not_simulated() -> None:
    """The pin swap of a lift without pins; in the variant with pins it counts, and the collar does not."""
    paths = ("device.threaded.turns", "device.pinned.swap")
    assert assumed_ways(marked(*paths)).idle == ("device.pinned.swap",)
    pinned = assumed_ways(marked(*paths, variant="pinned"))
    assert pinned.idle == ("device.threaded.turns",)
    assert set(pinned.ends) == {("device.pinned.swap", "low"), ("device.pinned.swap", "high")}
    one = study(marked(*paths), 20, workers=1)
    assert doubt(one).idle == ("device.pinned.swap",)
    assert doubt(one).at_once == (), "one value at its ends is all of it"


def test_where_nothing_is_marked_everyone_a_fifth_slower_and_faster_stands_in() -> None:
    """The same range as ever, and no other."""
    scenario = parse(TRAILER, "trailer")
    simulated = doubt(study(scenario, 20, workers=1))
    assert not simulated.marked and simulated.at_once == () and simulated.crews == ()
    (bar,) = simulated.values
    for factor, answers in ((0.8, bar.at_low), (1.2, bar.at_high)):
        table = study(all_times(scenario, factor), 20, helps=False, workers=1).table
        assert answers == pytest.approx(answers_of(scenario, table))
    assert simulated.over_assumed("duration_s") == (bar.at_low["duration_s"], bar.at_high["duration_s"])


def test_the_other_half_of_a_range_that_ends_at_the_value_is_the_answer_as_written() -> None:
    """A value at its own low: nothing to simulate there."""
    text = TRAILER + '\n[assumed]\n"operator.steady.recover" = ["500 ms", "0.9 s"]\n'
    scenario = parse(text, "trailer")
    assert set(assumed_ways(scenario).ends) == {("operator.steady.recover", "high")}
    simulated = doubt(study(scenario, 20, workers=1))
    assert simulated.values[0].at_low == simulated.as_written != simulated.values[0].at_high


def test_no_more_is_simulated_than_a_thousand_lifts_for_each_end() -> None:
    """And the ends of all at once: moderate, however large the study is."""
    totals: list[int] = []
    paths = list(MARKS)[:3]
    study(marked(*paths), 1100, workers=1, progress=lambda done, of: totals.append(of) or _stop(done, of))
    plain: list[int] = []
    study(parse(TRAILER, "t"), 1100, workers=1, progress=lambda done, of: plain.append(of) or _stop(done, of))
    assert totals[0] - plain[0] == (2 * 3 + 4 - 2) * 1000


def _stop(done: int, of: int) -> None:
    raise KeyboardInterrupt


def test_stopped_on_the_way_it_says_which_were_not_simulated(found: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is finished counts; what is not is not made up."""

    def stop(done: int, of: int) -> None:
        if done > N:  # the lift as written, and one block of the others
            raise KeyboardInterrupt

    cut = study(marked(*MARKS), N, workers=1, progress=stop)
    assert cut.n == N
    assert doubt(cut).left_out
    assert {bar.path for bar in doubt(cut).values} | set(doubt(cut).left_out) == {b.path for b in doubt(found).values}
    assert doubt(cut).at_once == ()
    assert "stopped" in doubt(cut).not_at_once
    monkeypatch.setattr(blocks, "SIZE", 16)
    early = study(marked(*MARKS), 32, workers=1, progress=_stop)
    assert early.n == 16 and early.doubt is None


def test_all_at_once_may_be_no_lift_at_all() -> None:
    """A mean fill of 0.99 with an sd that 0.97 would still take: said, with what is wrong; the rest stands."""
    text = example("trailer") + '\n[assumed]\n"operator.steady.fill.mean" = [0.9, 0.99]\n'
    scenario = parse(text + '"operator.steady.fill.sd" = [0.01, 0.15]\n', "trailer")
    simulated = doubt(study(scenario, 40, workers=1))
    assert len(simulated.values) == 2
    assert (
        "largest gap: operator.steady.fill.sd: no share from 0 to 1 has the mean 0.99 and the sd 0.15"
        in simulated.not_at_once
    )
    assert "smallest gap" in {each.what for each in simulated.at_once}
    assert all(
        each.ends != {"operator.steady.fill.mean": "0.99", "operator.steady.fill.sd": "0.15"}
        for each in simulated.at_once
    )


def test_a_scenario_changed_since_it_was_read_is_refused() -> None:
    """Its ranges are of the file; to simulate the ends of another lift as if they were of this one would be wrong."""
    scenario = marked("load.take_up")
    changed = replace(scenario, leader=replace(scenario.leader, pace=9.0))
    with pytest.raises(KnownError, match="changed since it was read"):
        study(changed, 10, workers=1)
    assert study(replace(changed, ranges=()), 10, workers=1).doubt is not None
    assert study(changed, 10, helps=False, workers=1).doubt is None


def test_what_the_story_simulate_has_its_ranges_too() -> None:
    """With something gone wrong: simulated one by one, a hundred of each at most."""
    one = 'catcher = "rear hand"\ncapture = ["threaded"]'
    text = TRAILER.replace('capture = ["threaded"]', one) + '\n[catcher."rear hand"]\nwalk = "3 s"\n'
    text += '[[mishap]]\nkind = "slow"\nwho = "rear hand"\ncall = 2\nfactor = 1.5\n'
    scenario = parse(text + '[assumed]\n"catcher.rear hand.walk" = ["1 s", "6 s"]\n', "trailer")
    found = study(scenario, 2, workers=1)
    assert found.told_by.startswith("the story")
    by_hand = parse(text.replace('walk = "3 s"', 'walk = "6 s"'), "trailer")
    table = study(by_hand, 2, helps=False, workers=1).table
    assert doubt(found).values[0].at_high == pytest.approx(answers_of(scenario, table))


def test_json_has_the_ranges_beside_the_intervals(found: Study) -> None:
    """The two doubts apart: intervals of simulation error only, ranges over what is assumed, over crews."""
    said: dict[str, Any] = found.as_json()
    simulated = said["assumed"]
    assert simulated["marked"] and simulated["replications_each"] == N
    assert simulated["over_assumed"]["duration_s"] == list(doubt(found).over_assumed("duration_s"))
    assert set(simulated["over_crews"]) == set(simulated["over_assumed"])
    assert [v["path"] for v in simulated["values"]] == [b.path for b in doubt(found).widest("duration_s")]
    first = simulated["values"][0]
    assert (first["low"], first["high"]) == MARKS[first["path"]][1]
    assert first["at_low"] == doubt(found).widest("duration_s")[0].at_low
    assert simulated["not_in_this_lift"] == ["device.pinned.swap"]
    assert {each["what"] for each in simulated["all_at_once"]} >= {"slowest", "fastest"}
    chance = said["chances"][0]
    assert chance["over_assumed"] == list(doubt(found).over_assumed(chance["name"]))
    assert set(chance["chance"]) == {"value", "low", "high"}
    assert np.isfinite(simulated["as_written"]["duration_s"])
    bare = study(found.scenario, 5, helps=False, workers=1).as_json()
    assert bare["assumed"] is None
