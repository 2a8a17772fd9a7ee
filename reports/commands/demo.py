"""The main job on a scenario that ships."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from reports.commands.compare import compare_and_store, with_variants
from reports.commands.lift import show_told, store_lift
from reports.commands.talk import console, quoted, tell
from reports.terminal.lift import show_comparison
from sim.examples import example
from sim.story.lift import tell as tell_lift
from sim.written.reading import parse


def demo(out: Path) -> None:
    """Tell the trailer's lift, then set its variants beside it."""
    scenario = parse(example("trailer"), "trailer.toml")
    lift, folder = store_lift(tell_lift(scenario), out, page=True)
    show_told(lift)
    console().print()
    summaries, compared = compare_and_store(with_variants(scenario), out, page=True)
    console().print("The same with its variants, everyone at their mean times:", style="bold")
    show_comparison(summaries, scenario.units, console())
    tell(f"\nthe lift, stroke by stroke:  open {folder / 'report.html'}")
    tell(f"side by side:                open {compared / 'compare.html'}")
    tell(f"a van in a drain cover:      liftcadence run {quoted(_shipped('van'))}")


def _shipped(name: str) -> Path:
    """A scenario that ships, as a person here would name it: wherever the program was installed."""
    path = Path(str(files("sim.examples"))) / f"{name}.toml"
    return path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path
