"""Sheets to print of a plan as it stands, or of one of its options, everyone at mean times.

They are the pages that `runs sheet` and `check --page` write, with what stops the lift printed over them.
"""

from __future__ import annotations

from collections.abc import Callable

from reports.desk.compare import scenarios_of
from reports.desk.look.figures import FiguresNow, reckoned
from reports.desk.plan import State
from reports.lift.call_sheet import sheet
from reports.sheet.sheet import write_sheet
from sim.model.errors import Refused

Writer = Callable[[FiguresNow], str]
CALL_SHEET, CALCULATION_SHEET = "call-sheet", "calculation-sheet"
PAPERS: dict[str, Writer] = {
    CALL_SHEET: lambda lift: sheet(lift.record),
    CALCULATION_SHEET: lambda lift: write_sheet(lift.sheet, lift.scenario),
}


def paper_page(name: str, state: State, paper: str, way: str) -> str:
    """One of the sheets, of the plan ("") or of the option of that name.

    Raises
    ------
    Refused
        The plan is not whole as it stands, so that a sheet would be of an older one; or it has no such option.
    """
    whole = state.whole(name)
    if not state.current:
        raise Refused(
            f"{name} is not whole as it stands, so there is no sheet of it to print",
            "fill in or take back what is marked on its Plan screen, then open this page again",
        )
    there = scenarios_of(whole.text, name)
    if way not in there:
        raise Refused("there is no such option in this plan", "open the sheet from its Compare screen again")
    return PAPERS[paper](reckoned(there[way]))
