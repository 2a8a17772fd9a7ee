"""The reference of scenario keys in the README, made from the models that read them.

    python -m sim.written.reference README.md

rewrites it between its two markers; a test keeps it true.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from sim.written import crew, tables
from sim.written.quantities import Table
from sim.written.short_table import WrittenShort

BEGINS, ENDS = "<!-- scenario keys: made by sim/written/reference.py -->\n", "<!-- end of scenario keys -->"
ASSUMED = f"""**[assumed]: values that nobody measured.**

| key | what |
| --- | --- |
| a path, such as `"leader.pace"` | {tables.ASSUMED} |"""
DEVICES = (crew.WrittenCollar, crew.WrittenPin, crew.WrittenChain, crew.WrittenStrap, crew.WrittenCrib)


def reference() -> str:
    """Every table and key of a scenario file, as Markdown."""
    models: list[type[Table]] = [*tables.SINGLE.values(), *tables.SEVERAL.values(), *DEVICES, tables.WrittenTie]
    parts = ["#### The full form", *("\n".join(_table(model)) for model in models), ASSUMED]
    parts += ["#### The short form", "\n".join(_table(WrittenShort))]
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


def rewritten(readme: str) -> str:
    """The README with its reference made anew."""
    before, _, rest = readme.partition(BEGINS)
    _, _, after = rest.partition(ENDS)
    return f"{before}{BEGINS}\n{reference()}\n{ENDS}{after}"


if __name__ == "__main__":
    page = Path(sys.argv[1])
    page.write_text(rewritten(page.read_text(encoding="utf-8")), encoding="utf-8")
