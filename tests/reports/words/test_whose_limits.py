"""A limit that nobody wrote is called a default; only one that the file gives is called the user's."""

from __future__ import annotations

import json
import re

import pytest

import sim
from reports.many.study_page import over_figure, write_study_page
from reports.sheet.sheet import write_sheet
from reports.words.plain import all_of, whose
from reports.words.sheet import tally
from sim.check import check
from sim.examples import example
from sim.model.scenario import Limits, Scenario
from sim.written.reading import parse

SET = re.compile(r"\n\[limits\].*?(?=\n\[)", re.DOTALL)


def with_limits(written: str, variant: str = "") -> Scenario:
    """The trailer with these lines under [limits]."""
    return parse(SET.sub(f"\n[limits]\n{written}\n", example("trailer")), "trailer.toml", variant)


def test_a_limit_is_the_users_only_where_it_is_written() -> None:
    """Also where the default is written out; a limit that was changed in a program is somebody's too."""
    scenario = with_limits('gap = "1 in"')
    assert [whose(scenario.limits, name) for name in ("gap", "drop")] == ["the limit you set", "the default limit"]
    assert whose(Limits(drop=0.05), "drop") == "the limit you set"
    assert all_of(scenario.limits, "gap") == "the limits you set"
    assert all_of(scenario.limits, "drop") == all_of(Limits()) == "the default limits"
    assert (
        all_of(scenario.limits, "gap", "drop") == all_of(scenario.limits) == "the limits you set and the default ones"
    )


def test_a_finding_names_the_default_it_is_held_against() -> None:
    """The sentence, its source and the JSON say whose limit it is."""
    default = check(with_limits('gap = "1/16 in"\ndesign_factor = 9', "pinned"))
    gap, drop = (next(f for f in default.findings if f.source.startswith(f"limits.{n}")) for n in ("gap", "drop"))
    assert "; the limit is 0.06 in" in gap.what.words("us") and gap.source == "limits.gap"
    assert drop.source == "limits.drop (the default: common practice)"
    assert "; the default limit is 3.00 in" in drop.what.words("us")
    assert json.loads(json.dumps(default.as_json()))["limits_by_default"] == ["drop", "strut_angle", "lifter_angle"]
    assert "times the design factor 9 that" in next(f for f in default.of_level("stop")).what.words("us")
    assert "9 is the limit you set" in write_sheet(default, with_limits("design_factor = 9"))


@pytest.mark.parametrize(("written", "said"), [('gap = "1 in"', "the limit you set"), ("", "the default limit")])
def test_a_study_says_whose_gap_it_counts_against(written: str, said: str) -> None:
    """In the chart, in its key and for a reader that cannot see it."""
    study = sim.study(with_limits(written), 20, helps=False)
    page, other = write_study_page(study, "trailer.toml"), ({"the limit you set", "the default limit"} - {said}).pop()
    assert page.count(said) == 2 and other not in page
    assert any(trace["hovertemplate"].startswith(said) for trace in over_figure(study)["data"])


def test_nothing_found_is_within_the_limits_that_there_are() -> None:
    """Without a caution the tally says whose limits it is within."""
    found = check(with_limits(""))
    quiet = type(found)(**{name: getattr(found, name) for name in found.__dataclass_fields__} | {"findings": ()})
    assert tally(quiet).endswith("what is known is within the default limits")
