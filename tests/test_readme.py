"""The README says what is so."""

from __future__ import annotations

import re
from pathlib import Path

import typer.main

import cli
from reports.paper.reference import rewritten
from sim.drill.log.lines import WORDS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands() -> set[str]:
    """Every command of the program."""
    return set(typer.main.get_command(cli.app).commands)  # type: ignore[attr-defined]


def test_the_reference_of_keys_is_made_from_the_models() -> None:
    """Each table and key as the models have them; `python -m reports.paper.reference README.md` remakes it."""
    assert rewritten(README) == README


def test_the_words_of_a_log_are_those_that_are_read() -> None:
    """As the tour lists them."""
    assert f"`what` is one of {', '.join(WORDS)})" in " ".join(README.split())


def test_every_command_is_in_the_tour_and_every_command_of_the_tour_is_there() -> None:
    """No command without a word in the README, none in it that does not exist."""
    simulated = set(re.findall(r"`?liftcadence\s+([a-z]+)", README))
    assert commands() <= simulated | {"demo"}
    assert simulated <= commands()


def test_every_option_of_the_tour_is_there() -> None:
    """Each --option that the README writes belongs to a command."""
    command = typer.main.get_command(cli.app)
    known = {"--help", "--out", "--json"}
    for sub in command.commands.values():  # type: ignore[attr-defined]
        for one in [sub, *getattr(sub, "commands", {}).values()]:
            known |= {name for parameter in one.params for name in parameter.opts + parameter.secondary_opts}
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", README.partition("<!--")[0])) <= known


def test_every_option_of_a_debrief_is_simulated() -> None:
    """But for those that every command has."""
    debrief = typer.main.get_command(cli.app).commands["debrief"]  # type: ignore[attr-defined]
    options = {name for p in debrief.params for name in p.opts if name.startswith("--")}
    simulated = README.partition("**How did the drill go?**")[2].partition("**Show my class why.**")[0]
    everywhere = {"--variant", "--seed", "--force", "--json", "--out", "--no-page"}
    assert {name for name in options - everywhere if name not in simulated} == set()


def test_the_files_that_the_readme_and_the_developers_page_name_are_there() -> None:
    """Every path in backticks that looks like one of ours exists."""
    for page in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / page).read_text(encoding="utf-8")
        for path in re.findall(r"`((?:sim|tests|reports|runs|\.ci)/[\w./*-]*)`", text):
            assert list(ROOT.glob(path.rstrip("/"))), f"{page}: {path}"
