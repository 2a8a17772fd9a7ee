"""The reference of scenario keys in the README, made from the models that read them.

    python -m reports.paper.reference README.md

rewrites it between its two markers; a test keeps it true.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from sim.drill.log.lines import LONGEST, MOST_ROWS
from sim.model.units import DIMENSIONS
from sim.written.keys import tables
from sim.written.keys.devices import DEVICE_TABLES
from sim.written.keys.places import DEEPEST, MOST, MOST_CALLS
from sim.written.keys.quantities import LONGEST_TITLE, Table
from sim.written.keys.stands import LONGEST_NAME, WrittenTie
from sim.written.keys.syntax import MOST as LONGEST_FILE
from sim.written.short.table import WrittenShort
from sim.written.work import MOST_WORK

BEGINS, ENDS = "<!-- scenario keys: made by reports/paper/reference.py -->\n", "<!-- end of scenario keys -->"
ASSUMED = f"""**[assumed]: values that nobody measured.**

| key | what |
| --- | --- |
| a path, such as `"leader.pace"` | {tables.ASSUMED} |"""


def reference() -> str:
    """Every table and key of a scenario file, as Markdown."""
    several = (*tables.SEVERAL.values(), *DEVICE_TABLES.values())
    models: list[type[Table]] = [*tables.SINGLE.values(), *several, WrittenTie]
    parts = ["#### The full form", *("\n".join(_table(model)) for model in models), ASSUMED]
    parts += ["#### The short form", "\n".join(_table(WrittenShort))]
    parts += ["#### How much there may be", "\n".join(_limits())]
    return "\n\n".join(parts) + "\n"


def _table(model: type[Table]) -> Iterator[str]:
    said = (model.__doc__ or "").strip().splitlines()[0]
    yield f"**{said}**"
    yield ""
    yield "| key | what |"
    yield "| --- | --- |"
    for name, key in model.model_fields.items():
        wanted = " Required." if key.is_required() else ""
        yield f"| `{key.alias or name}` | {key.description or '(see the example)'}{wanted} |"


def _limits() -> Iterator[str]:
    """What is refused although each key could mean it, with the bounds that the readers use."""
    yield "Whatever is beyond these is refused at once, with its place and the limit."
    yield ""
    yield "| of | allowed |"
    yield "| --- | --- |"
    for dimension in DIMENSIONS:
        yield f"| {dimension.name} | up to {dimension.most_said} |"
    yield "| `rise` | 1 mm to 10 m; the `to` of a stage 0 mm to 10 m |"
    yield "| what is repeated: spacing, click, thread, step, travel of a stroke | 0.1 mm or more |"
    yield "| `lowering` | 0.1 mm/s or more |"
    yield "| pieces, travel and other spans | 1 mm or more |"
    yield "| a time | 0 s, or 1 ms or more; a stroke 0.01 s or more |"
    yield f"| a name | {LONGEST_NAME} letters that can be seen, in one line |"
    yield f"| a title | {LONGEST_TITLE} letters, likewise |"
    for key, most in MOST.items():
        yield f"| {'marks under' if key == 'assumed' else 'tables of'} `{key}` | {most} |"
    yield "| devices at one place | 10 |"
    yield "| pieces of a crib | 20 |"
    yield f"| calls | {MOST_CALLS:,}, of up to 100 strokes |"
    yield f"| a lift: strokes times places that follow them, and steps of their work | {MOST_WORK:,} |"
    yield f"| a file | {LONGEST_FILE:,} characters, tables and lists {DEEPEST} deep |"
    yield f"| a drill log | {MOST_ROWS:,} rows, {LONGEST / 1e6:.0f} MB |"


def rewritten(readme: str) -> str:
    """The README with its reference made anew."""
    before, _, rest = readme.partition(BEGINS)
    _, _, after = rest.partition(ENDS)
    return f"{before}{BEGINS}\n{reference()}\n{ENDS}{after}"


if __name__ == "__main__":
    page = Path(sys.argv[1])
    page.write_text(rewritten(page.read_text(encoding="utf-8")), encoding="utf-8")
