"""A debrief from files to a stored run, with a bar while the plan is simulated over and over."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from reports.drill.debrief_page import debrief_files
from reports.stored.many import progress_bar
from sim.drill.debriefed import Debrief, debrief, read_logs
from sim.model.scenario import Scenario
from sim.stored.store import save, slug


def read_and_debrief(
    files: Sequence[Path], scenario: Scenario, name: str, one_drill: bool, plan: bool, seed: int
) -> Debrief:
    """Read the logs and debrief them."""
    logs = read_logs(files)
    if not plan:
        return debrief(logs, scenario, name, one_drill=one_drill, plan=False, seed=seed)
    with progress_bar("lifts") as progress:
        return debrief(logs, scenario, name, one_drill=one_drill, seed=seed, progress=progress)


def store_debrief(found: Debrief, files: Sequence[Path], runs: Path, page: bool) -> Path:
    """Store it as a drill; the logs go with it, as they were: those that are files, and can be read twice."""
    logs = {f"log-{n}-{slug(file.stem)}.csv": file.read_bytes() for n, file in enumerate(files, 1) if file.is_file()}
    return save(f"{found.scenario.title} drill", debrief_files(found, logs, page), runs)
