"""The pictures of lesson 6: the price of every inch."""

from __future__ import annotations

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import Axis, Box
from reports.lessons.picture import Picture, Readout, nearest, start
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.only_what_you_need import figures_at
from sim.lessons.words.figures import say
from sim.model.units import Units

WHAT = (
    ("pumps", "", "Pumps", "$a", "circle", "all handles together"),
    ("duration_s", "time", "Time", "$b", "square", "until all is caught"),
    ("exposure_s", "time", "Exposure", "$c", "diamond", "person-seconds at the load"),
    ("energy_J", "energy", "Energy", "$d", "triangle-up", "if it all came down"),
)


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """Four prices against the rise, under each other, the chosen rise marked."""
    board = Board(computed, units, type_px, (5.4, 1.0, 1.8, 3.6))
    for n, what in enumerate(WHAT):
        bottom = (3 - n) * 0.265
        price_panel(board, (0, 1, bottom, bottom + 0.165), setting["rise_m"], what, last=n == 3)
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """The price of this rise, and of one more step."""
    f = Printed(units)
    table = computed.tables["rises"]
    it = nearest(table, setting)
    own = say(figures_at(table, computed.facts, setting), units)
    step = computed.facts["step_m"]
    following = table[table["rise_m"] > setting["rise_m"] + 0.5 * step]
    read = [
        Readout("pumps", own["pumps"], f"{own['calls']} calls"),
        Readout("time", own["lasts"]),
        Readout("exposure", own["exposure"], f"{computed.say(units)['people']} people at the load"),
        Readout("energy, if it all came down", own["energy"]),
    ]
    if following.empty:
        return [*read, Readout(f"one more {f.brief(step)}", "not simulated", "the lift ends here")]
    after = following.iloc[0]
    more = after["rise_m"] - it["rise_m"]
    label = f"one more {f.brief(more if abs(more - step) > 1e-4 else step)}"
    words = f"{after['pumps'] - it['pumps']:.0f} pumps, {f.time(after['duration_s'] - it['duration_s'])}"
    return [*read, Readout(label, words, f"{f.up(after['energy_J'] - it['energy_J'], 'energy')} more")]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """The four prices, two by two."""
    board = Board(computed, units, type_px, (5.0, 1.0, 1.9, 3.8))
    four(board, start(computed)["rise_m"])
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """All prices; and what each step of rise costs."""
    f = Printed(units)
    table, need = computed.tables["rises"], computed.facts["need_m"]
    all_of_it = Board(computed, units, type_px, (5.0, 1.0, 1.9, 3.6))
    four(all_of_it, need)
    steps = Board(computed, units, type_px, (5.0, 1.0, 1.9, 3.6))
    steps_panel(steps, (0, 0.47, 0, 1), "seconds", "Time that each step of rise took")
    steps_panel(steps, (0.56, 1, 0, 1), "pumps", "Pumps that it took")
    it = nearest(table, {"rise_m": need})
    return [
        Picture(
            "price-of-rise",
            "Every inch has its price",
            all_of_it,
            "Four charts against rise: pumps, time, exposure and energy, all climbing. At the needed "
            f"{f.brief(need)}: {it['pumps']:.0f} pumps, {f.time(it['duration_s'])}, {f.up(it['energy_J'], 'energy')}.",
            f"Pumps, time until all is caught, person-seconds at the load ({computed.facts['people']:.0f} people), "
            "and the energy if the whole load came down again, against the rise. Upright line: the needed "
            f"{f.brief(need)}. {computed.scenario.title}, everyone at mean times.",
            table,
        ),
        Picture(
            "one-more-inch",
            "The price of one more inch",
            steps,
            "Two bar charts: seconds and pumps that each step of rise took; the needed rise is marked.",
            f"What each further step of rise cost; hatched beyond the needed {f.brief(need)}. "
            f"{computed.scenario.title}.",
            prices(computed),
        ),
    ]


def four(board: Board, rise: float) -> None:
    """Two by two."""
    for n, what in enumerate(WHAT):
        left, bottom = (0.0 if n % 2 == 0 else 0.56), (0.58 if n < 2 else 0.0)
        price_panel(board, (left, left + 0.44, bottom, bottom + 0.42), rise, what, last=n > 1)


def price_panel(board: Board, box: Box, rise: float, what: tuple[str, str, str, str, str, str], last: bool) -> None:
    """One price against the rise; the last one of a column says what is along."""
    key, dimension, title, colour, symbol, words = what
    table = board.tables["rises"]
    end, most = float(table["rise_m"].max()) * 1.03, float(table[key].max()) * 1.12
    panel = board.panel(
        box,
        Axis("rise of the needed point" if last else "", "length", (0, end)),
        Axis(title.lower(), dimension, (0, most), many=5),
        f"{title}: {words}",
    )
    panel.stretch(board.facts["need_m"], end)
    panel.line(table["rise_m"], table[key], colour, "solid", 2, title, symbol=symbol, symbols_px=8)
    it = nearest(table, {"rise_m": rise})
    panel.upright(rise, "$ink", "dash")
    panel.dots([it["rise_m"]], [it[key]], "$ink", "circle-open", 16, "this rise")


def prices(computed: Computed) -> pd.DataFrame:
    """What each step of rise cost."""
    table = computed.tables["rises"]
    more = table.diff()
    more["to_rise_m"] = table["rise_m"]
    return more.iloc[1:][["to_rise_m", "rise_m", "pumps", "calls", "duration_s", "exposure_s", "energy_J"]]


def steps_panel(board: Board, box: Box, what: str, title: str) -> None:
    """Bars of what each whole step cost."""
    key, dimension = {"seconds": ("duration_s", "time"), "pumps": ("pumps", "")}[what]
    step = board.facts["step_m"]
    table = board.tables["rises"]
    whole = table[((table["rise_m"] / step) % 1).apply(lambda r: min(r, 1 - r)) < 1e-6]
    more = whole[key].diff().iloc[1:]
    to = whole["rise_m"].iloc[1:]
    panel = board.panel(
        box,
        Axis("up to a rise of", "length", (0, to.max() + step)),
        Axis(what, dimension, (0, more.max() * 1.15), many=6),
        title,
    )
    beyond = to > board.facts["need_m"] + 1e-9
    panel.bars(to[~beyond], more[~beyond], "$a", "", step * 0.7, "needed")
    panel.bars(to[beyond], more[beyond], "$b", "/", step * 0.7, "beyond the need")
