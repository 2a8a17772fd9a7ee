"""What is stored of a lift, and of a comparison: their summaries, and the files of their folders."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sim.check import Sheet, check
from sim.check.figures import as_json
from sim.measures import measure
from sim.record import Record
from sim.store import provenance

Files = dict[str, str | bytes]


@dataclass(frozen=True)
class Told:
    """One lift, told, measured and checked."""

    record: Record
    sheet: Sheet
    summary: dict[str, Any]


def told(record: Record) -> Told:
    """Measure a lift and check it, worst moments taken from the lift as it went."""
    sheet = check(record.scenario, record)
    summary = measure(record)
    for loss, drop in sheet.drops.items():  # what a tie's stretch adds, where its elongation is known
        summary[f"largest_drop_{loss}"] |= {"stretch_drop_m": drop.stretch_drop, "total_drop_m": drop.total}
    summary |= {
        "findings": as_json(sheet.findings),
        "assumed": list(record.scenario.assumed),
        "provenance": provenance(record.scenario),
    }
    return Told(record, sheet, summary)


def run_files(lift: Told, page: bool) -> Files:
    """The files of one lift's folder."""
    files: Files = {
        "scenario.toml": lift.record.scenario.text,
        "events.csv": lift.record.events.to_csv(index=False, lineterminator="\n"),
        "summary.json": json_text(lift.summary) + "\n",
    }
    if page:
        from reports.run_page import write_run_page

        files["report.html"] = write_run_page(lift.record, lift.summary, lift.sheet.findings)
    return files


def compare_files(records: Sequence[Record], page: bool) -> tuple[dict[str, dict[str, Any]], Files]:
    """The summaries of a scenario and its variants by name, and the files of their folder."""
    summaries = [measure(r) for r in records]
    named = {s["variant"] or "as written": s for s in summaries}
    scenario = records[0].scenario
    head = {"format": summaries[0]["format"], "title": f"{scenario.title}: compared", "outcome": "compared"}
    files: Files = {
        "scenario.toml": scenario.text,
        "summary.json": json_text({**head, "variants": named, "provenance": provenance(scenario)}) + "\n",
    }
    if page:
        from reports.compare import write_compare_page

        files["compare.html"] = write_compare_page(records, summaries)
    return named, files


def json_text(data: Any) -> str:
    """JSON that every reader takes: no NaN."""
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)
