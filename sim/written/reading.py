"""A scenario file, read: everything that is wrong with it is said at once, each thing with its place.

    scenario = read(Path("trailer.toml"))
    for variant in variants(scenario): ...

Either form is read: the full one, or the short one (`short.py`), which is written out in full first. The steps, from
text to frozen data, stand in `written/__init__.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from sim.model.errors import Problem, ScenarioError
from sim.model.scenario import Scenario
from sim.model.units import quoted
from sim.model.visible import visible
from sim.written.building import build
from sim.written.choices import choice_problems
from sim.written.geometry import geometry_problems
from sim.written.keys.assumed import put_all, ranges_of, said_of, set_problems, sets_of
from sim.written.keys.places import Raw, dotted, rows, too_many
from sim.written.keys.quantities import LONGEST_TITLE
from sim.written.keys.syntax import MOST, toml, too_long
from sim.written.keys.tables import WrittenScenario
from sim.written.keys.wording import problems_of
from sim.written.names import name_problems
from sim.written.short.short import expansion, in_short
from sim.written.short.table import is_short
from sim.written.stages import stage_problems
from sim.written.work import work_problems


def read(path: Path | str, variant: str = "") -> Scenario:
    """The scenario in a file.

    Parameters
    ----------
    path : Path or str
        A TOML file, of the full form (design.md part 4) or the short one.
    variant : str
        One of its variants, "" for the scenario as written.

    Returns
    -------
    Scenario
        Frozen, SI, everything resolved.

    Raises
    ------
    ScenarioError
        With everything that is wrong.
    """
    path = Path(path)
    return parse(text_of(path), path.name, variant)


def text_of(path: Path, hint: str = "give the name of a scenario file") -> str:
    """What a person wrote into a file.

    Parameters
    ----------
    path : Path
        The file.
    hint : str
        What to do where it does not open.

    Returns
    -------
    str
        Its text, no longer than any scenario.

    Raises
    ------
    ScenarioError
        It cannot be read, is too long or is not UTF-8.
    """
    try:
        with path.open("rb") as file:
            written = file.read(MOST * 4 + 1)
        if len(written) > MOST * 4:  # bytes of that many characters, at the most
            raise ScenarioError([too_long(str(path))])
        return written.decode("utf-8-sig")
    except OSError as wrong:
        reason = (wrong.strerror or "it does not open").lower()
        raise ScenarioError([Problem(str(path), f"cannot be read: {reason}", hint)]) from None
    except UnicodeDecodeError as wrong:
        line = written.count(b"\n", 0, wrong.start) + 1
        raise ScenarioError([Problem(str(path), f"line {line} is not UTF-8 text", "save the file as UTF-8")]) from None


def parse(text: str, name: str, variant: str = "") -> Scenario:
    """The scenario in a text.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        Of the file: what a scenario without a title is called.
    variant : str
        One of its variants, "" for the scenario as written.

    Returns
    -------
    Scenario
        Frozen, SI, everything resolved.

    Raises
    ------
    ScenarioError
        With everything that is wrong.
    """
    scenario = _read(text, name, variant, {})
    ends = [(each.path, end) for each in scenario.ranges for end in (each.low, each.high) if end != each.value]
    problems = [problem for path, end in ends for problem in _problems_at(scenario, path, end)]
    problems += [] if variant else _problems_of_variants(text, name)
    if problems:
        raise ScenarioError(dict.fromkeys(problems))
    return scenario


def with_values(scenario: Scenario, values: Mapping[str, str | float]) -> Scenario:
    """The scenario as it would have been read with other values in some places of its file.

    Parameters
    ----------
    scenario : Scenario
        As read; whatever was changed in it since then is not in what comes back.
    values : mapping of str to str or float
        By their paths (`written/assumed.py`), as one would write them: with their unit, or numbers.

    Returns
    -------
    Scenario
        Through the very same checks as any other.

    Raises
    ------
    ScenarioError
        With everything that is then wrong.
    """
    return _read(scenario.text, scenario.title, scenario.variant, values)


def _problems_at(scenario: Scenario, path: str, end: str | float) -> Iterator[Problem]:
    """What is wrong with the scenario at one end of a range."""
    try:
        with_values(scenario, {path: end})
    except ScenarioError as wrong:
        place = dotted(["assumed", path])
        said = quoted(end) if isinstance(end, str) else f"{end}"
        for problem in wrong.problems:
            yield Problem(place, f"with {said}: {problem.place}: {problem.what}", problem.hint)


def _problems_of_variants(text: str, name: str) -> Iterator[Problem]:
    """What is wrong with the variants that set values, leave stations out or hold otherwise, each read whole."""
    raw = toml(text, name)
    for place, row in rows(raw, "variant"):
        if not (row.get("set") or row.get("leave_out") or (row.get("replace") and raw.get("stage"))):
            continue
        try:
            _read(text, name, str(row["name"]), {})
        except ScenarioError as wrong:
            for problem in wrong.problems:
                yield Problem(place, f"{problem.place}: {problem.what}", problem.hint)


def _read(text: str, name: str, variant: str, values: Mapping[str, str | float]) -> Scenario:
    """The scenario in a text, with other values in some of its places."""
    raw = toml(text, name)
    full = expansion(raw, name) if is_short(raw) else None
    raws = (raw,) if full is None else (raw, toml(full.text, name))
    set_here = sets_of(raws, variant)
    if set_here and (found := list(set_problems(raws))):
        raise ScenarioError(found)
    values = {**set_here, **values}
    if full is None:
        return _full(raws, text, name, variant, values)
    if values:
        full = expansion(put_all(raws, 0, values), name)
        raws = (raw, toml(full.text, name))
    try:
        scenario = _full(raws, full.text, name, variant, values)
    except ScenarioError as wrong:
        raise ScenarioError(dict.fromkeys(in_short(problem, raw) for problem in wrong.problems)) from None
    return replace(scenario, text=text, assumed=full.assumed + scenario.assumed)


def _full(raws: tuple[Raw, ...], text: str, name: str, variant: str, values: Mapping[str, str | float]) -> Scenario:
    """The scenario in a full form, the last of these; ahead of it the short one that it was written as, if it was."""
    ranges, problems = ranges_of(raws)
    set_here = sets_of(raws[:1], variant)
    ranges = tuple(each for each in ranges if each.path not in set_here)
    problems += set_problems(raws)
    raw = put_all(raws, len(raws) - 1, values) if values else raws[-1]
    written = None
    try:
        written = WrittenScenario.model_validate(raw)
    except ValidationError as wrong:
        problems = problems_of(wrong, raw) + problems
    if not too_many(raw):
        problems += choice_problems(raw) + name_problems(raw, variant)
    if written is None or problems:
        raise ScenarioError(dict.fromkeys(problems))
    scenario, problems = build(written, text, visible(name).removesuffix(".toml")[:LONGEST_TITLE], variant)
    problems += (stage_problems(scenario) + geometry_problems(scenario)) or list(work_problems(scenario))
    if problems:
        raise ScenarioError(problems)
    return replace(scenario, ranges=ranges, assumed=(*scenario.assumed, *said_of(ranges)))


def variants(scenario: Scenario) -> tuple[Scenario, ...]:
    """Every variant of a scenario, in the order written, without the scenario itself."""
    return tuple(_read(scenario.text, scenario.title, name, {}) for name in scenario.variants)
