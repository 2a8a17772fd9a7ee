"""Rows of a record, written by hand: lengths in millimetres."""

from tests.builders import MM, collar, lift, lifter, station


def leader(time, call, what, note=""):
    """What the leader does."""
    return {"time_s": float(time), "call": call, "who": "leader", "what": what, "note": note}


def side(time, call, what, u_mm, name="ram", travel_mm=None):
    """Where a side of a straight lift stands."""
    travel = (u_mm if travel_mm is None else travel_mm) * MM
    return {
        "time_s": float(time), "call": call, "who": name, "what": what, "side": name,
        "u": u_mm * MM, "ram_travel_m": travel, "rise_m": u_mm * MM,
    }  # fmt: skip


def place(time, call, what, demand, captured, before=None, name="strut", caught=True, is_open=False, hands=False):
    """What a place holds."""
    before = captured if before is None else before
    return {
        "time_s": float(time), "call": call, "who": "hand", "what": what, "station": name, "device": "x",
        "demand_m": demand * MM, "captured_before_m": before * MM, "captured_m": captured * MM,
        "gap_m": (demand - captured) * MM, "open": is_open, "hands": hands, "caught": caught,
    }  # fmt: skip


ONE = lift(15 * MM, lifter(name="ram"), station(collar()), gap_limit=5 * MM)


PINNED = [  # one call, 20 mm in one stroke; out at 5, in at 10 with 12 mm held; a second call over 8 mm, to 24
    side(0, 0, "starts", 0),
    place(0, 0, "starts", 0, 0),
    leader(0, 1, "calls"),
    place(1, 1, "moves", 0, 0, caught=False),
    side(1, 1, "strokes", 0),
    place(3, 1, "rests", 20, 0, caught=False),
    side(3, 1, "recovers", 20),
    leader(4, 1, "holds", "strut"),
    place(5, 1, "swap", 20, 0, caught=False, is_open=True, hands=True),
    place(10, 1, "caught", 20, 12, before=0),
    leader(11, 2, "calls"),
    place(12, 2, "moves", 20, 12, caught=False),
    side(12, 2, "strokes", 20),
    place(14, 2, "rests", 24, 12, caught=False),
    side(14, 2, "recovers", 24),
    place(14, 2, "nothing to capture", 24, 12),
    leader(16, 2, "not-reached"),
]

BOTH_SIDES = [  # left up 10, right 6; a strut on both holds a mean of 7
    side(0, 0, "starts", 0, "left lifter"),
    side(0, 0, "starts", 0, "right lifter"),
    place(0, 0, "starts", 0, 0),
    leader(0, 1, "calls"),
    side(1, 1, "strokes", 0, "left lifter"),
    side(1, 1, "strokes", 0, "right lifter"),
    side(3, 1, "recovers", 10, "left lifter"),
    side(3, 1, "recovers", 6, "right lifter"),
    place(3, 1, "rests", 8, 7),
    leader(4, 1, "raised"),
]
