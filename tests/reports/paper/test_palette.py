"""One colour, one meaning: one hue for what lifts, for what follows, for a gap, in every picture; none for a side."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from colorsys import rgb_to_hls
from importlib.resources import files
from itertools import combinations

import pytest

import sim
from reports.lift.gaps import gap_figure
from reports.lift.timeline import KINDS, timeline_figure
from reports.paper.palette import DARK, LIGHT, MEANS
from reports.views.still import svg, time_to_show
from sim.model.scenario import Lifter
from sim.record.record import Record

ASSETS = files("reports") / "assets"
TEMPLATES = files("reports") / "templates"
OF_A_LIFT = (  # the sheets of the pages that show a lift, but for charts of many
    "drawing.css", "desk.css", "sheet.css", "call_sheet.css", "live.css", "timer.css",
)  # fmt: skip
RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
PARTS = {"lifts": {"lifter", "lift-lifts"}, "follows": {"strut", "lift-follows"}, "gap": {"lift-drawing"}}
SHAPES = {"left": [], "right": ["none"], "both": ["3 3"]}


@pytest.fixture(scope="module")
def trailer() -> Record:
    """A lift with both sides, its lifters and its struts."""
    return sim.run(sim.load("trailer"), 1)


def rules(name: str) -> list[tuple[str, str]]:
    """Each rule of a style sheet: whom it is for, and what it says."""
    source = re.sub(r"/\*.*?\*/", "", (ASSETS / name).read_text("utf-8"), flags=re.DOTALL)
    return [(who.strip(), says) for who, says in RULE.findall(source)]


@pytest.mark.parametrize("name", OF_A_LIFT)
def test_a_hue_is_given_to_what_it_means_and_to_no_side(name: str) -> None:
    """`--stroke` goes to lifters, `--work` to what follows; a side's class sets no hue, and letters are for charts."""
    for who, says in rules(name):
        used = set(re.findall(r"var\(--([a-z]+)\)", says))
        assert not used & set("abcdef"), (who, used)
        for meaning, hues in MEANS.items():
            if used & set(hues):
                classes = set(re.findall(r"\.([a-z-]+)", who))
                assert classes & PARTS[meaning], (who, used)
        if re.search(r"\.lift-(left|right|both)\b", who):
            assert not used - {"paper"}, (who, used)


def test_no_template_has_a_hue_of_its_own() -> None:
    """Pages are given their colours by the sheets."""
    for template in TEMPLATES.iterdir():
        source = template.read_text("utf-8")
        assert not re.search(r"#[0-9a-f]{6}\b", source), template.name


def test_the_timeline_and_the_gaps_have_the_hues_of_the_drawing(trailer: Record) -> None:
    """Blue is the handle and what the load asks for; orange is whoever follows and what is captured."""
    hues = {kind: re.findall(r"\$([a-z]+)", str(fill)) for kind, (_, _, fill) in KINDS.items()}
    assert set(hues["stroke"] + hues["recover"]) <= set(MEANS["lifts"])
    assert set(hues["work"] + hues["follow"] + hues["seat"]) - {"paper"} <= set(MEANS["follows"])
    lines = {trace.get("name"): trace["line"]["color"] for trace in gap_figure(trailer)["data"] if "line" in trace}
    assert (lines["demand"], lines["captured"], lines["gap"]) == ("$demand", "$captured", "$gap")
    drawn = set(re.findall(r"'\$([a-z]+)'", str(timeline_figure(trailer))))
    assert drawn and not drawn & set("abcdef")


@pytest.mark.parametrize("hues", [LIGHT, DARK], ids=["light", "dark"])
def test_what_lifts_and_what_follows_are_each_one_hue(hues: dict[str, str]) -> None:
    """The names of a meaning are shades of one hue, apart from those of another by a third of the circle or more."""

    def turn(colour: str) -> float:
        red, green, blue = (int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5))
        return rgb_to_hls(red, green, blue)[0]

    turns = {meaning: [turn(hues[name]) for name in names] for meaning, names in MEANS.items()}
    for own in turns.values():
        assert max(own) - min(own) < 0.05
    for one, other in combinations(turns.values(), 2):
        apart = abs(sum(one) / len(one) - sum(other) / len(other))
        assert min(apart, 1 - apart) > 0.15


def test_the_still_picture_tells_sides_by_form_and_parts_by_hue(trailer: Record) -> None:
    """Each lifter is blue and each strut orange, on either side; the right one is hollow and the left one is not."""
    scenario = trailer.scenario
    root = ElementTree.fromstring(svg(trailer, time_to_show(trailer)))
    drawn = list(root)
    rods = [n for n, each in enumerate(drawn) if each.get("class") == "line" and each.get("stroke-width") == "3"]
    places = [*(x for x in scenario.lifters if not x.capture), *scenario.places]
    assert len(rods) == 2 * len(places)  # in two views
    for n, where in zip(rods, [*places, *places], strict=True):
        assert drawn[n].get("stroke") == LIGHT["stroke" if isinstance(where, Lifter) else "work"], where.name
        core = drawn[n + 2]
        dashes = [core.get("stroke-dasharray")] if core.get("class") == "core" else []
        assert dashes == SHAPES[where.side], where.name
