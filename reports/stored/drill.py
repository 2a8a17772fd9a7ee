"""A debrief as it is stored: plan, logs, events, summary, pages."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from reports.drill.debrief_page import write_debrief_page
from reports.lift.run_page import write_run_page
from reports.stored.run import Files
from reports.words.stops import stops_json
from sim.drill.debriefed import Debrief
from sim.record.columns import as_csv
from sim.stored.store import json_text, provenance, save, slug


def store_debrief(found: Debrief, files: Sequence[Path], runs: Path, page: bool) -> Path:
    """Store it as a drill; the logs go with it, as they were: those that are files, and can be read twice."""
    logs = {f"log-{n}-{slug(file.stem)}.csv": file.read_bytes() for n, file in enumerate(files, 1) if file.is_file()}
    return save(f"{found.scenario.title} drill", debrief_files(found, logs, page), runs)


def debrief_files(found: Debrief, logs: dict[str, bytes], page: bool) -> Files:
    """The files of a drill's folder: plan, logs, events, summary, the page, each drill's lift on its own."""
    summary: dict[str, Any] = {
        "stops": stops_json(found.scenario),
        **found.as_json(),
        "provenance": provenance(found.scenario),
    }
    files: Files = {"scenario.toml": found.scenario.text, "summary.json": json_text(summary) + "\n", **logs}
    for n, drill in enumerate(found.drills, 1):
        files[f"events-{n}.csv"] = as_csv(drill.record.columns)
        if page:
            files[f"lift-{n}.html"] = write_run_page(drill.record, drill.summary)
    if page:
        files["report.html"] = write_debrief_page(found)
    return files
