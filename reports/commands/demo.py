"""The main job on a scenario that ships."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from reports.commands.compare import compare_and_store, with_variants
from reports.commands.lift import print_result, store_lift
from reports.commands.talk import console, quoted, say
from reports.terminal.compared import show_comparison
from reports.words.stages import way_down
from sim.examples import DEMO, example
from sim.story.lift import simulate
from sim.written.reading import parse


def demo(out: Path) -> None:
    """Simulate the trailer's lift and its way down, then set its variants beside it."""
    scenario = parse(example(DEMO), f"{DEMO}.toml")
    lift, folder = store_lift(simulate(scenario), out, page=True)
    print_result(lift)
    console().print()
    if took := way_down(lift.summary, scenario.units):
        console().print(f"The way down took {took}.", style="bold")
    summaries, compared = compare_and_store(with_variants(scenario), out, page=True)
    console().print("The same with its variants, everyone at their mean times:", style="bold")
    show_comparison(summaries, scenario.units, console())
    say(f"\nthe lift, stroke by stroke:  open {folder / 'report.html'}")
    say(f"side by side:                open {compared / 'compare.html'}")
    say(f"a van in a drain cover:      liftcadence run {quoted(_shipped('van'))}")


def _shipped(name: str) -> Path:
    """A scenario that ships, as a person here would name it: wherever the program was installed."""
    path = Path(str(files("sim.examples"))) / f"{name}.toml"
    return path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path
