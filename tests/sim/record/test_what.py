"""The words of the record: every one that happens is in the enum, and every one in the enum can happen."""

from __future__ import annotations

import json
from functools import cache
from typing import get_args, get_type_hints

import pytest

from sim.examples import example
from sim.model.chance import FixedValues
from sim.model.devices import Task
from sim.model.scenario import Mishap, Scenario, Stage
from sim.record.columns import as_csv
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.what import CALLS, CAPTURED, LOSSES, OPERATOR_READY, SAID_CAUGHT, Outcome, What
from sim.rehearsal.led import Rehearsal
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse
from tests.builders import (
    MM,
    ONE_OF_EACH,
    chain,
    collar,
    crib,
    lift,
    lifter,
    operator,
    pin,
    reset,
    station,
    strap,
    time,
    two_lifters,
)

UP_AND_DOWN = (Stage("raise", 15 * MM), Stage("hold", time=60.0), Stage("lower", 0.0, leader={"step": 10 * MM}))


def of_every_kind() -> dict[str, Scenario]:
    """Lifts with every device and mishap, every rule and way to end."""
    each = [station(device, name=device.kind) for device in ONE_OF_EACH]
    mishaps = [
        Mishap("pressure-lost", 2, "ram", after=1.0),
        Mishap("lifter-lost", 2, "ram", after=1.0),
        Mishap("slow", 1, "collar collar", factor=3.0),
        Mishap("missed", 2, "ram"),
        Mishap("false-caught", 1, "pin pin"),
        Mishap("stop", 1, after=1.0, time=5.0),
    ]
    assert {m.kind for m in mishaps} == set(get_args(get_type_hints(Mishap)["kind"]))
    two = two_lifters(collar(), right={"operator": operator(fill=0.5)})
    hands = [station(pin(10 * MM), name=name, catcher="rear hand") for name in ("a", "b")]
    return {
        "every device": lift(60 * MM, lifter(name="ram"), *each, gap_limit=20 * MM),
        **{m.kind: lift(60 * MM, lifter(name="ram"), *each, gap_limit=20 * MM, mishaps=(m,)) for m in mishaps},
        "beside each other": lift(40 * MM, lifter(), station(collar(turns=1.0), strap(4 * MM), crib(10 * MM))),
        "one low": lift(40 * MM, *two, level_limit=2 * MM),
        "one hand": lift(30 * MM, lifter(), *hands, walk={"rear hand": time(2.0)}),
        "a gap that stays": lift(35 * MM, lifter(), station(chain(30 * MM)), if_uncapturable="stop"),
        "a thread that ends": lift(20 * MM, lifter(), station(collar(reach=8 * MM)), gap_limit=20 * MM),
        "too few calls": lift(40 * MM, lifter(), station(collar()), max_calls=2),
        "out of travel": lift(15 * MM, lifter(collar(), travel=10 * MM), station(collar()), reset=reset(60, 2 * MM)),
        "slow at work": lift(
            40 * MM,
            lifter(collar(turns=0.5), name="ram"),
            rule="keep-pace",
            mishaps=(Mishap("slow", 2, "ram collar", factor=3.0),),
        ),
        "and down again": lift(15 * MM, lifter(collar()), stages=UP_AND_DOWN),
        "the packing out": lift(
            15 * MM, lifter(collar(), travel=12 * MM), station(collar()), reset=reset(60, 2 * MM), stages=UP_AND_DOWN
        ),
        "no travel to free it": lift(15 * MM, lifter(collar(), travel=20 * MM), stages=UP_AND_DOWN),
    }  # fmt: skip


def led() -> Record:
    """A lift that a person calls, stops and ends before it is high enough."""
    rehearsal = Rehearsal(lift(50 * MM, *two_lifters(collar())), FixedValues())
    rehearsal.advance(0.0)
    assert not rehearsal.call("left lifter", 0.0)
    assert not rehearsal.stop(1.0)
    assert not rehearsal.seen("nothing", "", 2.0)
    rehearsal.end(30.0)
    rehearsal.advance(1000.0)
    return rehearsal.record(0, 0, fixed=True)


@cache
def records() -> dict[str, Record]:
    """All of them, and the scenarios that ship."""
    shipped = {name: simulate(parse(example(name), name), seed=1) for name in ("trailer", "van")}
    return {**{name: simulate_fixed(s) for name, s in of_every_kind().items()}, **shipped, "led": led()}


def test_nothing_happens_that_the_enum_has_no_word_for() -> None:
    """Whatever the devices, the mishaps and the end."""
    for name, record in records().items():
        assert set(record.events["what"]) <= set(What), name


def test_every_word_of_the_enum_happens_in_some_lift() -> None:
    """None is left over, misspelt or never written."""
    assert {what for record in records().values() for what in record.events["what"]} == set(What)


def test_a_lift_comes_out_as_its_last_word_of_the_leader_says() -> None:
    """An outcome is a word of the record too; every one is reached."""
    for name, record in records().items():
        assert record.events["what"][record.events["who"] == "leader"].iloc[-1] == record.outcome, name
    assert {record.outcome for record in records().values()} == set(Outcome)
    assert set(Outcome) < set(What) and set(Task) < set(What)


def test_a_group_holds_words_of_the_enum_each_once() -> None:
    """Written down once, for everybody who asks for them together."""
    for group in (CALLS, LOSSES, CAPTURED, SAID_CAUGHT, OPERATOR_READY):
        assert len(set(group)) == len(group) and set(group) <= set(What)


def test_a_word_that_is_misspelt_is_an_error_and_does_not_measure_zero() -> None:
    """By its name or by its text."""
    with pytest.raises(AttributeError):
        What.STROKE  # type: ignore[attr-defined]  # noqa: B018
    with pytest.raises(ValueError, match="stroke"):
        What("stroke")


def test_tables_and_files_hold_plain_text() -> None:
    """The words themselves, and no member of an enum: in the record, its file, the summary and JSON."""
    record = records()["pressure-lost"]
    assert {type(word) for word in record.events["what"]} == {str}
    assert "What" not in as_csv(record.columns)
    assert type(measure(record)["outcome"]) is str
    assert json.dumps({What.RE_SETS: Outcome.NOT_REACHED}) == '{"re-sets": "not-reached"}'
    assert What.IN_CONTACT == "in contact" and {What.IN_CONTACT: 1}["in contact"] == 1
