"""Text that only stands there: what a terminal or a spreadsheet would obey, and what no eye can see, is written out.

People's names and files go to terminals, to pages and into tables. A control character, a line separator or a mark
that turns the direction of what follows does more there than stand for itself; and a cell that begins like a formula
runs as one when a spreadsheet opens it.
"""

from __future__ import annotations

import json
import re

# C0, DEL and C1 controls; line and paragraph separator; embeddings, overrides and isolates of direction
UNSEEN = r"\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069"
_UNSEEN = re.compile(f"[{UNSEEN}\ud800-\udfff]")
_FORMULA = re.compile("(^|[;\t\r\n])(\"*'*)(?=[=+@\t\r\uff1d\uff0b\uff0d\uff20-])")
_GUARDED = re.compile("(^|[;\t\r\n])(\"*'*)'(?=[=+@\t\r\uff1d\uff0b\uff0d\uff20-])")


def visible(text: str, keep: str = "") -> str:
    r"""A text with whatever cannot be seen in it written as TOML and JSON write it.

    Parameters
    ----------
    text : str
        From anywhere.
    keep : str
        Which of those characters stay: line ends and tabs, in a text of several lines.

    Returns
    -------
    str
        `left \u001b[31mstrut`, in as many letters; a text of plain letters, of whatever script, as it is.
    """
    return _UNSEEN.sub(lambda found: found[0] if found[0] in keep else json.dumps(found[0])[1:-1], text)


def seen(text: str, keep: str = "") -> str:
    """A text without what cannot be seen in it: of a log, where such a mark is a slip of some program."""
    return _UNSEEN.sub(lambda found: found[0] if found[0] in keep else "", text)


def guarded(cell: str) -> str:
    """A cell of a CSV file that no spreadsheet takes for a formula: an apostrophe before = + - @, a tab or a return.

    So too after a semicolon or a line end, where a spreadsheet of another country begins a new cell. Apostrophes that
    are there already get one more, so that `unguarded` gives back exactly what was written.
    """
    return _FORMULA.sub(r"\1\2'", cell)


def unguarded(cell: str) -> str:
    """A cell as it was before `guarded`."""
    return _GUARDED.sub(r"\1\2", cell)
