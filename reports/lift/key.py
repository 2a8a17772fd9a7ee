"""The key under a chart: a small drawn sample of each mark, with its name."""

from __future__ import annotations

from markupsafe import Markup

from reports.lift.lanes import Lanes
from reports.lift.timeline import KINDS

_HATCH = {
    "/": "M-2 10 8 0M2 14 12 4",
    "\\": "M-2 0 8 10M2 -4 12 6",
    "x": "M0 0 10 10M10 0 0 10",
    "-": "M0 2.5H10M0 7.5H10",
    "|": "M2.5 0V10M7.5 0V10",
}


def timeline_key(kinds: set[str]) -> list[tuple[Markup, str]]:
    """The marks of the timeline, of those kinds of blocks that it has."""
    marks = [(_block(kind), name) for kind, (name, _, _) in KINDS.items() if kind in kinds]
    call = (_svg('<path d="M6 2l11 6-11 6z" fill="var(--call)"/>'), "call")
    down = (_svg('<path d="M6 3h12l-6 11z" fill="var(--call)"/>'), "call down")
    hands = (_line("ink", 3, "3 3"), "hands in")
    caught = (_svg('<path d="M0 12h24" stroke="var(--caught)" stroke-width="3.5"/>'), "caught")
    extra = [down, *marks] if kinds & {"makes", "lower"} else marks
    return [call, *extra, caught, *([hands] if "hands" in kinds else [])]


def gap_key(any_open: bool, several: bool, peak: bool = True, made: bool = False) -> list[tuple[Markup, str]]:
    """The marks of the gap chart."""
    marks = [
        (_line("demand", 2, "7 4"), "demand"),
        (_line("captured", 2.5), "captured"),
        (
            _svg(
                '<path d="M0 5h24v9h-24z" fill="var(--gapfill)"/>'
                '<path d="M0 5h24" stroke="var(--gap)" stroke-width="2"/>'
            ),
            "gap",
        ),
        (_line("limit", 1.5, "8 3 2 3"), "leader's gap limit"),
    ]
    if peak:
        marks.append((_svg('<path d="M12 2l6 6-6 6-6-6z" fill="var(--ink)"/>'), "largest gap"))
    if made:
        marks.append((_pattern("\\", "gap", "paper", 12), "gap made on purpose, on the way down"))
    if any_open:
        marks.append((_pattern("/", "others", "paper", 12), "open: holds nothing"))
    if several:
        marks.append((_line("others", 1, "2 2"), "gap at the other stations"))
    return marks


def fan_key() -> list[tuple[Markup, str]]:
    """The marks of the gaps call by call, over many lifts."""
    return [
        (_line("ink", 2), "the median"),
        (_band("d", "6 4"), "half of the lifts"),
        (_band("soft", "2 3"), "nine in ten"),
        (_line("limit", 1.5, "8 3 2 3"), "leader's gap limit"),
    ]


def over_key(limit: str) -> list[tuple[Markup, str]]:
    """The marks of how many lifts have a larger gap."""
    return [(_line("gap", 2), "lifts with a larger gap"), (_line("limit", 1.5, "7 4"), limit)]


def doubt_key(at_once: bool) -> list[tuple[Markup, str]]:
    """The marks of what an answer hangs on."""
    marks = [
        (_bar("a", '<circle cx="18" cy="8" r="5.5" fill="var(--a)"/>'), "at its low"),
        (_bar("b", '<path d="M18 1.5 24 8l-6 6.5L12 8z" fill="var(--b)"/>'), "at its high"),
    ]
    if at_once:
        marks.append((_bar("d", '<path d="M13 3h10v10H13z" fill="var(--d)"/>'), "all at once"))
    return [*marks, (_line("ink", 1.5, "6 4"), "as written")]


def cadence_key(found: bool) -> list[tuple[Markup, str]]:
    """The marks of the ways to call."""
    marks = [
        (_line("edge", 1.5, "6 4"), "no other is both faster and closer"),
        (_svg('<circle cx="12" cy="8" r="5" fill="var(--d)"/>'), "within the risk asked for"),
        (
            _svg('<circle cx="12" cy="8" r="4" fill="none" stroke="var(--d)" stroke-width="2"/>'),
            "over it, or not raised",
        ),
    ]
    if found:
        star = "M12 0l2.1 5.1 5.5.4-4.2 3.6 1.3 5.4-4.7-2.9-4.7 2.9 1.3-5.4L4.4 5.5l5.5-.4z"
        marks.append((_svg(f'<path d="{star}" fill="var(--ink)"/>'), "the answer, with fresh people"))
    return marks


def _bar(colour: str, end: str) -> Markup:
    return _svg(f'<path d="M0 8h18" stroke="var(--{colour})" stroke-width="5"/>{end}')


def _band(colour: str, dash: str) -> Markup:
    edges = f'<path d="M0 2h24M0 14h24" stroke="var(--{colour})" stroke-width="2" stroke-dasharray="{dash}"/>'
    return _svg(f'<path d="M0 2h24v12H0z" fill="var(--gapfill)"/>{edges}')


def _block(kind: str) -> Markup:
    _, high, fill = KINDS[kind]
    tall = max(2.0, high * 20)
    if "pattern" in fill:
        shape, ink = fill["pattern"]
        return _pattern(shape, ink, fill["color"], tall)
    colour = fill["color"].replace("$", "")
    edge = {"other": ' stroke="var(--ink)"', "hold": ' stroke="var(--soft)"'}.get(kind, "")
    return _svg(f'<rect x=".5" y="{14.5 - tall:g}" width="23" height="{tall:g}" fill="var(--{colour})"{edge}/>')


def _pattern(shape: str, ink: str, ground: str, tall: float) -> Markup:
    ink, ground = ink.replace("$", ""), ground.replace("$", "")
    top = 14.5 - tall
    lines = "".join(f'<path d="{_HATCH[shape]}" transform="translate({x} {top:g})"/>' for x in (0, 10, 20))
    return _svg(
        f'<clipPath id="key-{ink}"><path d="M.5 {top:g}h23v{tall:g}H.5z"/></clipPath>'
        f'<path d="M.5 {top:g}h23v{tall:g}H.5z" fill="var(--{ground})" stroke="var(--{ink})"/>'
        f'<g clip-path="url(#key-{ink})" stroke="var(--{ink})" stroke-width="1.6" fill="none">{lines}</g>'
    )


def _line(colour: str, width: float, dash: str = "") -> Markup:
    return _svg(f'<path d="M0 8h24" stroke="var(--{colour})" stroke-width="{width}" stroke-dasharray="{dash}"/>')


def _svg(inner: str) -> Markup:
    return Markup(f'<svg width="24" height="16" viewBox="0 0 24 16" aria-hidden="true" focusable="false">{inner}</svg>')


def kinds_in(lanes: Lanes) -> set[str]:
    """The kinds of blocks that lanes have."""
    hands = {"hands"} if any(block.hands for block in lanes.blocks) else set()
    return {block.kind for block in lanes.blocks} | ({"hold"} if lanes.holds else set()) | hands
