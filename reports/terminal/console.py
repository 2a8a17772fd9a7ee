"""A console on which what people wrote only stands there: no markup, no emoji codes, nothing that a terminal obeys."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment

from reports.terminal.stream import deafen
from sim.model.visible import visible


class PlainConsole(Console):
    """Rich's console; of its own words only its styles reach the terminal as escapes."""

    def __init__(self, **how: Any) -> None:
        super().__init__(**{"highlight": False, "markup": False, "emoji": False, **how})

    def on_broken_pipe(self) -> None:
        """Nobody reads any more: rich would end the program, and what is still to be written would be lost."""
        deafen(self.file)

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        """Everything that is shown passes here, the cells of tables too."""
        for segment in super().render(renderable, options):
            if segment.control:
                yield segment
            else:
                yield Segment(visible(segment.text, keep="\n"), segment.style)
