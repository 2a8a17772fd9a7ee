"""A record written as the log that an observer would have kept of it."""

from __future__ import annotations

from collections.abc import Callable

from sim.record.record import LEADER, Record

OF_LEADER = {"calls": "call", "levels": "call", "holds": "hold", "freezes": "stop"}
OF_OTHERS = {"strokes": "stroke start", "recovers": "stroke end", "misses": "missed"}
STARTS = ("turns", "swap", "rehook", "click", "place", "drive")
Keep = Callable[[str, str], bool]


def as_log(record: Record, tick: float = 0.1, keep: Keep = lambda who, what: True, starts: bool = False) -> str:
    """A log as CSV, times noted to the tick; `keep` says of who and what whether it was noted.

    With `starts`, so is the beginning of each catcher's work.
    """
    rows = ["time_s,who,what,note"]
    places = max(0, len(f"{tick:.6f}".rstrip("0").partition(".")[2]))
    frozen, reacting = False, set()
    columns = ("time_s", "who", "what", "station", "side", "note")
    for time, who, what, station, side, note in zip(*(record.events[c] for c in columns), strict=True):
        said, more = "", ""
        if who == LEADER:
            said, more = OF_LEADER.get(what, ""), note if what == "levels" else ""
            frozen = frozen or what == "freezes"
        elif what == "resumes" and frozen:
            frozen, who, said = False, LEADER, "resume"
        elif station and what in ("caught", "captures"):  # whoever is done says so, the load on its way or not
            said, more = "caught", station
        elif station and what == "reacts":
            reacting.add(who)
        elif station and what in STARTS and who in reacting:
            reacting.discard(who)
            said, more = ("start" if starts else ""), station
        elif side:
            said = OF_OTHERS.get(what, "")
        if said and keep(who, said):
            noted = round(round(time / tick) * tick, 6)
            more = f'"{more}"' if "," in more else more
            rows.append(f"{noted:.{places}f},{who},{said},{more}")
    return "\n".join(rows) + "\n"
