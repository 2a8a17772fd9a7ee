"""DEVELOPERS.md shows what works: its examples are run, in order, as one file."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

from reports.paper.figures import TRACES
from sim.batch import why_not
from sim.check.findings import Finding
from sim.model.devices import Device
from sim.model.devices.protocol import can_capture

PAGE = Path(__file__).parents[1] / "DEVELOPERS.md"


@cache
def made() -> dict[str, Any]:
    """What the examples have made, by name."""
    blocks = re.findall(r"^```python\n(.*?)^```", PAGE.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    names: dict[str, Any] = {"__name__": "developers"}
    exec(compile("\n".join(blocks), str(PAGE), "exec", dont_inherit=True), names)
    return names


def test_the_device_has_all_that_is_asked_for() -> None:
    """Every member of the protocol, and no other is needed for a lift to be simulated."""
    asked = {name for name in (*vars(Device), *get_type_hints(Device)) if not name.startswith("_")}
    assert all(hasattr(made()["blocks"], name) for name in asked)
    assert made()["record"].outcome == "raised"
    assert made()["summary"]["stations"]["left strut"]["captures"] > 1


def test_the_device_catches_whole_blocks() -> None:
    """What is left standing is less than one; the catcher is done when no block fits."""
    blocks, record = made()["blocks"], made()["record"]
    held = record.events.loc[record.events["station"] == "left strut", "captured_m"]
    assert ((held / blocks.block).round(9) % 1 == 0).all()
    assert not can_capture(blocks, blocks.at_start(0.0), 0.9 * blocks.block)


def test_the_batch_leaves_the_device_to_the_story() -> None:
    """As the page says."""
    assert "stack" in why_not(made()["bagged"])


def test_the_table_makes_the_device() -> None:
    """Written as in a file, units and all."""
    table = made()["WrittenStack"].model_validate({"kind": "stack", "block": "20 mm", "slide": "3 s", "react": "1 s"})
    assert table.device("blocks") == made()["blocks"]
    assert get_args(made()["WrittenStack"].model_fields["kind"].annotation) == ("stack",)


def test_the_measure_is_the_mean_of_what_lies_between_calls() -> None:
    """From the leader's rows themselves."""
    events = made()["record"].events
    calls = events.loc[events["what"].isin(["calls", "levels"]), "time_s"]
    span = calls.iloc[-1] - calls.iloc[0]
    assert made()["intervals"]["mean_call_interval_s"] == pytest.approx(span / (len(calls) - 1))


def test_the_finding_is_found_where_a_head_is_high() -> None:
    """None on the trailer; one for each lifter when the bound is low."""
    assert made()["found"] == []
    names = made()
    names["HIGH"], high = 0.1, names["HIGH"]
    try:
        found = list(names["high_head_findings"](names["Course"](names["bagged"], names["record"])))
    finally:
        names["HIGH"] = high
    assert [type(each) for each in found] == [Finding, Finding]


def test_the_figure_is_one_that_pages_can_draw() -> None:
    """A bar for each call after the first."""
    (bars,) = made()["figure"]["data"]
    assert bars["type"] in TRACES and len(bars["y"]) == made()["summary"]["calls"] - 1


def test_the_lesson_asks_what_it_can_answer() -> None:
    """The printed result is the difference of the printed gaps."""
    (question,) = made()["asked"]
    more, less = (float(number) for number in re.findall(r"([\d.]+) in", question.put_in))
    assert float(question.result.split()[0]) == pytest.approx(more - less)
    assert question.formula and list(made()["computed"].tables["strokes"]["strokes"]) == [1, 2, 3, 4]
