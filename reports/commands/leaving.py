"""How a command leaves: its code, its last words, Ctrl-C, streams that are closed. No traceback reaches a user."""

from __future__ import annotations

import contextlib
import io
import os
import signal
import sys
from collections.abc import Callable
from types import FrameType
from typing import NoReturn

from reports.terminal.stream import deafen

Answer = Callable[[int, FrameType | None], object] | int | None
NOT_RAISED, BAD_INPUT, OUR_BUG, INTERRUPTED = 1, 2, 3, 130
MACHINE = "make room there, or see to what may be read and written; what was stored before is as it was"
MEMORY = "simulate fewer lifts at a time (-n, --workers 1), or take stations out of the scenario"


def on_ctrl_c(do: Answer) -> Answer:
    """What Ctrl-C does from now on; what it did so far. In a thread nothing can be set."""
    with contextlib.suppress(ValueError):
        return signal.signal(signal.SIGINT, do)
    return None


def leave_after(command: Callable[[], object], for_good: bool) -> NoReturn:
    """Do what was asked and leave with its code; `for_good`: the process ends with it."""
    if for_good:
        sys.unraisablehook = _heard_again
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:  # closed before we began
            setattr(sys, name, open(os.devnull, mode))  # noqa: SIM115
    code = _guarded(command)
    if for_good:
        on_ctrl_c(lambda *_: os._exit(code))  # nothing is left to stop
    sys.exit(code)


def _heard_again(unraisable: sys.UnraisableHookArgs) -> None:
    """A Ctrl-C that came where nothing can be stopped, such as a destructor, is heard a moment later."""
    if isinstance(unraisable.exc_value, KeyboardInterrupt):
        import threading

        again = threading.Timer(0.05, os.kill, (os.getpid(), signal.SIGINT))
        again.daemon = True
        again.start()
    else:
        sys.__unraisablehook__(unraisable)


def _guarded(command: Callable[[], object]) -> int:
    import typer  # which is there by now

    for stream in (sys.stdout, sys.stderr):  # a name that the terminal cannot show is no reason to fail
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        code = command()
        sys.stdout.flush()
        return code if isinstance(code, int) else 0
    except (KeyboardInterrupt, typer.Abort):
        say("stopped")
        return INTERRUPTED
    except BrokenPipeError:
        _say_no_more()
        return 0
    except SystemExit as left:  # the command line's library leaves with 1 when the pipe at stdout is closed
        _say_no_more()
        return 0 if left.code == 1 else int(left.code or 0)
    except Exception as error:
        if hasattr(error, "show") and hasattr(error, "exit_code"):  # a mistyped command line, with its own words
            from sim.model.visible import visible

            error.message = visible(str(getattr(error, "message", "")))  # type: ignore[attr-defined]
            error.show()
            return BAD_INPUT
        return _explained(error)


def _explained(error: BaseException) -> int:
    """Known errors carry their own text; anything else is a bug of ours, said without a traceback."""
    from sim.model.errors import KnownError
    from sim.model.visible import visible

    if isinstance(error, KnownError):
        say(str(error))
        return BAD_INPUT
    if os.environ.get("LIFTCADENCE_TRACE"):
        raise error
    if isinstance(error, OSError) and error.strerror:
        say(f"error: {visible(str(error.filename or 'input or output'))}: {error.strerror}\n\nhint: {MACHINE}")
        _say_no_more()
        return BAD_INPUT
    if isinstance(error, MemoryError):
        say(f"error: there is not enough memory for this\n\nhint: {MEMORY}")
        return BAD_INPUT
    say(
        f"error: a bug of ours: {type(error).__name__}: {error}\n\n"
        "hint: nothing of yours is lost; LIFTCADENCE_TRACE=1 before the command shows where it happened"
    )
    return OUR_BUG


def say(words: str) -> None:
    """Words go to stderr, if anybody still listens there."""
    with contextlib.suppress(OSError):
        print(words, file=sys.stderr, flush=True)


def _say_no_more() -> None:
    """Nothing more to a stdout that takes nothing, or it would be tried again on the way out."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError):
            try:
                stream.flush()
            except OSError:
                deafen(stream)
