"""Coverage-guided fuzzing of one target: inputs made from the kept ones by what reaches new code (atheris).

    python -m tests.fuzz.fuzz scenario 60

An input that fails is named and written to .fuzz/; mended, it belongs in the corpus, by a name that says what it is.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

CORPUS = Path(__file__).with_name("corpus")
KEPT = Path(".fuzz")  # what grew and what failed; not in git
LONGEST = {"scenario": 8192, "drill_log": 4096, "socket": 2048}  # bytes of an input
SLOWEST = 30  # seconds that one input may take
MEMORY = 4096  # MB; the fuzzer itself keeps more and more


def main(name: str, seconds: int) -> None:
    """Fuzz one target; leaves with 0 where nothing was found."""
    import atheris

    with atheris.instrument_imports(include=["sim", "reports.live", "tomllib"]):
        from tests.fuzz.targets import TARGETS
    kept = [path.read_bytes() for path in sorted((CORPUS / name).iterdir())]

    def mutated(data: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        if chance.random() < 0.5:
            return bytes(atheris.Mutate(data, most))[:most]
        return _lines(data, chance.choice(kept), chance, atheris.Mutate)[:most]

    grown = KEPT / name
    grown.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as here:
        words = Path(here, "words.dict")
        words.write_text("\n".join(f'"{_escaped(word)}"' for word in _words(kept)), encoding="ascii")
        options = [
            f"-max_total_time={seconds}", f"-max_len={LONGEST[name]}", f"-timeout={SLOWEST}", f"-dict={words}",
            f"-rss_limit_mb={MEMORY}", "-print_final_stats=1", f"-artifact_prefix={KEPT / name}-",
        ]  # fmt: skip
        atheris.Setup([sys.argv[0], *options, str(grown), str(CORPUS / name)], TARGETS[name], custom_mutator=mutated)
        atheris.Fuzz()


def _lines(data: bytes, other: bytes, chance: random.Random, mutate: Callable[[bytes, int], bytes]) -> bytes:
    """Some lines left out, doubled, moved, changed or taken from another input."""
    lines, others = data.split(b"\n"), other.split(b"\n")
    for _ in range(chance.randint(1, 4)):
        at, to = chance.randrange(len(lines)), chance.randrange(len(lines) + 1)
        match chance.randrange(6):
            case 0:
                del lines[at : at + chance.randint(1, 3)]
            case 1:
                lines.insert(to, chance.choice(others))
            case 2:
                lines.insert(to, lines[at])
            case 3:  # its key, with the value of another
                key, mark, _ = lines[at].partition(b" = ")
                lines[at] = key + mark + chance.choice(others).partition(b" = ")[2]
            case 4:
                begin = chance.randrange(len(others))
                lines[to:to] = others[begin : begin + chance.randint(2, 12)]
            case _:
                lines[at] = bytes(mutate(lines[at], len(lines[at]) + 40))
        lines = lines or [b""]
    return b"\n".join(lines)


def _words(kept: list[bytes]) -> list[bytes]:
    """What stands between the spaces, quotes and commas of the kept inputs."""
    found = {word for data in kept for word in data.replace(b'"', b" ").replace(b",", b" ").split() if len(word) < 30}
    return sorted(found)[:2000]


def _escaped(word: bytes) -> str:
    return "".join(chr(b) if 0x20 < b < 0x7F and b not in b'"\\' else f"\\x{b:02x}" for b in word)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
