"""Drill logs as people keep them: what spreadsheets do to them is taken in, what is wrong is named by its line."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.drill.drilled import drilled
from sim.drill.log.clocks import together
from sim.drill.log.lines import Log, parse_log, seconds
from sim.examples import example
from sim.model.errors import ScenarioError
from sim.model.scenario import Scenario
from sim.written.reading import parse

PLAIN = "time_s,who,what,note\n0.0,leader,call,\n0.5,left lifter,stroke start,\n12.8,left strut,caught,\n"
WHAT = [(0.0, "leader", "call"), (0.5, "left lifter", "stroke start"), (12.8, "left strut", "caught")]


def rows(log: Log) -> list[tuple[float, str, str]]:
    return [(e.time, e.who, e.what) for e in log.entries]


@pytest.fixture(scope="module")
def trailer() -> Scenario:
    return parse(example("trailer"), "trailer.toml")


@pytest.mark.parametrize(
    "written",
    [
        PLAIN,
        "\ufeff" + PLAIN,
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", ",,,\n"),
        PLAIN.replace(",", ";").replace("0.5", "0,5").replace("12.8", "12,8").replace("0.0", "0,0"),
        PLAIN.replace(",", "\t"),
        PLAIN.replace("0.5", "0,5").replace("12.8", "12,8"),
        PLAIN.replace("0.5", '"0,5"').replace("12.8", "0:12.8"),
        PLAIN.replace("12.8", "0:00:12.8").replace("stroke start", "Stroke_Start").replace("time_s", "Time (s)"),
        "sep=,\n" + PLAIN + "\n,,,\n\n",
        PLAIN.partition("\n")[2],
        "what,time_s,who\ncall,0.0,leader\nstroke start,0.5,left lifter\ncaught,12.8,left strut\n",
    ],
    ids=["plain", "bom", "crlf", "trailing", "semicolons", "tabs", "commas", "quoted", "clock", "sep", "bare", "order"],
)  # fmt: skip
def test_what_spreadsheets_do_to_a_log_changes_nothing(written: str) -> None:
    """Byte order mark, line ends, separators, decimal commas, clock times, empty columns."""
    log = parse_log(written, "drill.csv")
    assert rows(log) == WHAT
    assert log.problems == []
    assert log.tick == 0.1


def test_other_encodings_are_read() -> None:
    """UTF-16 and Windows text, as spreadsheets save them."""
    text = PLAIN.replace("left strut", "strut né 2")
    for encoding in ("utf-16", "cp1252", "utf-8-sig"):
        assert parse_log(text.encode(encoding), "d.csv").entries[-1].who == "strut né 2"


@pytest.mark.parametrize(
    ("written", "meant"),
    [("62.5", 62.5), ("1:02.5", 62.5), ("1:02,5", 62.5), ("0:01:02.5", 62.5), ("62.5 s", 62.5), (".5", 0.5)]
    + [(bad, None) for bad in ("", "later", "-1", "1:60", "1:61:00", "nan", "inf", "1e5", "٣", "1:2:3:4", "--")],
)
def test_times_are_seconds_minutes_or_hours(written: str, meant: float | None) -> None:
    """Seconds, m:ss.s, h:mm:ss; nothing else."""
    assert seconds(written) == meant


def test_problems_are_named_by_line_with_the_nearest_name(trailer: Scenario) -> None:
    """Unknown people and words, no time, times that run back, caught without a stroke."""
    text = PLAIN + "13.0,left stut,caught\n14.0,left strut,cought\nsoon,leader,call\n3.0,left lifter,stroke end\n"
    text += "15.0,left strut,caught\n16.0,left strut,caught\n17.0,left strut,stroke start\n"
    said = [str(p) for p in drilled([parse_log(text, "d.csv")], trailer).problems]
    assert any(s.startswith('d.csv, line 5: "left stut" is nobody here') and '"left strut"' in s for s in said)
    assert any(s.startswith('d.csv, line 6: "cought" is not known') and '"caught"' in s for s in said)
    assert any(s.startswith('d.csv, line 7: "soon" is no time') for s in said)
    assert any(s.startswith("d.csv, line 8: time runs back from 13 s to 3 s") for s in said)
    assert any(s.startswith("d.csv, line 9: caught at the left strut without a stroke") for s in said)
    assert any(s.startswith('d.csv, line 11: "left strut" works no pump') for s in said)


@pytest.mark.parametrize(
    "text", ["", "\n\n", "\ufeff", "a,b,c\n1,2,3\n", "time_s,who,what\n", "time_s,who,what\n1,left strut,caught\n"]
)
def test_a_file_without_a_drill_in_it_says_so(text: str, trailer: Scenario) -> None:
    """Empty, without the columns, without a call."""
    with pytest.raises(ScenarioError):
        drilled([parse_log(text, "d.csv")], trailer)


PEOPLE = ("leader", "left lifter", "right lifter", "left strut", "right strut", "left lifter capture", "nobody", "")
WORDS = ("call", "stroke start", "stroke end", "stroke", "caught", "hold", "resume", "missed", "stop", "gap", "rise",
         "start", "not caught", "??")  # fmt: skip
LINES = st.tuples(
    st.floats(0, 200).map(lambda t: f"{t:.1f}") | st.text("0123456789:.,-s\"';", max_size=8),
    st.sampled_from(PEOPLE),
    st.sampled_from(WORDS),
    st.sampled_from(["", "left lifter", "2 strokes", "1/4 in", "left strut", '"']) | st.text(max_size=6),
).map(",".join)


@settings(max_examples=40, deadline=None)
@given(st.lists(LINES, max_size=40))
def test_whatever_a_log_says_it_is_measured_or_refused(lines: list[str]) -> None:
    """Never a traceback, and never a figure that is no number."""
    scenario = parse(example("trailer"), "trailer.toml")
    try:
        drill = drilled([parse_log("\n".join(["time_s,who,what,note", *lines]), "d.csv")], scenario)
    except ScenarioError:
        return
    gap, duration = drill.summary["largest_gap"]["gap_m"], drill.summary["duration_s"]
    assert 0 <= gap < 10 and 0 <= duration < 1e9
    assert drill.summary["calls"] == len(drill.course.calls)


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=300))
def test_any_file_at_all_is_read_or_refused(written: bytes | str) -> None:
    """Bytes that are no log."""
    try:
        log = parse_log(written, "d.csv")
    except ScenarioError:
        return
    assert all(0 <= e.time < 1e11 for e in log.entries)


def test_two_observers_are_brought_onto_one_clock() -> None:
    """The offset is found from the calls, though each missed some; what both logged counts once."""
    first = "".join(f"{10 * k + k % 3:.1f},leader,call\n" for k in range(12) if k != 4)
    second = "".join(f"{10 * k + k % 3 + 312.4:.1f},leader,call\n" for k in range(12) if k not in (2, 7))
    second += "317.0,left strut,caught\n"
    head = "time_s,who,what\n"
    one, clocks = together([parse_log(head + first, "a.csv"), parse_log(head + second, "b.csv")])
    assert clocks[1].offset == pytest.approx(-312.4, abs=0.051)
    assert clocks[1].shared == 9
    assert [e.what for e in one.entries].count("call") == 12
    assert [e.time for e in one.entries if e.what == "caught"] == pytest.approx([4.6])


def test_observers_may_share_a_file() -> None:
    """A column `observer` says whose clock a row is on."""
    text = "time_s,who,what,observer\n"
    text += "".join(f"{9 * k + k % 2},leader,call,ann\n{9 * k + k % 2 + 50},leader,call,bo\n" for k in range(6))
    one, clocks = together([parse_log(text, "a.csv")])
    assert len(one.entries) == 6
    assert one.problems == []
    assert sorted(c.offset for c in clocks) in ([-50, 0], [0, 50])


def test_clocks_without_a_call_in_common_are_refused() -> None:
    """Nothing to bring them together by."""
    a, b = "time_s,who,what\n0,leader,call\n9,leader,call\n", "time_s,who,what\n3,left strut,caught\n"
    with pytest.raises(ScenarioError, match="clocks"):
        together([parse_log(a, "a.csv"), parse_log(b, "b.csv")])


def test_a_log_of_a_hundred_thousand_lines_is_read_in_a_few_seconds() -> None:
    """Ours: a second on a small machine."""
    text = "time_s,who,what\n" + "".join(f"{k / 10:.1f},left lifter,stroke start\n" for k in range(100_000))
    began = time.process_time()
    assert len(parse_log(text, "d.csv").entries) == 100_000
    assert time.process_time() - began < 10
