"""A cluster that is not there, does not answer, or is lost on the way: a sentence, and nothing simulated is lost.

Where dask is installed the scheduler is a real one; elsewhere a stand-in fails as dask does (`Client`, `as_completed`).
"""

from __future__ import annotations

import contextlib
import socket
import subprocess
import sys
import time
import types
from collections.abc import Iterator
from concurrent.futures import CancelledError
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import sim.many.blocks as blocks
from sim.many.cluster import known_cluster
from sim.model.errors import Refused
from sim.written.reading import read
from tests.faults.hands import TRAILER, assert_helps, here

FEW = 40  # replications of each block
COMMANDS = (
    ["study", str(TRAILER), "-n", "100"],
    ["cadence", str(TRAILER)],
    ["compare", str(TRAILER), "-n", "10"],
)


def some(n: int) -> list[blocks.Block]:
    """So many small blocks of one lift."""
    first = blocks.blocks_of(read(TRAILER), 0, FEW)[0]
    return [replace(first, first=FEW * k) for k in range(n)]


class Future:
    """One block on the stand-in."""

    def __init__(self, result: Any) -> None:
        self.result = result
        self.status = "finished"


def stand_in(monkeypatch: pytest.MonkeyPatch, dies_after: int, with_what: BaseException) -> None:
    """A dask whose scheduler simulates so many blocks, then fails like this."""

    class Client:
        def __init__(self, address: str, timeout: float) -> None:
            self.begun = 0

        def submit(self, simulate: Any, block: Any, **_: Any) -> Future:
            self.begun += 1
            return Future((lambda: simulate(block)) if self.begun <= dies_after else self.fail)

        def fail(self) -> Any:
            raise with_what

        def close(self, timeout: float) -> None:
            raise TimeoutError("the scheduler does not answer")

    here_is_dask(monkeypatch)
    module = sys.modules["dask.distributed"]
    module.Client, module.as_completed = Client, list  # type: ignore[attr-defined]


def here_is_dask(monkeypatch: pytest.MonkeyPatch) -> None:
    """A dask that has nothing in it."""
    dask, distributed = types.ModuleType("dask"), types.ModuleType("dask.distributed")
    dask.distributed = distributed  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "dask", dask)
    monkeypatch.setitem(sys.modules, "dask.distributed", distributed)


@pytest.fixture
def listening() -> Iterator[str]:
    """An address where something listens."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield f"tcp://127.0.0.1:{server.getsockname()[1]}"


@pytest.mark.parametrize("words", COMMANDS)
def test_without_dask_the_extra_is_named(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, listening: str
) -> None:
    """At once, before anything is simulated."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(sys.modules, "dask", None)  # as if it were not installed
    code, out, err = here(*words, "--cluster", listening)
    assert code == 2 and out == ""
    assert_helps(err, "dask", "not installed", "liftcadence[cluster]")


@pytest.mark.parametrize("words", COMMANDS)
@pytest.mark.parametrize(
    "address", ["nonsense", "tcp://", "tcp://10.0.0.5", "http://10.0.0.5:8786", "a:99999", "a b:1"]
)
def test_what_is_no_address_is_said(
    words: list[str], address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With one that is."""
    monkeypatch.chdir(tmp_path)
    code, _, err = here(*words, "--cluster", address)
    assert code == 2
    assert_helps(err, f'"{address}" is not the address', "tcp://10.0.0.5:8786")


@pytest.mark.parametrize("words", COMMANDS)
def test_where_nobody_answers_it_is_said_at_once(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not after half a minute, and with the machine's own reason."""
    monkeypatch.chdir(tmp_path)
    here_is_dask(monkeypatch)
    with socket.create_server(("127.0.0.1", 0)) as server:
        address = f"127.0.0.1:{server.getsockname()[1]}"  # nobody listens there any more
    code, _, err = here(*words, "--cluster", address)
    assert code == 2
    assert_helps(err, f"no scheduler answers at {address}", "refused")


def test_an_address_may_leave_its_scheme_out(monkeypatch: pytest.MonkeyPatch, listening: str) -> None:
    """tcp is what a scheduler has; without an address there is no cluster."""
    here_is_dask(monkeypatch)
    assert known_cluster(listening.removeprefix("tcp://")) == listening and known_cluster("") == ""


@pytest.mark.parametrize("how", [CancelledError("lifts-1"), OSError("connection closed"), TimeoutError("no answer")])
def test_a_scheduler_that_dies_on_the_way_loses_no_finished_block(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, listening: str, how: BaseException
) -> None:
    """It is said after how many; they are kept, and going on from them, without it, comes to the same bytes."""
    whole = blocks.together(blocks.simulate_all(some(4), workers=1))
    stand_in(monkeypatch, dies_after=2, with_what=how)
    with pytest.raises(Refused) as lost:
        blocks.simulate_all(some(4), cluster=listening, folder=tmp_path / "blocks")
    assert_helps(str(lost.value), "was lost after 2 of 4 blocks", "--resume", "the same to the byte")
    assert len(list((tmp_path / "blocks").glob("*.parquet"))) == 2
    counted: list[int] = []
    again = blocks.simulate_all(some(4), workers=1, folder=tmp_path / "blocks", on_done=counted.append)
    assert blocks.together(again).equals(whole) and counted == [FEW] * 4


class KilledWorker(Exception):
    """As dask calls it."""


@pytest.mark.parametrize(
    ("how", "word"), [(ModuleNotFoundError("No module named 'sim'"), "cannot simulate"), (KilledWorker(), "died again")]
)
def test_workers_that_cannot_simulate_are_said(
    monkeypatch: pytest.MonkeyPatch, listening: str, how: Exception, word: str
) -> None:
    """Without our program, or with too little memory."""
    stand_in(monkeypatch, dies_after=0, with_what=how)
    with pytest.raises(Refused) as lost:
        blocks.simulate_all(some(2), cluster=listening)
    assert_helps(str(lost.value), word)


def test_a_bug_in_a_worker_stays_one(monkeypatch: pytest.MonkeyPatch, listening: str) -> None:
    """What the cluster is not to blame for is not put down to it."""
    stand_in(monkeypatch, dies_after=0, with_what=ZeroDivisionError("ours"))
    with pytest.raises(ZeroDivisionError):
        blocks.simulate_all(some(2), cluster=listening)


@pytest.mark.slow
def test_a_real_scheduler_that_is_killed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """kill -9 to it after the first blocks: said within a minute, with what is kept."""
    pytest.importorskip("distributed", reason="the extra [cluster] is not installed")
    with socket.create_server(("127.0.0.1", 0)) as free:
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
    port = address.rpartition(":")[2]
    start = [sys.executable, "-m", "distributed.cli.dask_scheduler", "--port", port, "--no-dashboard"]
    work = [sys.executable, "-m", "distributed.cli.dask_worker", address, "--nthreads", "1", "--no-dashboard"]
    with contextlib.ExitStack() as stack:
        scheduler, worker = (
            stack.enter_context(subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))
            for words in (start, work)
        )
        stack.callback(worker.kill)
        stack.callback(scheduler.kill)
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            with contextlib.suppress(Refused):
                known_cluster(address)
                break
            time.sleep(0.2)
        with pytest.raises(Refused, match="was lost after"):
            blocks.simulate_all(
                some(200), cluster=address, folder=tmp_path / "blocks", on_done=lambda _: scheduler.kill()
            )
    assert list((tmp_path / "blocks").glob("*.parquet"))
