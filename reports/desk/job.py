"""Long work of the desk, in a process of its own: `python -m reports.desk.job study RUNS NAME LIFTS`,
the plan on stdin.

It says on stdout how far it is, a line of JSON at a time, and at the end where the result lies. Ctrl-C (which the desk
sends to stop it) leaves what was finished in the folder of blocks, and the same work begun again goes on from there.
"""

from __future__ import annotations

import contextlib
import json
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from reports.stored.many import store_cadence, store_study
from sim.batch import why_not
from sim.many.blocks import folder_for
from sim.many.cadence import cadence
from sim.many.study import study
from sim.model.errors import KnownError
from sim.written.reading import parse

LIFTS, ONE_BY_ONE = 2_000, 200  # of a study; where the story simulates them
EVERY = 0.2  # between two words of how far it is [s]


def work(kind: str, runs: Path, name: str, text: str, say: Callable[[dict[str, Any]], None], lifts: int = 0) -> None:
    """Do a study or look for a cadence, and store it like any; of `lifts` lifts, 0: a usual number.

    Raises
    ------
    KnownError
        It cannot be done, or not be stored.
    KeyboardInterrupt
        Stopped; what was finished is kept.
    """
    scenario, said = parse(text, name), [0.0]

    def progress(done: int, of: int) -> None:
        if time.monotonic() - said[0] > EVERY or done == of:
            said[0] = time.monotonic()
            say({"done": done, "of": of})

    runs.mkdir(exist_ok=True)
    folder = folder_for(scenario, 0, runs, resume=True, what=kind)
    if kind == "study":
        n = lifts or (ONE_BY_ONE if why_not(scenario) else LIFTS)
        found = study(scenario, n, 0, folder=folder, progress=progress)
        if found.n < found.wanted:
            raise KeyboardInterrupt
        place = store_study(found, name, runs, page=True)
    else:
        paces = cadence(scenario, n=lifts, folder=folder, progress=progress)
        if len(paces.ways) < paces.wanted:
            raise KeyboardInterrupt
        place = store_cadence(paces, runs, page=True)
    folder_for(scenario, 0, runs, resume=False, what=kind)  # its blocks are not needed any more
    say({"folder": place.name})


def main(kind: str, runs: str, name: str, lifts: str) -> int:
    """From the process's words to its code."""

    def say(words: dict[str, Any]) -> None:
        print(json.dumps(words), flush=True)

    try:
        work(kind, Path(runs), name, sys.stdin.read(), say, int(lifts))
        return 0
    except KeyboardInterrupt:
        with contextlib.suppress(OSError):
            say({"stopped": True})
        return 130
    except KnownError as wrong:
        say({"trouble": str(wrong).removeprefix("error: ")})
        return 2


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored where the desk itself runs in the background
    sys.exit(main(*sys.argv[1:5]))
