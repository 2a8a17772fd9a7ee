"""The drawing in motion, in a real browser: it moves, ends where the summary says, and shows what was measured."""

from __future__ import annotations

import pytest

from reports.views import drawing
from sim.record.measures import measure
from sim.story.lift import simulate
from tests.builders import MM, collar, lift, lifter
from tests.reports.drawn import Opened
from tests.reports.shapes import SHAPES, TITLE, shape

pytestmark = pytest.mark.browser

# The rise of the needed point, measured in the picture: its mark against the line where it was at the start.
RISE_DRAWN = """view => {
  const point = view.querySelector(".lift-point").getAttribute("transform").match(/,([-\\d.]+)/)[1];
  return Number(view.querySelector(".lift-start").getAttribute("y1")) - Number(point);
}"""
GAPS_DRAWN = """[...document.querySelectorAll(".lift-cards:not(.lift-drops) .lift-card")].map(card => ({
  simulated: Number(card.dataset.gapM),
  drawn: Number(card.querySelector(".lift-gap").getAttribute("height")) / Number(card.dataset.perMetre),
  pixel: 1 / Number(card.dataset.perMetre), text: card.innerText, over: card.classList.contains("lift-over")}))"""


@pytest.mark.parametrize("name", SHAPES)
def test_it_ends_where_the_summary_says_and_draws_the_largest_gap(browser, name, tmp_path):
    """At the end the point has risen as far as the record says, simulated and drawn; so has the largest gap opened."""
    record = shape(name)
    summary = measure(record)
    opened = Opened(browser, record, tmp_path)
    assert opened.page.evaluate("document.querySelector('.lift-drawing h3') !== null")
    opened.seek(summary["duration_s"] + 1)
    assert opened.read("pointRiseM") == pytest.approx(summary["point_rise_m"], abs=1e-6)
    scale = opened.read("scale")
    for view in opened.page.query_selector_all(".lift-view"):
        assert view.evaluate(RISE_DRAWN) / scale == pytest.approx(summary["point_rise_m"], abs=0.51 / scale)
    largest = summary["largest_gap"]
    if largest["time_s"] is not None:
        made = largest == summary["largest_made_gap"]  # there once it is made, and never judged
        opened.seek(max(0.0, largest["time_s"] + (1e-5 if made else -1e-5)))
        gaps = opened.page.evaluate(GAPS_DRAWN)
        widest = max(gaps, key=lambda gap: gap["simulated"])
        assert widest["simulated"] == pytest.approx(largest["gap_m"], abs=1e-6)
        assert widest["drawn"] == pytest.approx(largest["gap_m"], abs=max(1e-6, 0.01 * widest["pixel"]))
        assert largest["station"] in widest["text"]
        over = not made and largest["gap_m"] > record.scenario.leader.gap_limit + 1e-9
        assert ("made on purpose" in widest["text"]) == made
        assert widest["over"] == over and ("over the limit" in widest["text"]) == over
    assert opened.complaints == []
    opened.page.close()


def test_play_moves_the_load_to_its_end(browser, tmp_path):
    """Played at double speed a short lift comes to its end in about half its time, and stops there."""
    record = shape("one station")
    opened = Opened(browser, record, tmp_path)
    times: list[float] = []
    opened.page.evaluate("document.addEventListener('lc:time', e => (window.heard ??= []).push(e.detail.time))")
    opened.page.get_by_role("button", name="double speed").click()
    opened.page.get_by_role("button", name="play or pause").click()
    opened.page.wait_for_function(
        "document.querySelector('.lift-controls button').textContent === 'Play'", timeout=20_000
    )
    times = opened.page.evaluate("window.heard")
    assert times == sorted(times) and len(times) > 20
    assert opened.read("time") == pytest.approx(measure(record)["duration_s"], abs=1e-6)
    assert opened.read("pointRiseM") == pytest.approx(0.020, abs=1e-6)
    assert "Raised" in opened.page.inner_text(".lift-caption")
    opened.page.close()


def test_the_keyboard_does_it_all(browser, tmp_path):
    """Every control is reached with Tab; arrows step from call to call; space plays and pauses; Home and End."""
    record = shape("trailer")
    called = record.events.loc[record.events["what"] == "calls", "time_s"].tolist()
    opened = Opened(browser, record, tmp_path)
    page = opened.page
    reached = set()
    for _ in range(14):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "document.activeElement.title || document.activeElement.className || document.activeElement.tagName"
            )
        )
    assert {"lift-views", "play or pause", "the next call", "½× half speed", "lift-slider", "SELECT"} <= reached
    page.focus(".lift-views")
    for n in range(3):
        page.keyboard.press("ArrowRight")
        assert opened.read("time") == pytest.approx(called[n], abs=1e-5)
    assert page.inner_text(".lift-caption") == "Call 3: lift."
    page.keyboard.press("ArrowLeft")
    assert opened.read("time") == pytest.approx(called[1], abs=1e-5)
    page.keyboard.press("End")
    assert opened.read("time") == pytest.approx(measure(record)["duration_s"], abs=1e-5)
    page.keyboard.press("Home")
    assert opened.read("time") == 0
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Space")
    page.wait_for_timeout(400)
    page.keyboard.press("Space")
    stopped = opened.read("time")
    assert 0.2 < stopped < 3
    page.wait_for_timeout(200)
    assert opened.read("time") == stopped
    page.close()


def test_the_timeline_and_the_drawing_move_each_other(browser, tmp_path):
    """A time said by another part of the page is shown, and not said again; a seek here is said once."""
    opened = Opened(browser, shape("trailer"), tmp_path)
    page = opened.page
    page.evaluate(
        "window.heard = []; document.addEventListener('lc:time', e => heard.push([e.detail.time, e.detail.source]))"
    )
    page.evaluate("document.dispatchEvent(new CustomEvent('lc:time', {detail: {time: 20, source: 'chart'}}))")
    assert opened.read("time") == 20
    opened.seek(30)
    assert page.evaluate("window.heard") == [[20, "chart"], [30, "drawing"]]
    page.locator(".lift-slider").fill("40")
    assert opened.read("time") == pytest.approx(40, abs=0.05)
    page.close()


def test_switching_units_changes_every_figure(browser, tmp_path):
    """No inch is left once SI is asked for."""
    opened = Opened(browser, shape("trailer"), tmp_path)
    opened.seek(67.0)
    assert " in" in opened.page.inner_text(".lift-status")
    opened.page.evaluate("document.dispatchEvent(new CustomEvent('lc:units', {detail: {units: 'si'}}))")
    words = opened.page.inner_text(".lift-drawing")
    assert " in," not in words and not any(f"{n} in" in words for n in range(10)) and " mm" in words
    opened.page.close()


def test_little_motion_where_a_person_asks_for_little(browser, tmp_path):
    """With prefers-reduced-motion the picture jumps from one thing said to the next and never lies between."""
    record = shape("one station")
    opened = Opened(browser, record, tmp_path, reduced_motion="reduce")
    opened.page.evaluate("document.addEventListener('lc:time', e => (window.heard ??= []).push(e.detail.time))")
    opened.page.get_by_role("button", name="play or pause").click()
    opened.page.wait_for_function(
        "document.querySelector('.lift-controls button').textContent === 'Play'", timeout=20_000
    )
    said = {round(t, 5) for t, c in zip(*(drawing.rows(record)[k] for k in ("time_s", "caption")), strict=True) if c}
    heard = {round(t, 5) for t in opened.page.evaluate("window.heard")}
    assert heard <= said | {0.0} and len(heard) >= 4
    opened.page.close()


def test_it_is_silent_until_a_person_turns_it_on(browser, tmp_path):
    """No audio context before the button; then a voice, or tones where the browser has none; captions in any case."""
    opened = Opened(browser, shape("one station"), tmp_path)
    page = opened.page
    page.evaluate("""window.made = 0; const Own = AudioContext;
      window.AudioContext = class extends Own { constructor() { super(); window.made += 1; }
        createOscillator() { window.beeps = (window.beeps || 0) + 1; return super.createOscillator(); } };
      window.speechSynthesis && (speechSynthesis.getVoices = () => []);""")
    page.get_by_role("button", name="play or pause").click()
    page.wait_for_timeout(300)
    assert page.evaluate("window.made") == 0 and page.inner_text(".lift-caption") == "Call 1: lift."
    page.click(".lift-sound")
    assert page.inner_text(".lift-sound") == "Sound: tones"
    page.wait_for_timeout(2500)  # the hold at 2 s
    assert page.evaluate("window.made") == 1 and page.evaluate("window.beeps") >= 1
    page.get_by_role("button", name="play or pause").click()
    page.evaluate("""window.spoken = []; speechSynthesis.getVoices = () => [{lang: "en-GB", localService: true}];
      window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
      speechSynthesis.speak = words => { window.spoken.push(words.text); }; 0""")
    page.evaluate(
        "document.dispatchEvent(new CustomEvent('lc:said', {detail: {aloud: 'Call 2. lift.', tone: 'call', speed: 1}}))"
    )
    assert page.evaluate("window.spoken") == ["Call 2. lift."]
    page.close()


def test_rows_that_arrive_one_by_one_give_the_same_picture(browser, tmp_path):
    """The live rehearsal: the drawing begins with the geometry alone; rows come one by one, some of them late."""
    record = shape("trailer")
    opened = Opened(browser, record, tmp_path)
    page = opened.page
    opened.seek(31.7)
    whole = page.evaluate(GAPS_DRAWN), page.inner_html(".lift-view-side")
    page.evaluate("""async () => {
      const data = await liftUnpacked(document.getElementById("drawing-data").textContent);
      const element = document.querySelector(".lift-drawing");
      const again = new LiftDrawing(element, data.geometry);
      const rows = [...liftRows(data.falls), ...liftRows(data.rows)];
      for (const row of rows.filter(row => row.what === "meets")) row.late = true;
      for (const row of [...rows.filter(row => !row.late), ...rows.filter(row => row.late)]) again.add([row]);
      element.liftDrawing = again;
    }""")
    opened.seek(31.7)
    assert (page.evaluate(GAPS_DRAWN), page.inner_html(".lift-view-side")) == whole
    page.close()


def test_a_row_may_foretell_where_it_goes(browser, tmp_path):
    """A stroke has begun: its row says where it will end, and the drawing moves there before the next row comes."""
    opened = Opened(browser, simulate(lift(15 * MM, lifter(collar()), strokes=1), 1), tmp_path)
    opened.page.evaluate("""async () => {
      const data = await liftUnpacked(document.getElementById("drawing-data").textContent);
      const element = document.querySelector(".lift-drawing");
      const live = element.liftDrawing = new LiftDrawing(element, data.geometry);
      live.add([{time_s: 0, who: "left lifter", what: "starts", side: "left lifter", u: 0}]);
      live.add([{time_s: 1, who: "left lifter", what: "strokes", side: "left lifter", u: 0, aim: [2, 0.010]}]);
      live.record.end = 5;
    }""")
    for time, rise in ((1.0, 0.0), (1.5, 0.005), (2.0, 0.010), (4.0, 0.010)):
        opened.seek(time)
        assert opened.read("pointRiseM") == pytest.approx(rise, abs=1e-9)
    opened.page.close()


def test_a_title_and_names_with_markup_show_as_text(browser, tmp_path):
    """Nothing in a scenario can run."""
    opened = Opened(browser, shape("twelve stations"), tmp_path)
    assert opened.page.title() == TITLE
    assert opened.page.locator(".lift-drawing script, .lift-drawing b").count() == 0
    assert opened.complaints == []
    opened.page.close()
