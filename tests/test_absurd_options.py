"""Numbers on the command line that nobody means: refused in a moment, with the limit, and nothing is begun."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from sim.examples import example
from tests.commands import run

SECONDS = 10.0  # on a busy machine; most of it is a pilot and imports
ABSURD = {
    "study -n": (["study", "{}", "-n", "99999999999"], "1000000"),
    "study -n, far too long": (["study", "{}", "-n", "9" * 5000], "Error"),
    "study --within": (["study", "{}", "--within", "1e-9", "--workers", "1"], "1,000,000"),
    "study --within nan": (["study", "{}", "--within", "nan", "--workers", "1"], "rror"),
    "study --crew-sd": (["study", "{}", "--crew-sd", "1e308"], "1"),
    "compare -n": (["compare", "{}", "-n", "100000000"], "1000000"),
    "cadence --risk": (["cadence", "{}", "--risk", "1e-12"], "0.0001"),
    "run --seed": (["run", "{}", "--seed", f"{2**64}"], f"{2**64 - 1}"),
    "run --replication": (["run", "{}", "--replication", "-1"], "0"),
    "run --size": (["run", "{}", "--no-page", "--pictures", "p", "--size", "99999999x900"], "8000"),
    "rehearse --speed": (["rehearse", "{}", "--speed", "1e308"], "4"),
    "rehearse --port": (["rehearse", "{}", "--port", "65536"], "65535"),
    "study --workers": (["study", "{}", "--workers", "1000000"], "1024"),
}


@pytest.mark.parametrize(("words", "limit"), ABSURD.values(), ids=ABSURD.keys())
def test_an_absurd_option_is_refused_with_its_limit(words: list[str], limit: str, tmp_path: Path) -> None:
    """2, in seconds."""
    (tmp_path / "lift.toml").write_text(example("trailer"), encoding="utf-8")
    began = time.process_time()
    done = run(tmp_path, *(part.format("lift.toml") for part in words))
    assert time.process_time() - began < SECONDS
    said = done.stderr
    assert done.returncode == 2, said
    assert limit in said and "Traceback" not in said and "a bug of ours" not in said
    assert len(said) < 8000
