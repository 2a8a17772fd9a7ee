"""Plain words on screens and paper: what had to go from them, looked for in all that the commands print and write."""

from __future__ import annotations

import html
import re
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

import sim
from reports.many.cadence_page import write_cadence_page
from reports.words.cadence import answer, cadence_lines
from sim.many.cadence import cadence
from tests.commands import run

ROOT = Path(__file__).parents[3]
GONE = (  # whole words; what stands for each is in the changelog
    r"tells? one lift", r"tells the lift", r"told on", r"told by the batch", r"rolled with seed", r"this lift came to",
    r"the gap comes to", r"stands beside the rule", r"lean pushes", r"friction coefficient of [\d.]+ would",
    r"were the cent(re|er) of gravity", r"as reckoned", r"what to lift, and no more", r"foot pushes", r"stands with",
    r"bears upright", r"if one side bore all", r"nothing above the start stops it", r"pieces lying ready",
    r"left standing", r"standing, once caught", r"if nobody holds", r"in the middle one", r"in one of twenty",
    r"carries a mark", r"carries ▲", r"it leaves with \d", r"\d % of that", r"paired", r"quantile plot",
    r"every replication", r"replications were", r"more replications",
)  # fmt: skip
BRITISH = r"\b(centre|kerb|grey)\b"  # of ours, in a sentence with US units
COMMANDS = (
    "ask", "new", "check", "run", "compare", "study", "cadence", "rehearse", "debrief", "lesson", "runs", "desk",
    "demo",
)  # fmt: skip
LOADED = {  # what each command prints and writes, on a lift with its stops and cautions
    "check": ("check", "trailer.toml", "--variant", "pinned", "--page", "page.html"),
    "check, SI": ("check", "van.toml", "--page", "page.html"),
    "run": ("run", "trailer.toml", "--variant", "pinned", "--out", "out"),
    "compare": ("compare", "trailer.toml", "-n", "20", "--out", "out"),
    "study": ("study", "trailer.toml", "-n", "40", "--workers", "1", "--no-changes", "--out", "out"),
    "chase": ("lesson", "the-chase", "--scenario", "trailer.toml", "--out", "out", "--answers"),
    "steep": ("lesson", "steep-or-flat", "--out", "out"),
}  # fmt: skip


def gone(text: str) -> set[str]:
    """The forms that stand in a text, whatever its tags and line ends."""
    plain = re.sub(r"\s+", " ", html.unescape(re.sub(r"<(script|style).*?</\1>|<[^>]+>", " ", text, flags=re.DOTALL)))
    return {found[0] for form in GONE if (found := re.search(form, plain, re.IGNORECASE))}


@cache
def help_of(command: str) -> str:
    """What `--help` says of a command."""
    return run(Path.cwd(), command, "--help").stdout


@pytest.mark.parametrize("command", COMMANDS)
def test_no_help_has_a_form_that_had_to_go(command: str) -> None:
    """And each has its help."""
    assert "Usage:" in help_of(command) and not gone(help_of(command))


@pytest.mark.parametrize("named", LOADED)
def test_no_command_prints_or_writes_one(named: str, tmp_path: Path) -> None:
    """What it prints, to either stream, and every page that it writes."""
    for name in ("trailer", "van"):
        (tmp_path / f"{name}.toml").write_text((files("sim.examples") / f"{name}.toml").read_text("utf-8"), "utf-8")
    done = run(tmp_path, *LOADED[named])
    assert done.returncode in (0, 1), done.stderr
    pages = [path.read_text("utf-8") for path in tmp_path.rglob("*.html")]
    assert done.stdout or done.stderr or pages
    for text in (done.stdout, done.stderr, *pages):
        assert not gone(text)


def test_the_cadence_s_words_have_none() -> None:
    """Answer, reasons and page, of a few ways to call."""
    found = cadence(sim.load("trailer"), paces=(0.0, 8.0), limits=(0.003,), n=40, workers=1)
    said = [answer(found, units) for units in ("us", "si")] + cadence_lines(found, "us")
    assert any("than the operators" in line for line in said)
    for text in (*said, write_cadence_page(found)):
        assert not gone(text)


def test_no_page_s_script_and_not_the_readme_has_one() -> None:
    """Scripts say things too; the README is read first."""
    scripts = [path for path in (ROOT / "reports/assets").glob("*.js") if "plotly" not in path.name]
    for path in (ROOT / "README.md", *scripts):
        source = re.sub(r"/\*.*?\*/|^\s*//.*?$", "", path.read_text("utf-8"), flags=re.DOTALL | re.MULTILINE)
        assert not gone(source), path.name


def test_us_units_come_with_us_spelling(tmp_path: Path) -> None:
    """Our sentences, not the title of a file."""
    (tmp_path / "trailer.toml").write_text((files("sim.examples") / "trailer.toml").read_text("utf-8"), "utf-8")
    said = run(tmp_path, "check", "trailer.toml", "--json").stdout
    assert "center of gravity" in said and not re.search(BRITISH, said.replace("kerb block", ""))
    (tmp_path / "si.toml").write_text(
        (tmp_path / "trailer.toml").read_text("utf-8").replace('"us"', '"si"', 1), "utf-8"
    )
    assert "centre of gravity" in run(tmp_path, "check", "si.toml", "--json").stdout
