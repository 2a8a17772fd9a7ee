"""Blocks simulated on a cluster: a dask scheduler hands them out. What can go wrong with one is said in our words."""

from __future__ import annotations

import asyncio
import concurrent.futures
import contextlib
import re
import socket
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from sim.many.block import Block, BlockResult
from sim.model.errors import Refused

ANSWERS_IN = 10.0  # how long a scheduler is waited for [s]
TRIES = 3  # how often a block is begun again whose worker has died
EXAMPLE = "write it as the scheduler prints it, such as tcp://10.0.0.5:8786"
INSTALL = 'install the extra: python -m pip install "liftcadence[cluster]" (in the project\'s folder: ".[cluster]")'
RESUME = (
    "the same command with --resume goes on from the blocks that were finished, with --cluster or without; "
    "what comes out is the same to the byte"
)
_ADDRESS = re.compile(
    r"(?:(?P<by>tcp|tls|ws|wss|ucx)://)?(?P<host>\[[0-9a-fA-F:.]+\]|[^\s/:\[\]]+):(?P<port>\d{1,5})/?"
)


def known_cluster(address: str) -> str:
    """The address of a scheduler that answers, as dask takes it; "" for none.

    Raises
    ------
    Refused
        It is no address, nobody answers there, or dask is not installed here.
    """
    if not address:
        return ""
    found = _ADDRESS.fullmatch(address.strip())
    if found is None or not 0 < int(found["port"]) < 65536:
        raise Refused(f'--cluster: "{address}" is not the address of a scheduler', EXAMPLE)
    try:
        import dask.distributed  # noqa: F401
    except ImportError:
        raise Refused("--cluster: dask, which a cluster needs, is not installed here", INSTALL) from None
    try:
        socket.create_connection((found["host"].strip("[]"), int(found["port"])), ANSWERS_IN).close()
    except (OSError, UnicodeError) as error:
        raise _nobody(address, error) from None
    return address.strip() if found["by"] else f"tcp://{address.strip()}"


def _nobody(address: str, error: Exception) -> Refused:
    why = getattr(error, "strerror", None) or str(error).partition("\n")[0] or type(error).__name__
    hint = "see that the scheduler runs and can be reached from here (dask scheduler), or leave --cluster out"
    return Refused(f"--cluster: no scheduler answers at {address}: {why}", hint)


def on_cluster(
    simulate: Callable[[Block], BlockResult], blocks: Sequence[Block], left: Sequence[int], address: str
) -> Iterator[tuple[int, BlockResult]]:
    """The blocks whose numbers are `left`, each with its number as soon as it is simulated.

    Raises
    ------
    Refused
        The scheduler does not answer or is lost on the way, or its workers cannot simulate.
    """
    address = known_cluster(address)
    from dask.distributed import Client, as_completed

    try:
        client = Client(address, timeout=ANSWERS_IN)
    except (OSError, ValueError, concurrent.futures.TimeoutError) as error:
        raise _nobody(address, error) from None
    try:
        futures = {client.submit(simulate, blocks[n], key=f"lifts-{blocks[n].key}", retries=TRIES): n for n in left}
        done = 0
        for future in as_completed(futures):
            result = _result(future, address, done, len(left))
            done += 1
            yield futures[future], result
        if done < len(left):
            raise _lost(address, done, len(left))
    except (OSError, concurrent.futures.CancelledError, asyncio.CancelledError):
        raise _lost(address, done, len(left)) from None
    finally:
        with contextlib.suppress(Exception):
            client.close(timeout=1)


def _result(future: Any, address: str, done: int, of: int) -> BlockResult:
    """What simulating a block gave."""
    try:
        result: BlockResult = future.result()
        return result
    except ImportError as error:
        what = f"--cluster: the workers at {address} cannot simulate: {error}"
        raise Refused(what, "install this version of liftcadence, with its extra [cluster], on each of them") from None
    except OSError as error:
        if future.status != "error":  # not the worker's own
            raise
        raise Refused(f"--cluster: a worker of {address} could not simulate: {error}", RESUME) from None
    except Exception as error:
        if type(error).__name__ != "KilledWorker":
            raise
        what = f"--cluster: the workers at {address} died again and again, after {done} of {of} blocks"
        raise Refused(what, f"they may have too little memory; {RESUME}") from None


def _lost(address: str, done: int, of: int) -> Refused:
    return Refused(f"--cluster: the scheduler at {address} was lost after {done} of {of} blocks", RESUME)
