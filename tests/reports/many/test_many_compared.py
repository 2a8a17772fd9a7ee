"""Ways side by side, many lifts of each: two sentences, paired differences in the table, lanes on one axis of time."""

from __future__ import annotations

from importlib.resources import files

import plotly.graph_objects as go
import pytest

from reports.many.compare import label, write_compare_page
from reports.many.many_compared import median_lanes
from reports.paper.figures import finished
from reports.words.compared import rows, sentences, tables
from sim.many.compared import Compared, compare
from sim.model.scenario import Scenario
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from sim.written.reading import parse, variants


@pytest.fixture(scope="module")
def scenarios() -> list[Scenario]:
    """The trailer, pinned, and pinned with cribbing."""
    scenario = parse((files("sim") / "examples" / "trailer.toml").read_text(encoding="utf-8"), "trailer.toml")
    return [scenario, *variants(scenario)[:2]]


@pytest.fixture(scope="module")
def compared(scenarios: list[Scenario]) -> Compared:
    """Each simulated 20 times."""
    return compare([(label(s), s) for s in scenarios], n=20, workers=1)


@pytest.mark.parametrize("units", ["us", "si"])
def test_two_sentences_say_what_differs_and_what_it_means(compared: Compared, units: str) -> None:
    """Each other way against the first; then the chance over the limit of each, and the people saved."""
    differs, means = sentences(compared, units)  # type: ignore[arg-type]
    assert differs.startswith("Against “as written: threaded”, “pinned” has a largest gap ")
    assert f"(mean {'2.' if units == 'us' else '6'}" in differs
    assert "Of 20 lifts each" in means and " 20 (pinned)" in means and "with 7 people in place of 9" in means


def test_the_rows_are_the_means_and_paired_differences(compared: Compared) -> None:
    """The first way has no difference, the others have one with its interval."""
    found = dict(rows(compared.as_asked, "us"))
    assert found["people"] == ["7", "7", "9"]
    first, pinned, _ = found["time, mean"]
    way = compared.as_asked[1]
    d = way.differences["duration_s"]
    assert first == f"{compared.as_asked[0].means['duration_s'].value:.1f} s"
    assert pinned == f"{way.means['duration_s'].value:.1f} s; {d.value:+.1f} s ({d.low:+.1f} to {d.high:+.1f})"
    assert dict(rows(compared.as_asked, "us"))["calls, mean"][1].endswith("; no different")


def test_both_ways_of_manning_it_have_a_table(compared: Compared) -> None:
    """As many as each asks for; one catcher a place."""
    (_, asked), (_, same) = tables(compared)
    assert [w.people for w in asked] == [7, 7, 9]
    assert [w.people for w in same] == [7, 7, 7]


def test_the_lanes_of_all_medians_have_one_axis_of_time(compared: Compared) -> None:
    """It is as long as the longest lift, and each is the median of its way."""
    figures, heads, _ = median_lanes(compared)
    ranges = {tuple(figure["layout"]["xaxis"]["range"]) for figure in figures.values()}
    ends = [figure["layout"]["meta"]["end"] for figure in figures.values()]
    assert len(ranges) == 1 and ranges.pop()[1] == pytest.approx(1.012 * max(ends))
    for head, way in zip(heads, compared.as_asked, strict=True):
        row = way.table.set_index("replication").loc[way.median]
        assert head["gap_m"] == pytest.approx(row["largest_gap_m"])
    for figure in figures.values():
        go.Figure(finished(figure, "us", 1024, 900))


def test_the_page_has_tables_and_lanes(scenarios: list[Scenario], compared: Compared) -> None:
    """Under 1.8 MB with three ways."""
    records = [simulate_fixed(s) for s in scenarios]
    html = write_compare_page(records, [measure(r) for r in records], many=compared)
    assert len(html) < 1_800_000
    assert html.count('data-figure="lanes-') == 3
    assert html.count('<th scope="col">pinned with cribbing</th>') == 4
