"""The desk in a browser, by keyboard and by pointer: from nothing to a plan with struts and cribs."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.examples import example
from sim.story.lift import simulate_fixed
from sim.written.reading import read, variants
from tests.reports.browser import PAGE_FAULTS, SMALL_TARGETS
from tests.reports.desk.served import served

pytestmark = pytest.mark.browser
LONG = 120_000  # [ms]; a state is waited for, however busy the machine is
SETTLED = """() => document.querySelector("#strip dd") && !document.body.classList.contains("reckoning")
  && document.getElementById("saved").textContent.startsWith("Saved")"""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[str]:
    """A desk on an empty folder."""
    with served(tmp_path) as at:
        yield at


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    """A tab, 1280 by 800, that has nothing to complain of."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    tab = context.new_page()
    tab.set_default_timeout(LONG)
    faults: list[str] = []
    tab.on("pageerror", lambda error: faults.append(str(error)))
    yield tab
    context.close()
    assert faults == []


def settled(page: Any) -> None:
    """All is saved, and the figures are of it."""
    page.wait_for_function(SETTLED, timeout=LONG)


def begin(page: Any, desk: str, like: str = "van rear") -> None:
    """A plan from nothing."""
    page.goto(f"{desk}/?token=word")
    page.click(f"[data-like='{like}']")
    settled(page)


def fill(page: Any, field: str, value: str) -> None:
    """Type an answer and leave the field."""
    page.fill(f"[id='f-{field}']", value)
    page.press(f"[id='f-{field}']", "Enter")
    settled(page)


def plan_in(folder: Path) -> Path:
    """The one plan there."""
    (file,) = folder.glob("*.toml")
    return file


def test_from_nothing_to_struts_and_cribs_without_a_file_opened_by_hand(page, desk, tmp_path):
    """What is raised, its weight, how far, a crib added, a foot dragged: the commands read the same plan."""
    begin(page, desk)
    fill(page, "weight", "4,100 lb")
    fill(page, "rise", "4 1/2 in")
    page.click(".add[data-what=crib]")
    page.wait_for_selector("[data-group='station:crib']")
    settled(page)
    fill(page, "crew:crew:people", "5")
    page.wait_for_selector("#findings .headline")
    assert page.inner_text("#findings .stop b") == "people"
    fill(page, "crew:crew:people", "7")
    page.wait_for_function("() => !document.querySelector('#findings .headline')")
    foot = page.locator(".handle[data-end=base][data-view=above][data-place='left strut']").bounding_box()
    page.mouse.move(foot["x"] + foot["width"] / 2, foot["y"] + foot["height"] / 2)
    page.mouse.down()
    page.mouse.move(foot["x"] + foot["width"] / 2 + 3, foot["y"] - 12, steps=4)
    page.mouse.up()
    page.wait_for_function("() => document.getElementById('undo').title.includes('left strut: foot moved')")
    settled(page)
    lift = read(plan_in(tmp_path))
    feet = {station.name: station.base for station in lift.stations}
    assert feet["left strut"][1] == -feet["right strut"][1] and len(feet) == 4
    assert lift.need.rise == pytest.approx(4.5 * 0.0254) and lift.people == 7
    assert simulate_fixed(lift).outcome == "raised"


def test_a_short_plan_has_a_crib_beside_the_strut_and_a_person_a_place(page, desk, tmp_path):
    """Chosen on the card; too few people are a finding that leads to their field; the command reads the same."""
    begin(page, desk)
    page.select_option("[id='f-with.1']", "cribbing")
    page.wait_for_selector("[id='f-with.2']")
    settled(page)
    fill(page, "hinge_to_struts.1", "60 in")
    page.select_option("[id='f-catchers']", "one a place")
    page.wait_for_selector("#findings .stop")
    assert page.inner_text("#findings .stop b") == "people"
    page.click("#findings .stop .to-field")
    assert page.evaluate("document.activeElement.id") == "f-people"
    fill(page, "people", "7")
    page.wait_for_function("() => !document.querySelector('#findings .headline')")
    lift = read(plan_in(tmp_path))
    assert [s.name for s in lift.stations] == ["left strut", "right strut", "left crib", "right crib"]
    assert lift.stations[2].head[0] == pytest.approx(60 * 0.0254) and lift.people == 7


def test_by_keyboard_alone(page, desk, tmp_path):
    """A load chosen, a value changed with Tab and Enter, a head moved with an arrow, and all of it undone."""
    page.goto(f"{desk}/?token=word")
    page.focus("[data-like='slab edge']")
    page.keyboard.press("Enter")
    settled(page)
    before = plan_in(tmp_path).read_text(encoding="utf-8")
    page.focus("[id='f-rise']")
    page.keyboard.press("Control+a")
    page.keyboard.type("3 in")
    page.keyboard.press("Tab")
    settled(page)
    page.focus(".handle[data-end=head][data-view=side]")
    page.keyboard.press("ArrowUp")
    page.wait_for_function("() => document.getElementById('undo').title.includes('head moved')")
    settled(page)
    assert page.evaluate("document.activeElement.matches('.handle[data-end=head]')")
    for _ in range(2):
        page.keyboard.press("Control+z")
        settled(page)
    page.wait_for_function("() => document.getElementById('undo').disabled")
    assert plan_in(tmp_path).read_text(encoding="utf-8") == before


def test_half_typed_is_marked_and_the_rest_is_as_of_before(page, desk, tmp_path):
    """It is there again after the page is loaded again; a whole value clears the marks."""
    begin(page, desk)
    before = plan_in(tmp_path).read_text(encoding="utf-8")
    fill(page, "rise", "4")
    page.wait_for_selector("body.as-of-before")
    page.reload()
    settled(page)
    assert page.input_value("[id='f-rise']") == "4" and page.is_visible("text=As of before.")
    assert "has no unit" in page.inner_text("[data-field=rise]")
    assert plan_in(tmp_path).read_text(encoding="utf-8") == before
    fill(page, "rise", "4 in")
    page.wait_for_selector("body:not(.as-of-before)")


def test_two_tabs_and_another_program(page, desk, tmp_path):
    """The stale tab is refused and shown both; what is changed elsewhere comes by itself."""
    begin(page, desk)
    other = page.context.new_page()
    other.goto(page.url)
    settled(other)
    other.evaluate("() => { window.setInterval = () => 0; }")
    file = plan_in(tmp_path)
    page.evaluate("() => Object.defineProperty(document, 'hidden', { get: () => true })")  # it does not look by itself
    file.write_text(file.read_text(encoding="utf-8").replace('rise = "6 in"', 'rise = "7 in"'), encoding="utf-8")
    other.wait_for_function("() => document.querySelector('[id=\"f-rise\"]').value === '7 in'", timeout=LONG)
    page.fill("[id='f-rise']", "5 in")
    page.press("[id='f-rise']", "Enter")
    page.wait_for_selector("#clash:not([hidden])")
    assert "you wrote “5 in”; the file has “7 in”" in page.inner_text("#clash")
    page.click("#clash >> text=Write mine")
    page.wait_for_selector("#clash[hidden]", state="attached")
    settled(page)
    assert tomllib.loads(file.read_text(encoding="utf-8"))["rise"] == "5 in"
    other.wait_for_function("() => document.querySelector('[id=\"f-rise\"]').value === '5 in'", timeout=LONG)


def test_a_desk_that_went_and_came_back(page, tmp_path):
    """What was typed meanwhile is sent once it answers again."""
    with served(tmp_path) as at:
        begin(page, at)
    port = int(at.rpartition(":")[2])
    page.fill("[id='f-rise']", "5 in")
    page.press("[id='f-rise']", "Enter")
    page.wait_for_selector("text=The desk does not answer")
    assert tomllib.loads(plan_in(tmp_path).read_text(encoding="utf-8"))["rise"] == "6 in"
    with served(tmp_path, port):
        page.wait_for_selector("#notice", state="hidden")
        settled(page)
        assert tomllib.loads(plan_in(tmp_path).read_text(encoding="utf-8"))["rise"] == "5 in"


def test_the_shown_units_turn_figures_and_rewrite_nothing(page, desk, tmp_path):
    """Also those that come later."""
    begin(page, desk)
    page.click("[data-set-units=si]")
    assert "mm" in page.inner_text("#strip") and page.input_value("[id='f-rise']") == "6 in"
    fill(page, "rise", "5 in")
    page.wait_for_function("() => document.querySelector('#drawing').textContent.includes('up 127 mm')")
    assert not re.search(r"\d in\b(?! \d)", page.inner_text("#strip")) and 'rise = "5 in"' in plan_in(
        tmp_path
    ).read_text(encoding="utf-8")


def test_a_finding_leads_to_its_field_and_a_field_to_its_finding(page, desk, tmp_path):
    """Either way, into what is folded away too."""
    (tmp_path / "trailer.toml").write_text(example("trailer").replace('give = "0.15 in"', "#"), encoding="utf-8")
    page.goto(f"{desk}/plan/trailer.toml?token=word")
    settled(page)
    page.click(".to-field[data-to='station:left strut:give']")
    assert page.evaluate("document.activeElement.id") == "f-station:left strut:give"
    assert page.is_visible("[id='f-station:left strut:give']")
    assert page.locator(".to-field.about").count() >= 1


def test_what_holds_feet_and_far_end_is_asked_and_found(page, desk, tmp_path):
    """From the finding of a leaning lifter's foot to its tie, from that of the far end to its card until it is gone."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page.goto(f"{desk}/plan/trailer.toml?token=word")
    settled(page)
    page.click(".to-field[data-to='lifter:left lifter:tie.kind']")
    assert page.evaluate("document.activeElement.id") == "f-lifter:left lifter:tie.kind"
    page.select_option("[id='f-lifter:left lifter:tie.kind']", "chain")
    page.wait_for_selector(".to-field[data-to='lifter:left lifter:tie.working_load_limit']")
    settled(page)
    page.click(".to-field[data-to='pivot:pivot:held']")
    assert page.evaluate("document.activeElement.id") == "f-pivot:pivot:held"
    page.select_option("[id='f-pivot:pivot:held']", "chocked")
    page.wait_for_selector(".to-field[data-to='pivot:pivot:holds']")
    settled(page)
    fill(page, "pivot:pivot:holds", "9000 lb")
    fill(page, "pivot:pivot:track", "80 in")
    page.wait_for_function("() => !document.querySelector('.to-field[data-to^=\"pivot:pivot:holds\"]')")
    fill(page, "pivot:pivot:friction", "0.3")
    assert "Not taken yet" in page.inner_text("[data-field='pivot:pivot:friction']")
    fill(page, "pivot:pivot:friction", "0.3 to 0.4")
    lift = read(plan_in(tmp_path))
    assert (lift.pivot.held, lift.pivot.friction) == ("chocked", (0.3, 0.4))
    assert [each.tie.kind for each in lift.lifters] == ["chain", "chain"]


def test_a_slider_gives_another_lift_that_is_kept_as_an_option(page, desk, tmp_path):
    """With a title, by which the commands know it."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page.goto(f"{desk}/run/trailer.toml?token=word")
    page.wait_for_selector("#working", state="hidden")
    page.wait_for_function("() => document.querySelector('#strip dd') && !document.body.matches('.reckoning')")
    calls = page.inner_text("#strip div:nth-child(2) dd")
    page.focus("[data-path='leader.strokes'] input")
    page.keyboard.press("Home")
    page.wait_for_function(f"() => document.querySelector('#strip div:nth-child(2) dd').textContent !== '{calls}'")
    frame = page.frame_locator("#lift")
    frame.locator("h1#answer").filter(has_text="after 3").wait_for()
    page.fill("#title", "One stroke a call")
    page.click("#keep button")
    page.wait_for_selector("#kept >> text=One stroke a call")
    option = variants(read(tmp_path / "trailer.toml"))[-1]
    assert option.variant_title == "One stroke a call" and option.leader.strokes == 1


def test_run_opens_at_its_top(page, desk, tmp_path):
    """The answer and the figures of the lift are in sight, and so they are again after a slider."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page.goto(f"{desk}/run/trailer.toml?token=word")
    page.wait_for_selector("#working", state="hidden")
    answer, holder = page.frame_locator("#lift").locator("h1#answer"), page.locator("#lift").bounding_box()
    for key, said in (("", "after 12"), ("Home", "after 3")):
        if key:
            page.focus("[data-path='leader.strokes'] input")
            page.keyboard.press(key)
        answer.filter(has_text=said).wait_for(timeout=LONG)
        page.wait_for_selector("#working", state="hidden")
        assert page.evaluate("document.getElementById('lift').contentWindow.scrollY") == 0
        box = answer.bounding_box()
        assert holder["y"] < box["y"] and box["y"] + box["height"] < holder["y"] + holder["height"]


def run_on_a_telephone(page, desk, tmp_path):
    """The trailer on its Run screen, simulated."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{desk}/run/trailer.toml?token=word")
    page.wait_for_selector("#working", state="hidden")


def test_on_a_telephone_a_slider_leaves_the_page_where_it_is(page, desk, tmp_path):
    """What is under the thumb stays there, and the page in the frame is where the reader had it."""
    run_on_a_telephone(page, desk, tmp_path)
    page.evaluate("document.getElementById('lift').contentWindow.scrollTo(0, 300)")
    slider = page.locator("[data-path='leader.strokes'] input")
    slider.scroll_into_view_if_needed()
    stood = slider.bounding_box()["y"]
    slider.focus()
    page.keyboard.press("Home")
    frame = page.frame_locator("#lift")
    frame.locator("h1#answer").filter(has_text="after 3").wait_for(timeout=LONG)
    page.wait_for_function("() => document.getElementById('lift').contentWindow.scrollY === 300")
    assert slider.bounding_box()["y"] == stood


def test_on_a_telephone_the_lift_has_the_screen(page, desk, tmp_path):
    """Nothing of Run stays above it, scrolled as far as it goes but for what stands below."""
    run_on_a_telephone(page, desk, tmp_path)
    page.wait_for_selector("#strip dd")
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    lift = page.locator("#lift").bounding_box()
    assert lift["y"] <= 0 and lift["height"] >= 844
    assert page.locator("#strip").bounding_box()["y"] < 0


def test_ways_are_chosen_for_one_picture(page, desk, tmp_path):
    """Pressed in and out; the picture follows."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page.goto(f"{desk}/compare/trailer.toml?token=word")
    frame = page.frame_locator("#lift")
    frame.locator("h1#answer").filter(has_text="pinned with cribbing").wait_for(timeout=LONG)
    page.click(".way >> text=pinned with cribbing")
    page.click(".way >> text=no holds")
    answer = frame.locator("h1#answer").filter(has_not_text="pinned with cribbing").filter(has_not_text="no holds")
    answer.wait_for(timeout=LONG)
    assert "(the plan)" in answer.inner_text()


def test_how_sure_it_is_is_reckoned_while_the_page_is_open(page, desk, tmp_path):
    """Begun with a press; its sentence and its page come by themselves."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page.goto(f"{desk}/sure/trailer.toml?token=word")
    page.click("#begin")
    page.wait_for_selector("#desk[data-state=finished]", timeout=2 * LONG)
    assert page.inner_text("#sentence").startswith("20 lifts: ")
    page.frame_locator("#lift").locator("h1#answer").filter(has_text="20 lifts").wait_for()


@pytest.mark.parametrize(
    ("width", "height"),
    [
        (1280, 800),
        pytest.param(820, 1180, marks=pytest.mark.slow),
        pytest.param(1180, 820, marks=pytest.mark.slow),
        (390, 844),
    ],
)
def test_nothing_is_cut_or_lies_over_one_another(page, desk, tmp_path, width, height):
    """On a laptop, a tablet held either way, a telephone."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    page.set_viewport_size({"width": width, "height": height})
    for path in ("/", "/plan/trailer.toml", "/run/trailer.toml", "/compare/trailer.toml", "/sure/trailer.toml"):
        page.goto(f"{desk}{path}?token=word")
        if path.startswith(("/plan", "/run")):
            page.wait_for_selector("#strip dd")
        assert page.evaluate(PAGE_FAULTS) == [], path


def test_what_is_pressed_is_large_enough_for_a_thumb(browser, desk, tmp_path):
    """On a tablet: 44 px, but for the small marks beside a field, which have room around them."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    context = browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.goto(f"{desk}/plan/trailer.toml?token=word")
    page.wait_for_selector("#strip dd", timeout=LONG)
    small = [each for each in page.evaluate(SMALL_TARGETS) if not each.startswith(("BUTTON ?", "BUTTON a guess?"))]
    context.close()
    assert small == []
