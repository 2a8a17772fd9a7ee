"""What follows the load added and taken out, heads and feet moved, a short plan written out; options kept."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from sim.examples import example
from sim.model.units import INCH
from sim.story.lift import simulate_fixed
from sim.written.reading import parse, read, variants
from tests.reports.desk.asked import Page


@pytest.fixture
def full(tmp_path: Path) -> Page:
    """The trailer's Plan screen."""
    (tmp_path / "trailer.toml").write_text(example("trailer"), encoding="utf-8")
    return Page(tmp_path, "trailer.toml")


def fresh(folder: Path, like: str = "trailer nose", units: Any = "us") -> Page:
    """The screen of a plan that was begun at the desk."""
    page = Page(folder)
    made = page.ask("POST", "/new", body=f'{{"like": "{like}", "units": "{units}"}}'.encode())
    page.name = made.data["go"].removeprefix("/plan/")
    page.look()
    return page


def scenario(page: Page) -> Any:
    """The plan as the commands read it."""
    return read(page.desk.folder.path / page.name)


def raw(page: Page) -> dict[str, Any]:
    """The file as TOML has it."""
    return tomllib.loads((page.desk.folder.path / page.name).read_text(encoding="utf-8"))


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize(
    "like", ["trailer nose", "car front", "van rear", "truck rear", "slab edge", "machine", "other load"]
)
def test_a_plan_begun_with_any_load_is_whole_at_once(tmp_path, like, units):
    """It has the questions' own words, a drawing, figures, and can be simulated."""
    page = fresh(tmp_path, like, units)
    made = page.look()
    assert made["current"] and made["short"] and "<svg" in made["drawing"]
    assert "How many people are there, the leader among them?" in made["cards"]
    assert "People needed" in page.figures()["strip"]
    assert simulate_fixed(scenario(page)).outcome == "raised" and scenario(page).units == units


def test_a_load_nobody_knows_is_refused(tmp_path):
    """In a sentence; nothing is written."""
    answer = Page(tmp_path).ask("POST", "/new", body=b'{"like": "../x"}')
    assert answer.status == 422 and "no load of that name" in answer.text and not list(tmp_path.glob("*.toml"))


def test_two_plans_of_one_load_have_names_of_their_own(tmp_path):
    """None is written over."""
    assert [fresh(tmp_path).name for _ in range(2)] == ["trailer-nose.toml", "trailer-nose-2.toml"]


def test_the_weight_is_that_at_the_end_or_of_the_whole(tmp_path):
    """One question, one answer; the other key goes."""
    page = fresh(tmp_path)
    page.answer("which", "weight")
    assert "end_weight" not in raw(page) and raw(page)["weight"] == "2400 lb"
    page.answer("weight", "5200 lb")
    page.answer("which", "end_weight")
    assert raw(page)["end_weight"] == "5200 lb" and "weight" not in raw(page)


def test_people_of_a_short_plan_are_held_against_the_places(tmp_path):
    """Too few to lead, pump and follow is no plan; the answer waits."""
    page = fresh(tmp_path)
    made = page.answer("people", "3")
    assert not made["current"] and "3 are too few" in made["fields"]["people"] and raw(page)["people"] == 5


def test_a_short_plan_written_out_is_the_same_lift(tmp_path):
    """And can be taken back."""
    page = fresh(tmp_path)
    before = simulate_fixed(scenario(page)).events
    page.send("write-out")
    assert "like" not in raw(page) and simulate_fixed(scenario(page)).events.equals(before)
    page.send("undo")
    assert raw(page)["like"] == "trailer nose"


@pytest.mark.parametrize("what", ["strut", "pinned strut", "crib", "chain", "strap"])
def test_what_is_added_stands_on_both_sides_and_can_be_taken_out(tmp_path, what):
    """A short plan becomes a full one for it; its variants stay good."""
    page = fresh(tmp_path)
    made = page.send("add", what=what).data
    names = [station.name for station in scenario(page).stations]
    added = [name for name in names if name not in ("left strut", "right strut")]
    assert len(added) == 2 and {name.partition(" ")[0] for name in added} == {"left", "right"}
    group = f"station:{raw(page)['station'][-1]['name']}"
    assert f'data-group="{group}"' in made["cards"]
    page.send("take-out", group=group)
    assert [station.name for station in scenario(page).stations] == ["left strut", "right strut"]
    assert len(variants(scenario(page))) >= 2


def test_all_that_follows_can_be_taken_out_and_something_else_put_there(full):
    """Variants that named what is gone go with it."""
    full.send("take-out", group="station:left strut")
    assert scenario(full).stations == () and scenario(full).variants == ("no holds",)
    full.send("add", what="crib")
    assert [s.name for s in scenario(full).stations] == ["left crib", "right crib"]
    assert "<dd>" in full.figures()["strip"]


def test_nothing_else_can_be_added_or_taken_out(full):
    """A sentence, and the file stays."""
    before = raw(full)
    assert full.send("add", what="crane").status == 422
    assert full.send("take-out", group="lifter:left lifter").status == 422 and raw(full) == before


def move(page: Page, place: str, end: str, view: str, right: float, up: float, **more: Any) -> Any:
    """A head or a foot dragged in a view, in inches."""
    return page.send("move", place=place, end=end, view=view, right=right * INCH, up=up * INCH, **more)


def test_a_head_and_a_foot_go_where_they_are_dragged_on_both_sides(full):
    """From the side along and up, from the end across, from above along and across; to the half inch."""
    assert move(full, "left strut", "head", "side", -6.1, 2.2).status == 200
    move(full, "right strut", "base", "end", 4.0, 0.0)
    move(full, "left lifter", "base", "above", 1.0, 2.0)
    left, right = raw(full)["station"]
    assert left["head"] == ["114 in", "35 in", "38 in"] and right["head"] == ["114 in", "-35 in", "38 in"]
    assert left["base"] == ["120 in", "74 in", "0 in"] and right["base"] == ["120 in", "-74 in", "0 in"]
    assert raw(full)["lifter"][1]["base"] == ["146 in", "-32 in", "0 in"]


def test_a_foot_at_an_angle_stands_where_it_is_put(tmp_path):
    """Its angle goes; the other side is mirrored, however the two are written."""
    for change in ("write-out", "add"):
        page = fresh(tmp_path)
        page.send(change, what="strut")
        name = [s.name for s in scenario(page).stations][-1]
        before = {s.name: s.base for s in scenario(page).stations}[name]
        move(page, name, "base", "above", 0.0, -10.0)
        after = {s.name: s.base for s in scenario(page).stations}
        assert after[name][1] == pytest.approx(before[1] - 10 * INCH, abs=INCH / 2)
        other = name.replace("right", "left")
        assert after[other] == pytest.approx((after[name][0], -after[name][1], 0.0))


def test_in_a_short_plan_heads_move_along_and_up(tmp_path):
    """As its own keys say it; lifters also across."""
    page = fresh(tmp_path)
    move(page, "left lifter", "head", "side", 4.0, -2.0)
    move(page, "right lifter", "head", "end", 3.0, 0.0)
    move(page, "left strut", "head", "above", -5.0, 0.0)
    keys = raw(page)
    assert (keys["hinge_to_lifters"], keys["lifter_height"], keys["apart"]) == ("144 in", "22 in", "66 in")
    assert keys["hinge_to_struts"] == "114 in" and page.look()["short"]


def test_a_crib_beside_the_strut_stays_a_short_plan(tmp_path):
    """What else follows is a list; each has its place, and taking one out takes its place with it."""
    page = fresh(tmp_path)
    made = page.answer("with.1", "cribbing")
    assert raw(page)["with"] == ["threaded strut", "cribbing"] and made["short"] and "with.2" in made["fields"]
    assert [s.name for s in scenario(page).stations] == ["left strut", "right strut", "left crib", "right crib"]
    assert 'placeholder="107 in"' in made["fields"]["hinge_to_struts.1"]
    page.answer("hinge_to_struts.1", "90 in")
    assert raw(page)["hinge_to_struts"] == ["119 in", "90 in"]
    page.answer("with.2", "pinned strut")
    page.answer("hinge_to_struts.2", "70 in")
    page.answer("with", "no")
    assert raw(page)["with"] == ["cribbing", "pinned strut"] and raw(page)["hinge_to_struts"] == ["90 in", "70 in"]
    page.answer("hinge_to_struts", "")
    assert raw(page)["hinge_to_struts"] == [
        "119 in",
        "70 in",
    ]  # where it is taken to stand: the second's comes after it
    page.answer("hinge_to_struts", "90 in")
    page.answer("with.1", "no")
    assert raw(page)["with"] == "cribbing" and raw(page)["hinge_to_struts"] == "90 in"
    page.answer("hinge_to_struts", "")
    assert "hinge_to_struts" not in raw(page)


def test_a_guessed_place_stays_one_when_another_is_added_or_taken_out(tmp_path):
    """Under the name that it then has."""
    page = fresh(tmp_path)
    page.answer("hinge_to_struts", "115 in")
    page.send("guess", field="hinge_to_struts", low="110 in", high="120 in")
    assert raw(page)["assumed"] == {"hinge_to_struts": ["110 in", "120 in"]}
    page.answer("with.1", "cribbing")
    page.answer("hinge_to_struts.1", "90 in")
    assert raw(page)["assumed"] == {"hinge_to_struts[0]": ["110 in", "120 in"]}
    made = page.send("guess", field="hinge_to_struts.1", low="80 in", high="100 in").data
    assert "guess, 80 in to 100 in" in made["fields"]["hinge_to_struts.1"]
    page.answer("with", "no")
    assert raw(page)["assumed"] == {"hinge_to_struts": ["80 in", "100 in"]} and raw(page)["hinge_to_struts"] == "90 in"


def test_one_of_several_is_dragged_along_by_itself(tmp_path):
    """The others stay where they are taken to stand."""
    page = fresh(tmp_path)
    page.answer("with.1", "cribbing")
    move(page, "right crib", "head", "side", -5.0, 0.0)
    assert raw(page)["hinge_to_struts"] == ["119 in", "102 in"] and page.look()["short"]


def test_a_person_a_place_is_asked_where_there_are_several_and_held_against_the_people(tmp_path):
    """A stop at the people's field as long as there are fewer; as many as there are is written as nothing."""
    page = fresh(tmp_path)
    assert "catchers" not in page.look()["fields"]
    made = page.answer("with.1", "cribbing")
    assert "Who works what follows the load?" in made["fields"]["catchers"]
    page.answer("catchers", "one a place")
    assert raw(page)["catchers"] == "one a place"
    findings = page.figures()["findings"]
    assert 'data-to="people"' in findings and "people needed" in page.figures()["strip"].lower()
    page.answer("people", "7")
    assert 'data-to="people"' not in page.figures()["findings"]
    page.answer("catchers", "as many as there are")
    assert "catchers" not in raw(page)


def test_a_move_that_cannot_be_is_refused_in_a_sentence(full):
    """A strut that the load would leave; a place that is not there."""
    before = raw(full)
    assert move(full, "left strut", "base", "side", 0.0, 300.0).status == 422
    assert move(full, "nowhere", "base", "side", 1.0, 0.0).status == 422
    assert full.send("move", place="left strut", end="base", view="side", right="far", up=0).status == 422
    assert raw(full) == before


def test_changing_the_shown_units_rewrites_nothing(full):
    """Figures carry both; the page turns them."""
    before = (full.desk.folder.path / full.name).read_text(encoding="utf-8")
    strip = full.figures()["strip"]
    assert 'data-us="0.17 in" data-si="4.2 mm"' in strip
    assert (full.desk.folder.path / full.name).read_text(encoding="utf-8") == before


# --- sliders and options


def test_what_a_slider_says_is_simulated_and_the_plan_stays(full):
    """One stroke a call takes three times the calls."""
    before = raw(full)
    made = full.get("/run/trailer.toml/figures", **{"leader.strokes": "1"})
    assert "<dd>" in made.data["strip"] and made.data["strip"] != full.figures()["strip"]
    page = full.get("/run/trailer.toml/lift", **{"leader.strokes": "1"})
    assert page.status == 200 and page.headers["x-frame-options"] == "SAMEORIGIN" and "Raised" in page.text
    assert raw(full) == before


def test_only_what_a_slider_can_say_is_simulated(full):
    """Anything else is refused; what is no slider is not looked at."""
    answer = full.get("/run/trailer.toml/figures", **{"leader.strokes": "1e9"})
    assert answer.status == 422 and "none of the values" in answer.text
    same = full.get("/run/trailer.toml/figures", **{"load.weight": "1 lb"}).data["strip"]
    assert same == full.get("/run/trailer.toml/figures").data["strip"]


def test_an_option_is_a_variant_with_a_title(full):
    """Read by the commands as any; the title once only."""
    values = {"leader.strokes": "1", "device.threaded.turns": "20 /min"}
    assert full.send("option", title="One stroke, quick hands", values=values).status == 200
    option = variants(scenario(full))[-1]
    assert option.variant_title == "One stroke, quick hands" and option.leader.strokes == 1
    assert option.stations[0].capture[0].turns.mean == pytest.approx(1 / 3)
    assert full.send("option", title="One stroke, quick hands", values=values).status == 422
    assert full.send("option", title=" ", values=values).status == 422
    assert full.send("option", title="Nothing", values={}).status == 422
    assert full.send("option", title="Bad", values={"nowhere": "1"}).status == 422
    assert len(scenario(full).variants) == 4


def test_a_short_plan_keeps_options_with_fewer_people(tmp_path):
    """Its sliders have the people on them."""
    page = fresh(tmp_path)
    assert page.get(f"/run/{page.name}").text.count('data-path="people"') == 1
    page.send("option", title="Four people", values={"people": "4"})
    option = variants(scenario(page))[-1]
    assert option.people == 4 and option.stations[0].catchers == ("hand",)
    assert parse(page.look()["version"] and (tmp_path / page.name).read_text(), "x").people == 5


# --- side by side


def test_chosen_ways_stand_side_by_side_under_their_titles(full):
    """Never under file names or paths; two at least, five at most."""
    full.send("option", title="One stroke a call", values={"leader.strokes": "1"})
    screen = full.get("/compare/trailer.toml").text
    assert screen.count('class="way"') == 5 and "One stroke a call" in screen
    page = full.get("/compare/trailer.toml/page", way=["", "one-stroke-a-call"])
    assert page.status == 200 and "(the plan)" in page.text and "(One stroke a call)" in page.text
    assert "pinned" not in page.text.partition("</section>")[0].rpartition("<h1")[2]
    assert full.get("/compare/trailer.toml/page", way=["pinned"]).status == 404


def test_an_option_can_be_taken_out_and_undone(full):
    """What was there before stays."""
    before = raw(full)
    full.send("option", title="One stroke a call", values={"leader.strokes": "1"})
    assert full.send("drop-option", option="nowhere").status == 422
    assert full.send("drop-option", option="one-stroke-a-call").status == 200 and raw(full) == before
    full.send("undo")
    assert len(raw(full)["variant"]) == 4


def test_a_plan_without_options_says_how_to_get_one(tmp_path):
    """In a sentence."""
    text = example("trailer").partition("[[variant]]")[0]
    (tmp_path / "bare.toml").write_text(text, encoding="utf-8")
    page = Page(tmp_path, "bare.toml")
    assert page.get("/compare/bare.toml").status == 200
    assert "no options yet" in page.get("/compare/bare.toml/page").text


# --- stages


def test_stages_are_added_filled_in_and_taken_out(full):
    """Up to, stand for, and down again: as the file has them, and as the commands read them."""
    before = raw(full)
    assert full.send("add", what="hold").status == 200
    assert [row["do"] for row in raw(full)["stage"]] == ["raise", "hold"]
    assert full.send("add", what="lower").status == 200
    cards = full.look()["cards"]
    assert "Stand for" in cards and "Up to" in cards and "And down again to" in cards and "Stage 3" in cards
    assert full.answer("stage:1:time", "4 min")["current"]
    assert full.answer("stage:0:leader.strokes", "1")["current"]
    assert full.answer("stage:2:to", "1 in")["current"]
    assert full.answer("stage:2:leader.step", "1/4 in")["current"]
    up, stand, down = scenario(full).stages
    assert (up.do, stand.do, down.do) == ("raise", "hold", "lower") and stand.time == 240
    assert down.to == pytest.approx(INCH) and up.led(scenario(full).leader).strokes == 1
    assert down.led(scenario(full).leader).room == pytest.approx(INCH / 4)
    for n in (2, 1, 0):
        assert full.send("take-out", group=f"stage:{n}").status == 200
    assert raw(full) == before


def test_a_stage_that_leads_nowhere_is_refused_in_a_sentence(full):
    """A second one up is taken once the first leads less far; a field that cannot be stays a draft."""
    assert full.send("add", what="raise").status == 200
    refused = full.send("add", what="raise")
    assert refused.status == 422 and "all the way up" in refused.text
    assert full.answer("stage:0:to", "1 in")["current"]
    assert full.send("add", what="raise").status == 200 and len(scenario(full).stages) == 2
    made = full.answer("stage:1:to", "1/2 in")
    assert not made["current"] and raw(full)["stage"][1] == {"do": "raise"}


def test_a_lift_can_begin_half_way(full):
    """And from the start again: the table goes with its only key."""
    before = raw(full)
    full.answer("start:start:rise", "1 in")
    assert scenario(full).start == pytest.approx(INCH)
    full.answer("start:start:rise", "")
    assert raw(full) == before
