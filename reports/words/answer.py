"""The answer in one sentence: what came of the lift, what it took, and the largest gap."""

from __future__ import annotations

from operator import itemgetter
from typing import Any

from reports.words import stages
from reports.words.plain import clock, count
from sim.model.scenario import Scenario
from sim.model.units import Units, show, show_up
from sim.record.what import DONE, Outcome, What

STILL = 1e-5  # [m]; a fall of less is none that anybody sees


def answer(summary: dict[str, Any], scenario: Scenario, units: Units | None = None) -> str:
    """One sentence in plain words, in the scenario's units unless others are asked for."""
    units = units or scenario.units
    if not summary["calls"]:
        return f"{_WORD[summary['outcome']]} before the first call: nothing was raised."
    return f"{_outcome(summary, units)}; {_largest_gap(summary, units)}."


_WORD: dict[str, str] = {each: each.replace("-", " ").capitalize() for each in Outcome}


def _outcome(summary: dict[str, Any], units: Units) -> str:
    if summary.get("stages") and summary["outcome"] != Outcome.DROPPED:
        return _job(summary, units)
    took = f"after {count(summary['calls'], 'call')}{_pumps(summary)} in {clock(summary['duration_s'])}"
    rise, needed = _length(summary["point_rise_m"], units), _length(summary["needed_rise_m"], units)
    if summary["outcome"] == Outcome.RAISED:
        settled = _length(summary["settled_rise_m"], units)
        once_settled = "" if settled == rise else f", {settled} once settled,"
        return f"Raised: {rise} at the needed point{once_settled} {took}"
    if summary["outcome"] == Outcome.DROPPED:
        return f"Dropped in {_fall(summary, units)}"
    if summary["point_rise_m"] >= summary["needed_rise_m"]:
        held = _length(summary["settled_rise_m"], units)
        return f"{_WORD[summary['outcome']]}: up {rise}, but only {held} of the {needed} needed is held {took}"
    return f"{_WORD[summary['outcome']]}: {rise} of the {needed} needed {took}"


def _job(summary: dict[str, Any], units: Units) -> str:
    """Of a lift with stages: each that was done; where it ended before the last, where that was."""
    parts = summary["stages"]
    took = f"in {clock(summary['duration_s'])} ({count(summary['calls'], 'call')}{_pumps(summary, ', ')})"
    if stages.is_done(summary["outcome"]) and stages.is_done(parts[-1]["outcome"]):
        said = stages.job_words(parts, units)
        return f"{said[:1].upper()}{said[1:]}, {took}"
    return f"{_WORD[summary['outcome']]} {stages.stopped_in(parts, units)}, {took}"


def _fall(summary: dict[str, Any], units: Units) -> str:
    fall = summary.get("fall")
    if fall is None:
        return f"call {summary['calls']}{_pumps(summary)}"
    what = "pressure" if fall["loss"] == What.PRESSURE_LOST else "lifter"
    fell, energy = show_up(fall["fell_m"], "length", units), show(fall["energy_J"], "energy", units)
    onto = f"onto the {fall['caught_by']}" if not fall["caught_by"].startswith("nothing") else "to the start"
    lost = f"the {what} was lost on the {fall['side']}"
    if fall["fell_m"] < STILL:
        stayed = onto.replace("onto", "on").replace("to the start", "at the start")
        return f"call {fall['call']}{_pumps(summary)}: {lost}, and the load did not fall: it stayed {stayed}"
    return f"call {fall['call']}{_pumps(summary)}: {lost}, and the load fell {fell} ({energy}) {onto}"


def _pumps(summary: dict[str, Any], after: str = "") -> str:
    """How many pumps: in brackets, or after a comma."""
    pumps = list(summary["pumps"].values())
    said = f"{' and '.join(f'{n:,}' for n in pumps)} pumps"
    if len(set(pumps)) == 1:
        said = f"{count(pumps[0], 'pump')}{' a side' if len(pumps) > 1 else ''}"
    return f"{after}{said}" if after else f" ({said})"


def _largest_gap(summary: dict[str, Any], units: Units) -> str:
    gap = summary["largest_gap"]
    if gap["station"] is None:
        if not summary["stations"]:
            return (
                f"there was nothing to capture the load: it hung on the rams alone for {clock(summary['ram_only_s'])}"
            )
        return "no gap was left at any station"
    kind = stages.kind_of_largest(summary)
    if kind == "made":
        held = max((summary[f"largest_{each}_gap"] for each in ("passing", "standing")), key=itemgetter("gap_m"))
        passed = _gap(held, units) if held["station"] else "none"
        return f"the largest gap that was made was {_gap(gap, units)}, the largest passing or standing one {passed}"
    that = {"passing": " in passing", "standing": " left after capture", "": ""}[kind]
    made = summary["largest_made_gap"] if kind else gap
    also = f", the largest that was made {_gap(made, units)}" if kind and made["station"] else ""
    return f"the largest gap{that} was {_gap(gap, units)}{also}"


def _gap(gap: dict[str, Any], units: Units) -> str:
    when = f"in call {gap['call']}" if gap["call"] else "before the first call"
    return f"{show_up(gap['gap_m'], 'length', units)}, at the {gap['station']} {when}"


def why(summary: dict[str, Any]) -> str:
    """The reason of the outcome where the answer does not say it; what never came."""
    said = [f"The {words}." for words in never_came(summary)]
    if summary["outcome"] not in (*DONE, Outcome.DROPPED):
        reason = summary["reason"]
        said.insert(0, reason[:1].upper() + reason[1:] + ("" if reason.endswith(".") else "."))
    return " ".join(said)


def never_came(summary: dict[str, Any]) -> list[str]:
    """The mishaps that nothing came of: the lift was over before them."""
    calls = summary["calls"]
    ended = f"the lift ended after {count(calls, 'call')}"
    return [
        f"mishap at call {each['call']} never came: "
        + (ended if each["call"] > calls else "the lift was over before it was due")
        for each in summary.get("mishaps_that_never_came", ())
    ]


def _length(metres: float, units: Units) -> str:
    return show(metres, "length", units)
