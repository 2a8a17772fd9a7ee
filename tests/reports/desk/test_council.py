"""The council sheet: the ways side by side, on one printed page."""

import re

import pytest

from sim.examples import example
from tests.reports.browser import chromium
from tests.reports.desk.asked import Page


@pytest.fixture
def page(tmp_path):
    """The trailer, with its options."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    return Page(tmp_path, "trailer.toml")


def test_each_way_has_its_figures_and_the_stops_come_first(page):
    """Only the chosen ways; too few are refused."""
    answer = page.get("/compare/trailer.toml/sheet", way=["", "pinned"])
    assert answer.status == 200
    assert len(re.findall(r'<th scope="col"', answer.text)) == 2 and "1. the plan" in answer.text
    for name in ("Largest gap", "Largest drop", "Time", "Calls", "People needed", "Stops"):
        assert f'<th scope="row">{name}</th>' in answer.text
    if 'class="do-not"' in answer.text:
        assert answer.text.index('class="do-not"') < answer.text.index('class="ways"')
    assert page.get("/compare/trailer.toml/sheet", way=["pinned"]).status == 404
    assert 'id="council"' in page.get("/compare/trailer.toml").text


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_it_prints_on_one_page(page, paper, tmp_path):
    """Four ways and all that the check finds of them."""
    file, pdf = tmp_path / "sheet.html", tmp_path / "sheet.pdf"
    file.write_text(page.get("/compare/trailer.toml/sheet").text, encoding="utf-8")
    with chromium() as browser:
        shown = browser.new_page()
        said = []
        shown.on("console", lambda message: said.append(message.text))
        shown.goto(file.as_uri())
        shown.pdf(path=str(pdf), format=paper)
    assert said == []
    assert len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes())) == 1
