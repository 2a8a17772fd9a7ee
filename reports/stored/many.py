"""Studies and cadences as they are stored."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any, cast

from reports.many.cadence_page import write_cadence_page
from reports.many.study_page import write_study_page
from reports.words import cadence as cadences
from reports.words import study as words
from reports.words.doubt import sentences
from reports.words.stops import stops_json
from sim.many.cadence import Cadence
from sim.many.studied import Study
from sim.model.scenario import Scenario
from sim.stored.store import json_text, provenance, save


def store_study(study: Study, file: str, out: Path, page: bool) -> Path:
    """A study's folder: scenario, summary, a row a replication as Parquet, page."""
    table = BytesIO()
    study.table.to_parquet(table)
    files: dict[str, str | bytes] = {
        "scenario.toml": study.scenario.text,
        "summary.json": _summary(study.scenario, "study", study.as_json(), _said(study)),
        "replications.parquet": cast(bytes, table.getbuffer()),  # no copy of it
    }
    if page:
        files["study.html"] = write_study_page(study, file)
    return save(f"{study.scenario.title} study", files, out)


def store_cadence(found: Cadence, out: Path, page: bool) -> Path:
    """A cadence's folder: scenario, summary, page."""
    files: dict[str, str | bytes] = {
        "scenario.toml": found.scenario.text,
        "summary.json": _summary(found.scenario, "cadence", found.as_json(), _answered(found)),
    }
    if page:
        files["cadence.html"] = write_cadence_page(found)
    return save(f"{found.scenario.title} cadence", files, out)


def _said(study: Study) -> list[str]:
    """The lines that `runs show` prints again."""
    early = f"Stopped early: {study.n:,} of {study.wanted:,} replications were finished and count here."
    units = study.scenario.units
    lines = [words.headline(study, units), words.SIMULATION_ONLY, *sentences(study, units), *words.waits(study)]
    return [*lines, early] if study.n < study.wanted else lines


def _answered(found: Cadence) -> list[str]:
    units = found.scenario.units
    return [cadences.answer(found, units), *cadences.cadence_lines(found, units)]


def _summary(scenario: Scenario, kind: str, data: dict[str, Any], said: list[str]) -> str:
    head = {
        "stops": stops_json(scenario),
        "format": data["format"],
        "title": f"{scenario.title}: {kind}",
        "outcome": kind,
        "variant": scenario.variant,
        "said": said,
    }
    whole = {**head, kind: data, "provenance": provenance(scenario)}
    return json_text(whole) + "\n"
