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
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reports.lift.run_page import write_run_page
from reports.many.cadence_page import write_cadence_page
from reports.many.compare import write_compare_page
from reports.views.still import svg, time_to_show
from reports.words.drops import how_far
from reports.words.plain import clock
from sim.check import check
from sim.many.cadence import cadence
from sim.many.study import study
from sim.model.scenario import Scenario
from sim.model.units import show, show_up
from sim.record.measures import measure
from sim.stored.store import json_text
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse
from tests.commands import run
from tests.random_lifts import lifts

SHIPPED = [("trailer", ""), ("trailer", "pinned"), ("van", ""), ("van", "pinned with cribbing")]
SEED, REPLICATION = 3, 5

# The columns of a study's table, by key of the summary; * is the name of a place or lifter, which follows the column.
SAME = (
    "outcome", "calls", "duration_s", "holds", "hold_time_s", "levelling_calls", "over_limit_calls", "resets",
    "passing_over_limit_s", "standing_over_limit_s", "largest_level_difference_m", "final_level_difference_m",
    "point_rise_m", "settled_rise_m", "overshoot_m", "ram_only_s", "hands_in_on_rams_alone_s",
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
ONLY_HERE = {  # the instant of a drop in full; the largest of some in the study; what only staged lifts have there
    *(f"largest_drop_{d}.{k}" for d in DROPS for k in ("rise_m", "next_onto", "next_time_s", "next_call")),
    *(f"largest_drop_{d}.next_give_known" for d in DROPS),
    "stations.*.largest_gap_m",
    *(f"largest_made_gap.{k}" for k in ("gap_m", "station", "call", "time_s")), "stations.*.largest_made_gap_m",
    "stages",
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
def test_a_drawn_lift_s_comparison_shows_the_figures_of_its_run(scenario: Scenario) -> None:
    """Beside a crew that lifts otherwise: of each its rise, calls, time, gaps and drops, as its own page says them."""
    other = replace(scenario, leader=replace(scenario.leader, strokes=scenario.leader.strokes + 1))
    records = [simulate_fixed(each) for each in (scenario, other)]
    summaries = [measure(record) for record in records]
    page = write_compare_page(records, summaries, ("as it is", "more strokes"))
    words = re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))
    for summary in summaries:
        shown = [clock(summary["duration_s"]), show(summary["settled_rise_m"], "length", scenario.units)]
        shown += [how_far(summary[f"largest_drop_{drop}"]).words(scenario.units) for drop in DROPS]
        if summary["calls"]:
            shown.append(show_up(summary["largest_gap"]["gap_m"], "length", scenario.units))
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


# --- what stops a lift stops it everywhere

PAGES = {  # what writes a page of a lift, each by its command
    "check": ("check", "weak.toml", "--page", "sheet.html"),
    "run": ("run", "weak.toml"),
    "compare": ("compare", "weak.toml", "-n", "2"),
    "study": ("study", "weak.toml", "-n", "8", "--workers", "1", "--no-changes"),
    "lesson": ("lesson", "the-chase", "--scenario", "weak.toml"),
}


@pytest.fixture
def weak(tmp_path: Path) -> Path:
    """A folder with a lift that the check stops: its lifters are rated at a twelfth of what they were."""
    text = (files("sim.examples") / "trailer.toml").read_text("utf-8")
    (tmp_path / "weak.toml").write_text(text.replace('rated_load = "12000 lb"', 'rated_load = "1000 lb"'), "utf-8")
    return tmp_path


def begins_with_stops(page: str) -> bool:
    """Before any figure of the page its stops are said, as its first and only largest heading, and again in print."""
    body = re.sub(r"<(script|style|header|nav).*?</\1>", " ", page[page.index("<body") :], flags=re.DOTALL)
    heading = re.search(r"<h1[^>]*>(.*?)</h1>", body, re.DOTALL)
    before = re.sub(r"<[^>]+>", " ", body[: heading.start()]) if heading else ""
    assert heading and "do-not-again" in page, "no heading, or nothing on each printed page"
    return "Do not lift like this" in heading[1] and not re.search(r"\d", before)


@pytest.mark.parametrize("command", PAGES)
def test_every_page_of_a_lift_with_stops_begins_with_them(command: str, weak: Path) -> None:
    """Screen and print alike."""
    done = run(weak, *PAGES[command])
    assert done.returncode in (0, 1), done.stderr
    pages = sorted(weak.rglob("*.html"))
    assert pages
    for page in pages:
        assert begins_with_stops(page.read_text("utf-8")), page.name


def test_the_call_sheet_the_cadence_and_the_pictures_of_a_lift_with_stops_begin_with_them(weak: Path) -> None:
    """The sheet is overprinted; a picture cannot be had without what stops its lift."""
    assert run(weak, "run", "weak.toml").returncode == 0
    assert run(weak, "runs", "sheet", "--page", "call.html").returncode == 0
    assert begins_with_stops((weak / "call.html").read_text("utf-8"))
    scenario = parse((weak / "weak.toml").read_text("utf-8"), "weak.toml")
    assert begins_with_stops(write_cadence_page(cadence(scenario, paces=(0.0,), limits=(0.003,), n=20, workers=1)))
    record = simulate_fixed(scenario)
    assert "Do not lift like this" in svg(record, time_to_show(record))


@pytest.mark.parametrize("command", [name for name in PAGES if name != "lesson"])
def test_every_json_of_a_lift_with_stops_begins_with_them(command: str, weak: Path) -> None:
    """`stops` is the first key, of each lift that there is; and so in what is stored."""
    given = [word for word in PAGES[command] if not word.endswith(".html") and word != "--page"]
    result = said(weak, *given)
    for each in result.values() if command == "compare" else [result]:
        assert next(iter(each)) == "stops" and each["stops"], command
        assert {finding["level"] for finding in each["stops"]} == {"stop"}
    for stored in weak.rglob("summary.json"):
        first = json.loads(stored.read_text("utf-8"))
        assert next(iter(first)) == "stops" and first["stops"], command


@settings(max_examples=50, suppress_health_check=[HealthCheck.too_slow])
@given(lifts(mishaps=False), st.integers(0, 1))
def test_a_drawn_lift_is_the_same_in_run_study_page_and_json(scenario: Scenario, replication: int) -> None:
    """Fifty lifts: each key of the summary in its column of the study, and the page's answer in the same figures."""
    record = simulate(scenario, SEED, replication)
    summary, row = measure(record), study(scenario, 2, SEED, helps=False, workers=1).table.iloc[replication]
    stored = json.loads(json_text(summary))
    for key, place, value in flat(summary):
        if key in IN_THE_STUDY:
            assert same(value, row[IN_THE_STUDY[key].replace("*", place)]), key
    for key, place, value in flat(stored):
        assert same(value, dict(((k, n), v) for k, n, v in flat(summary))[key, place]), key
    page = write_run_page(record, summary, drawing_html="")
    words = re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))
    shown = [clock(summary["duration_s"]), show(summary["settled_rise_m"], "length", scenario.units)]
    if summary["calls"]:
        shown.append(show_up(summary["largest_gap"]["gap_m"], "length", scenario.units))
    for figure in shown:
        assert figure in words, figure
