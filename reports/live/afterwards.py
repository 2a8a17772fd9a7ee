"""What comes after a rehearsal: its figures beside those of the rule on the same people, and the stored run."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from reports.lift.run_page import write_run_page
from reports.words.drops import how_far
from reports.words.plain import NOT_KNOWN, clock, count
from reports.words.stops import stops_json
from sim.model.errors import StoreError
from sim.model.units import Units, show, show_up
from sim.record.columns import as_csv
from sim.record.what import DONE
from sim.rehearsal.kept import KeptRehearsal
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.score import score
from sim.stored.store import json_text, provenance, save

Cells = dict[str, str]  # units -> text

SEEN = {
    "gap": "a gap over the limit",
    "slow": "a catcher has become slow",
    "missed": "a call was missed",
    "short": "a pump gives too little",
    "slack": "a tie had slack",
    "false-caught": "said to be caught, and is not",
    "nothing": "nothing after all",
}


class Afterwards:
    """Measures a rehearsal that is over, stores it, and says it in words."""

    def __init__(self, runs: Path, seed: int, replication: int, settings: dict[str, Any]) -> None:
        self.runs, self.seed, self.replication = runs, seed, replication
        self.settings = settings  # speed, help, whether there were surprises
        self.report = ""
        self.folder: Path | None = None  # where it is stored
        self.trouble: StoreError | None = None  # why it is not where it should be
        self.summary: dict[str, Any] = {}

    def __call__(self, rehearsal: Rehearsal) -> dict[str, Any]:
        """What the page is sent."""
        record = rehearsal.record(self.seed, self.replication)
        summary = score(rehearsal, self.seed, self.replication)
        summary["rehearsal"] |= self.settings
        self.summary = {
            "stops": stops_json(record.scenario), **summary, "provenance": provenance(record.scenario),
        }  # fmt: skip
        self.report = write_run_page(record, self.summary, beside=said(self.summary))
        files: dict[str, str | bytes] = {
            "scenario.toml": record.scenario.text,
            "events.csv": as_csv(record.columns),
            "summary.json": json_text(self.summary) + "\n",
            "report.html": self.report,
        }
        self._store(f"{record.scenario.title} {record.scenario.variant} rehearsal", files)
        if isinstance(rehearsal, KeptRehearsal) and self.folder is not None:
            rehearsal.log.discard()
        if self.folder is None:
            return said(self.summary) | {"stored": ""}
        return said(self.summary) | {"stored": str(self.folder) if self.trouble else self.folder.name}

    def _store(self, title: str, files: dict[str, str | bytes]) -> None:
        """Store it; nobody can lead the same lift twice, so if it must be, at home, or among temporary files."""
        instead = [Path(os.path.expanduser("~")), Path(tempfile.gettempdir())]
        for runs in (self.runs, *(folder / "liftcadence-runs" for folder in instead if folder.is_absolute())):
            try:
                self.folder = save(title, files, runs)
                return
            except StoreError as trouble:
                self.trouble = self.trouble or trouble


def said(summary: dict[str, Any]) -> dict[str, Any]:
    """The outcome, the figures beside those of the rule, and the surprises, in words."""
    own = summary["rehearsal"]
    rule = own["by_the_rule"]
    return {
        "outcome": summary["outcome"].replace("-", " "),
        "sentence": sentence(summary),
        "figures": figures(summary | own, rule),
        "surprises": [surprise(s) for s in own["surprises"]],
        "stops": [stop(s) for s in own["stops"]],
        "handed_over": [handed_over(time) for time in own["handed_over_s"]],
    }


def sentence(summary: dict[str, Any]) -> str:
    """How it went, in a sentence; and why, where it was not raised."""
    summed = summing_up(summary)
    why = "" if summary["outcome"] in DONE else f" {summary['reason'][:1].upper()}{summary['reason'][1:]}."
    return f"{summed[:1].upper()}{summed[1:]}.{why}"


def figures(own: dict[str, Any], rule: dict[str, Any]) -> list[dict[str, Any]]:
    """One line a figure: what it is, how it was called, how the rule would have called it."""

    def line(name: str, cell: Callable[[dict[str, Any]], Cells]) -> dict[str, Any]:
        return {"name": name, "own": cell(own), "rule": cell(rule)}

    def plain(key: str) -> Callable[[dict[str, Any]], Cells]:
        return lambda s: both(str(s[key]))

    return [
        line("outcome", lambda s: both(s["outcome"].replace("-", " "))),
        line("calls", plain("calls")),
        line("time", lambda s: both(clock(s["duration_s"]))),
        line("calls made over the gap limit", plain("over_limit_calls")),
        line("calls made with a station open", plain("calls_with_a_station_open")),
        line("largest gap", lambda s: length(s["largest_gap"]["gap_m"], s["largest_gap"]["station"])),
        line("largest drop, pressure lost, if the station holds", lambda s: drop(s["largest_drop_pressure_lost"])),
        line("largest drop, lifter lost, if the station holds", lambda s: drop(s["largest_drop_lifter_lost"])),
        line("largest level difference", lambda s: length(s["largest_level_difference_m"])),
        line("from call to call, mean", lambda s: both(seconds(s["interval_mean_s"]))),
        line("from call to call, spread (sd)", lambda s: both(seconds(s["interval_sd_s"]))),
        line("holds", lambda s: both(f"{s['holds']}, {clock(s['hold_time_s'])} in all")),
        line("time lost to needless holds", lambda s: both(clock(s["needless_hold_s"]))),
        line("rise, once settled", lambda s: exact(s["settled_rise_m"])),
        line("raised further than needed", lambda s: exact(max(0.0, s["overshoot_m"]))),
    ]


def surprise(found: dict[str, Any]) -> str:
    """One surprise, and whether it was noticed."""
    by = ", brought in by the instructor" if found["by_hand"] else ""
    since = f"from call {found['call']} on" if found["call"] else "from the start"
    what = f"{SEEN[found['kind']]}: {found['who']}, {since}{by}"
    after = found["noticed_after_s"]
    return f"{what}: " + ("not named" if after is None else f"named after {clock(after)}")


def stop(found: dict[str, Any]) -> str:
    """One use of the stop key, and what was named."""
    where = f" ({found['where']})" if found["where"] else ""
    so = "" if found["it_was_so"] or found["what"] == "nothing" else "; it was not so then and there"
    return f"at {clock(found['time_s'])}, for {clock(found['stopped_s'])}: {SEEN[found['what']]}{where}{so}"


def handed_over(time: float) -> str:
    """That somebody else has called from then on, who knew more."""
    return f"At {clock(time)} somebody who watched, and had seen which surprises there are, took the calling over"


def summing_up(summary: dict[str, Any]) -> str:
    """The rehearsal in one sentence."""
    own = summary["rehearsal"]
    named = sum(s["noticed_after_s"] is not None for s in own["surprises"])
    surprises = f"; {named} of {count(len(own['surprises']), 'surprise')} named" if own["surprises"] else ""
    over = summary["over_limit_calls"] or "none"
    return (
        f"{summary['outcome'].replace('-', ' ')}: {count(summary['calls'], 'call')} in {clock(summary['duration_s'])}, "
        f"{over} over the gap limit, {clock(own['needless_hold_s'])} lost to needless holds"
        f"{surprises}; by the rule {count(own['by_the_rule']['calls'], 'call')} in "
        f"{clock(own['by_the_rule']['duration_s'])}"
    )


def both(text: str) -> Cells:
    """A text that is the same in all units."""
    return {"us": text, "si": text}


def length(metres: float, at: str | None = None) -> Cells:
    """A gap or a difference, rounded up, and where."""
    return _each(lambda units: show_up(metres, "length", units) + (f", {at}" if at else ""))


def exact(metres: float) -> Cells:
    """A rise."""
    return _each(lambda units: show(metres, "length", units))


def drop(found: dict[str, Any]) -> Cells:
    """A drop, rounded up, and onto what."""
    if found["call"] is None:
        return both("none")
    onto = f"onto {found['onto']}" if found["onto"] else "to the start"
    return _each(lambda units: f"{how_far(found).words(units)} {onto}")


def seconds(value: float | None) -> str:
    """A time to the tenth; one that is missing is not known."""
    return NOT_KNOWN if value is None else f"{value:.1f} s"


def _each(text: Callable[[Units], str]) -> Cells:
    return {"us": text("us"), "si": text("si")}
