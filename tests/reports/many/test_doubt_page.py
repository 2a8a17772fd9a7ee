"""What a study's answers hang on, as it is shown: sentences, rows and bars, the widest first; two doubts apart."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from reports.many.doubt_figure import ROOM, doubt_figure
from reports.many.study_page import fan_figure, write_study_page
from reports.paper.figures import LABEL_PX, em
from reports.terminal.study import show_study
from reports.words import doubt as doubts
from sim.examples import example
from sim.many.doubted import Assumption
from sim.many.studied import Study
from sim.many.study import study
from sim.written.reading import parse
from tests.reports.browser import chromium

RANGES = """
[assumed]
"device.pinned.swap" = ["6 s", "12 s"]
"load.take_up" = ["0.25 in", "0.9 in"]
"device.threaded.turns" = ["0.12 /s", "0.27 /s"]
"operator.steady.recover" = ["0.4 s", "0.9 s"]
"""
WIDTHS = ((1440, 900), (390, 844))


@pytest.fixture(scope="module")
def studied() -> Study:
    """The trailer with four values marked, one of which is no part of this lift; and crews."""
    return study(parse(example("trailer") + RANGES, "trailer"), 40, crew_sd=0.2, workers=1)


@pytest.fixture(scope="module")
def plain() -> Study:
    """The trailer as it ships, with nothing marked, in a few lifts."""
    return study(parse(example("trailer"), "trailer", "pinned"), 30, workers=1)


def printed(found: Study) -> str:
    """What the terminal shows."""
    out = StringIO()
    show_study(found, Console(file=out, width=220), "trailer.toml")
    return out.getvalue()


def words_of(page: str) -> str:
    """The words of a page, in its own units, without marks and scripts."""
    body = re.sub(r"(?s)<(script|style)\b.*?</\1>|<!--.*?-->", "", page).partition("The scenario as read")[0]
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", body)).replace("\u00a0", " "))


def test_beside_every_interval_stands_the_range_over_what_is_assumed_and_over_crews(studied: Study) -> None:
    """The mean time, the mean largest gap and each chance, in columns of their own, on the page and on the terminal."""
    text, page = printed(studied), words_of(write_study_page(studied, "trailer.toml"))
    assert studied.doubt is not None
    for said in (text, page):
        assert "simulated (simulation error only)" in said
        assert "over what is assumed" in said and "over other crews" in said
        for answer in doubts.answers(studied):
            for cell in (doubts.simulated, doubts.over_assumed, doubts.over_crews):
                assert cell(answer, studied, "us") in said
    low, high = studied.doubt.over_assumed("duration_s") or (0.0, 0.0)
    assert f"Over what is assumed the mean time is {low:.1f} s to {high:.1f} s" in page


def test_it_says_what_matters_most_and_what_is_no_part_of_this_lift(studied: Study) -> None:
    """The widest is named, with the answer at both its ends; the pins of a lift without pins too."""
    said = doubts.sentences(studied, "us")
    assert said[0].startswith(
        "3 values are marked as assumed: each simulated at its low and at its high, and all at once, 40 lifts"
    )
    assert studied.doubt is not None
    first = studied.doubt.widest("duration_s")[0]
    at = f"{first.at_low['duration_s']:.1f} s at 0.12 /s, {first.at_high['duration_s']:.1f} s at 0.27 /s"
    assert said[1].startswith(f"For the mean time device.threaded.turns matters most: {at}")
    assert "Marked, and no part of this lift: device.pinned.swap." in said
    stopped = replace(studied, doubt=replace(studied.doubt, left_out=("load.weight",), not_at_once="stopped before"))
    assert "Stopped before these were simulated at both ends: load.weight." in doubts.sentences(stopped, "us")
    assert "Not simulated, all at once: stopped before." in doubts.sentences(stopped, "us")


def test_the_table_has_the_widest_first_and_all_at_once_last(studied: Study) -> None:
    """By the mean time; each at its low and at its high."""
    assert studied.doubt is not None
    rows = list(doubts.rows(studied, "us"))
    widest = [bar.path for bar in studied.doubt.widest("duration_s")]
    assert [name for name, *_ in rows[:3]] == widest
    assert [name for name, *_ in rows[3:]] == [f"all at once, {doubts.ENDS[a.what]}" for a in studied.doubt.at_once]
    assert rows[3][0] == "all at once, each at its slow end"
    page = words_of(write_study_page(studied, "trailer.toml"))
    places = [page.rindex(name) for name, *_ in rows]
    assert places == sorted(places)


def labelled(figure: dict[str, Any]) -> list[str]:
    """The labels from top to bottom, line by line."""
    lines = sorted(figure["layout"]["annotations"], key=lambda note: (-note["y"], -note["yshift"]))
    return [note["text"] for note in lines]


@pytest.mark.parametrize("answer", ["duration_s", "largest_gap_m"])
def test_the_bars_go_from_the_low_to_the_high_around_the_answer_as_written(studied: Study, answer: str) -> None:
    """The widest on top; each end where the study of that end says; the labels in the order of the bars."""
    assert studied.doubt is not None
    figure = doubt_figure(studied.doubt, answer)
    labels = labelled(figure)
    bars = studied.doubt.widest(answer)
    assert labels == ["all at once", *(f"{bar.path}: {bar.low} to {bar.high}" for bar in bars)]
    marks = [trace for trace in figure["data"] if trace["mode"] == "markers"]
    for trace, end in zip(marks, ("at_low", "at_high"), strict=False):
        assert trace["y"] == [2, 1, 0]
        assert trace["x"] == pytest.approx([getattr(bar, end)[answer] for bar in bars], abs=1e-6)
    lines = [trace for trace in figure["data"] if trace["mode"] == "lines"]
    for trace in lines[:-1]:
        assert trace["x"][::3] == pytest.approx([studied.doubt.as_written[answer]] * len(trace["x"][::3]), abs=1e-6)
    spans = [abs(a - b) for a, b in zip(marks[0]["x"], marks[1]["x"], strict=True)]
    assert spans[0] == max(spans)
    lengths = figure["layout"]["meta"].get("lengths", []), [t["meta"].get("length") for t in figure["data"]]
    assert lengths == (([], [None] * 7) if answer == "duration_s" else (["xaxis"], ["x"] * 7))


def test_a_label_is_cut_to_the_narrowest_page_and_is_no_markup(studied: Study) -> None:
    """Names are the writer's own."""
    assert studied.doubt is not None
    bar = studied.doubt.values[0]
    long = Assumption('lifter.<b>"Ä & B"</b> ' + 30 * "long " + ".travel", "1 mm", "2 mm", bar.at_low, bar.at_high)
    figure = doubt_figure(replace(studied.doubt, values=(long, bar), at_once=()), "duration_s")
    label = labelled(figure)
    at = label.index("1 mm to 2 mm")
    assert label[at - 1].startswith('lifter.&lt;b&gt;"Ä &amp; B"&lt;/b&gt;') and label[at - 1].endswith("…")
    assert all(LABEL_PX * em(unescape(line)) <= ROOM for line in label)
    assert "<b>" not in write_study_page(replace(studied, doubt=replace(studied.doubt, values=(long, bar))), "f")


def test_where_nothing_is_marked_it_says_so_in_words(plain: Study) -> None:
    """What stands in, and how to mark; no picture of one bar."""
    page = write_study_page(plain, "trailer.toml")
    for said in (printed(plain), words_of(page)):
        assert "Nothing is marked as assumed: everyone a fifth slower, a fifth faster stands in" in said
        assert "everyone a fifth faster to slower" in said
        assert "over other crews" not in said
    assert "chart-doubt" not in page


def test_not_asked_is_said(plain: Study) -> None:
    """--no-help asks neither."""
    bare = replace(plain, doubt=None, helps=[])
    assert "What the answers hang on was not asked." in printed(bare)
    assert "not asked" in words_of(write_study_page(bare, "f"))


def test_a_short_study_draws_its_gaps_call_by_call_too(plain: Study) -> None:
    """Of thirty lifts; a call that only a few reach is left out."""
    fan = fan_figure(plain)
    assert all(len(trace["x"]) >= 10 for trace in fan["data"])
    one = replace(plain, by_call=plain.by_call[:1])
    assert {trace["mode"] for trace in fan_figure(one)["data"]} == {"markers"}, "a line of one point is not seen"


def test_an_interval_that_few_lifts_leave_open_is_said_to_be_open(plain: Study) -> None:
    """No word of what is "not known" between two figures."""
    assert plain.spreads["duration_s"].quantiles[0.95].high == float("inf")
    for said in (printed(plain), words_of(write_study_page(plain, "f"))):
        assert re.search(r"from [0-9.]+ s up", said)
        assert "to not known" not in said


LOOK = """() => {
  const clash = [];
  for (const chart of document.querySelectorAll(".chart")) {
    const frame = chart.getBoundingClientRect();
    if (!chart.querySelector(".scatterlayer path[d], .barlayer path[d]")) clash.push(`${chart.id}: empty`);
    const texts = [...chart.querySelectorAll("svg text")].filter(e => e.textContent.trim())
      .map(e => [e.textContent, e.getBoundingClientRect()]).filter(([, box]) => box.width);
    for (const [text, box] of texts)
      if (box.left < frame.left - 1 || box.right > frame.right + 1
          || box.top < frame.top - 1 || box.bottom > frame.bottom + 1)
        clash.push(`${chart.id}: cut: ${text}`);
    for (let a = 0; a < texts.length; a += 1) for (let b = a + 1; b < texts.length; b += 1) {
      const [one, p] = texts[a], [other, q] = texts[b];
      const across = Math.min(p.right, q.right) - Math.max(p.left, q.left);
      const down = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
      if (across > 1 && down > 1) clash.push(`${chart.id}: ${one} | ${other}`);
    }
  }
  return clash;
}"""


@pytest.mark.slow
@pytest.mark.browser
def test_no_chart_of_the_page_is_empty_and_no_label_cut_or_laid_over_another(
    studied: Study, plain: Study, tmp_path: Path
) -> None:
    """On a desk and on a phone: marked and not, with crews, pinned, many lifts and few."""
    assert studied.doubt is not None
    values = tuple(
        replace(
            bar, path=f"station.a strut of a long name {n}.tie.working_load_limit", low="10,000 lb", high="12,000 lb"
        )
        for n, bar in enumerate(2 * studied.doubt.values)
    )
    crowded = replace(studied, doubt=replace(studied.doubt, values=values))
    with chromium() as browser:
        for name, found in (("marked", studied), ("plain", plain), ("crowded", crowded)):
            path = tmp_path / f"{name}.html"
            path.write_text(write_study_page(found, "trailer.toml"), encoding="utf-8")
            for width, height in WIDTHS:
                page: Any = browser.new_page(viewport={"width": width, "height": height})
                complaints: list[str] = []
                page.on("pageerror", lambda error, said=complaints: said.append(str(error)))
                page.on("console", lambda message, said=complaints: said.append(message.text))
                page.goto(path.as_uri())
                page.wait_for_selector('html[data-charts="drawn"]', timeout=10_000)
                assert page.evaluate(LOOK) == [], (name, width)
                assert page.evaluate("document.documentElement.scrollWidth") == width
                assert complaints == []
                page.close()
