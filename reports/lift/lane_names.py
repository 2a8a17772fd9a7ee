"""A person's name and role beside a lane, or over it, cut where there is no room."""

from __future__ import annotations

from reports.paper.figures import as_text, em

NAME_EM = {"wide": 14.2, "narrow": 27.0}  # room for a person's name and role
BOLD = 1.12  # times as wide


def lane_name(name: str, role: str, room: str) -> str:
    """A person and what they are at: two lines at the side, one above the lane."""
    if room == "wide":
        return f"<b>{_cut(name, NAME_EM[room] / BOLD)}</b><br>{_cut(role, NAME_EM[room])}"
    name = _cut(name, NAME_EM[room] / BOLD)
    left = NAME_EM[room] - BOLD * em(name)
    return f"<b>{name}</b> " + (_cut(role, left) if left > 6 else "")


def _cut(words: str, room: float) -> str:
    """No wider than that many em; names often differ at their ends, so the middle goes."""
    if em(words) > room:
        tail = len(words)
        while em(words[-tail:]) > 0.45 * room:
            tail -= 1
        lead = len(words) - tail
        while em(words[:lead]) > 0.55 * room - 1:
            lead -= 1
        words = f"{words[:lead].rstrip()}…{words[len(words) - tail :].lstrip()}"
    return as_text(words)
