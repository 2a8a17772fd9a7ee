"""Ways to make a lift side by side: on the same people, with as many as each asks for and with the same number."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest

from sim.many import blocks
from sim.many.blocks import simulate_block
from sim.many.compared import compare
from sim.model.scenario import Scenario
from sim.written.reading import parse


def shipped(variant: str = "") -> Scenario:
    """The trailer."""
    return parse((files("sim.examples") / "trailer.toml").read_text(encoding="utf-8"), "trailer", variant)


def test_threaded_against_pinned_against_pinned_with_cribbing() -> None:
    """Pins leave gaps standing that collars do not; cribbing closes them, and asks for two people or more time."""
    ways = [(v or "threaded", shipped(v)) for v in ("", "pinned", "pinned with cribbing")]
    found = compare(ways, n=30, workers=1)
    threaded, pinned, cribbing = found.as_asked
    assert [w.people for w in found.as_asked] == [7, 7, 9]
    assert [w.people for w in found.same_people] == [7, 7, 7]
    assert threaded.differences == {}
    assert pinned.differences["largest_standing_gap_m"].low > 0.02
    assert cribbing.differences["largest_standing_gap_m"].high < pinned.differences["largest_standing_gap_m"].low
    alone = found.same_people[2]
    assert [w.told_by for w in found.same_people] == ["the batch"] * 3
    assert alone.means["duration_s"].value > cribbing.means["duration_s"].value
    assert found.same_people[1].table["duration_s"].tolist() == pinned.table["duration_s"].tolist()


def test_a_way_against_itself_differs_by_nothing() -> None:
    """The same people make the same lift: every paired difference is 0, not just small."""
    scenario = shipped()
    found = compare([("a", scenario), ("b", scenario)], n=20, workers=1)
    assert found.same_people is found.as_asked
    assert all(d.value == pytest.approx(0, abs=0) for d in found.as_asked[1].differences.values())


def test_an_interrupted_comparison_goes_on_from_its_blocks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped on the way it says so and is no comparison; the rest is simulated later, and the answer is the same."""
    named = [("as written", shipped()), ("no holds", shipped("no holds"))]
    whole = compare(named, n=40, workers=1)

    def stop(done: int, of: int) -> None:
        assert of == 80
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        compare(named, n=40, workers=1, folder=tmp_path, progress=stop)
    assert len(list(tmp_path.glob("*.parquet"))) == 1
    simulated: list[str] = []
    monkeypatch.setattr(blocks, "simulate_block", lambda b: simulated.append(b.scenario.variant) or simulate_block(b))
    assert compare(named, n=40, workers=1, folder=tmp_path).as_json() == whole.as_json()
    assert simulated == ["no holds"]
