"""The pictures of lesson 5: slack over time, stretch over the strut's angle."""

from __future__ import annotations

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DASHDOT, DOT, LONGDASH, SOLID, Axis, Box, Panel
from reports.lessons.picture import Picture, Readout, start
from sim.lessons import Computed
from sim.lessons.lesson import brief
from sim.model.units import Units, show, show_up

STYLES = (("$e", DOT), ("$a", DASH), ("$b", SOLID), ("$c", LONGDASH), ("$d", DASHDOT), ("$f", "longdashdot"))


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float = 13) -> Board:
    """The gap over time with this slack; the drop that this stretch adds at every angle."""
    board = Board(units, type_px, (5.0, 7.4, 1.8, 5.2), keyed=True)
    gap_panel(
        computed,
        board,
        (0, 1, 0.60, 1),
        setting["slack_m"],
        f"Gap through time, {brief(setting['slack_m'], 'length', units)} of slack",
    )
    stretch_panel(
        computed,
        board,
        (0, 1, 0, 0.42),
        setting["elongation"],
        "What the tie's stretch adds to a drop, at each strut angle",
    )
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """What is left, what taking it up costs, what the tie holds and gives."""
    collar, pins = (case(computed, setting["slack_m"], kind) for kind in ("collar", "pins"))
    it = at_angle(computed, setting["elongation"], computed.facts["angle"])
    return [
        Readout("left behind a collar", show_up(collar["mean_left_m"], "length", units), "once it has been turned up"),
        Readout(
            "left behind a pin, on average",
            show_up(pins["mean_left_m"], "length", units),
            "half the spacing, and the slack",
        ),
        Readout("before the first call, taking up slack", show(collar["first_call_s"], "time", units)),
        Readout(
            "tension in the tie",
            show(it["tension_N"], "force", units),
            f"strut at {show(computed.facts['angle'], 'angle', units)}",
        ),
        Readout("stretches by", show_up(it["stretch_m"], "length", units)),
        Readout("which adds to a drop", show_up(it["adds_m"], "length", units), "never to a gap"),
    ]


def fixed(computed: Computed, units: Units, type_px: float = 10.5) -> Board:
    """Slack left; gap over time; tension and added drop over the angle."""
    board = Board(units, type_px, (4.8, 1.2, 1.9, 6.2), keyed=True)
    setting = start(computed)
    gap_panel(
        computed,
        board,
        (0, 0.37, 0.58, 1),
        setting["slack_m"],
        f"Gap, {brief(setting['slack_m'], 'length', units)} of slack",
    )
    left_panel(computed, board, (0, 0.37, 0, 0.38), "Left on average")
    tension_panel(computed, board, (0.48, 0.70, 0, 1), "Tension in the tie")
    stretch_panel(computed, board, (0.80, 1, 0, 1), setting["elongation"], "Stretch adds to a drop", labels=False)
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Slack through time; slack left; tension; the drop that stretch adds."""
    setting, title = start(computed), computed.scenario.title
    slack = brief(setting["slack_m"], "length", units)
    gap, left, tension = (Board(units, type_px, (4.8, 1.2, 1.9, 5.2), keyed=True) for _ in range(3))
    adds = Board(units, type_px, (4.8, 7.0, 1.9, 3.6))
    gap_panel(computed, gap, (0, 1, 0, 1), setting["slack_m"], f"Gap through time behind a tie with {slack} of slack")
    left_panel(computed, left, (0, 1, 0, 1), "What slack leaves open on average")
    tension_panel(computed, tension, (0, 1, 0, 1), "Tension in a level tie against the strut's angle")
    stretch_panel(computed, adds, (0, 1, 0, 1), setting["elongation"], "What the tie's stretch adds to a drop")
    collar = case(computed, setting["slack_m"], "collar")
    it = at_angle(computed, setting["elongation"], computed.facts["angle"])
    return [
        Picture(
            "slack-through-time",
            "A collar takes slack up, a pin leaves it",
            gap,
            f"Two lines of gap against time: the collar's starts at {slack}, falls to nothing before the first "
            "call and stays small; the pin's never falls below "
            "the slack.",
            f"Gap at the strut behind a tie with {slack} of slack. The collar takes it up in "
            f"{show(collar['first_call_s'], 'time', units)} before the first call; the pin "
            f"keeps it for good. {title}, everyone at mean times.",
            computed.tables["gap"][computed.tables["gap"]["slack_m"] == setting["slack_m"]],
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
            f"A falling curve of tension against strut angle; at {show(computed.facts['angle'], 'angle', units)} the "
            f"tie holds {show(it['tension_N'], 'force', units)}.",
            "Tension in a level tie = upright load / tan(angle), for "
            f"{show(computed.facts['upright_N'], 'force', units)} upright. {title}.",
            computed.tables["stretch"][computed.tables["stretch"]["elongation"] == setting["elongation"]],
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


def gap_panel(computed: Computed, board: Board, box: Box, slack: float, title: str) -> Panel:
    """Gap through time behind a collar and behind a pin."""
    gaps = computed.tables["gap"]
    own = gaps[gaps["slack_m"] == slack]
    most = float(gaps["gap_m"].max()) * 1.08
    panel = board.panel(
        box, Axis("time", "time", (-1, own["time_s"].max() * 1.01)), Axis("gap", "length", (0, most), many=5), title
    )
    calls = case(computed, slack, "collar")["first_call_s"]
    if slack > 0:
        panel.level(slack, "$soft", DOT)
        panel.upright(calls, "$soft", DOT, "first call, collar", "left", 0.99)
    for kind, colour, dash in (("pins", "$b", DASH), ("collar", "$a", SOLID)):
        mine = own[own["kind"] == kind]
        panel.line(
            mine["time_s"], mine["gap_m"], colour, dash, 2.2, f"gap, {'a pin' if kind == 'pins' else 'a collar'}"
        )
    return panel


def left_panel(computed: Computed, board: Board, box: Box, title: str) -> Panel:
    """What is left on average against slack."""
    table = computed.tables["cases"]
    panel = board.panel(
        box,
        Axis("slack", "length", (0, table["slack_m"].max() * 1.05)),
        Axis("left open", "length", (0, table["mean_left_m"].max() * 1.1), many=5),
        title,
    )
    for kind, colour, dash, symbol in (("pins", "$b", DASH, "diamond"), ("collar", "$a", SOLID, "circle")):
        own = table[table["kind"] == kind]
        panel.line(
            own["slack_m"],
            own["mean_left_m"],
            colour,
            dash,
            2.2,
            f"left, {'a pin' if kind == 'pins' else 'a collar'}",
            symbol=symbol,
        )
    return panel


def tension_panel(computed: Computed, board: Board, box: Box, title: str) -> Panel:
    """Tension against angle, with the tie's limit."""
    own = computed.tables["stretch"]
    own = own[own["elongation"] == own["elongation"].iloc[0]]
    most = max(float(own["tension_N"].max()), computed.facts["limit_N"]) * 1.1
    panel = board.panel(
        box,
        Axis("strut angle", "angle", (own["angle"].min(), own["angle"].max())),
        Axis("tension", "force", (0, most), many=6),
        title,
    )
    panel.line(own["angle"], own["tension_N"], "$c", SOLID, 2.4, "tension")
    panel.level(computed.facts["limit_N"], "$ink", DASH, "working load limit")
    panel.upright(computed.facts["angle"], "$soft", DOT, "this strut", "left", 0.86)
    return panel


def stretch_panel(
    computed: Computed, board: Board, box: Box, elongation: float, title: str, labels: bool = True
) -> Panel:
    """Added drop against angle, one line a stretch."""
    table = computed.tables["stretch"]
    widest = table[table["elongation"] == table["elongation"].max()]
    most = float(widest.loc[widest["angle"] >= 0.6, "adds_m"].max())
    ends = (table["angle"].min(), table["angle"].max())
    panel = board.panel(
        box, Axis("strut angle", "angle", ends, many=6), Axis("adds to a drop", "length", (0, most), many=6), title
    )
    panel.upright(computed.facts["angle"], "$soft", DOT, "this strut" if labels else "", "left", 0.99)
    for (share, own), (colour, dash) in zip(table.groupby("elongation"), STYLES, strict=False):
        chosen = share == elongation
        panel.line(own["angle"], own["adds_m"], colour, dash, 3.0 if chosen else 1.6)
    it = at_angle(computed, elongation, computed.facts["angle"])
    panel.dots([it["angle"]], [it["adds_m"]], "$ink", "circle", 10, "this tie, this strut")
    if labels:
        shares = sorted(table["elongation"].unique())
        for n, (share, (colour, _)) in enumerate(zip(shares, STYLES, strict=False)):
            at = 1.0 - (len(shares) - n) * 0.11
            board.write(
                f"{100 * share:g} % stretch",
                box[1],
                box[2] + (box[3] - box[2]) * (at + 0.1),
                ("left", "top"),
                0,
                0.5,
                bool(share == elongation),
                colour,
                0.9,
            )
    return panel


def case(computed: Computed, slack: float, kind: str) -> pd.Series:
    """What one lift came to."""
    table = computed.tables["cases"]
    return table[(table["slack_m"] == slack) & (table["kind"] == kind)].iloc[0]


def at_angle(computed: Computed, elongation: float, angle: float) -> pd.Series:
    """The row nearest an angle [rad]."""
    own = computed.tables["stretch"]
    own = own[own["elongation"] == elongation]
    return own.iloc[(own["angle"] - angle).abs().argmin()]
