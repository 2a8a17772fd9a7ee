"""The whole job in a browser."""

from __future__ import annotations

from pathlib import Path

from reports.commands.talk import say
from reports.desk.start import open_desk


def desk(folder: Path, port: int, browser: bool) -> None:
    """Open the desk on a folder, until Ctrl-C.

    Raises
    ------
    Refused
        The folder or the port cannot be had.
    """
    open_desk(folder, port, browser, say)
