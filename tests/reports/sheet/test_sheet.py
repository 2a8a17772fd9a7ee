"""The sheet: views true to scale, all that was found in words, nothing promised."""

import io
import math
import re
from dataclasses import replace
from html import unescape

import pytest
from hypothesis import given, settings
from rich.console import Console

from reports.sheet import above
from reports.sheet.sheet import write_sheet
from reports.sheet.views import view
from reports.terminal.check import show, show_findings
from reports.words.sheet import STRUT_HEADS, STRUTS, strut_rows, takes, tally, times
from reports.words.sheet_sides import gathered, mirrored
from sim.check import CAUTION, check
from sim.examples import NAMES, example
from sim.model.scenario import Load, Need, Strut, Tie
from sim.written.reading import parse, variants
from tests.builders import MM, collar, lift, lifter, station, two_lifters
from tests.random_lifts import lifts
from tests.staged import staged

EXAMPLES = [parse(example(name), name) for name in NAMES]
EXAMPLES += [variant for scenario in EXAMPLES for variant in variants(scenario)]
PROMISES = re.compile(r"\b(safe|safely|secure|ok|okay|passes|passed)\b|✓|✔", re.IGNORECASE)


def named(scenario):
    """What a test of this scenario is called."""
    return f"{scenario.title} {scenario.variant}"


def words_of(html):
    """What stands in the body, without its tags."""
    body = re.sub(r"<script.*?</script>|<style.*?</style>", " ", html[html.index("<body>") :], flags=re.DOTALL)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", body))).replace("\u00a0", " ")


def hinged():
    """Two lifters that lean, two struts that lean out, all at different places."""
    at = {
        side: {"head": (2.0, y * 0.5, 0.5), "base": (2.2, y * 0.6, 0.0), "base_area": 0.03}
        for side, y in (("left", 1), ("right", -1))
    }
    struts = [
        station(collar(), name=f"{side} strut", side=side, head=(1.5, y * 0.6, 0.9), base=(1.6, y * 1.4, 0.0))
        for side, y in (("left", 1), ("right", -1))
    ]
    load = Load(8000.0, "hinged", (1.2, 0.1, 0.8), 0.3)
    scenario = lift(100 * MM, *two_lifters(collar(), **at), *struts, load=load)
    return replace(scenario, need=Need((2.4, 0.0, 0.4), 100 * MM))


# --- the views


def lines(svg, kind):
    """The lines of one kind in a view: pairs of points on the paper [mm]."""
    found = re.findall(rf'<line class="{kind}" x1="([\d.-]+)" y1="([\d.-]+)" x2="([\d.-]+)" y2="([\d.-]+)"/>', svg)
    return [((float(a), float(b)), (float(c), float(d))) for a, b, c, d in found]


@pytest.mark.parametrize("which", ["side", "front"])
def test_a_view_is_drawn_to_the_scale_that_it_says(which):
    """Every lifter and strut as long on the paper as it is seen, over the scale; so is the bar."""
    scenario = hinged()
    svg = view(check(scenario), scenario, which, 190, 100)
    scale = int(re.search(r"1 : (\d+)</title>", svg)[1])
    eye = 0 if which == "side" else 1
    for places, kind in ((scenario.lifters, "lifter"), (scenario.stations, "strut")):
        seen = {round(math.hypot(x.head[eye] - x.base[eye], x.head[2] - x.base[2]) * 1e3 / scale, 1) for x in places}
        assert {round(math.dist(a, b), 1) for a, b in lines(svg, kind)} == seen
    words = re.search(r'data-si="[^"]*; ([\d,.]+) mm at', svg)[1].replace(",", "")
    bar = max(math.dist(a, b) for a, b in lines(svg, "ruler"))
    assert bar == pytest.approx(float(words) / scale, abs=0.02)


def test_the_front_view_has_left_on_its_left():
    """And the side view has the lifting end on its right."""
    scenario = hinged()
    front = view(check(scenario), scenario, "front", 190, 100)
    assert front.index("left strut") < front.index("left lifter") < front.index("right lifter") < front.index("right s")
    side = view(check(scenario), scenario, "side", 190, 100)
    struts, rams = lines(side, "strut"), lines(side, "lifter")
    assert struts[0][1][0] < rams[0][1][0]


def test_what_stands_behind_each_other_is_drawn_once_and_named_for_both():
    """From the side left and right are one line."""
    scenario = hinged()
    side = view(check(scenario), scenario, "side", 190, 100)
    assert (len(lines(side, "lifter")), len(lines(side, "strut"))) == (1, 1)
    assert "left and right lifter" in side and "left and right strut" in side


def test_forces_are_drawn_to_one_scale():
    """Upright lifters that carry 60 and 40 %: their arrows are as 3 to 2."""
    left, right = (
        replace(x, share=part, head=(0.5, x.head[1], 1.0), base=(0.5, x.base[1], 0.0))
        for x, part in zip(two_lifters(collar()), (0.6, 0.4), strict=True)
    )
    scenario = lift(15 * MM, left, right)
    svg = view(check(scenario), scenario, "front", 190, 100)
    tips = [float(y) for y in re.findall(r'<polygon class="force tip" points="[\d.]+,([\d.]+) ', svg)]
    heads = [b[1] for _, b in lines(svg, "lifter")]
    one, other = (head - tip for head, tip in zip(heads, tips, strict=True))
    assert one / other == pytest.approx(1.5, rel=0.01)


def test_figures_in_a_view_turn_with_the_switch_of_units():
    """Both stand in the drawing, the scenario's own is shown."""
    svg = view(check(hinged()), hinged(), "side", 190, 100)
    assert re.search(r'data-us="CG [\d,]+ lb" data-si="CG 8.00 kN">CG 8.00 kN<', svg)


# --- the page


@pytest.mark.parametrize("scenario", EXAMPLES, ids=named)
def test_every_finding_and_every_figure_of_the_plan_is_on_the_page(scenario):
    """And the caution; nothing that promises; nothing that is fetched."""
    sheet = check(scenario)
    html = write_sheet(sheet, scenario)
    words = words_of(html)
    for said in gathered(sheet.findings):
        assert said.what.words(scenario.units) in words and said.source in words
    for line in sheet.need.lines:
        assert line.numbers.words(scenario.units) in words
    for name in (*sheet.lifters, CAUTION):
        assert name in words
    assert not PROMISES.search(words)
    assert not re.search(r'(?:src|href)="(?!#|data:)', html)


def test_a_bare_scenario_reads_not_known():
    """Rated loads, base areas, the ground, the peak: all missing, none of it met."""
    scenario = lift(15 * MM, lifter(collar()), station(collar()))
    words = words_of(write_sheet(check(scenario), scenario))
    assert words.count("not known") > 12
    assert "within the limits" not in words


@settings(max_examples=25)
@given(scenario=lifts())
def test_any_lift_has_a_sheet(scenario):
    """Whatever the readers accept can be drawn and written, with no figure that is none."""
    html = write_sheet(check(scenario), scenario)
    svgs = re.findall(r"<svg.*?</svg>", html, re.DOTALL)
    assert len(svgs) == 3  # two sides of the load, and from above
    assert not re.search(r"\bnan\b|\binf\b", " ".join(svgs) + words_of(html))


def test_what_is_under_a_lifters_foot_stands_in_the_table_of_what_it_bears_on():
    """As written; where nothing is, it is not known."""
    left, right = {"friction": (0.3, 0.45)}, {"tie": Tie("rope"), "friction": (0.2, 0.2)}
    both = lift(15 * MM, *two_lifters(collar(), left=left, right=right))
    assert [row[-1] for row in above.rows(both, "si")] == [
        "friction 0.3 to 0.45",
        "a tie to the ground, friction 0.2 to 0.2",
    ]
    assert [row[-1] for row in above.rows(lift(15 * MM, lifter(collar())), "si")] == ["not known"]


# --- words


def test_what_is_said_of_left_and_right_alike_is_said_once():
    """Left and right alike are one finding; where they differ in the one units or in the other they stay two."""

    def stops(left, right):
        both = two_lifters(collar(), left={"rated_load": left}, right={"rated_load": right})
        found = [s for s in gathered(check(lift(15 * MM, *both)).findings) if s.level == "stop"]
        return [(s.subject, "one lifter" in s.what.words("si") or "left" in s.what.words("si")) for s in found]

    assert stops(600.0, 600.0) == [("left and right lifter", False)]
    assert [name for name, _ in stops(600.0, 500.0)] == ["left lifter", "right lifter"]
    assert [name for name, _ in stops(600.0, 604.0)] == ["left lifter", "right lifter"]  # 0.60 kN; 135 and 136 lb


def test_rows_that_mirror_each_other_are_one_row():
    """What points left on the left and right on the right points out."""
    rows = [["left strut", "left lifter", "9 lb left"], ["right strut", "right lifter", "9 lb right"]]
    assert mirrored(rows, rows) == [["left and right strut", "one lifter", "9 lb out"]]
    other = [[*rows[0]], [*rows[1][:2], "10 kN right"]]
    assert mirrored(rows, other) == rows


def test_a_margin_is_rounded_down_and_says_when_it_is_below_what_was_set():
    """1.499 never reads 1.50."""
    assert times(1.4999, 1.5) == "1.49, below 1.5"
    assert (times(1.5, 1.5), times(None, 1.5), times(math.inf, 1.5)) == ("1.50", "not known", "nothing carried")


def test_struts_that_may_buckle_have_a_table_of_their_own():
    """On page and terminal: what they are, how long, what buckles them; none where the file says nothing of any."""
    tube = Strut(tube=(60 * MM, 5 * MM), material="steel", yields=235e6)
    scenario = hinged()
    known = replace(scenario, stations=(replace(scenario.stations[0], strut=tube), scenario.stations[1]))
    sheet = check(known)
    (left, right) = strut_rows(sheet, "si")
    assert dict(zip(STRUT_HEADS, left, strict=True))["made of"] == "60.0 mm by 5.0 mm, steel"
    capacity = float(dict(zip(STRUT_HEADS, left, strict=True))["buckles at"].split()[0])
    assert 0 <= sheet.struts["left strut"].capacity / 1e3 - capacity < 0.01
    of_right = dict(zip(STRUT_HEADS, right, strict=True))
    assert [of_right[head] for head in ("made of", "rule", "buckles at", "margin", "margin at peak")] == [
        "not known"
    ] * 5
    page = io.StringIO()
    show(sheet, Console(file=page, width=200))
    assert STRUTS in page.getvalue() and STRUTS in words_of(write_sheet(sheet, known))
    assert strut_rows(check(scenario), "si") == []
    assert STRUTS not in words_of(write_sheet(check(scenario), scenario))


def test_what_was_found_promises_nothing():
    """It counts; only without a stop and a caution does it say that what is known is within the limits."""
    bad = check(lift(15 * MM, lifter(collar(), rated_load=10.0)))
    assert tally(bad).startswith("Do not lift like this: ")
    for scenario in EXAMPLES:
        assert not PROMISES.search(tally(check(scenario)))


@pytest.mark.parametrize("width", [80, 120])
def test_the_terminal_leads_with_the_findings(width):
    """Then the plan, then the tables; nothing wider than the terminal."""
    sheet = check(hinged())
    out = io.StringIO()
    show(sheet, Console(file=out, width=width, highlight=False))
    text = out.getvalue()
    assert text.index(tally(sheet)) == 0
    assert text.index("bearing not known") < text.index("Lift plan") < text.index("Lifters") < text.index("Stations")
    assert all(len(line) <= width for line in text.splitlines())
    assert "Training and planning aid" in text and not PROMISES.search(text)


def test_a_run_shows_stops_and_cautions_and_says_that_a_stop_forbids_no_run():
    """Notes stay on the sheet; what is not known is a caution, and shown."""
    out = io.StringIO()
    sheet = check(lift(15 * MM, lifter(collar(), rated_load=10.0)))
    show_findings(sheet, Console(file=out, width=120))
    assert "STOP" in out.getvalue() and "does not forbid a run" in out.getvalue()
    assert "bearing not known" in out.getvalue() and "caution" in out.getvalue()
    quiet, noted = io.StringIO(), check(hinged())
    show_findings(noted, Console(file=quiet, width=120))
    assert noted.of_level("note") and "quick estimate" not in quiet.getvalue()


# --- on the screen, and where much stands in a row


def many():
    """A dozen struts that all stand close together: two rows of labels below the side view."""
    struts = [
        station(collar(), name=f"strut number {n}", head=(0.1 * n, 1.0, 1.0), base=(0.1 * n, 1.5, 0.0))
        for n in range(8)
    ]
    return lift(15 * MM, lifter(collar()), *struts)


def test_no_line_to_a_label_goes_through_another():
    """Where labels stand in rows, the lines to the lower ones pass between the upper ones."""
    svg = view(check(many()), many(), "side", 190, 100)
    words = re.findall(r'<text x="([\d.]+)" y="([\d.]+)" text-anchor="middle"[^>]*>([^<]*)<', svg)
    boxes = [
        (float(x) - 0.3 * 2.55 * len(w), float(y) - 2.0, float(x) + 0.3 * 2.55 * len(w), float(y)) for x, y, w in words
    ]
    assert len({round(top, 1) for _, top, _, _ in boxes}) == 6  # two rows of three lines
    for (ax, ay), (bx, by) in lines(svg, "lead"):
        along = [(ax + (bx - ax) * k / 50, ay + (by - ay) * k / 50) for k in range(51)]
        assert not [1 for x, y in along for left, top, right, low in boxes if left < x < right and top < y < low]


def test_the_bar_is_of_a_round_length_in_the_units_of_the_sheet():
    """No bar of 39.37 in."""
    for units, round_of in (("us", 1.0), ("si", 10.0)):
        scenario = replace(hinged(), units=units)
        svg = view(check(scenario), scenario, "side", 190, 100)
        shown = float(re.search(rf'data-{units}="[^"]*; ([\d,.]+) (?:in|mm) at', svg)[1].replace(",", ""))
        assert shown % round_of == 0


def test_the_sheet_says_in_a_sentence_what_the_lift_takes():
    """Rise, pumps, calls, the most that a lifter carries; and that it cannot be, where it cannot."""
    trailer = EXAMPLES[0]
    sheet = check(trailer)
    assert takes(sheet, trailer.need.rise, "us") == (
        "5.00 in of rise at the point takes 36 pumps a lifter in 12 calls; no lifter carries more than 1,305 lb."
    )
    assert takes(sheet, trailer.need.rise, "us") in words_of(write_sheet(sheet, trailer))
    short = lift(15 * MM, lifter(collar(), travel=10 * MM))
    down = parse(staged('[[stage]]\ndo = "raise"\n[[stage]]\ndo = "lower"\nleader = {step = "1/4 in"}\n'), "x.toml")
    assert "in 12 calls; 19 calls bring it down again; no lifter" in takes(check(down), down.need.rise, "us")
    assert "2 pumps, more travel than left lifter has, in 2 calls" in takes(check(short), 15 * MM, "si")
