"""What is stored of a lift, and of a comparison: their summaries, and the files of their folders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from reports.words.stops import stops_json
from sim.check import Sheet, check
from sim.model.sentences import words
from sim.record.columns import as_csv
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.stored.store import json_text, provenance

if TYPE_CHECKING:
    from sim.many.compared import Compared

Files = dict[str, str | bytes]


@dataclass(frozen=True)
class LiftResult:
    """One lift, simulated, measured and checked."""

    record: Record
    sheet: Sheet
    summary: dict[str, Any]


def result_of(record: Record) -> LiftResult:
    """Measure a lift and check it, worst moments taken from the lift as it went."""
    apart = Measured(record)
    sheet = check(record.scenario, record, apart)
    summary = {"stops": stops_json(record.scenario)} | measure(record, apart)
    summary |= {
        "findings": [each.as_json(record.scenario.units) for each in sheet.findings],
        "assumed": [words(each, record.scenario.units) for each in record.scenario.assumed],
        "provenance": provenance(record.scenario),
    }
    return LiftResult(record, sheet, summary)


def run_files(lift: LiftResult, page: bool) -> Files:
    """The files of one lift's folder."""
    files: Files = {
        "scenario.toml": lift.record.scenario.text,
        "events.csv": as_csv(lift.record.columns),
        "summary.json": json_text(lift.summary) + "\n",
    }
    if page:
        from reports.lift.run_page import write_run_page
        from reports.words.sheet_sides import gathered

        files["report.html"] = write_run_page(lift.record, lift.summary, gathered(lift.sheet.findings))
    return files


def compare_files(
    named: Sequence[tuple[str, Record]], page: bool, many: Compared | None = None
) -> tuple[dict[str, dict[str, Any]], Files]:
    """The summaries of a scenario and its variants, or of several scenarios, by name; and the files of their folder."""
    records = [record for _, record in named]
    summaries = [{"stops": stops_json(r.scenario)} | measure(r) for r in records]
    by_name = {name: s for (name, _), s in zip(named, summaries, strict=True)}
    scenario, stops = records[0].scenario, [stop for each in summaries for stop in each["stops"]]
    head = {
        "stops": stops,
        "format": summaries[0]["format"],
        "title": f"{scenario.title}: compared",
        "outcome": "compared",
    }
    if many is not None:
        for n, summary in enumerate(summaries):
            ways = {"as_asked": many.as_asked[n], "same_people": many.same_people[n]}
            summary["many_lifts"] = {said: way.as_json() for said, way in ways.items()}
        from reports.words.compared import sentences

        head["said"] = sentences(many, scenario.units)
    texts = list(dict.fromkeys(record.scenario.text for record in records))
    files: Files = {f"scenario{f'-{n}' if n > 1 else ''}.toml": text for n, text in enumerate(texts, 1)}
    files["summary.json"] = json_text({**head, "variants": by_name, "provenance": provenance(scenario)}) + "\n"
    if page:
        from reports.many.compare import label, write_compare_page

        names = [label(r.scenario) for r in records] if len(texts) == 1 else list(by_name)
        files["compare.html"] = write_compare_page(records, summaries, names, many)
    return by_name, files
