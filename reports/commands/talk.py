"""How a command speaks: data to stdout, words to stderr, files whole or not at all."""

from __future__ import annotations

import json
import os
import shlex
import sys
from pathlib import Path
from typing import Any

from rich.console import Console

from sim.errors import Refused


def console() -> Console:
    """Where data for people goes."""
    wide = None if sys.stdout.isatty() or "COLUMNS" in os.environ else 160
    return Console(highlight=False, width=wide)


def tell(words: str) -> None:
    """Words go to stderr."""
    print(words, file=sys.stderr)


def print_json(data: Any) -> None:
    """Data for machines goes to stdout; JSON that every reader takes, without NaN."""
    print(json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False))


def tell_stored(folder: Path, page: str = "") -> None:
    """Where a result is, and the page to open there if it has one."""
    tell(f"stored in {folder}" + (f"; open {folder / page}" if page else ""))


def quoted(file: Path) -> str:
    """A file's name as a shell takes it."""
    return shlex.quote(str(file))


def write_file(file: Path, content: str | bytes, force: bool = True) -> None:
    """Write a file whole or not at all; never over one that is there unless told to.

    Raises
    ------
    Refused
        It is there already, or cannot be written.
    """
    if file.exists() and not force:
        raise already_there(file)
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        beside.write_bytes(content.encode() if isinstance(content, str) else content)
        beside.replace(file)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise Refused(
            f"{file}: cannot be written: {error.strerror}", "name a file in a folder that you may write to"
        ) from None


def already_there(file: Path) -> Refused:
    """A file that is not written over unasked."""
    return Refused(f"{file}: is there already", "name another file, or add --force to write over it")


def known_units(units: str | None) -> None:
    """See that units named on the command line are ours; none named is right too.

    Raises
    ------
    Refused
        They are not.
    """
    if units and units not in ("us", "si"):
        raise Refused(f'--units: "{units}" is not known', 'write "us" or "si"')
