"""The pictures of lesson 5: slack over time, stretch over the strut's angle."""

from __future__ import annotations

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DASHDOT, DOT, LONGDASH, SOLID, WHOLE, Axis, Box
from reports.lessons.picture import Picture, Readout, nearest, row_of, rows_of, start
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.slack_and_stretch import figures_at
from sim.lessons.words.figures import say
from sim.model.units import Units

STYLES = (("$e", DOT), ("$a", DASH), ("$b", SOLID), ("$c", LONGDASH), ("$d", DASHDOT), ("$f", "longdashdot"))
KINDS = (("pins", "a pin", "$b", DASH, "diamond"), ("collar", "a collar", "$a", SOLID, "circle"))


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """The gap over time with this slack; the drop that this stretch adds at every angle."""
    board = Board(computed, units, type_px, (5.0, 7.4, 1.8, 5.2), keyed=True)
    slack, elongation = setting["slack_m"], setting["elongation"]
    gap_panel(board, (0, 1, 0.60, 1), slack, f"Gap through time, {board.f.brief(slack)} of slack")
    stretch_panel(board, (0, 1, 0, 0.42), elongation, "What the tie's stretch adds to a drop, at each strut angle")
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """What is left, what taking it up costs, what the tie holds and gives."""
    it = say(figures_at(computed.tables["cases"], computed.facts, setting), units)
    return [
        Readout("left behind a collar", it["behind_collar"], "once it has been turned up"),
        Readout("left behind a pin, on average", it["behind_pin"], "half the spacing, and the slack"),
        Readout("before the first call, taking up slack", it["first_call"]),
        Readout("tension in the tie", it["tension"], f"strut at {computed.say(units)['strut_at']}"),
        Readout("stretches by", it["longer"]),
        Readout("which adds to a drop", it["adds"], "never to a gap"),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """Slack left; gap over time; tension and added drop over the angle."""
    board = Board(computed, units, type_px, (4.8, 1.2, 1.9, 8.6), keyed=True)
    setting = start(computed)
    slack = setting["slack_m"]
    gap_panel(board, (0, 0.37, 0.58, 1), slack, f"Gap, {board.f.brief(slack)} of slack")
    left_panel(board, (0, 0.37, 0, 0.38), "Left on average")
    tension_panel(board, (0.48, 0.70, 0, 1), "Tension in the tie")
    stretch_panel(board, (0.80, 1, 0, 1), setting["elongation"], "Stretch adds", labels=False)
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Slack through time; slack left; tension; the drop that stretch adds."""
    f = Printed(units)
    setting, title = start(computed), computed.scenario.title
    slack = f.brief(setting["slack_m"])
    gap, left, tension = (Board(computed, units, type_px, (4.8, 1.2, 1.9, 5.2), keyed=True) for _ in range(3))
    adds = Board(computed, units, type_px, (4.8, 7.0, 1.9, 3.6))
    gap_panel(gap, WHOLE, setting["slack_m"], f"Gap through time behind a tie with {slack} of slack")
    left_panel(left, WHOLE, "What slack leaves open on average")
    tension_panel(tension, WHOLE, "Tension in a level tie against the strut's angle")
    stretch_panel(adds, WHOLE, setting["elongation"], "What the tie's stretch adds to a drop")
    collar = row_of(computed.tables["cases"], {"slack_m": setting["slack_m"], "kind": "collar"})
    it = at_the_strut(computed, setting["elongation"])
    return [
        Picture(
            "slack-through-time",
            "A collar takes slack up, a pin leaves it",
            gap,
            f"Two lines of gap against time: the collar's starts at {slack}, falls to nothing before the first "
            "call and stays small; the pin's never falls below "
            "the slack.",
            f"Gap at the strut behind a tie with {slack} of slack. The collar takes it up in "
            f"{f.time(collar['first_call_s'])} before the first call; the pin "
            f"keeps it for good. {title}, everyone at mean times.",
            rows_of(computed.tables["gap"], {"slack_m": setting["slack_m"]}),
        ),
        Picture(
            "slack-left",
            "Slack stays behind a pin",
            left,
            "Two lines of what is left open on average against slack: level at nothing for the collar, rising one "
            "for one from half the spacing for the pin.",
            "Left open on average, wherever the load stops: behind a pin half the spacing and all the slack, "
            f"behind a collar nothing. {title}.",
            computed.tables["cases"],
        ),
        Picture(
            "tie-tension",
            "The flatter the strut, the harder its tie pulls",
            tension,
            f"A falling curve of tension against strut angle; at {f.angle(computed.facts['angle'])} the "
            f"tie holds {f.force(it['tension_N'])}.",
            "Tension in a level tie = upright load / tan(angle), for "
            f"{f.force(computed.facts['upright_N'])} upright. {title}.",
            rows_of(computed.tables["stretch"], {"elongation": setting["elongation"]}),
        ),
        Picture(
            "stretch-adds",
            "Stretch that no one takes up",
            adds,
            "Lines of added drop against strut angle, one for each stretch: all fall steeply as the strut gets "
            "steeper.",
            "The foot slides out by the tie's stretch and the head comes down by stretch / tan(angle). Stretch in "
            f"percent at the working load limit. {title}.",
            computed.tables["stretch"],
        ),
    ]


def gap_panel(board: Board, box: Box, slack: float, title: str) -> None:
    """Gap through time behind a collar and behind a pin."""
    gaps = board.tables["gap"]
    own = rows_of(gaps, {"slack_m": slack})
    most = float(gaps["gap_m"].max()) * 1.08
    panel = board.panel(
        box, Axis("time", "time", (-1, own["time_s"].max() * 1.01)), Axis("gap", "length", (0, most), many=5), title
    )
    calls = row_of(board.tables["cases"], {"slack_m": slack, "kind": "collar"})["first_call_s"]
    if slack > 0:
        panel.level(slack, "$soft", DOT)
        panel.upright(calls, "$soft", DOT, "first call, collar", "left", 0.99)
    for kind, name, colour, dash, _ in KINDS:
        mine = rows_of(own, {"kind": kind})
        panel.line(mine["time_s"], mine["gap_m"], colour, dash, 2.2, f"gap, {name}")


def left_panel(board: Board, box: Box, title: str) -> None:
    """What is left on average against slack."""
    table = board.tables["cases"]
    panel = board.panel(
        box,
        Axis("slack", "length", (0, table["slack_m"].max() * 1.05)),
        Axis("left open", "length", (0, table["mean_left_m"].max() * 1.1), many=5),
        title,
    )
    for kind, name, colour, dash, symbol in KINDS:
        own = rows_of(table, {"kind": kind})
        panel.line(own["slack_m"], own["mean_left_m"], colour, dash, 2.2, f"left, {name}", symbol=symbol)


def tension_panel(board: Board, box: Box, title: str) -> None:
    """Tension against angle, with the tie's limit."""
    own = board.tables["stretch"]
    own = rows_of(own, {"elongation": own["elongation"].iloc[0]})
    most = max(float(own["tension_N"].max()), board.facts["limit_N"]) * 1.1
    panel = board.panel(
        box,
        Axis("strut angle", "angle", (own["angle"].min(), own["angle"].max())),
        Axis("tension", "force", (0, most), many=6),
        title,
    )
    panel.line(own["angle"], own["tension_N"], "$c", SOLID, 2.4, "tension")
    panel.level(board.facts["limit_N"], "$ink", DASH, "working load limit")
    panel.upright(board.facts["angle"], "$soft", DOT, "this strut", "left", 0.86)


def stretch_panel(board: Board, box: Box, elongation: float, title: str, labels: bool = True) -> None:
    """Added drop against angle, one line a stretch."""
    table = board.tables["stretch"]
    widest = table[table["elongation"] == table["elongation"].max()]
    most = float(widest.loc[widest["angle"] >= 0.6, "adds_m"].max())
    ends = (table["angle"].min(), table["angle"].max())
    panel = board.panel(
        box, Axis("strut angle", "angle", ends, many=6), Axis("adds to a drop", "length", (0, most), many=6), title
    )
    panel.upright(board.facts["angle"], "$soft", DOT, "this strut" if labels else "", "left", 0.99)
    for (share, own), (colour, dash) in zip(table.groupby("elongation"), STYLES, strict=False):
        chosen = share == elongation
        panel.line(own["angle"], own["adds_m"], colour, dash, 3.0 if chosen else 1.6)
    it = at_the_strut(board.computed, elongation)
    panel.dots([it["angle"]], [it["adds_m"]], "$ink", "circle", 10, "this tie, this strut")
    if labels:
        shares = sorted(table["elongation"].unique())
        for n, (share, (colour, _)) in enumerate(zip(shares, STYLES, strict=False)):
            at = 1.0 - (len(shares) - n) * 0.11
            high, chosen = box[2] + (box[3] - box[2]) * (at + 0.1), bool(share == elongation)
            board.write(f"{100 * share:g} % stretch", box[1], high, ("left", "top"), 0, 0.5, chosen, colour, 0.9)


def at_the_strut(computed: Computed, elongation: float) -> pd.Series:
    """What a tie with this stretch comes to at the angle of this strut."""
    return nearest(rows_of(computed.tables["stretch"], {"elongation": elongation}), {"angle": computed.facts["angle"]})
