"""Formulas, markup and escapes in every name: in files that a spreadsheet opens, in captions, on the terminal."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from reports.commands.talk import console, print_json, say
from reports.drill.timer import write_timer
from reports.lift.lanes import lanes_of
from reports.slides import pictures
from reports.stored.drill import debrief_files
from reports.stored.run import result_of, run_files
from reports.terminal.check import show as show_check
from reports.terminal.compared import show_comparison, show_many
from reports.terminal.console import PlainConsole
from reports.terminal.debrief import show_debrief
from reports.terminal.lift import show_lift
from reports.terminal.runs import show_runs
from reports.terminal.study import show_study
from reports.views.captions import webvtt
from sim.check import check
from sim.drill.debriefed import Debrief, debrief
from sim.drill.log.lines import parse_log
from sim.many.compared import compare
from sim.many.study import study
from sim.model.scenario import Scenario
from sim.record.measures import measure
from sim.stored.store import Stored, record_of, save
from sim.stored.store import stored as stored_runs
from sim.story.lift import simulate as simulate_lift
from sim.story.lift import simulate_fixed
from tests.commands import run
from tests.drills import as_log
from tests.hostile import NAMES, OVER, overdone, scenario, text
from tests.reports.browser import chromium

RUNS = re.compile(r"[\t\r\n]*[=+\-@＝＋－＠]")
OBEYED = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
STYLE = re.compile(r"\x1b\[[0-9;]*m")


def harmful(written: str) -> list[str]:
    """Cells that a spreadsheet would run, whatever it takes for the divider; numbers are none."""
    found = []
    for mark in ",;\t":
        for row in csv.reader(io.StringIO(written, newline=""), delimiter=mark):
            found += [cell for cell in row if RUNS.match(cell) and not re.fullmatch(r"[+-][0-9.e+-]+[0-9]", cell)]
    return found


def debriefed(found: Scenario) -> Debrief:
    log = as_log(simulate_lift(found, 1)) + f'90,"{NAMES["left hand"]}x","=1+1",\n95,=2+2{OVER},call,\n'
    return debrief([parse_log(log, f"{NAMES['title']}.csv")], found, NAMES["title"], plan=False)


# --- spreadsheets


def test_a_stored_lift_opens_harmlessly_and_is_read_again(tmp_path: Path) -> None:
    """No cell of events.csv begins like a formula; what is read back is what was simulated."""
    record = simulate_lift(scenario(), 1)
    files = run_files(result_of(record), page=False)
    assert harmful(str(files["events.csv"])) == []
    assert "'=1+1" in str(files["events.csv"]) and "'@SUM(A1)" in str(files["events.csv"])
    save(record.scenario.title, files, tmp_path)
    (run,) = stored_runs(tmp_path)
    again = record_of(run, record.scenario)
    assert again.events.equals(record.events)
    assert measure(again) == measure(record)


def test_a_stored_drill_opens_harmlessly() -> None:
    """The events of each drill."""
    files = debrief_files(debriefed(scenario()), {}, page=False)
    assert harmful(str(files["events-1.csv"])) == []


def test_the_tables_beside_the_pictures_open_harmlessly(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And the heading of a picture is text."""

    async def drawn(*_: object) -> None:
        return None

    monkeypatch.setattr(pictures, "find_browser", lambda: "a browser")
    monkeypatch.setattr(pictures, "_draw", drawn)
    record = simulate_fixed(scenario())
    tables = {"timeline": pictures.timeline_table(lanes_of(record)), "gaps": pictures.gap_table(record)}
    tables["compare"] = pictures.compare_table([record], [NAMES["left lifter"]])
    pictures.write_charts({}, tables, tmp_path, "us", 800, 600, ())
    for file in tmp_path.glob("*.csv"):
        assert harmful(file.read_text(encoding="utf-8")) == [], file.name
    assert len(list(tmp_path.glob("*.csv"))) == 3
    heading = "".join(pictures._heading(NAMES["title"], NAMES["no holds"], NAMES["left strut"], 800, ()))
    assert "<script" not in heading and "%{" not in heading


@pytest.mark.browser
def test_the_timers_log_opens_harmlessly_and_is_read_again(tmp_path: Path) -> None:
    """What an observer's phone saves: every button tapped once."""
    page_file = tmp_path / "timer.html"
    page_file.write_text(write_timer(scenario()), encoding="utf-8")
    with chromium() as browser:
        page = browser.new_page()
        page.goto(page_file.as_uri())
        page.evaluate("for (const button of document.querySelectorAll('.tap')) button.click()")
        saved = page.evaluate("document.getElementById('text').value")
        page.close()
    assert harmful(saved) == []
    log = parse_log(saved, "drill.csv")
    assert log.problems == []
    assert {NAMES["left lifter"], NAMES["left hand"], "leader"} <= {entry.who for entry in log.entries}


def test_json_and_captions_hold_the_names_as_text() -> None:
    """JSON as it is; captions with their brackets as entities, for players read tags."""
    record = simulate_lift(scenario(), 1)
    summary = json.loads(str(run_files(result_of(record), page=False)["summary.json"]))
    assert summary["title"] == NAMES["title"] and NAMES["left strut"] in summary["stations"]
    assert "<" not in webvtt(record).replace("-->", "")


# --- the terminal


def shows_lift(out: Any, found: Scenario) -> None:
    show_lift(measure(simulate_fixed(found)), found, out)


def shows_comparison(out: Any, found: Scenario) -> None:
    show_comparison({found.title: measure(simulate_fixed(found))}, "us", out)
    show_many(compare([(found.title, found), ("b" + OVER, found)], n=3, workers=1), "us", out)


def shows_runs(out: Any, found: Scenario) -> None:
    summary = measure(simulate_fixed(found))
    show_runs([Stored(Path(f"run{OVER}"), summary), Stored(Path(f"bad{OVER}"), None, f"trouble{OVER}")], out)


SHOWN: dict[str, Callable[[Any, Scenario], None]] = {
    "run": shows_lift,
    "check": lambda out, found: show_check(check(found), out),
    "compare": shows_comparison,
    "study": lambda out, found: show_study(study(found, 20, workers=1), out, f"file{OVER}.toml"),
    "debrief": lambda out, found: show_debrief(debriefed(found), out),
    "runs": shows_runs,
}


@pytest.mark.parametrize("kind", SHOWN)
@pytest.mark.parametrize("terminal", [True, False], ids=["terminal", "pipe"])
def test_nothing_of_a_name_reaches_the_terminal_as_an_escape(kind: str, terminal: bool) -> None:
    """Styles of ours, and letters; markup and emoji codes of names stay as they are written."""
    out = io.StringIO()
    SHOWN[kind](PlainConsole(file=out, force_terminal=terminal, width=400), overdone(scenario()))
    said = STYLE.sub("", out.getvalue())
    assert "\x1b" not in said and not OBEYED.search(said), repr(said)
    assert r"\u202e\u001b]0;pwned" in re.sub(r"\s*\n\s*", "", said)  # rich leaves bells and returns out by itself
    if kind in ("run", "check"):
        assert "{{7*7}}" in said and "49" not in said.split("script>")[1][:4] if "script>" in said else True
    assert "https://x.invalid" not in out.getvalue().replace(NAMES["right hand"], "")


def test_markup_of_names_is_no_markup(capsys: pytest.CaptureFixture[str]) -> None:
    """[red] is not red, [link=...] no link, :fire: no picture; in tables too."""
    shown = f"{NAMES['left hand']} {NAMES['right hand']}"
    out = console()
    out.print(shown, soft_wrap=True)
    say(f"{shown}{OVER}")
    print_json({"name": f"{shown}{OVER}"})
    got = capsys.readouterr()
    assert got.out.count("[red]r[/red]:fire:") == 2 and got.out.count("[link=https://x.invalid]l[/link]") == 2
    assert not OBEYED.search(got.out + got.err) and "\x1b" not in got.out + got.err
    assert json.loads(got.out[got.out.index("{\n") :])["name"] == f"{shown}{OVER}"
    assert isinstance(out, PlainConsole)


COMMANDS: dict[str, list[str]] = {
    "run": ["run", "{}", "--no-page"],
    "run --json": ["run", "{}", "--no-page", "--json"],
    "check": ["check", "{}"],
    "check --json": ["check", "{}", "--json"],
    "check --expand": ["check", "{}", "--expand"],
    "compare": ["compare", "{}", "-n", "3", "--no-page", "--workers", "1"],
    "study": ["study", "{}", "-n", "20", "--no-page", "--no-changes", "--workers", "1"],
    "no such variant": ["run", "{}", "--variant", f"x{OVER}"],
    "no such file": ["run", "{}x"],
    "no such option": ["run", "{}", f"--x{OVER}"],
    "runs": ["runs"],
    "runs show": ["runs", "show", f"x{OVER}"],
}


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS.keys())
def test_commands_on_a_file_of_a_hostile_name(command: list[str], tmp_path: Path) -> None:
    """The file's name has an escape in it, its scenario no title, its names everything that a file may hold."""
    file = tmp_path / f"lift{OVER.replace(chr(13), '')}.toml"
    written = re.sub("title = .*\n", "", text())
    file.write_text(written + f"# {OVER[:2]}\n", encoding="utf-8")
    done = run(tmp_path, *(part.format(file.name) for part in command))
    assert done.returncode in (0, 1, 2)
    assert not OBEYED.search(done.stdout + done.stderr) and "\x1b" not in done.stdout + done.stderr
    if done.returncode == 2:
        assert "error: " in done.stderr.lower()
