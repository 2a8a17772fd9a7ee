"""How fast the batch, studies and cadences are on this machine; `tests/bench.py` calls `main`."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from importlib.resources import files
from pathlib import Path

import numpy as np

from sim.batch import simulate_replications
from sim.batch.lifts import Lifts
from sim.batch.parts.arrays import Array
from sim.batch.parts.people import BatchPeople
from sim.many.blocks import SIZE, blocks_of, simulate_all
from sim.many.cadence import cadence
from sim.many.study import study
from sim.model.chance import TILE
from sim.model.draw import Draw
from sim.model.scenario import Scenario, Stage
from sim.record.measures import measure
from sim.story.lift import simulate
from sim.written.reading import parse

LIFTS = 40


def timed(run: Callable[[], object], times: int = 3, clock: Callable[[], float] = time.perf_counter) -> float:
    """The shortest of several runs [s]."""
    shortest = float("inf")
    for _ in range(times):
        start = clock()
        run()
        shortest = min(shortest, clock() - start)
    return shortest


def drawn(n: int) -> None:
    """The uniform numbers that the trailer's lifts use: eight quantities, one tile of calls."""
    for key in range(8):
        np.random.Generator(np.random.Philox(key=key)).random((n, TILE))


class Asked(BatchPeople):
    """People who note what was drawn of them."""

    asked: list[tuple[str, str, Draw, int, int]]

    def draw(self, person: str, quantity: str, of: Draw, call: int, device: int = -1) -> float | Array:
        """As `People.draw`."""
        self.asked.append((person, quantity, of, call, device))
        return super().draw(person, quantity, of, call, device)


def as_used(scenario: Scenario, n: int) -> Callable[[], object]:
    """Everything that the batch draws for n lifts, quantiles included, drawn again and nothing done with it."""
    people = Asked(0, 0, n)
    people.asked = []
    with np.errstate(all="ignore"):
        Lifts(scenario, people, n).run()

    def draw() -> None:
        again = BatchPeople(0, 0, n)
        for one in people.asked:
            again.draw(*one)

    return draw


def a_call_down(scenario: Scenario, n: int) -> tuple[float, float]:
    """Processor time of a raising call, and of a lowering one where the same lifts come down again [s]."""
    need = scenario.need.rise
    both = replace(scenario, stages=(Stage("raise", need), Stage("lower", 0.0)))
    calls, times = [], []
    for each in (scenario, both):
        calls.append(int(simulate_replications(each, 0, 0, n)["calls"].sum()))
        times.append(timed(partial(simulate_replications, each, 0, 0, n), clock=time.process_time))
    return times[0] / calls[0], (times[1] - times[0]) / (calls[1] - calls[0])


def main() -> None:
    """Time everything, and print one line each."""
    scenario = parse((files("sim.examples") / "trailer.toml").read_text(encoding="utf-8"), "trailer")
    simulate_replications(scenario, 1, 0, 256)
    story = timed(lambda: [measure(simulate(scenario, 0, k)) for k in range(LIFTS)], 7) / LIFTS
    batch = timed(lambda: simulate_replications(scenario, 0, 0, 8192), 7) / 8192
    say(
        "batch / story, simulated and measured, one core",
        f"{1 / batch:,.0f} / {1 / story:,.0f} a second",
        story / batch,
        "at least 200",
    )
    draws = timed(lambda: drawn(8192)) / 8192
    quantiles = timed(as_used(scenario, 8192), 7) / 8192
    say(
        "drawing its numbers as used / the batch",
        f"1 / {batch / quantiles:.0f}, {1e6 * batch:.0f} us a lift",
        quantiles / batch,
        "at least 1/8",
    )
    say(
        "  beside it: numpy drawing the numbers it uses", f"{1 / draws:,.0f} a second", batch / draws, "for information"
    )
    up, down = a_call_down(scenario, 2048)
    say("a call down / a call up", f"{1e6 * down:.0f} us / {1e6 * up:.0f} us", down / up, "at most 1.5")
    blocks = blocks_of(scenario, 0, 8 * SIZE)
    one, two = (timed(lambda w=w: simulate_all(blocks, workers=w), 1) for w in (1, 2))
    say("two cores / one", f"{one:.2f} s / {two:.2f} s", one / two, "at least 1.8")
    tens = [timed(lambda n=n: simulate_all(blocks_of(scenario, 0, n), workers=1), 1) / n for n in (10_000, 100_000)]
    say(
        "a replication of 10^5 / of 10^4",
        f"{1e6 * tens[1]:.0f} us / {1e6 * tens[0]:.0f} us",
        tens[1] / tens[0],
        "0.8 to 1.2",
    )
    with tempfile.TemporaryDirectory() as folder:
        from reports.stored.many import store_study

        whole = timed(lambda: store_study(study(scenario), "trailer.toml", Path(folder), page=True), 1)
    found = timed(lambda: cadence(scenario), 1)
    say("cadence on its default grid / study of 10,000", f"{found:.1f} s / {whole:.1f} s", found / whole, "at most 10")


def say(what: str, figures: str, ratio: float, wanted: str) -> None:
    """One ratio, both sides shown."""
    print(f"{what:50}{figures:>34} = {ratio:.2f}   (wanted: {wanted})")


if __name__ == "__main__":
    main()
