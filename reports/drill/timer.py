"""The observer's timer: one file for a phone, that needs no network, and never loses what was tapped.

What it saves is a drill log as `sim.drill` reads it: time_s, who, what, note.
"""

from __future__ import annotations

import hashlib
from typing import Any

from reports.paper import page
from reports.words.stops import stops_of
from sim.drill.way_down import CALL, DOWN, IN, LANDED, OUT, ROOM
from sim.model.scenario import Scenario
from sim.stored.store import slug


def write_timer(scenario: Scenario) -> str:
    """The timer page for the people of a scenario: HTML, one file."""
    name = f"{scenario.title}, {scenario.variant}" if scenario.variant else scenario.title
    return page.render(
        "timer.html",
        units=scenario.units,
        title=name,
        stops=stops_of(scenario),
        leader=leader_buttons(scenario),
        cards=cards(scenario),
        setup={
            "store": _store(scenario),
            "file": f"{slug(name)}-drill",
            "unit": "in" if scenario.units == "us" else "mm",
        },
    )


def leader_buttons(scenario: Scenario) -> list[dict[str, Any]]:
    """What the leader is heard to say; a call to one lifter alone where the plan levels the load."""
    buttons = [_button("Call", "leader", "call", kind="call")]
    if len(scenario.lifters) > 1 and scenario.leader.level_limit is not None:
        buttons += [_button(f"Call: {x.name} only", "leader", "call", x.name, "small") for x in scenario.lifters]
    if scenario.comes_down:
        buttons += [_button(label, "leader", what) for label, what in (("Up", CALL), ("Room", ROOM), ("Down", DOWN))]
    buttons.append(_button("Hold", "leader", "hold"))
    buttons.append(_button("Stop", "leader", "stop", kind="stop") | {"then": ["Resume", "resume"]})
    return buttons


def cards(scenario: Scenario) -> list[dict[str, Any]]:
    """Everybody else, and the buttons for what they do."""
    found: list[dict[str, Any]] = []
    for lifter in scenario.lifters:
        stroke = _button("Stroke starts", lifter.name, "stroke start", kind="stroke")
        found.append(
            {
                "name": lifter.name,
                "does": "at the pump",
                "buttons": [
                    stroke | {"then": ["Stroke ends", "stroke end"]},
                    _button("Missed the call", lifter.name, "missed", kind="small"),
                    *([_button("Landed", lifter.name, LANDED)] if scenario.comes_down else []),
                ],
            }
        )
    for where in scenario.places:
        for device, catcher in zip(where.capture, where.catchers, strict=True):
            name = where.name if where.name in catcher else f"{catcher}: {where.name}"
            hands = _button("Hands in", catcher, IN, where.name, "stroke")
            found.append(
                {
                    "name": catcher if where.name in catcher else name,
                    "does": device.name,
                    "buttons": [
                        *([hands | {"then": ["Hands out", OUT]}] if scenario.comes_down else []),
                        _button("Caught", catcher, "caught", where.name, "caught"),
                        _button("Starts work", catcher, "start", where.name, "small"),
                        _button("Gap measured", where.name, "gap", kind="small") | {"size": f"Gap at the {where.name}"},
                    ],
                }
            )
    rise = _button("Rise measured", "leader", "rise", kind="small") | {"size": "Rise of the point that has to rise"}
    found.append({"name": "load", "does": "the point that has to rise", "buttons": [rise]})
    return found


def _button(label: str, who: str, what: str, note: str = "", kind: str = "") -> dict[str, Any]:
    return {"label": label, "who": who, "what": what, "note": note, "kind": kind, "then": None, "size": ""}


def _store(scenario: Scenario) -> str:
    """Under which name the browser keeps the taps: another scenario's are not these."""
    people = [scenario.title, scenario.variant, *(x.name for x in scenario.places), *(x.name for x in scenario.lifters)]
    return f"liftcadence-drill-{hashlib.sha256('|'.join(people).encode()).hexdigest()[:16]}"
