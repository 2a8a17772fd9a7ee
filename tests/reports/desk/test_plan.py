"""A plan at the desk: every change written whole or not at all, undone across restarts, refused where it is stale."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from reports.desk.cards.full import full_cards
from reports.desk.look.drawing import draw
from reports.desk.look.figures import tied
from sim.ask.asking import Asking, short_text
from sim.check import check
from sim.examples import example
from sim.model.errors import Refused
from sim.written.reading import parse, read
from tests.reports.desk.asked import Page

COMMENT = '# a word of our own\nweight = "5200 lb"'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with the trailer in it."""
    text = example("trailer").replace('weight = "5200 lb"', COMMENT)
    (tmp_path / "trailer.toml").write_text(text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def page(folder: Path) -> Page:
    """Its Plan screen."""
    return Page(folder, "trailer.toml")


def text_of(page: Page) -> str:
    """The file as it is."""
    return (page.desk.folder.path / page.name).read_text(encoding="utf-8")


def test_an_answer_changes_its_own_place_and_nothing_else(page):
    """Comments, order and the spelling of all the rest stay; what was typed stands there as it was typed."""
    before = text_of(page)
    made = page.answer("need:need:rise", "4 1/2 in")
    assert made["current"] and made["undo"].startswith("How far has that point to rise? 4 1/2 in")
    assert text_of(page) == before.replace('rise = "5 in"', 'rise = "4 1/2 in"')


def test_left_and_right_are_answered_at_once(page):
    """The right one mirrored."""
    page.answer("station:left strut:head.1", "40 in")
    heads = [row["head"] for row in tomllib.loads(text_of(page))["station"]]
    assert heads == [["120 in", "40 in", "36 in"], ["120 in", "-40 in", "36 in"]]


def test_left_and_right_that_differ_are_asked_apart(page):
    """And changed apart."""
    text = text_of(page).replace('"-35 in", "36 in"', '"-35 in", "30 in"')
    (page.desk.folder.path / page.name).write_text(text, encoding="utf-8")
    fields = page.look()["fields"]
    assert "station:left strut:head.2" not in fields
    page.answer("station:left strut:head.2:right", "32 in")
    assert [row["head"][2] for row in tomllib.loads(text_of(page))["station"]] == ["36 in", "32 in"]


def test_a_half_typed_answer_never_reaches_the_file(page):
    """It is kept as it was typed, across a restart; the drawing stays the last whole plan's."""
    before, drawing = text_of(page), page.look()["drawing"]
    made = page.answer("need:need:rise", "4")
    assert text_of(page) == before and not made["current"] and "As of before" in made["problems"]
    assert 'value="4"' in made["fields"]["need:need:rise"] and "has no unit" in made["fields"]["need:need:rise"]
    again = Page(page.desk.folder.path, page.name).look()
    assert 'value="4"' in again["fields"]["need:need:rise"] and "has no unit" in again["fields"]["need:need:rise"]
    assert again["drawing"].count("<line") == drawing.count("<line")
    made = page.answer("need:need:rise", "4 in")
    assert made["current"] and made["problems"] == "" and 'rise = "4 in"' in text_of(page)


def test_two_answers_that_only_go_together_are_written_together(page):
    """A hole needs its depth and how far it is away: the first waits for the second."""
    made = page.answer("ground:ground:edge", "10 ft")
    assert not made["current"] and "edge" not in tomllib.loads(text_of(page))["ground"]
    made = page.answer("ground:ground:depth", "3 ft")
    assert made["current"] and tomllib.loads(text_of(page))["ground"]["edge"] == "10 ft"


def test_a_half_typed_answer_does_not_keep_others_from_being_written(page):
    """Each goes by itself."""
    page.answer("need:need:rise", "4")
    page.answer("leader:leader:pace", "6 s")
    raw = tomllib.loads(text_of(page))
    assert raw["leader"]["pace"] == "6 s" and raw["need"]["rise"] == "5 in"


def test_undo_and_redo_outlive_the_desk(page):
    """Field by field, the file as it was to the letter."""
    before = text_of(page)
    page.answer("need:need:rise", "4 in")
    page.answer("leader:leader:strokes", "2")
    after = text_of(page)
    again = Page(page.desk.folder.path, page.name)
    assert again.send("undo").data["redo"].startswith("How many strokes a call? 2")
    again.send("undo")
    assert text_of(page) == before and again.look()["undo"] == ""
    again.send("redo")
    assert again.send("redo").data["redo"] == "" and text_of(page) == after


def test_a_stale_page_is_refused_and_shown_what_is_there(page):
    """Nothing of it is written; it gets the plan as it is now."""
    other = Page(page.desk.folder.path, page.name)
    other.answer("need:need:rise", "6 in")
    refused = page.send("answer", field="need:need:rise", value="3 in")
    assert refused.status == 409 and 'rise = "6 in"' in text_of(page)
    assert 'value="6 in"' in refused.data["stale"]["fields"]["need:need:rise"]
    page.version = refused.data["stale"]["version"]
    assert page.answer("need:need:rise", "3 in")["current"]


def test_a_file_changed_by_another_program_is_a_step_of_its_own(page):
    """And can be undone as any other."""
    before = text_of(page)
    file = page.desk.folder.path / page.name
    file.write_text(before.replace('"5 in"', '"7 in"'), encoding="utf-8")
    assert page.send("answer", field="need:need:rise", value="3 in").status == 409
    assert page.look()["undo"] == "changed outside the desk"
    page.send("undo")
    assert text_of(page) == before


def test_a_file_broken_by_another_program_is_shown_as_of_before(page):
    """With a sentence, and a way back."""
    before = text_of(page)
    page.answer("need:need:rise", "4 in")
    (page.desk.folder.path / page.name).write_text('rise = "5 in', encoding="utf-8")
    made = page.look()
    assert not made["current"] and made["drawing"] and "cannot be read as it is" in made["problems"]
    assert "<dd>" in page.figures()["strip"]
    page.send("undo")
    assert 'rise = "4 in"' in text_of(page) and before != text_of(page)


def test_a_guess_is_marked_in_the_file_and_unmarked(page):
    """As [assumed] has it; a range that cannot be is said and not written."""
    made = page.send("guess", field="load:load:cg.2", low="30 in", high="44 in").data
    assert tomllib.loads(text_of(page))["assumed"] == {"load.cg[2]": ["30 in", "44 in"]}
    assert "guess, 30 in to 44 in" in made["fields"]["load:load:cg.2"]
    made = page.send("guess", field="load:load:cg.2", low="50 in", high="60 in").data
    assert "not between" in made["fields"]["load:load:cg.2"]
    assert tomllib.loads(text_of(page))["assumed"] == {"load.cg[2]": ["30 in", "44 in"]}
    page.send("guess", field="load:load:cg.2", low="", high="")
    assert "load.cg" not in text_of(page)


def test_what_is_left_open_is_taken_out_of_the_file(page):
    """Not known, and the check says so."""
    page.answer("station:left strut:rated_load", "")
    assert "rated_load" not in tomllib.loads(text_of(page))["station"][0]
    assert "rated load not known" in page.figures()["findings"]
    page.answer("station:left strut:rated_load", "11000 lb")
    assert tomllib.loads(text_of(page))["station"][1]["rated_load"] == "11000 lb"


def test_findings_lead_to_their_fields(page):
    """Of a strut without a rating to that; of too few people to how many there are."""
    page.answer("station:left strut:rated_load", "")
    page.answer("crew:crew:people", "5")
    found = page.figures()
    assert 'data-to="station:left strut:rated_load"' in found["findings"]
    assert 'data-to="crew:crew:people"' in found["findings"] and "Do not lift like this" in found["findings"]
    assert found["stops"].startswith("1 stop") and "there are: 5" in found["strip"]


def test_what_is_not_known_of_a_struts_buckling_leads_to_its_field(page):
    """Its yield stress; with a thin long tube the stop leads to the tube. Nothing of it is taken away by halves."""
    page.answer("station:left strut:yield", "")
    said = page.figures()["findings"]
    assert "buckling not known" in said and 'data-to="station:left strut:yield"' in said
    page.answer("station:left strut:yield", "35 ksi")
    page.answer("station:left strut:tube", "1 in, 0.1 in")
    assert [row["tube"] for row in tomllib.loads(text_of(page))["station"]] == [["1 in", "0.1 in"]] * 2
    said = page.figures()["findings"]
    assert "Do not lift like this" in said and 'data-to="station:left strut:tube"' in said
    assert not page.answer("station:left strut:tube", "")["current"]  # its metal would be that of nothing
    page.answer("station:left strut:material", "")
    assert page.answer("station:left strut:yield", "")["current"]
    said = page.figures()["findings"]
    assert "the file gives no size of its tube or post" in said and 'data-to="station:left strut:tube"' in said


def test_the_slack_at_the_start_is_told_apart_from_the_largest_gap(page):
    """The trailer's ties leave half an inch; its largest gap is a sixth."""
    strip = page.figures()["strip"]
    assert "0.17 in" in strip and "at the start: 0.50 in of slack" in strip


def test_a_plan_that_cannot_be_written_says_so(page, monkeypatch):
    """And what is there stays."""

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("reports.desk.plan.write_whole", full)
    before = text_of(page)
    refused = page.send("answer", field="need:need:rise", value="4 in")
    assert refused.status == 422 and "No space left" in refused.data["refused"] and text_of(page) == before


def test_an_answer_to_no_field_is_refused(page):
    """A page of long ago, or no page of ours."""
    assert page.send("answer", field="load/../../x", value="1").status == 422
    assert page.send("guess", field="load:load:motion", low="1", high="2").status == 422


def test_a_history_that_cannot_be_read_counts_as_none(page):
    """Half of it, or of another program."""
    page.answer("need:need:rise", "4 in")
    kept = page.desk.folder.path / ".liftcadence" / "trailer.toml.json"
    for broken in ("{", "[]", json.dumps({"steps": [], "at": 3, "drafts": {}, "good": ""})):
        kept.write_text(broken, encoding="utf-8")
        assert Page(page.desk.folder.path, page.name).look()["undo"] == ""


def test_the_file_gives_the_same_by_command(page):
    """It is a scenario like any."""
    page.answer("leader:leader:strokes", "2")
    assert read(page.desk.folder.path / page.name).leader.strokes == 2


def test_a_plan_of_that_name_must_be_there(page):
    """No other file is opened, whatever the name."""
    for name in ("nowhere.toml", "../trailer.toml", ".liftcadence/token", "/etc/passwd"):
        with pytest.raises(Refused):
            page.desk.folder.plan(name)


def test_a_finding_about_a_stage_leads_to_the_card_of_stages() -> None:
    """Of a full plan; a short one, which has no such card, leads to the leader's."""
    text = example("trailer-and-down")
    sheet = check(parse(text, "trailer"))
    of_stages = {f.what.words("us") for f in sheet.findings if f.check.name.startswith("STAGE")}
    assert of_stages
    cards = full_cards(tomllib.loads(text))
    found = [each for each in tied(sheet, cards) if each.said.what.words("us") in of_stages]
    assert found and {each.card for each in found} == {"stages"}


def test_a_plan_called_by_how_far_it_goes_up_is_called_so_still(tmp_path):
    """ "..., up 5 in" after another answer to how far; a name that somebody gave it stays."""
    asking = Asking(units="us")
    while asking.part is not None:
        assert not asking.take("")
    text = short_text(asking.answers, "us")
    (tmp_path / "short.toml").write_text(text, encoding="utf-8")
    page = Page(tmp_path, "short.toml")
    called = tomllib.loads(text)["title"]
    assert called.endswith(f", up {tomllib.loads(text)['rise']}")
    page.answer("rise", "6 1/2 in")
    assert tomllib.loads(text_of(page))["title"] == f"{called.rsplit(', up', 1)[0]}, up 6 1/2 in"
    page.answer("title", "Ours")
    page.answer("rise", "7 in")
    assert tomllib.loads(text_of(page))["title"] == "Ours"


def test_the_key_shows_the_marks_that_the_drawing_has():
    """Each mark beside its own words, drawn as in the three views: the point that has to come up is the dot."""
    svg = draw(parse(example("trailer"), "trailer"))
    for mark, words in (("need", "the point that has to come up"), ("cg", "the center of gravity")):
        circles = re.findall(rf'<circle class="{mark}" cx="([0-9.]+)" cy="([0-9.]+)" r="([0-9.]+)"/>', svg)
        assert len(circles) == 4 and len({r for _, _, r in circles}) == 1  # from three sides, and in the key
        beside = re.search(rf'<text x="([0-9.]+)" y="([0-9.]+)"[^>]*>(?:<tspan[^>]*>)?{words}', svg)
        x, y = (float(each) for each in beside.groups())
        assert any(0 < x - float(cx) < 8 and abs(y - float(cy)) < 2 for cx, cy, _ in circles), mark
