"""A gap that is made on the way down is made on purpose: it never counts as over the limit, and is shown beside."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest

from reports.terminal.study import _measures
from reports.words import compared as compared_words
from reports.words import study as study_words
from reports.words.doubt import percent
from sim.many.cadence import cadence
from sim.many.compared import compare
from sim.many.judged import judged_gap, measures_of, over_gap_limit
from sim.many.studied import JUDGED, MEASURES, Study
from sim.many.study import study
from sim.model.scenario import Scenario, Stage
from tests.builders import MM, collar, lift, lifter, station

STEP = 10 * MM  # what one lowering call lets the devices down; over the limit with the freeing stroke on top


def there_and_back() -> Scenario:
    """One lifter straight up by collars and down again by steps that are over the limit."""
    stages = (Stage("raise", 15 * MM), Stage("lower", 0.0, leader={"step": STEP}))
    lifted = lift(15 * MM, lifter(collar()), station(collar()), strokes=1, gap_limit=2 * MM)
    return replace(lifted, stages=stages, limits=replace(lifted.limits, gap=12 * MM))


@pytest.fixture(scope="module")
def studied() -> Study:
    """Four lifts up and down."""
    return study(there_and_back(), 4, workers=1, helps=False)


def test_the_judged_gap_is_the_larger_of_passing_and_standing() -> None:
    """Whatever was made."""
    table = pd.DataFrame(
        {
            "largest_gap_m": [0.03, 0.02],
            "largest_passing_gap_m": [0.01, 0.02],
            "largest_standing_gap_m": [0.011, 0.0],
            "largest_made_gap_m": [0.03, 0.01],
        }
    )
    assert judged_gap(table).tolist() == [0.011, 0.02]
    scenario = there_and_back()
    assert over_gap_limit(table, scenario).tolist() == [False, True]


def test_a_study_counts_no_made_gap_as_over_the_limit(studied: Study) -> None:
    """Every lift makes one over it; none passes or stands over it."""
    limit = studied.scenario.limits.gap
    assert (studied.table["largest_made_gap_m"] > limit).all() and (studied.table["largest_gap_m"] > limit).all()
    chance = next(c for c in studied.chances if c.name == "a gap over the limit")
    assert chance.happened == 0 < studied.n
    assert studied.spreads[JUDGED].largest <= limit
    assert all(named.gap <= limit for named in studied.named)
    assert next(c for c in studied.chances if c.name == "a stage not reached").happened == 0


def test_the_study_says_which_kind_its_gap_is_and_shows_the_made_one_beside(studied: Study) -> None:
    """In the headline and in the table of measures."""
    said = study_words.headline(studied, "si")
    assert "largest gap, passing or standing, median " in said and "; largest gap made on the way down: 1 lift" in said
    assert list(measures_of(studied.scenario))[:2] == [JUDGED, "largest_made_gap_m"]
    assert len(_measures(studied).rows) == len(MEASURES) + 2


def test_a_lift_without_stages_is_judged_by_its_largest_gap() -> None:
    """As before: no measure more, the same gap."""
    scenario = replace(there_and_back(), stages=())
    found = study(scenario, 4, workers=1, helps=False)
    assert judged_gap(found.table).tolist() == found.table["largest_gap_m"].tolist()
    assert list(found.spreads) == list(MEASURES)
    assert "passing or standing" not in study_words.headline(found, "si")


def test_a_comparison_judges_passing_and_standing_gaps() -> None:
    """And shows the made one in a row of its own, also beside a way that makes none."""
    scenario = there_and_back()
    both = [("here", scenario), ("slower", replace(scenario, leader=replace(scenario.leader, pace=5.0)))]
    found = compare(both, 4, workers=1)
    assert [way.chance.value for way in found.as_asked] == [0.0, 0.0]
    rows = dict(compared_words.rows(found.as_asked, "si"))
    assert rows["every stage reached"] == [percent(1.0)] * 2
    assert "largest gap made on the way down, mean" in rows
    assert "largest gap, passing or standing," in compared_words.sentences(found, "si")[0]
    mixed = compare([("up", replace(scenario, stages=())), ("and down", scenario)], 4, workers=1)
    assert "largest gap made on the way down, mean" not in dict(compared_words.rows(mixed.as_asked, "si"))


def test_a_cadence_is_of_the_whole_job_and_changes_the_leader_s_keys_alone() -> None:
    """Its time is that of all stages; a stage's own keys stay in every way that is tried."""
    scenario = there_and_back()
    found = cadence(scenario, 0.5, n=4, paces=(0.0, 6.0), limits=(2 * MM,), workers=1)
    up_alone = cadence(replace(scenario, stages=()), 0.5, n=4, paces=(0.0, 6.0), limits=(2 * MM,), workers=1)
    for way, short in zip(found.ways, up_alone.ways, strict=True):
        assert way.over_gap == 0 and way.not_raised == 0 and way.gap <= scenario.limits.gap
        assert way.time.value > short.time.value
    own = replace(scenario, stages=(replace(scenario.stages[0], leader={"pace": 9.0}), scenario.stages[1]))
    slow = cadence(own, 0.5, n=4, paces=(0.0,), limits=(2 * MM,), workers=1)
    assert slow.ways[0].time.value > found.ways[0].time.value
