"""A lift that goes up, stands and comes down, in words: its stages one by one, and which kind its largest gap is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from reports.words.plain import clock, count
from sim.model.devices import EXACT
from sim.model.scenario import Stage
from sim.model.units import Units, show, show_up
from sim.record.what import DONE, HELD

Summary = dict[str, Any]
KINDS = {"passing": "passing, not caught yet", "standing": "left after capture", "made": "made, on the way down"}


def plan_words(stage: Stage, units: Units) -> str:
    """What a stage of the plan asks for: "raise to 5.00 in", "hold 10 min", "lower to the start"."""
    if stage.do == "hold":
        return f"hold {clock(stage.time)}"
    return f"{stage.do} to {height(stage.to, units)}"


def height(rise: float, units: Units) -> str:
    """A rise of the needed point; none is what it stood on."""
    return "the start" if abs(rise) <= EXACT else show(rise, "length", units)


def job_words(stages: Sequence[Summary], units: Units) -> str:
    """What was done, stages that go the same way as one: "raised 5.03 in, held 10 min, let down to the start"."""
    said = []
    for do, each in groupby(stages, key=lambda stage: str(stage["do"])):
        part = list(each)
        if do == "hold":
            said.append(f"held {clock(sum(stage['duration_s'] for stage in part))}")
        elif do == "lower":
            said.append(f"let down to {height(part[-1]['end_rise_m'], units)}")
        else:
            said.append(f"raised {'to ' if said else ''}{show(part[-1]['end_rise_m'], 'length', units)}")
    return ", ".join(said)


def stopped_in(stages: Sequence[Summary], units: Units) -> str:
    """In which stage a lift ended that did not come to its end, and how high the load was then."""
    last = stages[-1]
    way = {"raise": "raising", "hold": "holding", "lower": "lowering"}[last["do"]]
    to = "" if last["to_m"] is None else f" to {height(last['to_m'], units)}"
    return f"at {show(last['end_rise_m'], 'length', units)}, in stage {len(stages)} ({way}{to})"


def is_done(outcome: str | None) -> bool:
    """Whether a stage came to what it was to come to."""
    return outcome in (*DONE, HELD)


def kind_of_largest(summary: Summary) -> str:
    """Which kind the largest gap was, of a lift with stages: a key of KINDS; "" of a lift without, or without a gap."""
    if not summary.get("stages") or summary["largest_gap"]["station"] is None:
        return ""
    return next((kind for kind in KINDS if summary[f"largest_{kind}_gap"] == summary["largest_gap"]), "")


def gap_as_said(summary: Summary, units: Units) -> str:
    """The largest gap, and of which kind it was where that is the question; where nothing follows there is none."""
    if not summary["stations"]:
        return "not known: nothing follows the load"
    gap = show_up(summary["largest_gap"]["gap_m"], "length", units)
    kind = kind_of_largest(summary)
    return f"{gap} {kind}" if kind else gap


def rise_words(summary: Summary, units: Units) -> str:
    """How high the needed point was at the most, of what is needed, and where it is at the end."""
    needed = summary["needed_rise_m"]
    most, last = (show(x, "length", units) for x in (needed + summary["overshoot_m"], summary["settled_rise_m"]))
    return f"{most} at the most at the needed point (needed: {show(needed, 'length', units)}), {last} at the end"


def lowers(summary: Summary) -> list[Summary]:
    """The stages that lower the load and were begun."""
    return [stage for stage in summary.get("stages", ()) if stage["do"] == "lower"]


def way_down(summary: Summary, units: Units) -> str:
    """What the way down took and the largest gap that was made on it; "" where there is none."""
    stages = lowers(summary)
    if not stages:
        return ""
    calls, seconds = sum(stage["calls"] for stage in stages), sum(stage["duration_s"] for stage in stages)
    return f"{clock(seconds)} in {count(calls, 'call')}, its largest made gap {made_gap(summary, units)}"


def ways_down(names: Sequence[str], summaries: Sequence[Summary], units: Units) -> list[str]:
    """The way down of each of several ways in one line; none of those that do not come down."""
    said = [f"{way} ({name})" for name, each in zip(names, summaries, strict=True) if (way := way_down(each, units))]
    return [f"The way down took {'; '.join(said)}."] if said else []


def made_gap(summary: Summary, units: Units) -> str:
    """The largest gap that was made, and where."""
    gap = summary["largest_made_gap"]
    if gap["station"] is None:
        return "none"
    return f"{show_up(gap['gap_m'], 'length', units)} at the {gap['station']}, call {gap['call']}"


def hands_alone(summary: Summary) -> str:
    """How long hands were in with nothing else near the load but a ram."""
    seconds = summary.get("hands_in_on_rams_alone_s")
    return clock(seconds) if seconds or seconds is None else "never"


HEADS = (
    "stage", "time", "calls", "pumps", "holds", "passing gap", "standing gap", "made gap", "drop, lifter lost",
    "hands in on the rams alone", "rise at its end", "result",
)  # fmt: skip


def rows(summary: Summary, units: Units) -> list[list[str]]:
    """A row a stage, under HEADS."""
    return [_row(number, stage, units) for number, stage in enumerate(summary.get("stages", ()), 1)]


def _row(number: int, stage: Summary, units: Units) -> list[str]:
    def gap(kind: str) -> str:
        found = stage[f"largest_{kind}_gap"]
        return "none" if found["station"] is None else show_up(found["gap_m"], "length", units)

    to = "" if stage["to_m"] is None else f" to {height(stage['to_m'], units)}"
    drop = stage["largest_drop_lifter_lost"]
    return [
        f"{number}. {stage['do']}{to}",
        clock(stage["duration_s"]),
        f"{stage['calls']:,}",
        " + ".join(f"{n:,}" for n in stage["pumps"].values()),
        f"{stage['holds']} ({clock(stage['hold_time_s'])})" if stage["holds"] else "none",
        gap("passing"),
        gap("standing"),
        gap("made"),
        show_up(drop["drop_m"], "length", units) if drop["call"] is not None else "none",
        hands_alone(stage),
        show(stage["end_rise_m"], "length", units),
        (stage["outcome"] or "not ended").replace("-", " "),
    ]
