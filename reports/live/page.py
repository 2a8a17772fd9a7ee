"""The page of a rehearsal: made once, the same for the caller and for those who watch."""

from __future__ import annotations

from typing import Any, Literal, get_args

from reports.live.afterwards import SEEN
from reports.paper.page import render
from reports.views import drawing
from reports.words.stops import stops_of
from sim.model.scenario import Scenario

HelpLevel = Literal["numbers", "drawing", "voices"]
HELP_LEVELS: tuple[HelpLevel, ...] = get_args(HelpLevel)


def write_live_page(scenario: Scenario, speed: float, help_level: HelpLevel) -> str:
    """The page, which gets all that happens through its socket."""
    names = list(dict.fromkeys([w.name for w in scenario.places] + [x.name for x in scenario.lifters]))
    settings: dict[str, Any] = {
        "geometry": drawing.geometry(scenario),
        "speed": speed,
        "help": help_level,
        "lifters": [x.name for x in scenario.lifters],
    }
    return render(
        "live.html",
        units=scenario.units,
        connect="'self'",
        stops=stops_of(scenario),
        title=f"Rehearsal: {scenario.title}",
        scenario=scenario,
        settings=settings,
        names=names,
        seen=SEEN,
        help_level=help_level,
        drawing_style=drawing.STYLE,
        drawing_scripts=drawing.SCRIPTS,
    )
