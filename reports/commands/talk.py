"""How a command speaks: data to stdout, words to stderr, files whole or not at all."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import cast

from rich.console import Console

from reports.terminal.console import PlainConsole
from reports.terminal.stream import print_on
from sim.model.errors import Refused, StoreError
from sim.model.units import Units
from sim.model.visible import visible
from sim.stored.store import json_text
from sim.stored.whole import try_out, write_whole

NARROWEST, USUAL, WIDE = 20, 80, 160  # columns: less nobody reads; of a terminal; where nobody says how wide


def console() -> Console:
    """Where data for people goes."""
    asked = os.environ.get("COLUMNS", "")
    if asked.isdecimal() and int(asked) >= NARROWEST:
        return PlainConsole(width=int(asked))
    if not sys.stdout.isatty():
        return PlainConsole(width=WIDE)
    try:
        terminal = os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError):
        terminal = 0
    return PlainConsole(width=terminal if terminal >= NARROWEST else USUAL)  # one that says 0 does not know


def say(words: str) -> None:
    """Words go to stderr."""
    print_on(sys.stderr, visible(words, keep="\n"))


def print_json(data: object) -> None:
    """Data for machines goes to stdout; JSON that every reader takes, without NaN, and that no terminal obeys."""
    print_on(sys.stdout, visible(json_text(data), keep="\n"))


def try_to(store: Callable[[], Path]) -> Path | StoreError:
    """Store a result; or why that cannot be, for `say_stored`, so that what was simulated is shown all the same."""
    try:
        return store()
    except StoreError as trouble:
        return trouble


def say_stored(folder: Path | StoreError, page: str = "") -> None:
    """Where a result is, and the page to open there if it has one.

    Raises
    ------
    StoreError
        It could not be stored.
    """
    if isinstance(folder, StoreError):
        raise folder
    say(f"stored in {folder}" + (f"; open {folder / page}" if page else ""))


def quoted(file: Path) -> str:
    """A file's name as a shell takes it."""
    return shlex.quote(str(file))


def write_file(file: Path, content: str | bytes, force: bool = True) -> None:
    """Write a file whole or not at all; never over one that is there unless asked to.

    Raises
    ------
    Refused
        It is there already, or cannot be written.
    """
    try:
        write_whole(file, content, over=force)
    except FileExistsError:
        raise already_there(file) from None
    except OSError as error:
        raise cannot_be_written(file, error) from None


def see_that_it_can_be_written(file: Path) -> None:
    """Find out before a person's work, not after it, that a file cannot be written.

    Raises
    ------
    Refused
        It cannot, as things stand.
    """
    try:
        file.parent.stat()
        try_out(file.parent)
    except OSError as error:
        raise cannot_be_written(file, error) from None


def make_folder(folder: Path) -> None:
    """Make a folder for several files, unless it is there.

    Raises
    ------
    Refused
        It cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_be_written(folder, error) from None


def cannot_be_written(file: Path, error: OSError) -> Refused:
    """A file that the machine does not take: why."""
    why = error.strerror or error
    return Refused(f"{file}: cannot be written: {why}", "make room, or name a place that you may write to")


def is_there(file: Path) -> bool:
    """Whether there is something of that name; a name that cannot be is said when it is written."""
    try:
        return file.exists()
    except OSError:
        return False


def already_there(file: Path) -> Refused:
    """A file that is not written over unasked."""
    return Refused(f"{file}: is there already", "name another file, or add --force to write over it")


def known_units(units: str | None) -> Units | None:
    """Units named on the command line, if they are ours; none named is right too.

    Raises
    ------
    Refused
        They are not.
    """
    if not units:
        return None
    if units in ("us", "si"):
        return cast(Units, units)
    raise Refused(f'--units: "{units}" is not known', 'write "us" or "si"')
