"""What goes wrong unannounced in a rehearsal, what the leader names, and how the calling is scored beside the rule."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import pytest

from sim.model.chance import Crew, FixedValues
from sim.model.scenario import Scenario
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.score import calling, score
from sim.rehearsal.surprises import KINDS, Surprise, draw_surprises, possible
from sim.story.lift import simulate
from sim.written.reading import parse, variants
from tests.builders import MM, collar, lift, lifter, pin, station, two_lifters
from tests.sim.rehearsal.scripted import ByTheRule


def trailer() -> Scenario:
    """The example that ships."""
    return parse((files("sim.examples") / "trailer.toml").read_text(encoding="utf-8"), "trailer")


def short_lift() -> Scenario:
    """Two lifters with collars, a strut with a tie on the left."""
    return lift(40 * MM, *two_lifters(collar()), station(collar(), name="strut", side="left"))


def scored(rehearsal: Rehearsal, until: float) -> dict[str, Any]:
    """End it and score it."""
    rehearsal.end(at=until)
    rehearsal.advance(10_000.0)
    return score(rehearsal, 0, 0, fixed=True)


# --- surprises


def test_the_same_seed_brings_the_same_surprises_and_another_seed_others() -> None:
    """Up to three of different kinds, each with someone who is there."""
    scenario = trailer()
    drawn = [draw_surprises(scenario, seed, 12) for seed in range(20)]
    assert drawn == [draw_surprises(scenario, seed, 12) for seed in range(20)]
    assert len(set(drawn)) > 10 and {s.kind for found in drawn for s in found} == set(KINDS)
    for found in drawn:
        assert 1 <= len(found) <= 3 and len({s.kind for s in found}) == len(found)
        assert all(s.who in possible(scenario, s.kind) and 0 <= s.call < 12 for s in found)


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_surprise_changes_the_lift(kind: Any) -> None:
    """The same people and calls without it give another record."""
    scenario = short_lift()
    surprise = Surprise(kind, possible(scenario, kind)[0], 0 if kind == "slack" else 1)
    records = []
    for surprises in ((), (surprise,)):
        r = Rehearsal(scenario, FixedValues(), surprises)
        r.call(at=0.0)
        r.end(at=20.0)
        r.advance(1000.0)
        records.append(r.record(0).events.to_csv())
    assert records[0] != records[1]


def test_a_short_pump_gives_half_a_stroke() -> None:
    """From its call on: 10 mm, then 5."""
    r = Rehearsal(lift(40 * MM, lifter(collar())), FixedValues(), (Surprise("short", "left lifter", 2),))
    r.call(at=0.0)
    r.call(at=10.0)
    assert scored(r, 20.0)["point_rise_m"] == pytest.approx(15 * MM)


def test_the_rule_meets_the_same_surprises() -> None:
    """Called by the rule, a rehearsal with surprises is the rule's own lift beside which it is set."""
    for seed in range(3):
        scenario = trailer()
        r = Rehearsal(scenario, Crew(seed), draw_surprises(scenario, seed, 12))
        ByTheRule(r).lead()
        assert r.run_by_the_rule(seed).events.to_csv() == r.record(seed).events.to_csv()


def test_a_surprise_brought_in_by_hand_comes_with_the_next_call() -> None:
    """The instructor's button: the pump is short from call 2 on, in the rule's lift too."""
    r = Rehearsal(lift(20 * MM, lifter(collar())), FixedValues())
    r.call(at=0.0)
    r.bring_in("short", "left lifter", at=5.0)
    r.call(at=10.0)
    summary = scored(r, 20.0)
    assert summary["point_rise_m"] == pytest.approx(15 * MM)
    assert summary["rehearsal"]["surprises"][0]["by_hand"] is True
    assert summary["rehearsal"]["by_the_rule"]["calls"] == 3


# --- noticing


def named(what: str, where: str, at: float = 6.0) -> dict[str, Any]:
    """A collar at the strut is said to be caught in call 1, and is not; stop is called and something is named."""
    r = Rehearsal(short_lift(), FixedValues(), (Surprise("false-caught", "strut collar", 1),))
    r.call(at=0.0)
    r.stop(at=at)
    r.seen(what, where, at=at + 4.0)
    r.call(at=30.0)
    found: dict[str, Any] = scored(r, 60.0)["rehearsal"]
    return found


def test_a_surprise_that_is_named_was_noticed_and_the_time_counts_from_when_it_could_be_seen() -> None:
    """The strut says caught at 1.5 s, when the side stops; named at 6 s."""
    (surprise,) = named("false-caught", "strut")["surprises"]
    assert surprise["time_s"] == pytest.approx(1.5) and surprise["noticed_after_s"] == pytest.approx(4.5)


@pytest.mark.parametrize(("what", "where"), [("false-caught", "left lifter"), ("slow", "strut"), ("nothing", "")])
def test_another_thing_or_another_place_is_not_noticing(what: str, where: str) -> None:
    """What was not so is counted apart; that nothing was seen is no wrong word."""
    found = named(what, where)
    assert found["surprises"][0]["noticed_after_s"] is None
    assert found["named_what_was_not"] == (0 if what == "nothing" else 1)


def test_a_catcher_who_is_simulated_so_goes_back_and_captures() -> None:
    """Named rightly, the strut is caught before the next call; otherwise its gap of 10 mm is still there."""
    for where, gap in (("strut", 0.0), ("left lifter", 10 * MM)):
        r = Rehearsal(short_lift(), FixedValues(), (Surprise("false-caught", "strut collar", 1),))
        r.call(at=0.0)
        r.stop(at=6.0)
        r.seen("false-caught", where, at=10.0)
        r.advance(30.0)
        strut = next(p for p in r.lift.site.places if p.name == "strut")
        assert strut.gap == pytest.approx(gap) and strut.caught


def test_a_gap_over_the_limit_that_is_named_is_so_or_is_not() -> None:
    """At 1 s the strut's gap is open; at 25 s everything has long been caught."""
    for at, where, so in ((1.0, "strut", True), (1.0, "", True), (25.0, "strut", False)):
        r = Rehearsal(short_lift(), FixedValues())
        r.call(at=0.0)
        r.stop(at=at)
        r.seen("gap", where, at=at + 1.0)
        assert scored(r, 60.0)["rehearsal"]["stops"][0]["it_was_so"] is so


def test_a_surprise_that_the_lift_did_not_come_to_is_not_scored() -> None:
    """Ended after one call: what was to come with the fifth is nobody's failing."""
    r = Rehearsal(short_lift(), FixedValues(), (Surprise("missed", "left lifter", 5),))
    r.call(at=0.0)
    assert scored(r, 20.0)["rehearsal"]["surprises"] == []


# --- the score


def test_the_rule_loses_no_time_to_needless_holds() -> None:
    """Whatever the devices, whether it holds or not."""
    for scenario in (trailer(), *variants(trailer())):
        assert calling(simulate(scenario, 2))["needless_hold_s"] == pytest.approx(0.0, abs=1e-6)


def test_time_after_the_rule_would_have_called_is_a_needless_hold_and_time_frozen_is_not() -> None:
    """The worked lift: the rule calls again at 4 s. Called at 9 s: 5 s lost; 2 s frozen in between: 3 s."""
    for frozen, lost in ((0.0, 5.0), (2.0, 3.0)):
        r = Rehearsal(lift(15 * MM, lifter(collar())), FixedValues())
        r.call(at=0.0)
        if frozen:
            r.stop(at=6.0)
            r.seen("nothing", "", at=6.0 + frozen)
        r.call(at=9.0)
        own = scored(r, 20.0)["rehearsal"]
        assert own["needless_hold_s"] == pytest.approx(lost) and own["stopped_s"] == pytest.approx(frozen)
        assert own["interval_mean_s"] == pytest.approx(9.0) and own["interval_sd_s"] is None


def test_a_call_with_a_pin_out_is_counted() -> None:
    """The pin of the strut is out from 2.5 s to 10.5 s; called at 5 s."""
    r = Rehearsal(lift(40 * MM, lifter(), station(pin(10 * MM))), FixedValues())
    r.call(at=0.0)
    r.call(at=5.0)
    assert scored(r, 60.0)["rehearsal"]["calls_with_a_station_open"] == 1


def test_the_summary_is_that_of_any_run_with_the_rehearsal_beside_it() -> None:
    """Kind, the rule's figures, and plain JSON without NaN; even where nobody ever called."""
    for calls in ((), (0.0, 5.0)):
        r = Rehearsal(short_lift(), FixedValues())
        for at in calls:
            r.call(at=at)
        summary = scored(r, 30.0)
        json.dumps(summary, allow_nan=False)
        assert summary["kind"] == "rehearsal" and summary["calls"] == len(calls)
        assert summary["rehearsal"]["by_the_rule"]["outcome"] == "raised"
