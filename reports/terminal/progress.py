"""Practice from session to session: the stored rehearsals of a lift as a small chart for the terminal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from reports.words.plain import NOT_KNOWN, clock
from sim.model.units import Units, show_up
from sim.stored.store import Stored

BARS = "▁▂▃▄▅▆▇█"
MOST = 24  # sessions in one chart
Of = Callable[[dict[str, Any]], float | None]
Said = Callable[[float, Units], str]
FIGURES: tuple[tuple[str, Of, Said], ...] = (
    ("calls over the limit", lambda s: s["over_limit_calls"], lambda v, _: f"{v:.0f}"),
    ("largest gap", lambda s: s["largest_gap"]["gap_m"], lambda v, units: show_up(v, "length", units)),
    ("needless holds", lambda s: s["rehearsal"]["needless_hold_s"], lambda v, _: clock(v)),
    ("spread from call to call", lambda s: s["rehearsal"]["interval_sd_s"], lambda v, _: f"{v:.1f} s"),
    ("surprises not named", lambda s: sum(x["noticed_after_s"] is None for x in s["rehearsal"]["surprises"]),
     lambda v, _: f"{v:.0f}"),
)  # fmt: skip


def progress(found: Sequence[Stored]) -> list[str]:
    """For every lift that was rehearsed more than once: a bar a session for each figure, first and last in words.

    Parameters
    ----------
    found : sequence of Stored
        Stored runs, the newest first, as `sim.stored.store.stored` gives them; only rehearsals are looked at.

    Returns
    -------
    list of str
        Lines for the terminal; none where nothing was rehearsed twice.
    """
    lifts: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for run in reversed(found):
        if run.summary is not None and run.summary.get("kind") == "rehearsal":
            lifts.setdefault((run.summary["title"], str(run.summary.get("variant") or "")), []).append(run.summary)
    lines = []
    for (title, variant), sessions in lifts.items():
        if len(sessions) > 1:
            name = f"{title} · {variant}" if variant else title
            lines.append(f"practice of {name}: {len(sessions)} sessions, the newest on the right; lower is less")
            lines += [_line(label, sessions, of, said) for label, of, said in FIGURES]
    return lines


def _line(label: str, sessions: list[dict[str, Any]], of: Of, said: Said) -> str:
    values = [_value(session, of) for session in sessions]
    units: Units = "us" if sessions[-1].get("units") == "us" else "si"
    words = [NOT_KNOWN if value is None else said(value, units) for value in (values[0], values[-1])]
    return f"  {label:<25} {bars(values[-MOST:])}  first {words[0]}, last {words[1]}"


def _value(session: dict[str, Any], of: Of) -> float | None:
    try:
        value = of(session)
        return None if value is None else float(value)
    except (LookupError, TypeError, AttributeError, ValueError, ArithmeticError):
        return None


def bars(values: Sequence[float | None]) -> str:
    """A bar for each value, from none at all to the largest; a dot where it is not known."""
    most = max((v for v in values if v is not None), default=0.0)
    return "".join("·" if v is None else BARS[0 if most <= 0 else round(v / most * (len(BARS) - 1))] for v in values)
