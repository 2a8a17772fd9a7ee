"""The commands, as a person or a script meets them: what they print, where, how they leave, what they leave behind."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from tests.commands import run
from tests.sim.written.test_broken_by_hand import BY_HAND

CLI = str(Path(sys.executable).with_name("liftcadence"))
TRAILER = Path(__file__).parents[1] / "sim" / "examples" / "trailer.toml"
SUMMARY_KEYS = {
    "format", "title", "seed", "replication", "outcome", "reason", "calls", "pumps", "duration_s", "holds",
    "hold_time_s", "levelling_calls", "over_limit_calls", "largest_gap", "largest_passing_gap", "largest_standing_gap",
    "largest_drop_pressure_lost", "largest_drop_lifter_lost", "largest_level_difference_m",
    "final_level_difference_m",
    "ram_travel_m", "head_rise_m", "point_rise_m", "settled_rise_m", "stations", "lifters",
}  # fmt: skip  # design, part 5


def run_outside(folder: Path, *words: str, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    """The installed command, as a shell starts it."""
    return subprocess.run(
        [CLI, *words], cwd=folder, capture_output=True, text=True, timeout=120, stdin=subprocess.DEVNULL,
        env={**{k: v for k, v in os.environ.items() if k != "COLUMNS"}, **(env or {})},
    )  # fmt: skip


def left_behind(folder: Path) -> list[str]:
    """Everything in a folder."""
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*"))


def test_run_prints_the_summary_as_json_and_stores_a_whole_run(tmp_path: Path) -> None:
    """`run --json`: the keys of design.md part 5 on stdout, words on stderr; four files in a folder."""
    done = run_outside(tmp_path, "run", str(TRAILER), "--seed", "3", "--json")
    assert done.returncode == 0
    summary = json.loads(done.stdout)
    assert summary.keys() >= SUMMARY_KEYS
    (folder,) = (tmp_path / "runs").iterdir()
    assert sorted(p.name for p in folder.iterdir()) == [
        "events.csv",
        "report.html",
        "scenario.toml",
        "sha256.txt",
        "summary.json",
    ]
    assert json.loads((folder / "summary.json").read_text()) == summary
    assert (folder / "scenario.toml").read_text() == TRAILER.read_text()
    assert summary["provenance"]["liftcadence"] and str(folder.name) in done.stderr


def test_the_same_seed_gives_the_same_record_byte_for_byte(tmp_path: Path) -> None:
    """Two runs of one seed; a third of another differs."""
    events = []
    for seed in ("7", "7", "8"):
        run(tmp_path, "run", str(TRAILER), "--seed", seed, "--no-page", "--out", f"runs-{len(events)}")
        (folder,) = (tmp_path / f"runs-{len(events)}").iterdir()
        events.append((folder / "events.csv").read_bytes())
    assert events[0] == events[1] != events[2]


def test_the_summary_on_the_terminal_leads_with_the_answer_and_ends_with_the_caution(tmp_path: Path) -> None:
    """The answer in one sentence, then largest gap, pumps, rise; last the caution; nothing says that a lift is safe."""
    done = run_outside(tmp_path, "run", str(TRAILER), "--no-page")
    lines = [line for line in done.stdout.splitlines() if line.strip()]
    assert "Raised" in done.stdout and "largest gap" in done.stdout
    assert "Never work under a load held only by a jack" in lines[-1] + lines[-2] + lines[-3]
    words = done.stdout.lower().replace(",", " ").split()
    assert not {"safe", "secure", "ok", "pass", "passed"} & set(words)


def test_a_lift_that_is_not_raised_leaves_with_1(tmp_path: Path) -> None:
    """Travel too short for the need: not reached, exit 1, and still stored."""
    short = tmp_path / "short.toml"
    short.write_text(TRAILER.read_text().replace('travel = "10 in"', 'travel = "2 in"'))
    done = run(tmp_path, "run", str(short), "--json", "--no-page")
    assert done.returncode == 1
    assert json.loads(done.stdout)["outcome"] == "not-reached"
    assert len(list((tmp_path / "runs").iterdir())) == 1


@pytest.mark.parametrize("command", ["check", "run", "compare"])
def test_a_broken_scenario_leaves_with_2_and_nothing_written(tmp_path: Path, command: str) -> None:
    """Everything wrong is said at once, each with its place; no traceback; no file or folder appears."""
    broken = tmp_path / "broken.toml"
    text = (
        TRAILER.read_text()
        .replace('rise = "5 in"', "rise = 5")
        .replace('capture = ["threaded"]', 'capture = ["thraeded"]')
    )
    broken.write_text(text)
    done = run(tmp_path, command, str(broken))
    assert done.returncode == 2
    assert "need.rise" in done.stderr and 'station "left strut" > capture[0]' in done.stderr
    assert "threaded" in done.stderr and "Traceback" not in done.stderr and done.stdout == ""
    assert left_behind(tmp_path) == ["broken.toml"]


def test_a_syntax_error_shows_line_and_column(tmp_path: Path) -> None:
    """TOML that does not parse: exit 2, with the line."""
    (tmp_path / "x.toml").write_text('title = "x"\nunits == "us"\n')
    done = run(tmp_path, "run", "x.toml")
    assert done.returncode == 2 and "line 2, column 8" in done.stderr


def test_a_missing_file_and_an_unknown_variant_are_said_plainly(tmp_path: Path) -> None:
    """No file of that name; no variant of that name, with the nearest one."""
    assert run(tmp_path, "run", "nowhere.toml").returncode == 2
    done = run(tmp_path, "run", str(TRAILER), "--variant", "pined")
    assert done.returncode == 2 and '"pinned"' in done.stderr


@pytest.mark.parametrize("units", ["us", "si"])
def test_new_writes_a_scenario_that_runs_as_it_is(tmp_path: Path, units: str) -> None:
    """Written, checked and run without a change; never over a file that is there."""
    assert run(tmp_path, "new", "mine.toml", "--units", units).returncode == 0
    assert run(tmp_path, "run", "mine.toml", "--no-page", "--fixed").returncode == 0
    (tmp_path / "mine.toml").write_text("# worked on since")
    assert run(tmp_path, "new", "mine.toml").returncode == 2
    assert (tmp_path / "mine.toml").read_text() == "# worked on since"


def test_the_schema_comes_from_the_models() -> None:
    """`new --schema` prints a JSON schema that knows the tables of a scenario."""
    schema = json.loads(run(Path(), "new", "--schema").stdout)
    assert {"load", "need", "leader", "lifter", "station"} <= schema["properties"].keys()


def test_compare_simulate_every_variant_side_by_side(tmp_path: Path) -> None:
    """The table has the scenario as written and its variants; pinned leaves more standing than threaded."""
    done = run(tmp_path, "compare", str(TRAILER), "--json")
    simulated: dict[str, Any] = json.loads(done.stdout)
    assert list(simulated) == ["as written", "pinned", "pinned with cribbing", "no holds"]
    standing = {name: s["largest_standing_gap"]["gap_m"] for name, s in simulated.items()}
    assert standing["pinned"] > 0.0254 > standing["pinned with cribbing"] >= standing["as written"]
    assert [p.name for p in (tmp_path / "runs").rglob("compare.html")] == ["compare.html"]


def test_compare_puts_several_files_side_by_side(tmp_path: Path) -> None:
    """By the names of their files, with both scenarios stored; many lifts of each, as asked and with one a place."""
    done = run(tmp_path, "compare", str(TRAILER), str(TRAILER.with_name("van.toml")), "-n", "10", "--json")
    simulated: dict[str, Any] = json.loads(done.stdout)
    assert list(simulated) == ["trailer", "van"]
    for summary in simulated.values():
        assert summary["many_lifts"]["as_asked"]["replications"] == 10
        assert summary["many_lifts"]["same_people"]["people"] >= 3
    assert "largest_gap_m" in simulated["van"]["many_lifts"]["as_asked"]["differences"]
    (folder,) = (tmp_path / "runs").iterdir()
    assert {"scenario.toml", "scenario-2.toml", "compare.html", "sha256.txt", "summary.json"} == {
        p.name for p in folder.iterdir()
    }
    assert run(tmp_path, "compare", str(TRAILER), str(TRAILER), "--json").returncode == 2
    shown = run(tmp_path, "runs", "show", "last")
    assert shown.returncode == 0 and "Against “trailer”, “van” has a largest gap" in shown.stdout


def test_where_runs_are_stored_may_be_said_before_or_after_the_word(tmp_path: Path) -> None:
    """`runs --out DIR show` is `runs show --out DIR`; of two, the nearer one counts."""
    assert run(tmp_path, "run", str(TRAILER), "--fixed", "--no-page", "--out", "there").returncode == 0
    for words in (("--out", "there", "show"), ("show", "--out", "there"), ("--out", "no", "show", "--out", "there")):
        shown = run(tmp_path, "runs", *words)
        assert shown.returncode == 0 and "largest gap" in shown.stdout, shown.stderr
    assert run(tmp_path, "runs", "show").returncode == 2


def test_runs_lists_what_is_stored_and_passes_over_what_is_damaged(tmp_path: Path) -> None:
    """A line each, newest first; a damaged folder and an unknown one are named and passed over."""
    run(tmp_path, "run", str(TRAILER), "--no-page")
    (tmp_path / "runs" / "damaged").mkdir()
    (tmp_path / "runs" / "damaged" / "summary.json").write_text("{")
    (tmp_path / "runs" / "strange").mkdir()
    (tmp_path / "runs" / "later").mkdir()
    (tmp_path / "runs" / "later" / "summary.json").write_text('{"format": 99}')
    done = run(tmp_path, "runs")
    assert done.returncode == 0 and "Trailer nose off a kerb block" in done.stdout
    for name in ("damaged", "strange", "later"):
        assert name in done.stdout
    listed = json.loads(run(tmp_path, "runs", "--json").stdout)
    assert len(listed) == 4 and sum(bool(x["trouble"]) for x in listed) == 3


def test_runs_show_finds_a_run_by_part_of_its_name_and_the_last_one(tmp_path: Path) -> None:
    """`runs show last` and `runs show trailer` show the same summary; one that is not there is said to be so."""
    run(tmp_path, "run", str(TRAILER), "--no-page")
    last, named = (run(tmp_path, "runs", "show", name) for name in ("last", "trailer"))
    assert last.returncode == 0 and last.stdout == named.stdout and "largest gap" in last.stdout
    assert run(tmp_path, "runs", "show", "no-such-run").returncode == 2


def test_a_folder_that_cannot_be_written_is_said_plainly(tmp_path: Path) -> None:
    """`--out` names a file: a sentence and exit 2, no traceback."""
    (tmp_path / "runs").write_text("a file")
    done = run(tmp_path, "run", str(TRAILER), "--no-page")
    assert done.returncode == 2 and "Traceback" not in done.stderr and "runs" in done.stderr


def test_a_pipe_closed_early_is_no_error(tmp_path: Path) -> None:
    """`run --json | head -1` leaves quietly."""
    shell = f'"{CLI}" run "{TRAILER}" --json --no-page | head -1'
    done = subprocess.run(["bash", "-c", shell], cwd=tmp_path, capture_output=True, text=True, timeout=60)
    assert done.stdout.startswith("{") and "Traceback" not in done.stderr and "Exception" not in done.stderr


def test_killed_at_any_instant_a_run_leaves_nothing_half_made(tmp_path: Path) -> None:
    """kill -9 at ten instants over a run's life: `runs` still works, and every folder that it lists is whole."""
    started = time.perf_counter()
    run_outside(tmp_path, "run", str(TRAILER))
    lasts = time.perf_counter() - started
    for n in range(10):
        process = subprocess.Popen(
            [CLI, "run", str(TRAILER)], cwd=tmp_path, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL
        )
        time.sleep(lasts * (n + 1) / 10.5)
        process.send_signal(signal.SIGKILL)
        process.wait()
        listed = json.loads(run(tmp_path, "runs", "--json").stdout)
        assert listed and not any(x["trouble"] for x in listed)
        for stored in listed:
            names = {p.name for p in (tmp_path / stored["path"]).iterdir()}
            assert names == {"events.csv", "report.html", "scenario.toml", "sha256.txt", "summary.json"}


def test_ctrl_c_leaves_with_130(tmp_path: Path) -> None:
    """Interrupted: 130, no traceback, nothing half made."""
    process = subprocess.Popen(
        [CLI, "run", str(TRAILER)], cwd=tmp_path, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True
    )
    time.sleep(0.25)
    process.send_signal(signal.SIGINT)
    _, words = process.communicate(timeout=60)
    assert process.returncode in (0, 130, -signal.SIGINT)  # the last: before our first line; a shell makes 130 of it
    assert "Traceback" not in words or process.returncode == -signal.SIGINT
    assert all(not p.name.startswith(".making") for p in (tmp_path / "runs").glob("*")) if process.returncode else True


def test_lifts_that_are_simulated_one_by_one_say_why_before_they_are(tmp_path: Path) -> None:
    """A mishap is the story's to simulate: said on stderr; where the batch simulates them nothing is said."""
    own = tmp_path / "own.toml"
    mishap = '\n[[mishap]]\nkind = "stop"\ncall = 2\nafter = "1 s"\ntime = "5 s"\n'
    own.write_text(TRAILER.read_text().replace("[[variant]]", f"{mishap}\n[[variant]]", 1))
    few = ("-n", "4", "--no-page", "--no-changes", "--workers", "1")
    assert "simulated one by one" in run(tmp_path, "study", str(own), *few).stderr
    assert "simulated one by one" not in run(tmp_path, "study", str(TRAILER), *few).stderr


def test_help_loads_nothing_heavy() -> None:
    """Only typer and the standard library at the top of cli.py."""
    heavy = ("pandas", "numpy", "pydantic", "simpy", "plotly", "scipy", "sim")
    code = f"import sys, cli; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=Path(__file__).parents[1])
    assert done.stdout.strip() == "[]"


def test_a_run_with_its_page_loads_no_tables_and_no_charts(tmp_path: Path) -> None:
    """They take longer to import than a lift takes; the page's charts are drawn by its own script."""
    heavy = ("pandas", "pyarrow", "plotly", "sim.many", "sim.batch")
    code = (
        "import sys, cli\n"
        f"cli.app(['run', {str(TRAILER)!r}, '--out', {str(tmp_path)!r}], standalone_mode=False)\n"
        f"print([m for m in {heavy} if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=Path(__file__).parents[1])
    assert done.stdout.splitlines()[-1] == "[]", done.stderr
    assert len(list(tmp_path.glob("*/report.html"))) == 1


@pytest.mark.parametrize(("text", "place", "says"), BY_HAND.values(), ids=BY_HAND.keys())
def test_every_broken_scenario_leaves_with_2(tmp_path: Path, text: str, place: str, says: str) -> None:
    """Over a hundred ways to write a scenario wrong: exit 2, the place named on stderr, nothing written."""
    (tmp_path / "broken.toml").write_text(text, encoding="utf-8")
    done = run(tmp_path, "run", "broken.toml")
    assert done.returncode == 2 and place in done.stderr and done.stdout == ""
    assert left_behind(tmp_path) == ["broken.toml"]


@pytest.mark.parametrize("words", [["run", "x.toml", "--seed", "-1"], ["run"], ["bogus"], ["run", "x.toml", "--bogus"]])
def test_a_mistyped_command_line_is_the_writer_s_and_not_a_bug_of_ours(tmp_path: Path, words: list[str]) -> None:
    """Exit 2, and what is wrong with it."""
    done = run(tmp_path, *words)
    assert done.returncode == 2 and "bug of ours" not in done.stderr and "Error" in done.stderr


def test_a_terminal_that_cannot_show_a_name_is_no_error(tmp_path: Path) -> None:
    """Names in other scripts on an ASCII terminal: simulated, and stored."""
    own = tmp_path / "own.toml"
    own.write_text(TRAILER.read_text().replace("left lifter", "левый"), encoding="utf-8")
    done = run_outside(tmp_path, "run", str(own), "--no-page", env={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert done.returncode == 0 and "Traceback" not in done.stderr


def test_why_a_lift_was_not_raised_is_on_the_terminal(tmp_path: Path) -> None:
    """Stopped for an uncapturable gap: which station, and what would cure it."""
    own = tmp_path / "own.toml"
    own.write_text(TRAILER.read_text().replace('if_uncapturable = "go-on"', 'if_uncapturable = "stop"'))
    done = run(tmp_path, "run", str(own), "--no-page", "--variant", "pinned", "--fixed")
    assert done.returncode == 1 and "right strut" in done.stdout and "would cure it" in " ".join(done.stdout.split())


def test_check_says_what_is_wrong_as_json_too(tmp_path: Path) -> None:
    """`check --json` on a broken scenario: valid false, the problems with their places, exit 2."""
    (tmp_path / "broken.toml").write_text(TRAILER.read_text().replace('rise = "5 in"', "rise = 5"))
    done = run(tmp_path, "check", "broken.toml", "--json")
    assert done.returncode == 2
    said = json.loads(done.stdout)
    assert said["readable"] is said["valid"] is False and said["problems"][0]["place"] == "need.rise"
