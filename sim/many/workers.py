"""Who simulates the blocks of many lifts: this process, several here, or a cluster; a lost one is replaced."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context
from threading import Thread
from typing import Any

from sim.many.block import Block, BlockResult
from sim.many.cluster import on_cluster
from sim.model.errors import Refused

TRIES = 3  # how often it is begun again after whoever simulated a block has died, and nobody simulated one since

Simulator = Callable[[Block], BlockResult]


def each_simulated(
    simulate: Simulator, blocks: Sequence[Block], left: Sequence[int], workers: int = 1, cluster: str = ""
) -> Iterator[tuple[int, BlockResult]]:
    """The blocks whose numbers are `left`, each with its number as soon as it is simulated.

    Parameters
    ----------
    simulate : callable
        Simulates a block; a function of a module, so that another process finds it.
    blocks : sequence of Block
        All of them.
    left : sequence of int
        Which of them to simulate.
    workers : int
        Processes on this machine.
    cluster : str
        Address of a dask scheduler instead.

    Yields
    ------
    int
        A block's number.
    BlockResult
        What simulating it gave.

    Raises
    ------
    Refused
        If one process after the other dies before it has simulated a block, or the cluster does not do it.
    """
    if cluster:
        yield from on_cluster(simulate, blocks, left, cluster)
    elif workers == 1 or len(left) <= 1:
        for n in left:
            yield n, simulate(blocks[n])
    else:
        yield from _on_cores(simulate, blocks, left, min(workers, len(left)))


def _on_cores(
    simulate: Simulator, blocks: Sequence[Block], left: Sequence[int], workers: int
) -> Iterator[tuple[int, BlockResult]]:
    """A process a core; a block whose process dies is begun again."""
    import scipy.special  # noqa: F401  # here, before the processes fork: else each of them loads it anew

    waiting, deaths = dict.fromkeys(left), 0  # deaths since a block was last simulated
    while waiting:
        with ProcessPoolExecutor(workers, _context(), _as_worker, (os.getpid(),)) as pool:
            running: dict[Future[BlockResult], int] = {}
            try:
                with _interrupts_held_back():  # until the new processes heed none
                    running.update((pool.submit(simulate, blocks[n]), n) for n in waiting)
                while running:
                    done, _ = wait(running, return_when=FIRST_COMPLETED)
                    for future in done:
                        n = running.pop(future)
                        result = future.result()
                        del waiting[n]
                        deaths = 0
                        yield n, result
            except BrokenProcessPool:
                deaths += 1
                if deaths > TRIES:
                    what = f"processes that simulate lifts were ended {deaths} times, one after the other"
                    raise Refused(what, "there may be too little memory for them: --workers 1") from None
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)
                raise


def _context() -> Any:
    return get_context("fork" if sys.platform == "linux" else "spawn")


def _as_worker(parent: int) -> None:
    """Ctrl-C is the parent's to heed; and whoever has lost the parent leaves."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(1.0)
        os._exit(1)

    Thread(target=watch, daemon=True).start()


@contextmanager
def _interrupts_held_back() -> Iterator[None]:
    """A Ctrl-C in here is heard at the end; processes that begin in here begin deaf to it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
