"""Streams that nobody may read any more."""

from __future__ import annotations

import contextlib
import os
from typing import IO


def print_on(stream: IO[str], words: str) -> None:
    """Print; where nobody reads any more (`| head -1`), go on without a word: what is still to be written is."""
    try:
        print(words, file=stream, flush=True)
    except BrokenPipeError:
        deafen(stream)


def deafen(stream: IO[str]) -> None:
    """Whatever is printed there from now on goes nowhere."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
