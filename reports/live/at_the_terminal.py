"""Words typed at the terminal while a rehearsal is being served."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Callable

FREES = "f"  # and Enter: the caller's seat is free


def hear(frees: Callable[[], None]) -> bool:
    """Do what is typed from now on; whether anybody can type, which only a terminal of ours lets them.

    A line at a time, so that the terminal stays as it is however we leave. In the background nothing is read, and
    nobody is stopped for trying.
    """
    if not (sys.stdin and sys.stdin.isatty()):
        return False
    if hasattr(signal, "SIGTTIN") and threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTTIN, signal.SIG_IGN)
    threading.Thread(target=_read, args=(sys.stdin.fileno(), frees), daemon=True).start()
    return True


def _read(terminal: int, frees: Callable[[], None]) -> None:
    """Not through `sys.stdin`, whose lock would be held when the program leaves."""
    with contextlib.suppress(OSError):
        while line := os.read(terminal, 1024):
            if line.decode("utf-8", "replace").strip().lower() == FREES:
                frees()
