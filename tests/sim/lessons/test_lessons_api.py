"""`import sim`, for notebooks: cheap, and a line for each thing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import sim

NOTEBOOK = Path(sim.__file__).parent / "examples" / "lessons.ipynb"


def test_import_sim_brings_nothing_heavy() -> None:
    """Neither numpy nor pandas nor simpy before something is asked for."""
    asks = "import sim, sys; print([m for m in ('numpy', 'pandas', 'simpy', 'scipy') if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", asks], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"


def test_every_public_name_is_there_and_no_other() -> None:
    """And an unknown one says so."""
    for name in sim.__all__:
        assert callable(getattr(sim, name))
    with pytest.raises(AttributeError, match="lift_it"):
        _ = sim.lift_it  # type: ignore[attr-defined]


def test_compare_has_a_row_a_variant_and_equals_one_lift() -> None:
    """The same numbers as the lift simulated alone."""
    scenario = sim.load("trailer")
    table = sim.compare(scenario)
    assert list(table.index) == ["as written", *scenario.variants]
    alone = sim.measure(sim.run(sim.load("trailer", "pinned")))
    assert table.loc["pinned", "duration_s"] == alone["duration_s"]
    assert table.loc["pinned", "largest_gap.gap_m"] == alone["largest_gap"]["gap_m"]


def test_study_has_a_row_a_replication_and_any_can_be_simulated_again() -> None:
    """Replication 2 of a seed is the lift with those people."""
    scenario = sim.load("van")
    table = sim.study(scenario, n=3, seed=7, helps=False, workers=1).table
    assert len(table) == 3
    again = sim.measure(sim.run(scenario, seed=7, replication=2))
    assert table.loc[2, "duration_s"] == again["duration_s"]


def test_the_study_of_a_notebook_is_that_of_the_command() -> None:
    """One function, the batch and all; and no module of ours hides a public name."""
    from sim.many.study import study

    assert sim.study is study
    inside = {path.stem for path in Path(sim.__file__).parent.iterdir()}
    assert inside.isdisjoint(sim.__all__)


def test_load_takes_a_path_or_the_name_of_an_example(tmp_path: Path) -> None:
    """A file of one's own is read as it is."""
    file = tmp_path / "mine.toml"
    file.write_text(sim.load("trailer").text.replace("Trailer nose", "My trailer"), encoding="utf-8")
    assert sim.load(file).title.startswith("My trailer")
    assert sim.load("trailer").title.startswith("Trailer nose")


def test_the_notebook_runs_from_top_to_bottom(tmp_path: Path) -> None:
    """As it ships, in a fresh kernel."""
    nbformat = pytest.importorskip("nbformat")
    nbclient = pytest.importorskip("nbclient")
    notebook = nbformat.read(NOTEBOOK, as_version=4)
    nbclient.NotebookClient(notebook, timeout=300, resources={"metadata": {"path": str(tmp_path)}}).execute()
    last = notebook.cells[-1].outputs[0]["data"]["text/plain"]
    assert "True" in last
