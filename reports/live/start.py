"""A rehearsal from the command to the stored run."""

from __future__ import annotations

import contextlib
import signal
import webbrowser
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from reports.live.afterwards import Afterwards, summing_up
from reports.live.gate import LOOPBACK
from reports.live.page import HelpLevel, write_live_page
from reports.live.picked_up import head_of, store_broken_off
from reports.live.room import Room
from reports.live.server import Live, listen, serve
from sim.model.chance import Crew
from sim.model.errors import Refused, StoreError
from sim.model.scenario import Scenario
from sim.rehearsal.kept import KeptRehearsal, WordLog
from sim.rehearsal.surprises import draw_surprises
from sim.story.lift import simulate_fixed


@dataclass(frozen=True)
class Settings:
    """How a rehearsal is held."""

    seed: int = 0
    speed: float = 1.0
    help_level: str = "numbers"
    surprises: bool = False
    host: str = "127.0.0.1"
    port: int = 0
    browser: bool = True
    runs: Path = Path("runs")


def rehearse_in_browser(scenario: Scenario, settings: Settings, say: Callable[[str], None]) -> dict[str, Any]:
    """Serve a rehearsal; its summary once it is stored; nothing if it was broken off, and so stored as stopped.

    Raises
    ------
    Refused
        Nothing can listen at that address.
    StoreError
        It was led to its end, and could not be stored anywhere.
    """
    try:
        listening = listen(settings.host, settings.port)
    except OSError as error:
        at, why = f"{settings.host}:{settings.port}", error.strerror or error
        raise Refused(f"{at}: cannot listen there: {why}", "name another --host or --port") from None
    live, afterwards = prepare(scenario, settings, say)
    port = int(listening.getsockname()[1])
    address = live.address(settings.host, port)
    say(f"call:   {address}\nwatch:  {address}&watch=1")
    if settings.host not in LOOPBACK:
        say("whoever has the address can open it until this rehearsal ends; the traffic is not encrypted")
    say("Ctrl-C breaks off; what was run so far is then stored")

    def opened() -> None:
        here = live.address("127.0.0.1", port) if _any(settings.host) else address
        if settings.browser and not webbrowser.open(here):
            say("no browser here; open the address yourself")

    with struck(live) as by:
        with contextlib.suppress(KeyboardInterrupt):
            serve(live, settings.host, listening, opened)
        if not afterwards.summary:
            why = by[0] if by else "Ctrl-C"
            if not store_broken_off(live.room.rehearsal, afterwards, why, live.room.clock.time()):
                say("broken off before the first call; nothing is stored")
                return {}
    say(summing_up(afterwards.summary))
    if afterwards.folder is None:
        raise afterwards.trouble or StoreError(str(settings.runs), "nothing is stored")
    if afterwards.trouble:
        say(f"{afterwards.trouble}\n")
    instead = " instead" if afterwards.trouble else ""
    say(f"stored in {afterwards.folder}{instead}; open {afterwards.folder / 'report.html'}")
    return {} if live.room.rehearsal.broken_off else afterwards.summary


@contextlib.contextmanager
def struck(live: Live) -> Iterator[list[str]]:
    """SIGTERM, and the SIGHUP of a closed terminal, break a rehearsal off as Ctrl-C does; which of them it was."""
    by: list[str] = []

    def leaves(number: int, _: object) -> None:
        by.append("the terminal was closed" if number != signal.SIGTERM else "the program was asked to end (SIGTERM)")
        if live.server is None:
            raise KeyboardInterrupt
        live.leave()

    before = {}
    for number in (signal.SIGTERM, getattr(signal, "SIGHUP", None)):
        with contextlib.suppress(ValueError):  # a thread hears none
            if number is not None:
                before[number] = signal.signal(number, leaves)
    try:
        yield by
    finally:
        for number, do in before.items():
            signal.signal(number, do)


def prepare(
    scenario: Scenario, settings: Settings, say: Callable[[str], None] = lambda words: None
) -> tuple[Live, Afterwards]:
    """Everything but the listening."""
    surprises = draw_surprises(scenario, settings.seed, usual_calls(scenario)) if settings.surprises else ()
    said = {"speed": settings.speed, "help_level": settings.help_level, "with_surprises": settings.surprises}

    def warn(trouble: OSError) -> None:
        why = f"{settings.runs}: this rehearsal is not kept while it runs: {trouble.strerror or trouble}"
        say(f"{why}; it is stored at its end, and lost if the program is killed before")

    log = WordLog(settings.runs, head_of(scenario, settings.seed, surprises, said), warn)
    rehearsal = KeptRehearsal(scenario, Crew(settings.seed), surprises, log)
    afterwards = Afterwards(settings.runs, settings.seed, 0, said)
    page = write_live_page(scenario, settings.speed, cast(HelpLevel, settings.help_level))
    return Live(Room(rehearsal, settings.speed, afterwards), page, lambda: afterwards.report), afterwards


def usual_calls(scenario: Scenario) -> int:
    """How many calls the lift takes when everyone is at their mean."""
    return int(simulate_fixed(scenario).events["call"].max())


def _any(host: str) -> bool:
    return host in ("0.0.0.0", "::")
