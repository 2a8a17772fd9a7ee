"""The nine questions: what is offered, what is refused, what hangs on what."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.ask.asking import Asking
from sim.ask.questions import PARTS
from sim.model.units import INCH
from sim.written.reading import parse
from sim.written.short.presets import kinds


def answered(units="us", stop="", **answers):
    """Everybody presses Enter but where there is an answer."""
    asking = Asking(units=units)
    while (part := asking.part) is not None and part.key != stop:
        problems = asking.take(answers.get(part.key, ""))
        assert not problems, (part.key, problems)
    return asking


def refused(said, key, **before):
    """What is said of an answer to this question; it is asked again."""
    asking = answered(stop=key, **before)
    problems = asking.take(said)
    assert problems and asking.part.key == key
    return " ".join(f"{problem.what}; {problem.hint}" for problem in problems)


def test_there_are_nine_questions():
    assert sorted({part.number for part in PARTS}) == list(range(1, 10))
    assert [part.number for part in PARTS] == sorted(part.number for part in PARTS)


def test_every_part_says_how_to_measure_it():
    assert all(len(part.how) > 40 for part in PARTS)


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("like", kinds("load"))
def test_enter_all_the_way_makes_a_scenario(like, units):
    text = answered(units, like=like).text()
    assert len(text.splitlines()) <= 25
    scenario = parse(text, "a.toml")
    assert scenario.units == units
    assert all(len(line) < 120 for line in text.splitlines())


def test_answers_stand_in_the_file():
    asking = answered(
        like="2", far_end="y", weight="2740 lb whole", weight_from="papers", rise="4 1/2 in", lifters="1", people="3",
        strokes_per_inch="6.5", strokes="2", gap="3/8 in", **{"with": "pinned strut"},
    )  # fmt: skip
    scenario = parse(asking.text(), "a.toml")
    assert 'like = "car front"' in asking.text() and 'weight_from = "papers"' in asking.text()
    assert scenario.need.rise == pytest.approx(4.5 * INCH)
    assert [x.name for x in scenario.lifters] == ["lifter"]
    assert scenario.leader.strokes == 2 and scenario.leader.gap_limit == pytest.approx(0.375 * INCH)
    assert "apart" not in asking.answers


@pytest.mark.parametrize(
    ("said", "stages"),
    [
        ("no", []), ("N", []), ("yes", ["raise", "lower"]), ("Y", ["raise", "lower"]),
        *((said, ["raise", "hold", "lower"]) for said in ("10 min", "after 10 min", "yes, after 10 min", "y 10 min")),
    ],
)  # fmt: skip
def test_whether_it_comes_down_again_makes_its_stages(said, stages):
    """Enter leaves it up there."""
    asking = answered(down_again=said)
    scenario = parse(asking.text(), "a.toml")
    assert [stage.do for stage in scenario.stages] == stages
    assert [stage.time for stage in scenario.stages if stage.do == "hold"] == [600] * ("hold" in stages)
    assert scenario.title.endswith("down again") == bool(stages)
    assert parse(answered().text(), "a.toml").stages == ()


@pytest.mark.parametrize(
    ("said", "held"),
    [
        ("chocked both ways", "chocked"), ("chocked ahead", "chocked-ahead"), ("3", "chocked-behind"),
        ("brakes", "brakes"), ("nothing", "nothing"), ("do not know", None), ("", None),
    ],
)  # fmt: skip
def test_how_the_far_end_is_held_stands_in_the_file(said, held):
    """Enter is "do not know", of which nothing is written; one chock has a side, and a load that goes up no far end."""
    asking = answered(pivot_held=said)
    assert parse(asking.text(), "a.toml").pivot.held == held
    assert ("pivot_held" in asking.text()) == (held is not None)
    assert "is none of these" in refused("chocked one way", "pivot_held")
    assert "pivot_held" not in answered(far_end="no").answers


def test_no_hinge_line_on_a_load_that_goes_straight_up():
    asking = answered(far_end="no")
    assert not [key for key in asking.answers if key.startswith("hinge")]
    assert asking.answers["weight"].endswith("whole")
    assert parse(asking.text(), "a.toml").load.motion == "straight"


def test_wrong_answers_get_the_readers_errors():
    assert "neither yes nor no" in refused("perhaps", "far_end")
    assert 'did you mean "van rear"' in refused("van reer", "like")
    assert "at the end" in refused("2400 lb", "weight")
    assert "has no unit" in refused("2400 at the end", "weight")
    assert "is a weight or force, and a length is wanted" in refused("140 lb", "hinge_to_lifters")
    assert "cannot rise by" in refused("148 in", "rise")
    assert "after 10 min" in refused("perhaps", "down_again")
    assert "has no unit" in refused("after 10", "down_again")
    assert "1 or 2" in refused("3", "lifters")
    assert "is no number" in refused("two", "lifters")
    assert "up to 200" in refused("900", "strokes_per_inch")
    assert "is none of these" in refused("a rope", "with")
    assert "too few" in refused("3", "people")
    assert "has no unit" in refused("0.25", "gap")
    assert "from 1" in refused("0", "strokes")


def test_what_one_cannot_know_is_the_whole_of_an_end():
    assert "far end stays down" in refused("2400 lb at the end", "weight", far_end="no")


@pytest.mark.parametrize("said", ["end 2400 lb", "2400 lb end", "2400 lb, at the end", "2400 lb AT THE END"])
def test_the_weight_may_be_said_in_several_ways(said):
    assert 'end_weight = "2400 lb"' in answered(weight=said).text()


def test_back_keeps_what_was_answered():
    asking = answered(stop="rise", hinge_to_lifters="100 in")
    assert asking.back() and asking.back() and asking.part.key == "hinge_to_lifters"
    assert asking.offer(asking.part) == "100 in"
    assert asking.take("") == [] and asking.answers["hinge_to_lifters"] == "100 in"


def test_back_stops_at_the_first_question():
    asking = Asking()
    assert not asking.back() and asking.part.key == "like"


def test_what_was_taken_with_enter_is_offered_anew_when_the_load_changes():
    asking = answered(stop="gap")
    while asking.part.key != "like":
        assert asking.back()
    asking.take("slab edge")
    while asking.part is not None:
        assert asking.take("") == []
    assert asking.answers["weight"] == "8000 lb whole" and asking.answers["with"] == "cribbing"


def test_distances_are_offered_in_proportion():
    asking = answered(stop="hinge_to_point", hinge_to_lifters="70 in")
    assert asking.offer(asking.part) == "75 in"
    assert asking.take("") == []
    asking = answered(stop="hinge_to_struts", hinge_to_lifters="70 in")
    assert asking.offer(asking.part) == "60 in"


def test_people_are_offered_as_many_as_there_is_work_for():
    asking = answered(stop="people", **{"with": "3"})
    assert asking.offer(asking.part) == "7"


def test_what_else_follows_is_a_list_in_the_file():
    """A strut and a crib, one behind the other; a second pair of struts; nothing else by Enter."""
    asking = answered(also="cribbing, 1", hinge_to_struts="119 in; 100 in")
    assert 'with = ["threaded strut", "cribbing", "threaded strut"]' in asking.text()
    assert 'hinge_to_struts = ["119 in", "100 in"]' in asking.text()
    heads = {station.name: station.head[0] / INCH for station in parse(asking.text(), "a.toml").stations}
    assert heads["left strut"] == pytest.approx(119) and heads["right crib"] == pytest.approx(100)
    assert heads["left second strut"] == pytest.approx(88)
    assert 'with = "threaded strut"' in answered().text()


def test_places_are_offered_for_each_that_follows():
    asking = answered(stop="hinge_to_struts", also="cribbing, pinned strut")
    assert asking.offer(asking.part) == "119 in, 107 in, 95 in"
    assert asking.take("") == [] and "hinge_to_struts = [" in asking.text()


def test_wrong_answers_about_what_follows_get_words():
    assert "is none of these" in refused("cribbing, a rope", "also")
    assert "2 lengths for 1 that follows" in refused("119 in, 100 in", "hinge_to_struts")
    assert "has no unit" in refused("119 in, 100", "hinge_to_struts", also="cribbing")
    assert "is none of these" in refused("one a foot", "catchers", also="cribbing")


def test_who_works_them_is_asked_where_there_are_several():
    assert "catchers" not in answered().answers
    assert answered(**{"with": "3"}).answers["catchers"] == "as many as there are"
    asking = answered(also="4", catchers="one a side")
    assert asking.answers["people"] == "5" and 'catchers = "one a side"' in asking.text()
    works = {name for station in parse(asking.text(), "a.toml").stations for name in station.catchers}
    assert works == {"left hand", "right hand"}


def test_answers_of_options_are_not_asked():
    asking = Asking(given={"rise": "4 in", "lifters": "1"})
    seen = []
    while asking.part is not None:
        seen.append(asking.part.key)
        asking.take("")
    assert not {"rise", "lifters", "apart"} & set(seen)
    assert 'rise = "4 in"' in asking.text()


def test_kept_answers_are_taken_up_as_far_as_they_hold():
    before = answered(stop="strokes", rise="4 in")
    again = Asking()
    assert again.resume(before.typed, before.taken) == len(before.answers)
    assert again.part.key == "strokes" and again.answers == before.answers
    broken = Asking()
    broken.resume({**before.typed, "rise": "4"}, before.taken)
    assert broken.part.key == "rise"


@given(st.data())
def test_no_answer_makes_it_stumble(data):
    """Whatever is typed is taken or refused with words, and what was taken makes a scenario."""
    asking, words = Asking(), ["1", "2", "12 in", "9 ft", "no", "whole", "3 lb end"]
    typed = st.text(max_size=12) | st.sampled_from(words)
    for _ in range(6):
        if asking.part is not None:
            problems = asking.take(data.draw(typed))
            assert all(problem.what for problem in problems)
    text = asking.text()
    assert len(text.splitlines()) <= 25
