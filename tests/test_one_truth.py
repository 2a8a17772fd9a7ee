"""One lift, one truth: the same figure of the same lift, from wherever it is shown.

Grouped by who the people are: everybody at their mean times (`check`, `compare`, `run --fixed`), and one replication
(`run`, its row in `study`, its page). A key of `summary.json` that nobody mapped here fails the first test.
"""

from __future__ import annotations

import html
import json
import math
import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given

from reports.words.drops import how_far
from reports.words.plain import clock
from sim.check import check
from sim.model.scenario import Scenario
from sim.model.units import show, show_up
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.commands import run
from tests.random_lifts import lifts

SHIPPED = [("trailer", ""), ("trailer", "pinned"), ("van", ""), ("van", "pinned with cribbing")]
SEED, REPLICATION = 3, 5

# The columns of a study's table, by key of the summary; * is the name of a place or lifter, which follows the column.
SAME = (
    "outcome", "calls", "duration_s", "holds", "hold_time_s", "levelling_calls", "over_limit_calls", "resets",
    "passing_over_limit_s", "standing_over_limit_s", "largest_level_difference_m", "final_level_difference_m",
    "point_rise_m", "settled_rise_m", "overshoot_m", "ram_only_s",
)  # fmt: skip
BY_NAME = ("pumps", "waited_for_s", "ram_travel_m", "head_rise_m")
GAPS, DROPS = ("largest_gap", "largest_passing_gap", "largest_standing_gap"), ("pressure_lost", "lifter_lost")
AT_A_PLACE = ("largest_passing_gap_m", "largest_standing_gap_m", "captures", "open_time_s", "largest_open_m")
IN_THE_STUDY = {
    **{key: key for key in SAME},
    **{f"{key}.*": f"{key}: *" for key in BY_NAME},
    **{f"{gap}.gap_m": f"{gap}_m" for gap in GAPS},
    **{f"{gap}.{key}": f"{gap}_{key}" for gap in GAPS for key in ("station", "call", "time_s")},
    **{f"largest_drop_{d}.drop_m": f"drop_{d}_m" for d in DROPS},
    **{f"largest_drop_{d}.total_m": f"drop_{d}_m" for d in DROPS},
    **{f"largest_drop_{d}.next_drop_m": f"drop_{d}_next_m" for d in DROPS},
    **{f"largest_drop_{d}.{k}": f"drop_{d}_{k}" for d in DROPS for k in ("side", "call", "time_s", "energy_J", "onto")},
    **{f"stations.*.{key}": f"{key}: *" for key in AT_A_PLACE},
}
IN_THE_CHECK = {
    **{f"largest_drop_{d}.{k}": k for d in DROPS for k in (
        "drop_m", "fall_m", "rest_m", "peak_N", "give_known", "total_m", "side", "call", "energy_J", "onto",
        "next_drop_m", "next_onto",
    )},
}  # fmt: skip
NOT_OF_ITS_PEOPLE = {  # what says which lift it is, what was wanted, or is the same whoever lifts
    "format", "title", "variant", "units", "seed", "replication", "fixed_values", "reason", "needed_rise_m",
    "lifters.*.axial_start_N", "lifters.*.axial_end_N", "lifters.*.rise_per_pump_m", "mishaps_that_never_came",
}  # fmt: skip
ONLY_HERE = {  # the instant of a drop in full; the larger of two that are in the study
    *(f"largest_drop_{d}.{k}" for d in DROPS for k in ("rise_m", "next_onto", "next_time_s", "next_call")),
    "stations.*.largest_gap_m",
    *(f"largest_made_gap.{k}" for k in ("gap_m", "station", "call", "time_s")), "stations.*.largest_made_gap_m",
    "hands_in_on_rams_alone_s", "stages",
}  # fmt: skip


def example(folder: Path, name: str) -> str:
    """A scenario that ships, in a folder: its file's name."""
    (folder / f"{name}.toml").write_text((files("sim.examples") / f"{name}.toml").read_text("utf-8"), "utf-8")
    return f"{name}.toml"


def said(folder: Path, *words: str) -> Any:
    """The JSON of a command."""
    done = run(folder, *words, "--json")
    assert done.returncode in (0, 1), done.stderr
    return json.loads(done.stdout)


def flat(summary: dict[str, Any], path: tuple[str, ...] = ()) -> Iterator[tuple[str, str, Any]]:
    """Key with * for a name, that name, and value, of all that is in a summary."""
    for key, value in summary.items():
        here = (*path, key)
        if isinstance(value, dict):
            yield from flat(value, here)
        else:
            named = len(here) > 1 and here[0] in {*BY_NAME, "stations", "lifters"}
            yield ".".join((here[0], "*", *here[2:]) if named else here), here[1] if named else "", value


def same(a: Any, b: Any) -> bool:
    """Equal, numbers as nearly as a study keeps them; None, an empty word, nan and -1 all say that there is none."""
    if a is None or a == "":
        return b in (None, "", -1) or math.isnan(b)
    return bool(a == pytest.approx(float(b), abs=1e-9, rel=1e-6)) if isinstance(a, float) else bool(a == b)


def test_every_key_of_a_summary_is_mapped() -> None:
    """To a column of the study, or to the reason why there is none."""
    found = {key for key, _, _ in flat(measure(simulate_fixed(drawn_from("trailer"))))}
    assert found - IN_THE_STUDY.keys() - IN_THE_CHECK.keys() - NOT_OF_ITS_PEOPLE - ONLY_HERE == set()


def drawn_from(name: str, variant: str = "") -> Scenario:
    """A scenario that ships."""
    from sim.written.reading import parse

    return parse((files("sim.examples") / f"{name}.toml").read_text(encoding="utf-8"), name, variant)


@pytest.mark.parametrize(("name", "variant"), SHIPPED)
def test_at_mean_times_check_compare_and_run_say_the_same(name: str, variant: str, tmp_path: Path) -> None:
    """Each by its own command."""
    file = example(tmp_path, name)
    which = ("--variant", variant) if variant else ()
    fixed = said(tmp_path, "run", file, "--fixed", "--no-page", *which)
    compared = said(tmp_path, "compare", file, "-n", "2", "--no-page")[variant or "as written"]
    checked = said(tmp_path, "check", file, *which)
    others = {(key, place): value for key, place, value in flat(compared)}
    for key, place, value in flat({k: v for k, v in fixed.items() if k in measure(simulate_fixed(drawn_from(name)))}):
        assert key == "variant" or same(value, others[key, place]), key
    for drop in DROPS:
        for key in (k.split(".")[1] for k in IN_THE_CHECK if k.startswith(f"largest_drop_{drop}")):
            assert same(checked["drops"][drop][key], fixed[f"largest_drop_{drop}"][key]), key
    assert [f["what"] for f in checked["findings"] if f["level"] == "stop"] == [s["what"] for s in fixed["stops"]]


@pytest.mark.parametrize(("name", "variant"), SHIPPED)
def test_a_replication_is_the_same_in_run_study_and_page(name: str, variant: str, tmp_path: Path) -> None:
    """Row 5 of the study is the fifth replication of the run, and its page says it in words."""
    file = example(tmp_path, name)
    which = (*(("--variant", variant) if variant else ()), "--seed", str(SEED))
    summary = said(tmp_path, "run", file, "--replication", str(REPLICATION), "--out", "run", *which)
    said(tmp_path, "study", file, "-n", "8", "--no-changes", "--no-page", "--workers", "1", "--out", "study", *which)
    table = pd.read_parquet(next((tmp_path / "study").glob("*/replications.parquet")))
    row, compared = table.iloc[REPLICATION], 0
    for key, place, value in flat(summary):
        if key in IN_THE_STUDY:
            column = IN_THE_STUDY[key].replace("*", place)
            assert same(value, row[column]), column
            compared += 1
    assert compared > 50
    page = next((tmp_path / "run").glob("*/report.html")).read_text("utf-8")
    words = re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))
    units = summary["units"]
    shown = [clock(summary["duration_s"]), show_up(summary["largest_gap"]["gap_m"], "length", units)]
    shown += [show(summary["settled_rise_m"], "length", units)]
    shown += [how_far(summary["largest_drop_lifter_lost"]).words(units)]
    for figure in shown:
        assert figure in words, figure


@given(lifts(mishaps=False))
def test_a_drawn_lift_s_check_has_the_drops_of_its_run(scenario: Scenario) -> None:
    """All of each drop: how far, onto what, its peak, and the most if that does not hold."""
    summary = measure(simulate_fixed(scenario))
    drops = {name: drop for name, drop in check(scenario).as_json()["drops"].items()}
    for drop in DROPS:
        for key in (k.split(".")[1] for k in IN_THE_CHECK if k.startswith(f"largest_drop_{drop}")):
            assert same(drops[drop][key], summary[f"largest_drop_{drop}"][key]), key
