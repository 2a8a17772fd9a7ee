"""A rehearsal in the browser."""

from __future__ import annotations

from pathlib import Path

from reports.commands.runs import say_what_was_broken_off
from reports.commands.talk import say
from reports.live.page import HELP_LEVELS
from reports.live.start import Settings, rehearse_in_browser
from reports.terminal.code import print_code
from sim.model.errors import Refused
from sim.stored.store import see_that_it_can_be_written
from sim.written.reading import read


def rehearse(file: Path, variant: str, settings: Settings) -> bool:
    """Hold a rehearsal.

    Returns
    -------
    bool
        Whether it was led to its end; what was broken off is stored all the same.

    Raises
    ------
    Refused
        There is no such help level, or nothing can listen at that address.
    """
    if settings.help_level not in HELP_LEVELS:
        raise Refused(f'--help-level: "{settings.help_level}" is not known', f"write {', '.join(HELP_LEVELS)}")
    scenario = read(file, variant)
    see_that_it_can_be_written(settings.runs)
    say_what_was_broken_off(settings.runs)
    return bool(rehearse_in_browser(scenario, settings, say, print_code))
