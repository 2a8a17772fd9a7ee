"""A debrief as people get it: page, terminal, JSON, a stored drill; and the command that makes them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from rich.console import Console

from reports.drill.debrief_page import write_debrief_page
from reports.drill.timer import cards, leader_buttons, write_timer
from reports.stored.drill import debrief_files
from reports.terminal.debrief import show_debrief
from reports.words.drill.debrief import share_words
from sim.drill.against import against, trends
from sim.drill.debriefed import Debrief, debrief
from sim.drill.drilled import drilled
from sim.drill.log.lines import parse_log
from sim.examples import example
from sim.model.scenario import Scenario
from sim.story.lift import simulate
from sim.written.reading import parse
from tests.commands import run
from tests.drills import as_log
from tests.reports.browser import chromium

JUDGES = re.compile(r"\b(safe|safely|secure|ok|okay|pass|passed|passes|approved)\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def trailer() -> Scenario:
    return parse(example("trailer"), "trailer.toml")


@pytest.fixture(scope="module")
def found(trailer: Scenario) -> Debrief:
    logs = [parse_log(as_log(simulate(trailer, seed)) + "7,left stut,caught\n", f"{seed}.csv") for seed in range(2)]
    return debrief(logs, trailer, "trailer.toml", plan=False)


def text_of(page: str) -> str:
    page = re.sub(r"(?s)<script.*?</script>|<style.*?</style>|<!--.*?-->", " ", page)
    return re.sub(r"<[^>]+>", " ", page)


def test_the_page_says_that_times_are_observed_and_gaps_computed(found: Debrief) -> None:
    """And has everything: drills, the crew's times, tables, the log's problems by line."""
    said = text_of(write_debrief_page(found))
    assert "Times were observed. Gaps, drops and rises are computed" in said
    for part in ("0.csv", "1.csv", "steady: react", "[operator.steady]", "“left stut”", "if the station holds"):
        assert part.replace("“", "&#34;").replace("”", "&#34;") in said or part in said
    assert "too few drills" in said.lower()
    assert "Never work under a load held only by a jack" in said


def test_nothing_judges(found: Debrief) -> None:
    """No word calls a lift safe; nothing is fetched from anywhere."""
    page = write_debrief_page(found)
    assert not JUDGES.search(text_of(page))
    assert not re.search(r"""(?:src|href)=["']https?:""", page)


def test_a_drill_is_stored_with_its_logs_and_a_page_for_each_lift(found: Debrief) -> None:
    """Scenario, logs, events, summary, report."""
    files = debrief_files(found, {"log-1-a.csv": b"x"}, page=True)
    assert {
        "scenario.toml",
        "summary.json",
        "log-1-a.csv",
        "events-1.csv",
        "events-2.csv",
        "report.html",
        "lift-1.html",
    } <= set(files)
    summary = json.loads(files["summary.json"])
    assert summary["kind"] == "drill"
    assert summary["drills"][0]["calls"] == found.drills[0].summary["calls"]
    assert summary["provenance"]["scenario_sha256"]
    lift = text_of(str(files["lift-1.html"]))
    assert "Times were observed in a drill (0.csv)" in lift
    assert "seed 0" not in lift


def test_the_terminal_says_the_same(found: Debrief) -> None:
    """Headline, facts, crew."""
    console = Console(record=True, width=160, file=open("/dev/null", "w"))  # noqa: SIM115
    show_debrief(found, console)
    said = console.export_text()
    assert "0.csv: Raised: 5.0" in said and "after 12 calls" in said
    assert '"left stut" is nobody here' in said
    assert "threaded: turns" in said
    assert not JUDGES.search(said)


def test_a_drill_by_the_plans_own_people_lies_anywhere_in_the_plan(trailer: Scenario) -> None:
    """Its place in the plan's distribution is even over many drills, so the mean of it is near a half."""
    drills = [drilled([parse_log(as_log(simulate(trailer, seed)), "d.csv")], trailer) for seed in range(40, 64)]
    predicted = {p.key: p for p in against(trailer, drills, n=400)}
    for key in ("duration_s", "hold_time_s"):
        place = predicted[key].below
        assert 0.3 < sum(place) / len(place) < 0.7
    assert share_words(0.995) == "more than nearly all"


def test_a_trend_is_simulated_only_from_four_drills_on_and_with_an_interval(trailer: Scenario) -> None:
    """Drills that get shorter by 10 s each; three of them say nothing."""
    drills = [
        drilled([parse_log(f"0,leader,call\n{80 - 10 * k + k % 2},left strut,caught\n", "d.csv")], trailer)
        for k in range(5)
    ]
    assert trends(drills[:3]) == []
    time = next(t for t in trends(drills) if t.key == "duration_s")
    assert time.change.value == pytest.approx(-9.8, abs=1)
    assert time.change.low < time.change.value < time.change.high < 0


def test_the_timer_has_a_button_for_everybody(trailer: Scenario) -> None:
    """Leader, operators, catchers; none of the words that judge; nothing fetched."""
    what = {b["what"] for b in leader_buttons(trailer)} | {b["what"] for c in cards(trailer) for b in c["buttons"]}
    assert what == {"call", "hold", "stop", "stroke start", "missed", "caught", "start", "gap", "rise"}
    who = {b["who"] for c in cards(trailer) for b in c["buttons"]}
    places = {x.name for x in trailer.lifters} | {c for x in trailer.places for c in x.catchers}
    assert who == places | {"leader"} | {x.name for x in trailer.places}  # a rise is the leader's, a gap the place's
    sized = {(b["who"], b["what"]) for c in cards(trailer) for b in c["buttons"] if b["size"]}
    assert sized == {("leader", "rise")} | {(x.name, "gap") for x in trailer.places}
    page = write_timer(trailer)
    assert "http" not in page.replace("http-equiv", "")
    assert not JUDGES.search(text_of(page))


# --- the command


@pytest.fixture
def folder(tmp_path: Path, trailer: Scenario) -> Path:
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    (tmp_path / "a.csv").write_text(as_log(simulate(trailer, 1)), encoding="utf-8")
    return tmp_path


def test_the_command_measures_stores_and_writes_the_crew(folder: Path) -> None:
    """`debrief LOG FILE --write`; the JSON is what is stored; a file that is there is not written over."""
    done = run(folder, "debrief", "a.csv", "trailer.toml", "--quick", "--json", "--write", "mine.toml")
    assert done.returncode == 0
    said = json.loads(done.stdout)
    assert said["kind"] == "drill" and said["drills"][0]["outcome"] == "raised"
    assert len(list((folder / "runs").glob("*/report.html"))) == 1
    assert parse((folder / "mine.toml").read_text(encoding="utf-8"), "mine.toml").title.startswith("Trailer")
    done = run(folder, "debrief", "a.csv", "trailer.toml", "--quick", "--write", "mine.toml")
    assert done.returncode == 2


def test_the_command_says_what_it_lacks(folder: Path) -> None:
    """No log, no such log, a log that is none."""
    (folder / "empty.csv").write_text("", encoding="utf-8")
    assert run(folder, "debrief", "trailer.toml").returncode == 2
    for log in ("empty.csv", "nowhere.csv"):
        done = run(folder, "debrief", log, "trailer.toml")
        assert done.returncode == 2 and re.search(r"empty|cannot be read", done.stdout + done.stderr)


def test_the_command_writes_the_timer(folder: Path) -> None:
    """`debrief --timer FILE`."""
    assert run(folder, "debrief", "--timer", "trailer.toml").returncode == 0
    assert "Stroke starts" in (folder / "trailer-timer.html").read_text(encoding="utf-8")


@pytest.mark.browser
def test_the_page_draws_its_charts_offline(found: Debrief, tmp_path: Path) -> None:
    """No error, no request, nothing wider than the screen, on a phone and on a desk."""
    file = tmp_path / "report.html"
    file.write_text(write_debrief_page(found), encoding="utf-8")
    with chromium() as browser:
        page = browser.new_context(offline=True).new_page()
        faults: list[str] = []
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
        for width in (390, 1280):
            page.set_viewport_size({"width": width, "height": 800})
            page.goto(file.as_uri())
            page.wait_for_selector("#chart-quantiles-0 svg")
            page.wait_for_function("document.documentElement.scrollWidth <= innerWidth", timeout=10_000)  # once drawn
        assert faults == []
