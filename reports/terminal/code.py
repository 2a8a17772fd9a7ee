"""An address as a QR code on the terminal, for a telephone's camera."""

from __future__ import annotations

import sys

from rich.text import Text

from reports.terminal.console import PlainConsole

QUIET = 4  # light modules around it (ISO/IEC 18004, 6.3.8)
HALVES = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}  # dark above, dark below
LIGHT_ON_DARK = "#ffffff on #000000"


def print_code(address: str) -> bool:
    """Print it on stderr; whether that could be: on a terminal that is wide enough and knows the signs."""
    lines = code(address)
    console = PlainConsole(file=sys.stderr)
    if not console.is_terminal or console.width < len(lines[0]) or not _can_be_written(lines[0] + "█▀▄"):
        return False
    console.print(Text("\n".join(lines), style=LIGHT_ON_DARK), soft_wrap=True)
    return True


def code(address: str) -> list[str]:
    """Its lines, two rows of modules to a line; what is light is drawn, what is dark left out."""
    import segno

    made = segno.make_qr(address, error="l")
    rows = [[bool(dark) for dark in row] for row in made.matrix_iter(border=QUIET)]
    if len(rows) % 2:
        rows.append([False] * len(rows[0]))
    return ["".join(HALVES[pair] for pair in zip(*two, strict=True)) for two in zip(rows[::2], rows[1::2], strict=True)]


def _can_be_written(signs: str) -> bool:
    try:
        signs.encode(sys.stderr.encoding or "ascii")
    except (UnicodeError, LookupError):
        return False
    return True
