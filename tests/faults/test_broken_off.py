"""A rehearsal that is broken off, by a key, a signal, a closed terminal, kill -9: what was run so far is not lost."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from websockets.asyncio.client import connect

from reports.live.picked_up import head_of
from sim.model.chance import Crew
from sim.record.measures import measure
from sim.rehearsal.kept import KeptRehearsal, WordLog, left_logs, read_log
from sim.rehearsal.led import Rehearsal
from sim.stored.store import stored
from sim.written.reading import read
from tests.faults.hands import TRAILER, assert_helps, assert_whole, here, started
from tests.reports.live.served import Person, begun, serving, short_lift, to_the_end

ENDED_BY = [signal.SIGINT, signal.SIGTERM, *([signal.SIGHUP] if os.name == "posix" else [])]


def logs(runs: Path) -> list[Path]:
    """The logs of rehearsals that lie there, under way or left behind."""
    return sorted(runs.glob(".rehearsal-*")) if runs.is_dir() else []


# --- a lift that ends as it stands


def test_broken_off_in_mid_stroke_the_record_ends_there() -> None:
    """All stand where they were at that moment; up to it every row is that of the lift that went on."""
    cut, whole = (Rehearsal(short_lift(), Crew(3)) for _ in range(2))
    for rehearsal in (cut, whole):
        rehearsal.call(at=0.0)
    cut.break_off("Ctrl-C", at=0.5)
    whole.advance(60.0)
    assert cut.over and not whole.over
    record, summary = cut.record(3), measure(cut.record(3))
    assert (record.outcome, record.reason) == ("stopped", "broken off: Ctrl-C")
    assert summary["calls"] == 1 and summary["duration_s"] == 0.5
    before = record.events[record.events["time_s"] < 0.5]
    assert len(before) > 3
    whole.break_off("later", at=60.0)
    uncut = whole.record(3).events
    assert uncut[uncut["time_s"] < 0.5].reset_index(drop=True).equals(before.reset_index(drop=True))
    last = record.events[record.events["side"] == "left lifter"].iloc[-1]
    assert last["u"] > 0 and last["time_s"] == 0.5 and cut.call() == "the lift is over"


def test_broken_off_while_all_stand_frozen() -> None:
    """Stop was called, and nobody goes on: the record ends when they froze."""
    rehearsal = Rehearsal(short_lift(), Crew(3))
    rehearsal.call(at=0.0)
    rehearsal.stop(at=0.7)
    rehearsal.break_off("the terminal was closed", at=9.0)
    assert measure(rehearsal.record(3))["outcome"] == "stopped" and rehearsal.now == pytest.approx(0.7)


# --- the log


def led(runs: Path) -> KeptRehearsal:
    """A rehearsal with every kind of word in it, and its log."""
    rehearsal = KeptRehearsal(short_lift(), Crew(5), (), WordLog(runs, {"seed": 5}))
    rehearsal.advance(0.0)
    assert rehearsal.call(at=0.25) == "" and rehearsal.call(at=0.5) != ""
    assert rehearsal.stop(at=0.75) == "" and rehearsal.seen("slow", "strut", at=2.0) == ""
    rehearsal.bring_in("slow", "strut", at=2.5)
    rehearsal.advance(15.0)
    assert rehearsal.call(at=15.5) == ""
    rehearsal.advance(16.0)
    return rehearsal


def test_the_log_gives_the_same_lift_again_to_the_byte(tmp_path: Path) -> None:
    """Words and when they were said are all there is to know: the people are the seed's."""
    rehearsal = led(tmp_path)
    (log,) = logs(tmp_path)
    again, trouble = read_log(log).again(short_lift(), Crew(5), ())
    assert trouble == ""
    for each in (rehearsal, again):
        each.break_off("cut", at=16.0)
    assert again.record(5).events.equals(rehearsal.record(5).events)
    assert again.stops == rehearsal.stops and again.surprises == rehearsal.surprises


def test_a_log_cut_off_anywhere_gives_the_lift_up_to_there(tmp_path: Path) -> None:
    """kill -9 may come in the middle of a line: at every byte, what was whole before it counts."""
    led(tmp_path)
    (log,) = logs(tmp_path)
    data, calls = log.read_bytes(), []
    first = data.index(b"\n") + 1
    for size in [*range(first, len(data), 7), len(data)]:
        log.write_bytes(data[:size])
        again, _ = read_log(log).again(short_lift(), Crew(5), ())
        again.break_off("cut")
        calls.append(measure(again.record(5))["calls"])
    assert calls == sorted(calls) and calls[0] == 0 and calls[-1] == 2


def test_what_cannot_be_written_down_does_not_stop_the_lift(tmp_path: Path) -> None:
    """No room on the disk for the log: the lift goes on, and what is the matter is kept to be said."""
    (tmp_path / "file").write_text("in the way")
    rehearsal = led(tmp_path / "file")
    assert rehearsal.lift.site.call == 2
    assert rehearsal.log.trouble is not None and "file" in str(rehearsal.log.trouble)


# --- the command


@contextmanager
def under_way(folder: Path) -> Iterator[tuple[subprocess.Popen[str], asyncio.Runner]]:
    """A rehearsal of the trailer as a command, its first call made and a stroke begun."""
    process = started(folder, "rehearse", str(TRAILER), "--no-browser", "--speed", "4")
    assert process.stderr is not None
    address = process.stderr.readline().split()[-1]
    while "Ctrl-C" not in process.stderr.readline():
        pass
    with asyncio.Runner() as runner:
        try:
            runner.run(called(address))
            yield process, runner
        finally:
            process.kill()
            process.communicate()


async def called(address: str) -> Person:
    """The first call, and the first stroke under way."""
    place, _, asked = address.removeprefix("http://").partition("/")
    url: Any = f"ws://{place}/ws{asked}"
    person = await begun(await connect(url, origin=f"http://{place}", max_size=None))  # type: ignore[arg-type]
    await person.say(type="call")
    await person.until_row("strokes")
    return person


@pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
@pytest.mark.parametrize("how", ENDED_BY)
def test_struck_by_a_signal_what_was_run_is_stored_as_stopped(tmp_path: Path, how: signal.Signals) -> None:
    """Ctrl-C, SIGTERM, the SIGHUP of a closed terminal: 130, a whole run with its one call, no log left."""
    with under_way(tmp_path) as (process, _):
        process.send_signal(how)
        _, said = process.communicate(timeout=60)
    assert process.returncode == 130 and "Traceback" not in said and "stored in" in said, said
    (run,) = stored(tmp_path / "runs")
    assert run.summary is not None, run.trouble
    assert (run.summary["outcome"], run.summary["calls"], run.summary["kind"]) == ("stopped", 1, "rehearsal")
    assert run.summary["reason"].startswith("broken off: ")
    assert logs(tmp_path / "runs") == []
    assert_whole(tmp_path / "runs")


@pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
def test_a_closed_terminal_that_nobody_reads_any_more(tmp_path: Path) -> None:
    """Not even its last words can be said: it is stored all the same."""
    with under_way(tmp_path) as (process, _):
        assert process.stderr is not None and process.stdout is not None
        process.stderr.close()
        process.stdout.close()
        process.send_signal(signal.SIGHUP)
        process.wait(timeout=60)
        process.stderr = process.stdout = None
    (run,) = stored(tmp_path / "runs")
    assert run.summary is not None and run.summary["calls"] == 1


@pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
def test_after_kill_9_it_is_named_and_can_be_picked_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`runs` says that one was broken off, `runs pick-up` stores it once; while one is under way it is left alone."""
    monkeypatch.chdir(tmp_path)
    with under_way(tmp_path) as (process, _):
        assert left_logs(tmp_path / "runs") == [] and len(logs(tmp_path / "runs")) == 1
        code, _, err = here("runs", "pick-up")
        assert code == 0 and "no rehearsal" in err
        process.kill()
        process.communicate()
    assert list(stored(tmp_path / "runs")) == []
    code, _, err = here("runs")
    assert code == 0 and "runs pick-up" in err
    code, _, err = here("runs", "pick-up")
    assert code == 0 and "stored in" in err, err
    (run,) = stored(tmp_path / "runs")
    assert run.summary is not None and (run.summary["outcome"], run.summary["calls"]) == ("stopped", 1)
    assert "picked up" in run.summary["reason"] and logs(tmp_path / "runs") == []
    assert here("runs", "sheet", "--page", "pocket.html")[0] == 0
    assert "no rehearsal" in here("runs", "pick-up")[2]
    assert_whole(tmp_path / "runs")


def left_log(runs: Path) -> Path:
    """A log that was left behind, of the trailer: one call, then nothing."""
    scenario = read(TRAILER)
    rehearsal = KeptRehearsal(scenario, Crew(0), (), WordLog(runs, head_of(scenario, 0, (), {})))
    rehearsal.advance(0.0)
    rehearsal.call(at=1.0)
    rehearsal.advance(6.0)
    rehearsal.log.close()
    return logs(runs)[0]


@pytest.mark.parametrize("damage", [b"", b"\0" * 400, b"{}\n", b'{"format": 99}\n'])
def test_a_log_that_cannot_be_read_is_named_and_left(
    tmp_path: Path, damage: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is wrong with it and what can be done; it stays as it is, and the others are picked up."""
    monkeypatch.chdir(tmp_path)
    left_log(tmp_path / "runs")
    bad = tmp_path / "runs" / ".rehearsal-99999999-12345678901234567890"
    bad.write_bytes(damage)
    code, _, err = here("runs", "pick-up")
    assert code == 2 and bad.read_bytes() == damage
    assert_helps(err, bad.name)
    assert [run.summary["calls"] for run in stored(tmp_path / "runs") if run.summary] == [1]


def test_a_line_that_is_damaged_ends_what_is_picked_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What came before it counts, and it is said which line it was."""
    monkeypatch.chdir(tmp_path)
    log = left_log(tmp_path / "runs")
    log.write_bytes(log.read_bytes() + b'{"at": "soon", "word": "call"}\n' + b'{"at": 9.0}\n')
    code, _, err = here("runs", "pick-up")
    line = len(log.read_bytes().splitlines()) - 1 if log.exists() else 0
    assert code == 0 and "cannot be read" in err and "line " in err, err
    (run,) = stored(tmp_path / "runs")
    assert run.summary is not None and run.summary["calls"] == 1 and run.summary["duration_s"] < 9 and line == 0


def test_led_to_its_end_no_log_is_left(tmp_path: Path) -> None:
    """The run is there, whole, and the log is not needed any more."""

    async def lead(served: Any) -> dict[str, Any]:
        async with served.socket() as socket:
            person = await begun(socket)
            assert len(logs(tmp_path)) == 1
            return await to_the_end(person)

    with serving(short_lift(), tmp_path, speed=20.0) as served:
        scored = asyncio.run(lead(served))
        deadline = time.monotonic() + 10
        while logs(tmp_path) and time.monotonic() < deadline:
            time.sleep(0.02)
    assert scored["outcome"] == "raised" and logs(tmp_path) == []
    assert_whole(tmp_path)


def test_a_log_says_what_it_is(tmp_path: Path) -> None:
    """One line a word, as JSON: somebody can read it without us."""
    led(tmp_path)
    (log,) = logs(tmp_path)
    lines = [json.loads(line) for line in log.read_text().splitlines()]
    assert lines[0]["format"] == 1 and [line["word"] for line in lines[1:] if "word" in line] == [
        "call", "stop", "seen", "bring_in", "call",
    ]  # fmt: skip
