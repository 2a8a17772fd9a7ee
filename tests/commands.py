"""A command of the command line, simulated in the process of the test."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from pathlib import Path
from unittest import mock

import pytest

import cli


def run(folder: Path, *words: str, said: str = "") -> subprocess.CompletedProcess[str]:
    """A command in a folder, with what is said to it through a pipe: its exit code, stdout, stderr."""
    out, err = io.StringIO(), io.StringIO()
    simulated = {k: v for k, v in os.environ.items() if k != "COLUMNS"}  # which pytest may have set
    with (
        mock.patch.dict(os.environ, simulated, clear=True),
        mock.patch.object(sys, "stdin", io.StringIO(said)),
        chdir(folder),
        redirect_stdout(out),
        redirect_stderr(err),
        pytest.raises(SystemExit) as left,
    ):
        cli.main(list(words))
    assert isinstance(left.value.code, int)
    return subprocess.CompletedProcess(words, left.value.code, out.getvalue(), err.getvalue())
