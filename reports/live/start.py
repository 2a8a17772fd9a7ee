"""A rehearsal from the command to the stored run."""

from __future__ import annotations

import contextlib
import signal
import webbrowser
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from socket import socket
from typing import Any, cast

from reports.live import at_the_terminal
from reports.live.afterwards import Afterwards, summing_up
from reports.live.gate import is_any, is_loopback
from reports.live.network import listen, names
from reports.live.page import HelpLevel, write_live_page
from reports.live.picked_up import head_of, store_broken_off
from reports.live.room import Room
from reports.live.server import Live, serve
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


def rehearse_in_browser(
    scenario: Scenario, settings: Settings, say: Callable[[str], None], print_code: Callable[[str], object]
) -> dict[str, Any]:
    """Serve a rehearsal, and its report until Ctrl-C; its summary, or nothing if broken off and stored as stopped.

    Raises
    ------
    Refused
        Nothing can listen at that address.
    StoreError
        It was led to its end, and could not be stored anywhere.
    """
    try:
        listening = listen(settings.host, settings.port)
    except (OSError, UnicodeError) as error:
        at, why = f"{settings.host}:{settings.port}", getattr(error, "strerror", None) or error
        raise Refused(f"{at}: cannot listen there: {why}", "name another --host or --port") from None
    live, afterwards = prepare(scenario, settings, say)
    port = int(listening.getsockname()[1])
    addresses = say_addresses(live, settings, listening, say, print_code)
    here = live.address("127.0.0.1", port) if is_any(settings.host) else addresses[0]
    if at_the_terminal.hear(lambda: live.soon(live.room.free_the_seat)):
        say(f"{at_the_terminal.FREES} and Enter frees the caller's seat")
    say("Ctrl-C breaks off; what was run so far is then stored")

    def opened() -> None:
        if settings.browser and not webbrowser.open(here):
            say("no browser here; open the address yourself")

    def scored() -> None:
        say_stored(afterwards, say)
        say(f"report: {addresses[0].replace('/?', '/report?')}\nthere for the room until Ctrl-C")

    with struck(live) as by:
        with contextlib.suppress(KeyboardInterrupt):
            serve(live, settings.host, listening, opened, scored)
        if not afterwards.summary:
            why = by[0] if by else "Ctrl-C"
            if not store_broken_off(live.room.rehearsal, afterwards, why, live.room.clock.time()):
                say("broken off before the first call; nothing is stored")
                return {}
            say_stored(afterwards, say)
    if afterwards.folder is None:
        raise afterwards.trouble or StoreError(str(settings.runs), "nothing is stored")
    return {} if live.room.rehearsal.broken_off else afterwards.summary


def say_addresses(
    live: Live,
    settings: Settings,
    listening: socket,
    say: Callable[[str], None],
    print_code: Callable[[str], object],
) -> list[str]:
    """Where to open it, here or from elsewhere; the first also as a code for a telephone."""
    port = int(listening.getsockname()[1])
    bound = str(listening.getsockname()[0])
    others = [live.address(name, port) for name in names(settings.host, listening)]
    addresses = others or [live.address("127.0.0.1", port)]
    say(f"call:   {addresses[0]}\nwatch:  {addresses[0]}&watch=1")
    for address in addresses[1:]:
        say(f"or:     {address}")
    if is_loopback(bound):
        if not is_loopback(settings.host):
            say(f"{settings.host} is this computer alone ({bound}): nobody else can open it; try --host 0.0.0.0")
        return addresses
    if not others:
        say("this computer is in no network just now: nobody else can open it")
        return addresses
    say("whoever has the address can open it until this rehearsal ends; the traffic is not encrypted")
    say("the first who opens it calls, the others watch:")
    print_code(addresses[0])
    return addresses


def say_stored(afterwards: Afterwards, say: Callable[[str], None]) -> None:
    """How it went, and where it is."""
    say(summing_up(afterwards.summary))
    if afterwards.trouble:
        say(f"{afterwards.trouble}\n")
    if afterwards.folder is not None:
        instead = " instead" if afterwards.trouble else ""
        say(f"stored in {afterwards.folder}{instead}; open {afterwards.folder / 'report.html'}")


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
    return int(simulate_fixed(scenario).columns.call.max())
