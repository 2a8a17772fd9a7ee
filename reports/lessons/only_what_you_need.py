"""The pictures of lesson 6: the price of every inch."""

from __future__ import annotations

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import Axis, Box, Panel
from reports.lessons.picture import Picture, Readout, start
from sim.lessons import Computed
from sim.lessons.lesson import brief
from sim.model.units import Units, show, show_up

WHAT = (
    ("pumps", "", "Pumps", "$a", "circle", "all handles together"),
    ("duration_s", "time", "Time", "$b", "square", "until all is caught"),
    ("exposure_s", "time", "Exposure", "$c", "diamond", "person-seconds at the load"),
    ("energy_J", "energy", "Energy", "$d", "triangle-up", "if it all came down"),
)


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float = 13) -> Board:
    """Four prices against the rise, under each other, the chosen rise marked."""
    board = Board(units, type_px, (5.4, 1.0, 1.8, 3.6))
    for n, what in enumerate(WHAT):
        bottom = (3 - n) * 0.265
        price_panel(
            computed,
            board,
            (0, 1, bottom, bottom + 0.165),
            setting["rise_m"],
            what,
            x_title="rise of the needed point" if n == 3 else "",
            detail=True,
        )
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """The price of this rise, and of one more step."""
    table = computed.tables["rises"]
    at = int((table["rise_m"] - setting["rise_m"]).abs().argmin())
    it = table.iloc[at]
    following = table[table["rise_m"] > setting["rise_m"] + 0.5 * computed.facts["step_m"]]
    step = brief(computed.facts["step_m"], "length", units)
    read = [
        Readout("pumps", f"{it['pumps']:.0f}", f"{it['calls']:.0f} calls"),
        Readout("time", show(it["duration_s"], "time", units)),
        Readout("exposure", f"{it['exposure_s']:,.0f} s", f"{computed.facts['people']:.0f} people at the load"),
        Readout("energy, if it all came down", show_up(it["energy_J"], "energy", units)),
    ]
    if not following.empty:
        after = following.iloc[0]
        more = after["rise_m"] - it["rise_m"]
        words = (
            f"{after['pumps'] - it['pumps']:.0f} pumps, {show(after['duration_s'] - it['duration_s'], 'time', units)}"
        )
        read.append(
            Readout(
                f"one more {brief(more, 'length', units)}"
                if abs(more - computed.facts["step_m"]) > 1e-4
                else f"one more {step}",
                words,
                f"{show_up(after['energy_J'] - it['energy_J'], 'energy', units)} more",
            )
        )
    else:
        read.append(Readout(f"one more {step}", "not simulated", "the lift ends here"))
    return read


def fixed(computed: Computed, units: Units, type_px: float = 10.5) -> Board:
    """The four prices, two by two."""
    board = Board(units, type_px, (5.0, 1.0, 1.9, 3.8))
    four(computed, board, start(computed)["rise_m"])
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """All prices; and what each step of rise costs."""
    table, need = computed.tables["rises"], computed.facts["need_m"]
    all_of_it = Board(units, type_px, (5.0, 1.0, 1.9, 3.6))
    four(computed, all_of_it, need)
    steps = Board(units, type_px, (5.0, 1.0, 1.9, 3.6))
    steps_panel(computed, steps, (0, 0.47, 0, 1), "seconds", "Time that each step of rise took")
    steps_panel(computed, steps, (0.56, 1, 0, 1), "pumps", "Pumps that it took")
    it = table.iloc[(table["rise_m"] - need).abs().argmin()]
    return [
        Picture(
            "price-of-rise",
            "Every inch has its price",
            all_of_it,
            "Four charts against rise: pumps, time, exposure and energy, all climbing. At the needed "
            f"{brief(need, 'length', units)}: {it['pumps']:.0f} pumps, "
            f"{show(it['duration_s'], 'time', units)}, {show_up(it['energy_J'], 'energy', units)}.",
            f"Pumps, time until all is caught, person-seconds at the load ({computed.facts['people']:.0f} people), and "
            "the energy if the whole load came down again, against the "
            f"rise. Upright line: the needed {brief(need, 'length', units)}. {computed.scenario.title}, everyone at "
            "mean times.",
            table,
        ),
        Picture(
            "one-more-inch",
            "The price of one more inch",
            steps,
            "Two bar charts: seconds and pumps that each step of rise took; the needed rise is marked.",
            f"What each further step of rise cost; hatched beyond the needed {brief(need, 'length', units)}. "
            f"{computed.scenario.title}.",
            prices(computed),
        ),
    ]


def four(computed: Computed, board: Board, rise: float) -> None:
    """Two by two."""
    for n, what in enumerate(WHAT):
        left, bottom = (0.0 if n % 2 == 0 else 0.56), (0.58 if n < 2 else 0.0)
        price_panel(
            computed,
            board,
            (left, left + 0.44, bottom, bottom + 0.42),
            rise,
            what,
            "rise of the needed point" if n > 1 else "",
            detail=True,
        )


def price_panel(
    computed: Computed,
    board: Board,
    box: Box,
    rise: float,
    what: tuple[str, str, str, str, str, str],
    x_title: str = "",
    detail: bool = False,
) -> Panel:
    """One price against the rise."""
    key, dimension, title, colour, symbol, words = what
    table = computed.tables["rises"]
    last, most = float(table["rise_m"].max()) * 1.03, float(table[key].max()) * 1.12
    panel = board.panel(
        box,
        Axis(x_title, "length", (0, last)),
        Axis(title.lower(), dimension, (0, most), many=5),
        f"{title}: {words}" if detail else title,
    )
    panel.stretch(computed.facts["need_m"], last)
    panel.line(table["rise_m"], table[key], colour, "solid", 2, title, symbol=symbol, symbols_px=8)
    it = table.iloc[(table["rise_m"] - rise).abs().argmin()]
    panel.upright(rise, "$ink", "dash")
    panel.dots([it["rise_m"]], [it[key]], "$ink", "circle-open", 16, "this rise")
    return panel


def prices(computed: Computed) -> pd.DataFrame:
    """What each step of rise cost."""
    table = computed.tables["rises"]
    more = table.diff()
    more["to_rise_m"] = table["rise_m"]
    return more.iloc[1:][["to_rise_m", "rise_m", "pumps", "calls", "duration_s", "exposure_s", "energy_J"]]


def steps_panel(computed: Computed, board: Board, box: Box, what: str, title: str) -> Panel:
    """Bars of what each whole step cost."""
    key, dimension = {"seconds": ("duration_s", "time"), "pumps": ("pumps", "")}[what]
    step = computed.facts["step_m"]
    table = computed.tables["rises"]
    whole = table[((table["rise_m"] / step) % 1).apply(lambda r: min(r, 1 - r)) < 1e-6]
    more = whole[key].diff().iloc[1:]
    to = whole["rise_m"].iloc[1:]
    panel = board.panel(
        box,
        Axis("up to a rise of", "length", (0, to.max() + step)),
        Axis(what, dimension, (0, more.max() * 1.15), many=6),
        title,
    )
    beyond = to > computed.facts["need_m"] + 1e-9
    panel.bars(to[~beyond], more[~beyond], "$a", "", step * 0.7, "needed")
    panel.bars(to[beyond], more[beyond], "$b", "/", step * 0.7, "beyond the need")
    return panel
