"""The event rows of a rehearsal as the page's drawing takes them, each with where it is going."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any

from reports.views.captions import said
from reports.words.plain import count
from sim.record.record import LeaderRow, Row, SideRow
from sim.record.what import What
from sim.rehearsal import foretold
from sim.rehearsal.led import Rehearsal

DRAWN = (
    "time_s", "call", "who", "what", "station", "device", "side", "demand_m", "captured_before_m", "captured_m",
    "open", "hands", "caught", "u",
)  # fmt: skip
UNSAID = (What.HOLDS, What.UNCAPTURABLE, What.MISSES)  # a person who leads says the one and has to see the others
TICK = 0.25  # how often drops are shown anew while anything moves [s of the lift]


class Rows:
    """What has been sent of a rehearsal, and what is to be sent next."""

    def __init__(self, rehearsal: Rehearsal) -> None:
        self.rehearsal = rehearsal
        self.sent = 0  # rows of the book
        self.bends: dict[str, float] = {}  # place -> when its line bends although nothing happens
        self.next_tick = 0.0
        self.earlier: dict[str, int] = {}  # lifter -> strokes before its last re-set

    @property
    def due(self) -> float:
        """When there is something to send although nothing happens [s]."""
        r = self.rehearsal
        if r.over or r.frozen_at is not None:
            return inf
        tick = self.next_tick if foretold.moves(r.lift.site) else inf
        return min([tick, *self.bends.values()])

    def new(self, time: float) -> list[dict[str, Any]]:
        """All that has not been sent, at a time by which everything due has happened."""
        book = self.rehearsal.book.rows
        fresh = [plain(row) for row in book[self.sent :]]
        for row in book[self.sent :]:
            if row.what == What.IN_CONTACT and isinstance(row, SideRow):
                self.earlier[row.side] = next(
                    s.pumps for s in self.rehearsal.lift.site.sides if s.lifter.name == row.side
                )
        self.sent = len(book)
        moment = max(self.rehearsal.now, time)
        if self.rehearsal.frozen_at is None and not self.rehearsal.over:
            bent = [name for name, at in self.bends.items() if at <= time]
            fresh += [self._standing(name, time) for name in bent if all(r.get("station") != name for r in fresh)]
            self._aim(fresh, moment)
        else:
            self.bends.clear()
        if fresh or self.next_tick <= time:
            self.next_tick = moment + TICK
            fresh += [_fall(fall, moment) for fall in foretold.falls(self.rehearsal.lift.site, moment)]
        return fresh

    def slack(self) -> str:
        """What is said of strokes that raise nothing yet, since they only spend slack; empty once the load moves."""
        found = {}
        for side in self.rehearsal.lift.site.sides:
            strokes = side.pumps - self.earlier.get(side.lifter.name, 0)
            about = foretold.strokes_of_slack(side, strokes)
            if about:
                found[side.lifter.name] = f"{strokes} of about {count(about, 'stroke')}"
        if len(found) == len(self.rehearsal.lift.site.sides) and len(set(found.values())) == 1:
            return f"Taking up slack: {next(iter(found.values()))}."
        each = "; ".join(f"{name}, {so}" for name, so in found.items())
        return f"Taking up slack: {each}." if found else ""

    def _standing(self, name: str, time: float) -> dict[str, Any]:
        """A row that nobody wrote: a collar has met the load and stays with it, or has overtaken another device."""
        place = next(p for p in self.rehearsal.lift.site.places if p.name == name)
        at = self.bends[name]
        demand, captured = foretold.seen(place, at)
        _, open_, hands, caught = place.state()
        return {
            "time_s": round(at, 6), "call": self.rehearsal.lift.site.call, "who": "", "what": What.MEETS,
            "station": name, "demand_m": demand, "captured_before_m": captured, "captured_m": captured,
            "open": int(open_), "hands": int(hands), "caught": int(caught),
        }  # fmt: skip

    def _aim(self, fresh: Sequence[dict[str, Any]], time: float) -> None:
        """Give the last new row of each side and place what it runs to."""
        site = self.rehearsal.lift.site
        last = {r.get("side") or r.get("station"): r for r in fresh if r.get("side")}
        for side in site.sides:
            aim = foretold.side_aim(side)
            if aim and side.lifter.name in last:
                last[side.lifter.name]["aim"] = list(aim)
        last = {r["station"]: r for r in fresh if r.get("station")}
        for place in site.places:
            if place.name not in last:
                continue
            self.bends.pop(place.name, None)
            row = last[place.name]
            to = foretold.place_aim(place, max(row["time_s"], place.since))
            if to:
                row["aim"] = [to.time, to.demand, to.captured]
                if to.bends:
                    self.bends[place.name] = to.time


def plain(row: Row) -> dict[str, Any]:
    """A row of the book without what is empty, with what is said aloud."""
    full = row._asdict()
    found: dict[str, Any] = {}
    for name in DRAWN:
        value = full.get(name, "")
        if value != "":
            found[name] = int(value) if isinstance(value, bool) else value
    spoken = None
    if row.what not in UNSAID:
        spoken = said(row.what, row.call, row.who, full.get("station", ""), full.get("note", ""))
    if spoken:
        found |= {"caption": spoken.text, "aloud": spoken.aloud, "tone": spoken.tone}
    if isinstance(row, LeaderRow):
        found["note"] = row.note
    return found


def _fall(fall: foretold.Fall, time: float) -> dict[str, Any]:
    return {
        "time_s": time, "loss": fall.loss, "side": fall.side, "stop_before_u": fall.stop, "stop_u": fall.stop,
        "drop_before_m": fall.drop, "drop_m": fall.drop, "onto": fall.onto,
    }  # fmt: skip
