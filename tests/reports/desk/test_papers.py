"""The sheets to print of a plan: found from its screens, the same pages that the commands write."""

from __future__ import annotations

import re
from html import unescape

import pytest

from reports.lift.call_sheet import sheet
from reports.sheet.sheet import write_sheet
from sim.check import check
from sim.examples import example
from sim.story.lift import simulate_fixed
from sim.written.reading import read, variants
from tests.reports.desk.asked import Page
from tests.reports.desk.served import served

PAPERS = ("call-sheet", "calculation-sheet")
AT = "/plan/trailer.toml/"
LONG = 120_000  # [ms]; a state is waited for, however busy the machine is


@pytest.fixture
def page(tmp_path):
    """The trailer, with its options."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    return Page(tmp_path, "trailer.toml")


def links(html):
    """Where the links of a page lead that are worded as sheets to print, each by its words."""
    found = re.findall(r'<a href="([^"]+)" target="_blank"[^>]*>([^<]+, to print)</a>', html)
    return [(words, unescape(href)) for href, words in found]


def test_they_are_the_pages_of_the_commands(page, tmp_path):
    """Of the plan as it stands, and of an option by its name."""
    plan = read(tmp_path / "trailer.toml")
    ways = {"": plan} | {each.variant: each for each in variants(plan)}
    for way, lift in ways.items():
        assert page.get(AT + "call-sheet", way=way).text == sheet(simulate_fixed(lift))
        assert page.get(AT + "calculation-sheet", way=way).text == write_sheet(check(lift), lift)


def test_a_change_is_on_the_next_sheet(page):
    """What was answered a moment ago is what is printed."""
    assert "4.00 in at the point" not in page.get(AT + "call-sheet").text
    page.answer("need:need:rise", "4 in")
    assert "4.00 in at the point" in page.get(AT + "call-sheet").text


@pytest.mark.parametrize("screen", ["plan", "run"])
def test_plan_and_run_lead_to_both(page, screen):
    """In words that say what they are, with the token."""
    found = dict(links(page.get(f"/{screen}/trailer.toml").text))
    assert found == {
        "Call sheet, to print": f"{AT}call-sheet?token=word",
        "Calculation sheet, to print": f"{AT}calculation-sheet?token=word",
    }


def test_compare_leads_to_those_of_each_way(page, tmp_path):
    """So that the council sheet names what can be reached."""
    asked = [href for words, href in links(page.get("/compare/trailer.toml").text) if words.startswith("Calculation")]
    ways = [each.variant for each in variants(read(tmp_path / "trailer.toml"))]
    assert len(asked) == 1 + len(ways) and asked[0].endswith("?token=word")
    assert [href.partition("&way=")[2].replace("%20", " ") for href in asked[1:]] == ways


def test_the_council_sheet_says_where_the_rest_is(page, monkeypatch):
    """Its own words are those of the links."""
    monkeypatch.setattr("reports.desk.compare.MOST_CAUTIONS", 1)
    said = page.get("/compare/trailer.toml/sheet").text
    assert "“Calculation sheet, to print”: the plan's on Plan, each option's below its name on Compare" in said


@pytest.mark.parametrize("paper", PAPERS)
def test_with_stops_they_are_printed_over(page, paper):
    """As by command."""
    assert 'class="do-not-again"' not in page.get(AT + paper).text
    page.answer("crew:crew:people", "5")
    said = page.get(AT + paper).text
    assert 'class="do-not"' in said and 'class="do-not-again"' in said


@pytest.mark.parametrize("paper", PAPERS)
def test_what_is_not_whole_has_none_and_says_so(page, paper, tmp_path):
    """Not the sheet of the state before; nor of an option that is not there, nor without the token."""
    assert page.get(AT + paper, way="<b>none</b>").status == 404
    assert page.get(AT + paper, token=None).status == 403
    page.answer("need:need:rise", "much")
    refused = page.get(AT + paper)
    assert refused.status == 404 and "is not whole as it stands, so there is no sheet of it to print" in refused.text
    page.answer("need:need:rise", "4 in")
    assert page.get(AT + paper).status == 200
    (tmp_path / "empty.toml").write_text("[load]\n", encoding="utf-8")
    refused = page.get(f"/plan/empty.toml/{paper}")
    assert refused.status == 404 and "is not a whole plan yet" in refused.text


@pytest.mark.browser
def test_from_run_to_the_call_sheet_in_a_tab_of_its_own(browser, tmp_path):
    """Pressed on; nothing in the console."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    with served(tmp_path) as at:
        context = browser.new_context()
        said: list[str] = []
        context.on("console", lambda message: said.append(message.text))
        run = context.new_page()
        run.goto(f"{at}/run/trailer.toml?token=word")
        with context.expect_page(timeout=LONG) as opened:
            run.click("text=Call sheet, to print")
        opened.value.wait_for_selector("svg.plan", timeout=LONG)
        assert "Where everybody stands, from above" in opened.value.content()
        assert opened.value.inner_text("h1") == read(tmp_path / "trailer.toml").title
        assert run.url.startswith(f"{at}/run/")
        context.close()
    assert said == []
