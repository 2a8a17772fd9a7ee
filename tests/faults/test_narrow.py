"""A terminal that is narrow, or does not know how wide it is: everything is printed, and no word of it is cut."""

from __future__ import annotations

from pathlib import Path

import pytest

from reports.commands.lift import run as run_lift
from sim.model.scenario import Scenario
from sim.record.record import Record
from tests.faults.hands import TRAILER, run


@pytest.mark.parametrize("columns", ["0", "1", "-3", "wide", ""])
def test_a_width_that_is_none_is_passed_over(tmp_path: Path, columns: str) -> None:
    """COLUMNS=0, as some terminals say before they know: the same as where nobody says how wide."""
    words = ("check", str(TRAILER))
    asked, unasked = run(tmp_path, *words, env={"COLUMNS": columns}), run(tmp_path, *words)
    assert asked.returncode == unasked.returncode and asked.stdout == unasked.stdout and asked.stdout.strip()


@pytest.mark.parametrize(("columns", "times"), [(40, 4), (60, 1)])
def test_a_comparison_is_not_cut(tmp_path: Path, columns: int, times: int) -> None:
    """Every label is there in whole words, four ways one under the other where they do not fit side by side."""
    words = ("compare", str(TRAILER), "-n", "8", "--no-page")
    narrow = run(tmp_path, *words, env={"COLUMNS": str(columns)}).stdout
    assert "…" not in narrow and all(len(line) <= columns for line in narrow.splitlines())
    for word in ("outcome", "largest", "gap", "capture", "settled", "rise", "calls", "limit", "lifts", "simulated"):
        assert narrow.count(word) >= times, word
    assert narrow.count("settled") == times


STATION = """
[[station]]
name = "prop {}"
side = "both"
head = ["120 in", "0 in", "36 in"]
base = ["120 in", "0 in", "0 in"]
capture = ["threaded"]
"""


def test_a_lift_that_takes_long_is_announced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before it starts, with about how long and how much memory; a usual one is not."""
    simulated: list[str] = []

    def simulate(scenario: Scenario, *_: object) -> Record:
        simulated.append(capsys.readouterr().err)
        raise KeyboardInterrupt

    monkeypatch.setattr("reports.commands.lift.simulate_lift", simulate)
    text = TRAILER.read_text().replace('travel_per_pump = "0.15 in"', 'travel_per_pump = "0.1 mm"')
    text += "".join(STATION.format(n) for n in range(40))
    for name, written in (("usual", TRAILER.read_text()), ("long", text)):
        file = tmp_path / f"{name}.toml"
        file.write_text(written)
        with pytest.raises(KeyboardInterrupt):
            run_lift(file, out=tmp_path / "runs")
    usual, long = simulated
    assert "this lift is long" not in usual
    assert "this lift is long" in long and "of 300,000 allowed" in long and "45 s and 0.6 GB of memory" in long
