"""One lift, one truth, on the way down: the same figure of the same lift, from wherever it is shown."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pandas as pd

from reports.lift import call_sheet
from reports.words.plain import clock
from reports.words.stages import way_down
from sim.model.units import show_up
from sim.story.lift import simulate
from sim.written.reading import read
from tests.commands import run
from tests.staged import UP_AND_DOWN, staged

SEED, REPLICATION = 3, 5
KINDS = ("passing", "standing", "made")


def said(folder: Path, *words: str) -> Any:
    """The JSON of a command."""
    done = run(folder, *words, "--json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def plan(folder: Path) -> str:
    """The shipped trailer, up and down again, in a folder: its file's name."""
    (folder / "down.toml").write_text(staged(UP_AND_DOWN), encoding="utf-8")
    return "down.toml"


def words_of(page: str) -> str:
    """What a reader sees."""
    seen = re.sub(r"<(style|script)\b.*?</\1>", " ", page, flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", seen)).replace("\xa0", " "))


def test_a_lift_that_is_lowered_is_done_and_run_and_compare_say_the_same_of_it(tmp_path: Path) -> None:
    """Exit code 0, and each stage alike."""
    file = plan(tmp_path)
    fixed = said(tmp_path, "run", file, "--fixed", "--no-page")
    compared = said(tmp_path, "compare", file, "-n", "2", "--no-page")["as written"]
    assert fixed["outcome"] == compared["outcome"] == "lowered"
    for key in ("largest_made_gap", "stages", "hands_in_on_rams_alone_s"):
        assert fixed[key] == compared[key], key
    for kind in KINDS:
        largest = max(stage[f"largest_{kind}_gap"]["gap_m"] for stage in fixed["stages"])
        assert largest == fixed[f"largest_{kind}_gap"]["gap_m"]
    assert sum(stage["calls"] for stage in fixed["stages"]) == fixed["calls"]


def test_a_replication_is_the_same_in_run_study_page_terminal_and_call_sheet(tmp_path: Path) -> None:
    """Its made gap, the time of its stages, what the way down took."""
    file = plan(tmp_path)
    which = ("--seed", str(SEED))
    summary = said(tmp_path, "run", file, "--replication", str(REPLICATION), "--out", "run", *which)
    studied = said(
        tmp_path, "study", file, "-n", "6", "--no-changes", "--no-page", "--workers", "1", "--out", "study", *which
    )
    row = pd.read_parquet(next((tmp_path / "study").glob("*/replications.parquet"))).iloc[REPLICATION]
    for kind in KINDS:
        assert abs(row[f"largest_{kind}_gap_m"] - summary[f"largest_{kind}_gap"]["gap_m"]) < 1e-9
    judged = max(summary[f"largest_{kind}_gap"]["gap_m"] for kind in ("passing", "standing"))
    assert studied["measures"]["judged_gap_m"]["largest"] >= judged - 1e-9
    page = words_of(next((tmp_path / "run").glob("*/report.html")).read_text("utf-8"))
    record = simulate(read(tmp_path / file), SEED, REPLICATION)
    sheet = words_of(call_sheet.sheet(record))
    made = show_up(summary["largest_made_gap"]["gap_m"], "length", "us")
    for stage in summary["stages"]:
        assert clock(stage["duration_s"]) in page and clock(stage["duration_s"]) in sheet
    assert made in page and made in sheet and made in way_down(summary, "us")
    terminal = run(
        tmp_path, "run", file, "--replication", str(REPLICATION), "--no-page", "--out", "again", *which
    ).stdout
    assert made in terminal and all(clock(stage["duration_s"]) in terminal for stage in summary["stages"])
