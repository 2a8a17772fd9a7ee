"""A TOML file written line by line, each value with what there is to say of it behind a #."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from sim.model.units import LENGTH, Units, read

COLUMN = 38  # where the words begin


class TomlPage:
    """Lines of TOML; lengths of ours are written in the units that the file is shown in."""

    def __init__(self, units: Units) -> None:
        self.units = units
        self.lines: list[str] = []

    def words(self, *lines: str) -> None:
        """Comments on lines of their own."""
        self.lines += [f"# {line}".rstrip() for line in lines]

    def table(self, *name: str, listed: bool = False, why: str = "") -> None:
        """[name] or, listed, [[name]], after an empty line."""
        said = ".".join(_key(part) for part in name)
        self.lines.append("")
        self._line(f"[[{said}]]" if listed else f"[{said}]", why)

    def key(self, name: str, value: Any, why: str = "") -> None:
        """One key; text as it is written."""
        self._line(f"{_key(name)} = {toml_value(value)}", why)

    def ours(self, name: str, value: Any, why: str = "") -> None:
        """One key whose value a preset gives, its lengths in the units of the file."""
        self.key(name, self.in_units(value), why)

    def length(self, metres: float) -> str:
        """A length that was worked out, to a hundredth of a millimetre."""
        if self.units == "us":
            return f"{_tidy(metres / 0.0254, 4)} in"
        return f"{_tidy(metres * 1e3, 2)} mm"

    def in_units(self, value: Any) -> Any:
        """A preset's value, its inches as millimetres where the file is in those."""
        if isinstance(value, list):
            return [self.in_units(each) for each in value]
        if self.units == "si" and isinstance(value, str) and re.fullmatch(r"[0-9./ ]+ in", value):
            return self.length(read(value, LENGTH))
        return value

    def text(self) -> str:
        """The whole file."""
        return "\n".join(self.lines) + "\n"

    def _line(self, written: str, why: str) -> None:
        self.lines.append(f"{written:{COLUMN - 2}}  # {why}" if why else written)


def _tidy(number: float, places: int) -> str:
    return f"{round(number, places) + 0.0:.{places}f}".rstrip("0").rstrip(".")


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else toml_value(name)


def toml_value(value: Any) -> str:
    """A value as TOML has it: text, numbers, lists, tables in one line."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_key(key)} = {toml_value(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(each) for each in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return str(value)
