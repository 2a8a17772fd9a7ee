"""Fuzz every target for some seconds, a line each on what came of it.

    python -m tests.fuzz 60
    python -m tests.fuzz 600 scenario

What grew, what failed and the whole output are kept in .fuzz/. Where atheris cannot be installed nothing new is tried;
the kept inputs are replayed all the same, here and in `make test`.
"""

from __future__ import annotations

import subprocess
import sys
from importlib.util import find_spec

from tests.fuzz.fuzz import CORPUS, KEPT, SLOWEST
from tests.fuzz.targets import TARGETS

GRACE = 10 * SLOWEST  # seconds over the time given, for starting and for the last input


def main(seconds: int, names: list[str]) -> int:
    """0 where nothing was found."""
    if find_spec("atheris") is None:
        print(f"nothing new is tried: atheris is not installed (Python {sys.version.split()[0]}, {sys.platform})")
        for name in names:
            kept = sorted((CORPUS / name).iterdir())
            for path in kept:
                TARGETS[name](path.read_bytes())
            print(f"{name}: {len(kept)} kept inputs replayed, none fails")
        return 0
    return max([_fuzz(name, seconds) for name in names], default=0)


def _fuzz(name: str, seconds: int) -> int:
    """One target, in a process of its own."""
    KEPT.mkdir(exist_ok=True)
    log = KEPT / f"{name}.log"
    with log.open("wb") as output:
        command = [sys.executable, "-m", "tests.fuzz.fuzz", name, str(seconds)]
        code = subprocess.run(command, stdout=output, stderr=output, timeout=seconds + GRACE, check=False).returncode
    said = log.read_text(encoding="utf-8", errors="replace").splitlines()
    tried = next((line.split()[-1] for line in said if "number_of_executed_units" in line), "?")
    if code == 0:
        print(f"{name}: {tried} inputs in {seconds} s, none fails")
        return 0
    start = next((n for n, line in enumerate(said) if "exception" in line or "ERROR" in line), max(0, len(said) - 40))
    print("\n".join(said[start:]))
    print(f"{name}: failed after {tried} inputs; the input is in {KEPT}/, and mended it belongs in {CORPUS / name}")
    return 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), sys.argv[2:] or list(TARGETS)))
