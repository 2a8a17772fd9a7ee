"""The calculation sheet, before anyone pumps."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from reports.commands.talk import console, print_json, say, write_file
from sim.check import check as check_sheet
from sim.check.sheet import readable
from sim.model.errors import ScenarioError
from sim.model.scenario import Scenario
from sim.model.visible import visible
from sim.written.reading import read


def check(file: Path, variant: str, as_json: bool, page: Path | None) -> bool:
    """Check a scenario and show its sheet.

    Returns
    -------
    bool
        Whether no finding is a stop.
    """
    scenario = _read(file, variant, as_json)
    sheet = check_sheet(scenario)
    if page is not None:
        from reports.sheet.sheet import write_sheet

        write_file(page, write_sheet(sheet, scenario))
        say(f"{page} written")
    if as_json:
        print_json(sheet.as_json())
    else:
        from reports.terminal.check import show

        show(sheet, console())
    return not any(finding.level == "stop" for finding in sheet.findings)


def print_full_form(file: Path, variant: str, as_json: bool) -> None:
    """The full form of a short scenario; a full one as it is."""
    from sim.written.short.short import expand

    print(visible(expand(_read(file, variant, as_json).text, file.name), keep="\t\r\n"), end="")


def _read(file: Path, variant: str, as_json: bool) -> Scenario:
    """The scenario; or what is wrong with it, for a machine too."""
    try:
        return read(file, variant)
    except ScenarioError as wrong:
        if as_json:
            print_json({**readable(False), "problems": [asdict(problem) for problem in wrong.problems]})
        raise
