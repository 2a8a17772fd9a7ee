"""Files and folders that are there whole or not at all: made beside their place, then renamed.

What is being made goes by a hidden name that says whose it is. Whatever ends the making from outside (kill -9, a power
cut) leaves at most that behind; whoever makes something in the same folder later clears it away.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
import stat
import time
from pathlib import Path

UNFINISHED = ".making-"
OLD = 3600.0  # what nobody is making any more is cleared once it is so old [s]
_NAME = re.compile(re.escape(UNFINISHED) + r"(\d{1,9})-\d{10,25}")


def locked_elsewhere(fd: int) -> bool:
    """Whether another process has locked a file; if not, it is locked here until it is closed or the process ends.

    Where nothing can be locked, no.
    """
    try:
        from fcntl import LOCK_EX, LOCK_NB, flock

        flock(fd, LOCK_EX | LOCK_NB)
    except BlockingIOError:
        return True
    except (ImportError, OSError):
        return False
    return False


def being_made(folder: Path) -> Path:
    """A name in a folder, of this process alone, for what is being made there."""
    return folder / f"{UNFINISHED}{os.getpid()}-{time.time_ns()}"


def write_whole(file: Path, content: str | bytes, over: bool = True) -> None:
    """Write a file: a reader finds what was there before or all of the new, never a part of it.

    Parameters
    ----------
    file : Path
        Where. A link stays one: the file that it leads to is written. What is no file (a pipe, a terminal) is written
        to as it is.
    content : str or bytes
        A text is written as UTF-8.
    over : bool
        Whether a file that is there already may be written over.

    Raises
    ------
    FileExistsError
        It is there already, and is not to be written over.
    OSError
        It cannot be written; what was there is still there.
    """
    try:
        _write(Path(os.path.realpath(file)), content.encode() if isinstance(content, str) else content, over)
    except OSError as error:  # under the name that was asked for
        raise OSError(error.errno, error.strerror or str(error), str(file)) from None


def _write(place: Path, data: bytes, over: bool) -> None:
    there = _status(place)
    if there is not None and not over:
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
    if there is not None and not stat.S_ISREG(there.st_mode):
        place.write_bytes(data)
        return
    fresh = being_made(place.parent)
    try:
        write_through(fresh, data)
        if there is not None:
            fresh.chmod(stat.S_IMODE(there.st_mode))
        _put(fresh, place, over)
        sync_folder(place.parent)
    except BaseException:
        discard(fresh)
        raise
    clear_leftovers(place.parent)


def try_out(folder: Path) -> None:
    """Make something in a folder, or where it would be made, and remove it again.

    Raises
    ------
    OSError
        Nothing can be written there, as things stand.
    """
    if folder.is_symlink() and not folder.exists():
        raise OSError(f"it is a link to {folder.readlink()}, and that is not there")
    trial = being_made(next((each for each in (folder, *folder.parents) if each.exists()), Path()))
    try:
        trial.mkdir()
    finally:
        discard(trial)


def write_through(file: Path, data: bytes) -> None:
    """Write a new file, and see that the disk has it: what is renamed before that may be empty after a power cut."""
    with file.open("xb") as making:
        making.write(data)
        making.flush()
        os.fsync(making.fileno())


def sync_folder(folder: Path) -> None:
    """See that what a folder lists outlives a power cut, where a folder can be asked for that."""
    with contextlib.suppress(OSError):
        fd = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(fd)
        finally:
            os.close(fd)


def _status(place: Path) -> os.stat_result | None:
    try:
        return place.stat()
    except FileNotFoundError:
        return None


def _put(fresh: Path, place: Path, over: bool) -> None:
    """Give a finished file its name; one that another program has put there meanwhile is not written over unasked."""
    if not over:
        try:
            os.link(fresh, place)
        except FileExistsError:
            raise
        except (OSError, AttributeError):  # a file system without links
            if place.exists():
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST)) from None
        else:
            fresh.unlink()
            return
    fresh.replace(place)


def discard(made: Path) -> None:
    """Remove what was being made, file or folder; whatever cannot be removed stays hidden."""
    if made.is_dir():
        shutil.rmtree(made, ignore_errors=True)
    else:
        with contextlib.suppress(OSError):
            made.unlink()


def clear_leftovers(folder: Path) -> None:
    """Remove what earlier makers left behind: those that have ended, and an hour ago or more."""
    with contextlib.suppress(OSError):
        for left in folder.iterdir():
            named = _NAME.fullmatch(left.name)
            if named and not works(int(named[1])):
                with contextlib.suppress(OSError):
                    if time.time() - left.stat().st_mtime > OLD:
                        discard(left)


def works(process: int) -> bool:
    """Whether a process of this number is running on this machine; where that cannot be asked, no."""
    if os.name != "posix":
        return False
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True
