"""The pages of the desk, and the parts of them that are sent after every change."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from reports.desk import changes, compare, options
from reports.desk.cards.fields import Card, every
from reports.desk.folder import Folder
from reports.desk.job import LIFTS, ONE_BY_ONE
from reports.desk.look.drawing import draw
from reports.desk.look.figures import reckon, strip, tied
from reports.desk.plan import GUESS, DeskPlan, State
from reports.paper.page import fragment, render
from reports.words.sheet import tally
from reports.words.stops import do_not
from sim.batch import why_not
from sim.model.errors import Refused, ScenarioError
from sim.model.units import Units
from sim.model.visible import visible
from sim.written.short.presets import kinds

Parts = dict[str, Any]
RAIL = (("plan", "Plan"), ("run", "Run"), ("compare", "Compare"), ("sure", "How sure"), ("pace", "Pace"))


def folder_page(folder: Folder, token: str) -> str:
    """The plans of a folder, and a new one."""
    plans = [_line(name, plan) for name, plan in folder.listed().items()]
    loads = [(name, preset.said) for name, preset in kinds("load").items()]
    return render("desk_folder.html", connect="'self'", title="Plans", token=token, plans=plans, loads=loads, name="",
                  here="plans", rail=RAIL, shown=visible(folder.path.resolve().name or str(folder.path)))  # fmt: skip


def _line(name: str, plan: DeskPlan) -> dict[str, str]:
    try:
        state = plan.state()
    except Refused as wrong:
        return {"name": name, "title": name, "trouble": visible(wrong.args[0])}
    title = state.scenario.title if state.scenario else name
    trouble = "" if state.current else "something in it is still to be filled in" if state.raw else "cannot be read"
    return {"name": name, "title": title, "trouble": trouble}


def plan_page(name: str, state: State, token: str) -> str:
    """The Plan screen."""
    return render("desk_plan.html", connect="'self'", title=_title(name, state), token=token, name=name, here="plan",
                  rail=RAIL, units=_units(state), first=parts(name, state, ""))  # fmt: skip


def run_page(name: str, state: State, token: str) -> str:
    """The Run screen.

    Raises
    ------
    Refused
        There is no whole plan to run.
    """
    state.whole(name)
    return render("desk_run.html", connect="'self'", frames="'self'", title=_title(name, state), token=token, name=name,
                  here="run", rail=RAIL, units=_units(state), sliders=options.sliders(state), state=state,
                  kept=options.kept(state.raw))  # fmt: skip


def compare_page(name: str, state: State, token: str) -> str:
    """The Compare screen."""
    there = compare.ways(state)
    return render("desk_compare.html", connect="'self'", frames="'self'", title=_title(name, state), token=token,
                  name=name, here="compare", rail=RAIL, units=_units(state), ways=there, state=state,
                  chosen=there[: compare.MOST], most=compare.MOST)  # fmt: skip


def job_page(name: str, state: State, screen: str, token: str) -> str:
    """The screen of long work.

    Raises
    ------
    Refused
        There is no whole plan to do it with.
    """
    slow = why_not(state.whole(name)) or ""
    said: Parts = {"slow": slow, "lifts": ONE_BY_ONE if slow else LIFTS, "token": token, "name": name}
    title, units = _title(name, state), _units(state)
    shown: Parts = {"title": title, "here": screen, "rail": RAIL, **said}
    return render("desk_job.html", units=units, connect="'self'", frames="'self'", **shown)


def trouble_page(said: str, token: str) -> str:
    """What went wrong, in a sentence, and the way back."""
    return render("desk_trouble.html", title="The desk", token=token, said=said.removeprefix("error: "), name="",
                  here="", rail=RAIL)  # fmt: skip


def parts(name: str, state: State, shape: str) -> Parts:
    """What a page shows of a plan: its cards whole where others are there than it has, its fields, the drawing."""
    now = _shape(state.cards)
    units = _units(state)
    values = {"drafts": state.drafts, "guess_mark": GUESS, "units_of": units}
    fields = {f.id: fragment("desk_field.html", units=units, field=f, **values) for f in every(state.cards)}
    made: Parts = {
        "version": state.version,
        "shape": now,
        "title": _title(name, state),
        "fields": fields,
        "drawing": _drawing(state),
        "undo": state.undo,
        "redo": state.redo,
        "current": state.current,
        "short": state.short,
        "problems": _problems(state),
    }
    if shape != now:
        html = {key: Markup(each) for key, each in fields.items()}
        made["cards"] = fragment("desk_cards.html", units=units, cards=state.cards, html=html, short=state.short)
    return made


def figures(name: str, state: State) -> Parts:
    """What is always in sight, and the findings, of the last state that was a whole plan."""
    if state.scenario is None:
        return {"version": state.version, "strip": "", "findings": "", "stops": ""}
    reckoned = reckon(state.scenario.text, name)
    units = _units(state)
    found = tied(reckoned.sheet, state.cards)
    stops = [each for each in found if each.said.level == "stop"]
    cautions = sum(each.said.level == "caution" for each in found)
    counted = [f"{len(stops)} stop{'s' * (len(stops) != 1)}"] * bool(stops)
    counted += [f"{cautions} caution{'s' * (cautions != 1)}"] * bool(cautions)
    said = {
        "found": found,
        "tally": tally(reckoned.sheet),
        "headline": do_not([each.said for each in stops]),
        "assumed": reckoned.scenario.assumed,
    }
    return {
        "version": state.version,
        "strip": fragment("desk_strip.html", units=units, figures=strip(reckoned)),
        "findings": fragment("desk_findings.html", units=units, **said),
        "stops": ", ".join(counted),
    }


def tried(name: str, state: State, asked: Mapping[str, str]) -> Parts:
    """The figures of the lift with what the sliders say."""
    lift = options.lift_of(name, state, asked)
    return {"strip": fragment("desk_strip.html", units=_units(state), figures=strip(lift))}


def _drawing(state: State) -> str:
    if state.scenario is None:
        return ""
    try:
        can = changes.movable(state.scenario, state.short) if state.current else frozenset()
        return draw(state.scenario, can)
    except (ScenarioError, ValueError):
        return ""


def _problems(state: State) -> str:
    """What keeps the file from being a plan; a draft's own trouble stands at its field."""
    if not (state.problems or state.drafts):
        return ""
    half, readable = len(state.drafts), bool(state.raw)
    return fragment("desk_problems.html", problems=state.problems, drafts=half, readable=readable)


def _shape(cards: tuple[Card, ...]) -> str:
    """Which fields there are, in short: a page whose fields are others gets its cards anew."""
    said = "|".join(f"{c.id}/{g.id}/{f.id}" for c in cards for g in c.groups for f in g.fields)
    return hashlib.sha256(said.encode()).hexdigest()[:12]


def _units(state: State) -> Units:
    return state.scenario.units if state.scenario else "us" if state.raw.get("units") == "us" else "si"


def _title(name: str, state: State) -> str:
    return state.scenario.title if state.scenario else name
