"""Many replications, block by block: on this machine's cores, or on a cluster; the same bytes either way.

A block is some replications of one scenario, and is known by its number: the people in it depend on nothing else. So it
does not matter who simulates it, in what order, or how often it is begun; it is counted once.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sim.batch import lifts_of, why_not
from sim.batch.alike import without_times
from sim.batch.by_story import simulate_many
from sim.many.block import Block, BlockResult
from sim.many.workers import each_simulated
from sim.model.errors import Refused
from sim.model.scenario import Scenario
from sim.stored.store import versions
from sim.stored.whole import works

ALIKE = 8  # so many ways are simulated in one pass, of those that are alike
SIZE, SIZE_STORY = 4096, 64  # replications in a block; of those that the story simulates
MANY = 32  # with more blocks than this, their rows stay on disk until all are simulated
KEEP_AFTER = (
    5.0  # finished blocks go to disk once simulating has taken so long [s]: sooner, simulating again costs less
)
MARK = ".at-work-"  # a file of this name says whose blocks they are


def simulate_block(block: Block) -> BlockResult:
    """Simulate one block: by the batch, or by the story where the batch does not cover the scenario."""
    if why_not(block.scenario):
        columns, by_call = simulate_many(block.scenario, block.seed, block.first, block.n), None
    else:
        results = lifts_of(block.scenario, block.seed, block.first, block.n, block.alike)
        columns = results.finished()
        by_call = np.stack(results.by_call) if block.by_call and results.by_call else None
    table = pd.DataFrame({name: _small(name, values) for name, values in sorted(columns.items())})
    mine = np.arange(block.first, block.first + block.n, dtype=np.int64)
    table.insert(0, "replication", np.tile(mine, 1 + len(block.alike)))
    return BlockResult(table, by_call, block.rows)


def _small(name: str, values: np.ndarray[Any, Any]) -> Any:
    """As small as a million rows ask for: seven figures for what belongs to one station or one lifter."""
    if values.dtype.kind == "O":
        return pd.Categorical(values, categories=sorted(set(values)))
    if values.dtype.kind == "i":
        return values.astype(np.int32)
    return values.astype(np.float32) if ": " in name or name.endswith(("_J", "_time_s")) else values


def blocks_of(scenario: Scenario, seed: int, n: int, first: int = 0, by_call: bool = False) -> list[Block]:
    """Replications `first` to `first + n`, cut where blocks end; the first block gives the gaps by call, if wanted."""
    size = SIZE_STORY if why_not(scenario) else SIZE
    cuts = [first, *range(first - first % size + size, first + n, size), first + n]
    return [Block(scenario, seed, a, b - a, by_call and a == first) for a, b in pairwise(cuts)]


def blocks_of_several(ways: Mapping[str, tuple[Scenario, int]], seed: int) -> dict[tuple[str, ...], list[Block]]:
    """Several ways of a lift, so many replications of each: those that are alike are simulated together.

    Parameters
    ----------
    ways : mapping of str to (Scenario, int)
        By name; how many replications of each.
    seed : int
        Whose people.

    Returns
    -------
    dict of tuple of str to list of Block
        The blocks that simulate the ways of these names, in the order of the names.
    """
    together: dict[tuple[str, int], list[str]] = {}
    for name, (scenario, n) in ways.items():
        alone = name if why_not(scenario) else ""
        together.setdefault((alone or repr(without_times(scenario)), n), []).append(name)
    found = {}
    for (_, n), names in together.items():
        for some in (names[k : k + ALIKE] for k in range(0, len(names), ALIKE)):
            first, *others = (ways[name][0] for name in some)
            found[tuple(some)] = [replace(b, alike=tuple(others)) for b in blocks_of(first, seed, n)]
    return found


def of_each(names: Sequence[str], simulated: Sequence[BlockResult | None]) -> dict[str, pd.DataFrame]:
    """The rows of each of several ways that were simulated together; none at all if a block is missing."""
    tables = [None if t is None else t.rows() for t in simulated]
    if any(t is None for t in tables):
        return {}
    parts = [np.array_split(np.arange(len(t)), len(names)) for t in tables if t is not None]
    return {
        name: pd.concat([t.iloc[p[k]] for t, p in zip(tables, parts, strict=True) if t is not None], ignore_index=True)
        for k, name in enumerate(names)
    }


def simulate_all(
    blocks: Sequence[Block],
    workers: int = 0,
    cluster: str = "",
    folder: Path | None = None,
    on_done: Callable[[int], None] = lambda done: None,
) -> list[BlockResult | None]:
    """Simulate every block; in the order asked, None for those that an interruption left out.

    Parameters
    ----------
    blocks : sequence of Block
        What to simulate.
    workers : int
        Processes on this machine; 0: one a core.
    cluster : str
        Address of a dask scheduler instead, such as "tcp://10.0.0.5:8786".
    folder : Path, optional
        Where finished blocks are kept, after the first five seconds; those that lie there already are read.
    on_done : callable
        BlockResult how many replications each finished block had.
    """
    simulated: list[BlockResult | None] = [None if folder is None else _kept(folder, b) for b in blocks]
    for block, found in zip(blocks, simulated, strict=True):
        if found is not None:
            on_done(block.rows)
    left = [n for n, found in enumerate(simulated) if found is None]
    many, begun = len(blocks) > MANY, time.monotonic()
    unkept: list[int] = []  # simulated, and not yet on disk

    def keep() -> None:
        nonlocal folder
        while folder is not None and unkept:
            n = unkept.pop()
            try:
                simulated[n] = _keep(folder, blocks[n], simulated[n], leave=many)  # type: ignore[arg-type]  # it has been simulated
            except OSError:  # the disk is full: they stay in memory, and only going on later is lost
                folder = None

    try:
        for n, done in each_simulated(simulate_block, blocks, left, workers or os.cpu_count() or 1, cluster):
            simulated[n] = done
            unkept.append(n)
            if many or time.monotonic() - begun > KEEP_AFTER:
                keep()
            on_done(blocks[n].rows)
    except Refused:  # whoever simulated them was lost: what they did is not
        keep()
        raise
    except KeyboardInterrupt:
        if not any(t is not None for t in simulated):
            raise
        keep()
    return simulated


# --- blocks on disk


def folder_for(scenario: Scenario, seed: int, runs: Path, resume: bool, what: str = "study") -> Path:
    """Where the blocks of a study or a cadence lie until it is finished; emptied, unless it is to go on from them.

    Where another process is at work on the same, a folder apart; so are those of another version of this program, or of
    the libraries that its numbers come from.
    """
    digest = hashlib.sha256(repr((what, scenario, seed, versions())).encode()).hexdigest()[:16]
    folder = runs / f".blocks-{digest}"
    for left in [] if resume else runs.glob(f"{folder.name}*"):
        if not _at_work(left):
            shutil.rmtree(left, ignore_errors=True)
    return folder.with_name(f"{folder.name}-{os.getpid()}") if _at_work(folder) else folder


def clear(folder: Path) -> None:
    """The blocks are not needed any more; whoever else is at work on them clears them at its own end."""
    with contextlib.suppress(OSError):
        (folder / f"{MARK}{os.getpid()}").unlink(missing_ok=True)
    if not _at_work(folder):
        shutil.rmtree(folder, ignore_errors=True)


def _at_work(folder: Path) -> bool:
    """Whether another process that is still there keeps its blocks in this folder."""
    makers = (int(mark.name.removeprefix(MARK)) for mark in folder.glob(f"{MARK}*"))
    return any(maker != os.getpid() and works(maker) for maker in makers)


def _keep(folder: Path, block: Block, simulated: BlockResult, leave: bool) -> BlockResult:
    """Write a block, whole or not at all; and leave its rows there, or not."""
    assert simulated.table is not None
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{MARK}{os.getpid()}").touch()
    beside = folder / f".{block.key}.{os.getpid()}"
    if simulated.by_call is not None:
        with beside.open("wb") as file:
            np.save(file, simulated.by_call)
        beside.replace(folder / f"{block.key}.npy")
    simulated.table.to_parquet(beside)
    path = beside.replace(folder / f"{block.key}.parquet")
    return BlockResult(None, simulated.by_call, block.rows, path) if leave else simulated


def _kept(folder: Path, block: Block) -> BlockResult | None:
    """A block that lies on disk; None if it does not, or cannot be read."""
    try:
        table = pd.read_parquet(folder / f"{block.key}.parquet")
        by_call = np.load(folder / f"{block.key}.npy") if block.by_call and not why_not(block.scenario) else None
    except (OSError, ValueError):
        return None
    return BlockResult(table, by_call, block.rows) if len(table) == block.rows else None


def together(simulated: Sequence[BlockResult | None]) -> pd.DataFrame:
    """The rows of all finished blocks under each other, each block read and copied to its place in turn."""
    found = [t for t in simulated if t is not None]
    if len(found) == 1:
        return found[0].rows()
    total, at = sum(t.n for t in found), 0
    columns: dict[str, Any] = {}
    words: dict[str, list[str]] = {}  # of the columns that hold words: these, in the order in which they came up
    for each in found:
        table = each.rows()
        for name in table.columns:
            part = table[name]
            if isinstance(part.dtype, pd.CategoricalDtype):
                known = words.setdefault(name, [])
                known += [word for word in part.cat.categories if word not in known]
                values = np.array([known.index(word) for word in part.cat.categories], dtype=np.int8)[part.cat.codes]
            else:
                values = part.to_numpy()
            columns.setdefault(name, np.empty(total, dtype=values.dtype))[at : at + len(table)] = values
        at += len(table)
    joined = {
        name: pd.Categorical.from_codes(values, categories=pd.Index(words[name])) if name in words else values
        for name, values in columns.items()
    }
    return pd.DataFrame(joined, copy=False)
