"""The sheet printed, and on a screen: three sides of paper, nothing cut off, letters that can be read."""

import re
import shutil
import subprocess

import pytest

from reports.sheet.sheet import write_sheet
from reports.words.sheet_sides import gathered
from sim.check import CAUTION, check
from tests.builders import MM, collar, lift, lifter, station
from tests.reports.browser import PAGE_FAULTS
from tests.reports.sheet.test_sheet import EXAMPLES, many, named


def pdf_of(browser, scenario, paper, folder):
    """The sheet, printed: path of the PDF."""
    page_file, pdf = folder / "sheet.html", folder / f"{paper}.pdf"
    page_file.write_text(write_sheet(check(scenario), scenario), encoding="utf-8")
    page = browser.new_page()
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(page_file.as_uri())
    page.pdf(path=str(pdf), format=paper)
    page.close()
    assert said == []
    return pdf


@pytest.mark.browser
@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
@pytest.mark.parametrize("paper", ["Letter", "A4"])
@pytest.mark.parametrize(
    "scenario", [pytest.param(s, marks=[pytest.mark.slow] if s.variant else []) for s in EXAMPLES], ids=named
)
def test_the_sheet_prints_on_three_sides_with_nothing_cut_off(browser, scenario, paper, tmp_path):
    """Exactly three pages; every word lies on its page inside the margins; all that was found is there."""
    pdf = pdf_of(browser, scenario, paper, tmp_path)
    boxes = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    pages = re.findall(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', boxes, re.DOTALL)
    assert len(pages) == 3
    for wide, high, words in pages:
        for box in re.findall(r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"', words):
            left, top, right, low = (float(x) for x in box)
            assert 20 < left < right < float(wide) - 20 and 20 < top < low < float(high) - 20
    text = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    squeezed = re.sub(r"\s+", "", text)
    for said in gathered(check(scenario).findings):
        assert re.sub(r"\s+", "", said.what.words(scenario.units)) in squeezed
    assert re.sub(r"\s+", "", CAUTION) in squeezed


@pytest.mark.browser
@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
def test_a_lift_of_a_dozen_stations_loses_nothing(browser, tmp_path):
    """It may take a fourth side; every station is on it."""
    struts = [
        station(collar(), name=f"strut number {n}", head=(0.0, 1.0, 1.0), base=(0.0, 1.5 + n / 10, 0.0))
        for n in range(12)
    ]
    pdf = pdf_of(browser, lift(15 * MM, lifter(collar()), *struts), "Letter", tmp_path)
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    assert text.count("\f") <= 4
    for n in range(12):
        assert len(re.findall(rf"strut\s+number\s+{n}\b", text)) >= 3


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1024])
def test_on_the_screen_nothing_sticks_out_and_the_drawing_can_be_read(browser, width, tmp_path):
    """What is wider than a telephone scrolls in its own place; the letters of the views stay legible."""
    file = tmp_path / "sheet.html"
    file.write_text(write_sheet(check(many()), many()), encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto(file.as_uri())
    assert page.evaluate(PAGE_FAULTS) == []
    letters = "[...document.querySelectorAll('.view text')].map((t) => t.getBoundingClientRect().height)"
    assert min(page.evaluate(letters)) >= 11
    page.close()
