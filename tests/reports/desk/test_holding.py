"""What holds feet and the far end at the desk: the cards of a full plan for it, and the findings that lead to them."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from sim.examples import example
from tests.reports.desk.asked import Page

TIE = "lifter:left lifter:tie"


@pytest.fixture
def page(tmp_path: Path) -> Page:
    """The trailer's Plan screen: its lifters lean, nothing says what holds feet or wheels."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    return Page(tmp_path, "trailer.toml")


def raw(page: Page) -> Any:
    """The file as TOML has it."""
    return tomllib.loads((page.desk.folder.path / page.name).read_text(encoding="utf-8"))


def leads_to(page: Page) -> set[str]:
    """The fields that findings lead to."""
    return {part.split('"')[0] for part in page.figures()["findings"].split('data-to="')[1:]}


def test_the_pivot_has_a_card_whose_answers_stand_in_the_file(page):
    """In the order in which they are asked; taken back, they are not known again."""
    made = page.look()
    assert "What holds the far end" in made["cards"] and "not known" in made["fields"]["pivot:pivot:held"]
    page.answer("pivot:pivot:held", "chocked")
    page.answer("pivot:pivot:holds", "1800 lb")
    page.answer("pivot:pivot:track", "80 in")
    page.answer("pivot:pivot:friction", "0.3 to 0.45")
    assert raw(page)["pivot"] == {"held": "chocked", "holds": "1800 lb", "track": "80 in", "friction": [0.3, 0.45]}
    page.answer("pivot:pivot:friction", "")
    assert "friction" not in raw(page)["pivot"]


@pytest.mark.parametrize("said", ["0.3", "0.4 to 0.3", "0.3 to slippery", "0.3, 0.4, 0.5", "0.3 to 2.5"])
def test_friction_that_is_no_pair_stays_a_draft(page, said):
    """Marked at its field; the file keeps what it had."""
    page.answer("pivot:pivot:friction", "0.3, 0.4")
    made = page.answer("pivot:pivot:friction", said)
    assert not made["current"] and "Not taken yet:" in made["fields"]["pivot:pivot:friction"]
    assert raw(page)["pivot"]["friction"] == [0.3, 0.4]


def test_a_load_that_goes_straight_up_has_no_such_card(page):
    """It turns about nothing."""
    page.answer("load:load:motion", "straight")
    assert "What holds the far end" not in page.look()["cards"]


def test_findings_of_the_pivot_lead_to_what_is_not_known_of_it(page):
    """What keeps it still, how much that holds, how far its contacts are apart; of a wrong chock the first again."""
    assert "pivot:pivot:held" in leads_to(page)
    page.answer("pivot:pivot:held", "chocked")
    assert "pivot:pivot:holds" in leads_to(page) and "pivot:pivot:held" not in leads_to(page)
    page.answer("pivot:pivot:holds", "9000 lb")
    assert "pivot:pivot:track" in leads_to(page) and "pivot:pivot:holds" not in leads_to(page)
    page.answer("pivot:pivot:track", "80 in")
    assert not {each for each in leads_to(page) if each.startswith("pivot:") and "friction" not in each}
    page.answer("pivot:pivot:holds", "10 lb")
    assert "pivot:pivot:holds" in leads_to(page)
    page.answer("pivot:pivot:holds", "")
    page.answer("pivot:pivot:held", "nothing")
    assert "pivot:pivot:held" in leads_to(page)


def test_a_leaning_lifter_is_asked_for_its_tie_on_both_sides_at_once(page):
    """The finding of its foot leads there; tied, it leads to the limit; tied to the pivot, to what it is tied to."""
    assert f"{TIE}.kind" in leads_to(page)
    page.answer(f"{TIE}.kind", "chain")
    assert [row["tie"] for row in raw(page)["lifter"]] == [{"kind": "chain"}] * 2
    assert f"{TIE}.kind" not in leads_to(page) and f"{TIE}.working_load_limit" in leads_to(page)
    page.answer(f"{TIE}.working_load_limit", "4700 lb")
    page.answer(f"{TIE}.length", "60 in")
    page.answer(f"{TIE}.elongation", "0.02")
    page.answer(f"{TIE}.grade", "70")
    tie = {"kind": "chain", "working_load_limit": "4700 lb", "length": "60 in", "elongation": 0.02, "grade": 70}
    assert [row["tie"] for row in raw(page)["lifter"]] == [tie] * 2
    page.answer(f"{TIE}.to", "pivot")
    assert f"{TIE}.to" in leads_to(page) and "Do not lift like this" in page.figures()["findings"]


def test_friction_under_a_foot_is_held_against_what_it_needs(page):
    """The trailer's lifters need 0.21: on ice that is a stop at its own field, on 0.3 to 0.4 nothing is found."""
    field = "lifter:left lifter:friction"
    page.answer(field, "0.05 to 0.1")
    assert [row["friction"] for row in raw(page)["lifter"]] == [[0.05, 0.1]] * 2
    assert field in leads_to(page) and "kick out" in page.figures()["findings"]
    page.answer(field, "0.3 to 0.4")
    assert field not in leads_to(page) and "kick out" not in page.figures()["findings"]


def test_a_short_plan_leads_to_its_own_question(tmp_path):
    """What keeps the far end still."""
    page = Page(tmp_path)
    made = page.ask("POST", "/new", body=b'{"like": "trailer nose", "units": "us"}')
    page.name = made.data["go"].removeprefix("/plan/")
    page.look()
    for said in ("nothing", "chocked", "brakes"):
        page.answer("pivot_held", said)
        assert {each for each in leads_to(page) if each.startswith("pivot")} == {"pivot_held"}, said
    page.answer("pivot_held", "chocked")
    findings = page.figures()["findings"]
    assert "chocked both ways, how much that holds" in findings and "Chock it both ways" not in findings
