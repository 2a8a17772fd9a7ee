"""Reading files that anybody may have put there: plain files only, up to a bound; nothing that waits for ever."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

MOST = 100_000_000  # bytes of a file of ours: the largest lift allowed has events of some 60 MB


def read_plain(file: Path, most: int = MOST) -> bytes:
    """All that a plain file holds.

    Parameters
    ----------
    file : Path
        Where; a link is followed.
    most : int
        How many bytes it may have.

    Returns
    -------
    bytes
        What it holds.

    Raises
    ------
    OSError
        It cannot be read, is no plain file (a pipe or a device would be waited for, or never end), or is too large.
    """
    opened = os.open(file, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(opened, "rb") as stream:
        if not stat.S_ISREG(os.fstat(opened).st_mode):
            raise OSError(errno.EINVAL, "it is no plain file, and is not read", str(file))
        data = stream.read(most + 1)
    if len(data) > most:
        raise OSError(errno.EFBIG, f"it is larger than {most / 1e6:,.0f} MB, and is not read", str(file))
    return data
