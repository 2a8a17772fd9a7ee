"""How long things take on this machine: `make bench`. Every figure is a ratio of two things timed in the same run."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import simpy

from sim.model.chance import Crew
from sim.record.measures import measure
from sim.record.record import Book
from sim.story.lift import Lift, simulate
from sim.story.site import Site
from sim.written.reading import parse
from tests import bench_batch, bench_desk

CLI = str(Path(sys.executable).with_name("liftcadence"))
TRAILER = files("sim.examples") / "trailer.toml"


def best(run: Callable[[], object], times: int = 5) -> float:
    """The shortest of several runs [s]: what the machine can do when nothing else disturbs it."""
    shortest = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()
        shortest = min(shortest, time.perf_counter() - start)
    return shortest


def process(*command: str) -> Callable[[], object]:
    """A whole process, its output thrown away."""
    return lambda: subprocess.run(command, check=True, capture_output=True)


def story(lifts: int) -> int:
    """Simulate the trailer so many times; how many events SimPy handled."""
    scenario = parse(TRAILER.read_text(), "trailer")
    events = 0
    for replication in range(lifts):
        lift = Lift(Site(scenario, Crew(0, replication), Book()))
        lift.run()
        events += next(lift.env._eid)
    return events


def measured(lifts: int) -> None:
    """Simulate and measure the trailer so many times."""
    scenario = parse(TRAILER.read_text(), "trailer")
    for replication in range(lifts):
        measure(simulate(scenario, 0, replication))


def bare_simpy(events: int, processes: int = 7) -> None:
    """As many events as the story had, in as many processes, and nothing done at any of them."""
    env = simpy.Environment()

    def wait() -> object:
        while True:
            yield env.timeout(1.0)

    for _ in range(processes):
        env.process(wait())
    env.run(until=events / processes)


def main() -> None:
    """Time everything, and print one line each."""
    with tempfile.TemporaryDirectory() as runs:
        imports = best(process(sys.executable, "-c", "import typer, rich.console"))
        shown = best(process(CLI, "--help"))
        say("liftcadence --help / importing typer and rich", shown, imports, 2.5)
        simulated = best(process(CLI, "run", str(TRAILER), "--no-page", "--out", runs))
        print(f"{'run on the demo, no page, a whole process':58}{simulated:9.2f} s      (wanted: under 1.5 s)")
        page = best(process(CLI, "run", str(TRAILER), "--out", runs), times=3)
        print(f"{'run on the demo, with page, a whole process':58}{page:9.2f} s")
        many = best(process(CLI, "study", str(TRAILER), "-n", "10000", "--out", runs), times=2)
        say("study -n 10000 / run, both with page, whole processes", many, page, 3)
    lifts = 100
    events = story(lifts)
    bare = best(lambda: bare_simpy(events))
    say("the story / bare SimPy, same number of events", best(lambda: story(lifts)), bare, 3)
    say("a lift simulated and measured / the same", best(lambda: measured(lifts)), bare, 15)

    bench_batch.main()
    bench_desk.main()


def say(what: str, ours: float, other: float, wanted: float) -> None:
    """One ratio, both sides shown."""
    print(f"{what:58}{ours:9.3f} s / {other:.3f} s = {ours / other:.2f}   (wanted: at most {wanted:g})")


if __name__ == "__main__":
    main()
