"""Very many: 200 stations, 1000 calls. It is simulated in time, and what is said of it can still be read."""

from __future__ import annotations

import time
from io import StringIO
from math import ceil
from pathlib import Path

import pytest
from rich.console import Console

from reports.sheet.sheet import write_sheet
from reports.terminal.check import show
from reports.words.sheet_many import NAMED, named, spanned, without_amounts
from reports.words.sheet_sides import gathered
from sim.check import Sheet, check
from sim.model.scenario import Scenario
from sim.model.sentences import Sentence, near, up
from sim.model.units import LBF
from sim.story.lift import simulate_fixed
from sim.written.reading import parse
from tests.faults.hands import TRAILER, assert_whole, here


def with_stations(n: int) -> str:
    """The trailer with so many struts, half of them on each side, each at a place of its own."""
    text = TRAILER.read_text()
    head, tail = text[: text.index("[[station]]")], text[text.index("[[variant]]") :]
    stations = [
        f'[[station]]\nname = "{side} strut {k // 2 + 1}"\nside = "{side}"\ncapture = ["threaded"]\n'
        f'head = ["{30 + 90 * (k // 2) / (n / 2):.2f} in", "{35 * y} in", "36 in"]\n'
        f'base = ["{30 + 90 * (k // 2) / (n / 2):.2f} in", "{70 * y} in", "0 in"]\n'
        for k in range(n)
        for side, y in [("left", 1) if k % 2 == 0 else ("right", -1)]
    ]
    return head + "\n".join(stations) + "\n" + tail


def of_many_calls() -> str:
    """The trailer with pumps so small, a stroke a call, that it takes more than 1000 calls."""
    text = TRAILER.read_text().replace('travel_per_pump = "0.15 in"', 'travel_per_pump = "0.0049 in"')
    lines = [line for line in text.splitlines() if not line.startswith(("max_calls", "strokes ="))]
    return "\n".join(lines).replace("\n[leader]\n", "\n[leader]\nstrokes = 1\nmax_calls = 2000\n")


@pytest.fixture(scope="module")
def many() -> tuple[Scenario, Sheet]:
    """A lift with 200 stations, and its check."""
    scenario = parse(with_stations(200), "many")
    return scenario, check(scenario)


def test_a_check_of_200_stations_can_be_read(many: tuple[Scenario, Sheet]) -> None:
    """What is said of many stands once, with their names and the span of the figures: not 1700 lines, but 150."""
    _, sheet = many
    out = StringIO()
    show(sheet, Console(file=out, width=160))
    lines = out.getvalue().splitlines()
    said = [line for line in lines if line.startswith(("STOP", "caution", "note"))]
    assert len(sheet.findings) > 400 and len(said) <= 15 and len(lines) < 150
    (untied,) = (line for line in said if "no tie is written" in line)
    loads = [float(f.value or 0) / LBF for f in sheet.findings if f.what.words("us").startswith("no tie is written")]
    assert "left and right strut 1 to 100 (200 in all)" in untied and len(loads) == 200
    assert f"{ceil(min(loads)):,} to {ceil(max(loads)):,} lb" in untied
    assert "12 of 200" in out.getvalue()


def test_every_station_of_a_group_is_counted_and_the_span_holds_all() -> None:
    """Of 40 stations each finding is in one line, no figure lies outside its span; in either units, as many lines."""
    sheet = check(parse(with_stations(40), "many"))
    lines = gathered(sheet.findings)
    grouped = [line for line in lines if "in all)" in line.subject]
    counted = sum(int(line.subject.rpartition("(")[2].split()[0]) for line in grouped)
    alone = sum(2 if "left and right" in line.subject else 1 for line in lines if line not in grouped)
    assert counted + alone == len(sheet.findings) and grouped


def test_the_sheet_of_200_stations_is_whole(many: tuple[Scenario, Sheet]) -> None:
    """Every station in the tables; the views say how many stand without a label."""
    scenario, sheet = many
    page = write_sheet(sheet, scenario)
    assert page.rstrip().endswith("</html>") and "stand without a label: see the tables" in page
    for n in range(1, 101):
        assert f"strut {n}</span></th>" in page


def test_amounts_of_alike_sentences_become_a_span() -> None:
    """A number in a name is no amount; equal ones stay one; each end is rounded on its own, in either units."""
    form = "would carry {static} if {lost} were lost, on {give} of give"

    def carry(lb: float, lost: str = "lifter 2") -> Sentence:
        return Sentence(form, static=up(lb * LBF, "force"), lost=lost, give=near(0.0127, "length"))

    said = [carry(lb) for lb in (9000.0, 10500.2, 800.0)]
    assert len({without_amounts(each) for each in said}) == 1
    assert spanned(said).words("us") == "would carry 800 to 10,501 lb if lifter 2 were lost, on 0.50 in of give"
    assert spanned(said).words("si") == "would carry 3.56 to 46.71 kN if lifter 2 were lost, on 12.7 mm of give"
    assert without_amounts(carry(1.0)) != without_amounts(carry(1.0, lost="lifter 3"))


def test_many_names_become_runs() -> None:
    """Numbers that follow each other are drawn together; a gap breaks them; what has no number stands alone."""
    assert named([f"strut {n}" for n in (1, 2, 3, 5, 6, 9)]) == "strut 1 to 3, strut 5 to 6, strut 9"
    assert named(["front", "rear", "post 07", "post 08"]) == "front, rear, post 07, post 08"
    assert named(["strut 1 tie", "strut 2 tie", "strut 1 foot"]) == "strut 1 to 2 tie, strut 1 foot"
    many = named([f"{chr(97 + n // 26)}{chr(97 + n % 26)} strut" for n in range(50)])
    assert many.endswith(f" and {50 - NAMED} others") and many.count(",") == NAMED - 1


def test_a_lift_of_1000_calls_is_simulated() -> None:
    """To its end, and every call is in the events."""
    record = simulate_fixed(parse(of_many_calls(), "calls"))
    assert record.outcome == "raised" and record.events["call"].max() > 1000


@pytest.mark.slow
@pytest.mark.parametrize("text", [with_stations(200), of_many_calls()], ids=["200 stations", "1000 calls"])
@pytest.mark.parametrize(
    "words",
    [["run"], ["check", "--page", "sheet.html"], ["compare", "-n", "2"], ["study", "-n", "20", "--no-changes"]],
    ids=lambda words: words[0],
)
def test_every_command_with_very_many(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, words: list[str]
) -> None:
    """Done in minutes, stored whole."""
    monkeypatch.chdir(tmp_path)
    Path("many.toml").write_text(text)
    begun = time.monotonic()
    code, _, err = here(words[0], "many.toml", *words[1:])
    assert code == 0, err
    assert time.monotonic() - begun < 600
    assert_whole(tmp_path / "runs")
