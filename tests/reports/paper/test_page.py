"""The pages: one file, nothing from outside, what people wrote shown as text, figures in both units."""

from __future__ import annotations

import gzip
import re
from html.parser import HTMLParser
from importlib.resources import files

import pytest
from plotly.offline import get_plotlyjs_version

from reports.lift.key import gap_key
from reports.lift.run_page import write_run_page
from reports.paper import assets, palette
from reports.paper.figures import TRACES, UnknownTrace, checked
from reports.paper.page import data, figure, render
from reports.stored.run import LiftResult, run_files
from reports.words.answer import answer, why
from reports.words.plain import clock, together
from reports.words.sheet_sides import gathered
from sim.check import check
from sim.record.measures import measure
from sim.story.lift import simulate
from tests.builders import MM, collar, lift, pin, station, two_lifters
from tests.reports.shapes import SHAPES, TITLE, shape


class Elements(HTMLParser):
    """What a page is made of: every tag with its attributes, what scripts and style sheets hold, and the text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.held: list[tuple[str, dict[str, str | None], str]] = []
        self.text = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self.held.append((tag, dict(attrs), ""))

    def handle_data(self, text: str) -> None:
        if self.tags and self.lasttag in ("script", "style") and self.cdata_elem:
            tag, attrs, before = self.held[-1]
            self.held[-1] = (tag, attrs, before + text)
        else:
            self.text += text


def page(name: str) -> str:
    """The page of one of the shapes, checks included, without the drawing."""
    record = shape(name)
    return write_run_page(record, measure(record), check(record.scenario, record).findings, drawing_html="")


def policy_of(found: Elements) -> str:
    """The content security policy of a page."""
    metas = [attrs for tag, attrs in found.tags if tag == "meta"]
    return next(str(a["content"]) for a in metas if a.get("http-equiv") == "Content-Security-Policy")


def test_every_script_and_style_sheet_is_named_in_the_policy_and_nothing_else_may_run() -> None:
    """The policy starts from nothing, and lists the hash of each inline script and sheet."""
    found = Elements(page("trailer"))
    policy = policy_of(found)
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe-eval" not in policy and "script-src 'unsafe" not in policy and "http" not in policy
    for tag, attrs, source in found.held:
        if tag == "style" or attrs.get("type") is None:
            assert assets.digest(source) in policy
        else:
            assert attrs["type"] in ("text/plain", "application/json")
    assert assets.digest(gzip.decompress((files("reports") / "assets" / assets.PLOTLY).read_bytes()).decode()) in policy


@pytest.mark.parametrize("name", SHAPES)
def test_a_page_refers_to_nothing_outside_itself_and_stays_small(name: str) -> None:
    """No address, no handler in an attribute; under 1.5 MB with everything in it."""
    record = shape(name)
    html = write_run_page(record, measure(record), check(record.scenario, record).findings)
    assert len(html.encode()) < 1_500_000
    for tag, attrs in Elements(html).tags:
        assert tag not in ("link", "iframe", "object", "embed", "base", "form")
        for key, value in attrs.items():
            assert not key.startswith("on")
            if key in ("src", "href", "xlink:href", "action"):
                assert str(value).startswith("#"), (tag, key, value)


def test_a_title_with_markup_in_it_shows_as_text() -> None:
    """In the title, the heading and the scenario as read, and no element comes of it."""
    found = Elements(page("twelve stations"))
    assert TITLE in found.text
    assert not any(
        "alert" in source for tag, attrs, source in found.held if attrs.get("type") is None and "alert(1)" in source
    )
    assert "<script>alert(1)" not in page("twelve stations")


def test_values_for_scripts_cannot_end_their_element() -> None:
    """Not even with a closing tag in a name."""
    assert "</script><" not in str(data("x", {"name": "</script><b>"}))[:-9]


@pytest.mark.parametrize("name", SHAPES)
def test_no_page_says_that_a_lift_is_fit(name: str) -> None:
    """No "safe", "secure", "OK", "pass", in what the page says of itself."""
    html = re.sub(r'<pre class="file".*?</pre>', "", page(name), flags=re.S)
    said = Elements(re.sub(r"<script.*?</script>|<style.*?</style>|<!--.*?-->", "", html, flags=re.S)).text
    assert not re.findall(r"\b(safe|safely|secure|ok|okay|pass|passed|passes)\b", said.lower())


def test_the_vendored_plotly_is_the_one_the_python_package_carries() -> None:
    """Same version, so that pictures and pages are drawn alike; its licence travels with it."""
    assert get_plotlyjs_version() == assets.PLOTLY_VERSION
    assert f"plotly.js (cartesian - minified) v{assets.PLOTLY_VERSION}" in assets.plotly_source()[:400]
    assert "MIT License" in assets.text("plotly-LICENSE.txt") and "MIT License" in page("trailer")


def test_a_trace_that_the_bundle_does_not_know_is_an_error() -> None:
    """It would be drawn as a scatter, in silence."""
    with pytest.raises(UnknownTrace, match="surface"):
        checked({"data": [{"type": "surface"}], "layout": {}})
    assert all(checked({"data": [{"type": kind}], "layout": {}}) for kind in TRACES)


def test_figures_carry_both_units_and_say_when_nothing_is_known() -> None:
    """0.127 m is 5.00 in and 127.0 mm; a gap is rounded up."""
    assert str(figure(0.127, "length", "us")) == '<span data-us="5.00 in" data-si="127.0 mm">5.00 in</span>'
    assert 'data-us="0.01 in"' in figure(0.0001, "length", "si", up=True)
    assert figure(None, "length", "us") == figure(float("nan"), "length", "us") == "not known"


def test_times_are_said_as_people_say_them() -> None:
    """Tenths of a second below ten, then whole seconds, minutes, hours."""
    assert [clock(t) for t in (0.0, 9.94, 9.96, 59.6, 161.2, 3600.0)] == [
        "0 s", "9.9 s", "10 s", "1 min", "2 min 41 s", "1 h",
    ]  # fmt: skip
    assert together("0.32 in at call 4") == "0.32\u00a0in at call 4"


ANSWERS = {
    "one station": "Raised: 20.0 mm at the needed point after 2 calls (2 pumps) in 7.8 s; the largest gap was 7.0 mm",
    "dropped": "Dropped in call 3 (3 pumps): the lifter was lost on the left, and the load fell ",
    "stopped": "Stopped: ",
    "re-set": "Raised: ",
}


@pytest.mark.parametrize(("name", "start"), ANSWERS.items())
def test_the_answer_is_one_sentence_for_every_outcome(name: str, start: str) -> None:
    """It leads with what came of it, and ends with the largest gap."""
    record = shape(name)
    summary = measure(record)
    said = answer(summary, record.scenario)
    assert said.startswith(start) and said.endswith(".") and said.count(". ") == 0
    assert " mm" in answer(summary, record.scenario, "si") and " in" in answer(summary, record.scenario, "us")
    assert bool(why(summary)) == (record.outcome in ("stopped", "not-reached"))


def luminance(hue: str) -> float:
    """Relative luminance of a colour (WCAG 2.2)."""
    parts = [int(hue[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast of two colours (WCAG 2.2)."""
    a, b = sorted((luminance(one), luminance(other)), reverse=True)
    return (a + 0.05) / (b + 0.05)


@pytest.mark.parametrize("hues", [palette.LIGHT, palette.DARK], ids=["light", "dark"])
def test_text_stands_at_4_5_to_1_and_lines_at_3_to_1(hues: dict[str, str]) -> None:
    """WCAG 2.2, 1.4.3 and 1.4.11."""
    assert luminance("#ffffff") == pytest.approx(1.0) and contrast("#000000", "#ffffff") == pytest.approx(21.0)
    for text in ("ink", "soft", "accent"):
        for behind in ("paper", "ground", "band"):
            assert contrast(hues[text], hues[behind]) >= 4.5, (text, behind)
    for line in (
        "stroke",
        "work",
        "seat",
        "open",
        "caught",
        "demand",
        "captured",
        "gap",
        "limit",
        "edge",
        "react",
        "a",
        "b",
        "c",
    ):
        assert contrast(hues[line], hues["paper"]) >= 3.0, line


def test_what_a_template_asks_for_and_is_not_given_is_an_error() -> None:
    """No page with a hole in it."""
    with pytest.raises(Exception, match="title"):
        render("base.html")


def test_a_lift_that_stops_before_its_first_call_claims_no_figures() -> None:
    """No gap is measured before a call; the page says that none was made, and its key has no mark of a largest gap."""
    record = simulate(
        lift(60 * MM, *two_lifters(collar()), station(pin(50 * MM), slack=10 * MM), gap_limit=0.005, strokes=1,
             if_uncapturable="stop"), 1,
    )  # fmt: skip
    summary = measure(record)
    assert (summary["calls"], summary["outcome"]) == (0, "stopped")
    page = Elements(write_run_page(record, summary, drawing_html=""))
    figures = page.text.partition("Largest gap")[2].partition("Pumps")[0]
    assert re.fullmatch(r"none\s*no call was made; gap limit 5 mm\s*Gap left after capture\s*none\s*", figures)
    assert re.search(r"Largest drop, lifter lost\s*none", page.text)
    keys = [name for marks in (gap_key(False, True, peak) for peak in (True, False)) for _, name in marks]
    assert keys.count("largest gap") == 1  # only where there is one


def test_a_drop_of_nothing_did_not_fall() -> None:
    """The pressure is lost with the lifter's own collar seated."""
    summary = measure(shape("trailer")) | {
        "outcome": "dropped",
        "fall": {"loss": "pressure-lost", "side": "right", "call": 4, "fell_m": 0.0, "energy_J": 0.0,
                 "caught_by": "right lifter"},
    }  # fmt: skip
    said = answer(summary, shape("trailer").scenario)
    assert "the load did not fall: it stayed onto" not in said
    assert "the load did not fall: it stayed on the right lifter" in said


def test_findings_of_left_and_right_are_one_and_many_notes_are_folded() -> None:
    """As on the sheet; a stop or a caution is never folded away, and nothing of how it is made shows."""
    for name, folded in (("trailer", False), ("twelve stations", True)):
        record = shape(name)
        lift = LiftResult(record, check(record.scenario, record), measure(record))
        html = str(run_files(lift, page=True)["report.html"])
        findings = html.partition('<h2 id="findings-title">')[2].partition("</section>")[0]
        said = gathered(lift.sheet.findings)
        assert findings.count("<li") == len(said)
        assert ("12 in all" if folded else "<b>left and right lifter</b>") in findings
        assert ("<details>" in findings) == folded
        open_ones = findings.partition("<details>")[0]
        assert open_ones.count("<li") == sum(each.level != "note" or not folded for each in said)
        assert "Said(" not in html
