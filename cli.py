"""The command line: parse, call, print, exit. No physics here, and nothing heavy at the top."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from reports.stored import Told
    from sim.compared import Compared
    from sim.record import Record
    from sim.scenario import Scenario

NOT_RAISED, BAD_INPUT, OUR_BUG, INTERRUPTED = 1, 2, 3, 130

app = typer.Typer(
    name="liftcadence",
    help="Rehearse, measure and compare heavy lifts: call, pump, capture, hold.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
runs_app = typer.Typer(help="What is stored: list, show, open, call sheet, pictures.", rich_markup_mode=None)
app.add_typer(runs_app, name="runs")

ScenarioFile = Annotated[Path, typer.Argument(metavar="FILE", help="A scenario (TOML).", show_default=False)]
VariantName = Annotated[str, typer.Option("--variant", metavar="NAME", help="One of the scenario's variants.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for a machine to read.")]
Seed = Annotated[int, typer.Option(min=0, max=2**64 - 1, help="Which crew: the same seed, the same people.")]
PictureSize = Annotated[str, typer.Option("--size", metavar="WxH", help="Of the pictures, in px.")]
Runs = Annotated[Path, typer.Option("--out", metavar="DIR", help="Where runs are stored.")]
Workers = Annotated[int, typer.Option(min=0, max=1024, help="Processes here; 0: one a core.")]
Cluster = Annotated[str, typer.Option(metavar="ADDRESS", help="A dask scheduler, such as tcp://10.0.0.5:8786.")]


def answer(number: int, words: str, *name: str) -> Any:
    """An option that answers one of the questions of `ask`."""
    return typer.Option(*name, metavar="ANSWER", help=f"{number}. {words}", show_default=False)


@app.command()
def ask(
    file: Annotated[
        Path | None, typer.Argument(metavar="[FILE]", help="The scenario to write.", show_default=False)
    ] = None,
    like: Annotated[str, answer(1, "What is raised.")] = "",
    far_end: Annotated[str, answer(2, "Whether the far end stays down: yes or no.")] = "",
    weight: Annotated[str, answer(3, 'Such as "2400 lb at the end" or "5200 lb whole".')] = "",
    weight_from: Annotated[str, answer(3, "How that is known: scale, papers or estimate.")] = "",
    hinge_to_lifters: Annotated[str, answer(4, "From the hinge line to the lifters.")] = "",
    hinge_to_point: Annotated[str, answer(4, "From the hinge line to the point that has to come up.")] = "",
    rise: Annotated[str, answer(5, "How far that point has to rise.")] = "",
    lifters: Annotated[str, answer(6, "How many lifters: 1 or 2.")] = "",
    apart: Annotated[str, answer(6, "How far apart they stand.")] = "",
    strokes_per_inch: Annotated[str, answer(6, "Pump strokes for one inch (si: 25 mm) of ram.")] = "",
    follows: Annotated[str, answer(7, "What follows the load.", "--with")] = "",
    hinge_to_struts: Annotated[str, answer(7, "From the hinge line to that.")] = "",
    people: Annotated[str, answer(8, "How many people, the leader among them.")] = "",
    strokes: Annotated[str, answer(9, "Strokes a call.")] = "",
    gap: Annotated[str, answer(9, "The largest gap at which you still call.")] = "",
    units: Annotated[str, typer.Option(help="us or si (default us).", show_default=False)] = "",
    enter: Annotated[bool, typer.Option("--enter", help="Ask nothing: Enter at every question left open.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    and_run: Annotated[bool | None, typer.Option("--run/--no-run", help="Run it then.", show_default=False)] = None,
    out: Runs = Path("runs"),
) -> None:
    """Answer nine questions; get a short scenario, what it will take, and what was assumed."""
    from reports import ask_terminal

    said = {**locals(), "with": follows}
    given = {key: said[key] for key in ask_terminal.OPTIONS if said[key]}
    file = file or Path("my-lift.toml")
    if units not in ("", "us", "si"):
        fail(f'--units: "{units}" is not known', 'write "us" or "si"')
    if file.exists() and not force:
        fail(f"{file}: is there already", "name another file, or add --force to write over it")
    text = ask_terminal.ask(file, given, units or None, enter)
    write_file(file, text, force)
    ask_terminal.forget(file)
    scenario = read(file, "")
    from sim.measures import measure

    ask_terminal.show_asked(file, scenario, measure(tell_lift(scenario, 0, 0, fixed=True)), console())
    if and_run or (and_run is None and not enter and ask_terminal.wants_run()):
        run(file, out=out)
    else:
        tell(f"next: liftcadence check {quoted(file)}, then liftcadence run {quoted(file)}")


@app.command()
def new(
    file: Annotated[
        Path | None, typer.Argument(metavar="FILE", help="The scenario to write.", show_default=False)
    ] = None,
    units: Annotated[str, typer.Option(help="us or si.")] = "us",
    schema: Annotated[bool, typer.Option("--schema", help="Print the JSON schema for editors instead.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write a full commented scenario to start from; it runs as it is."""
    from sim.examples import STARTS, example

    if schema:
        from sim.written.tables import schema as schema_of_scenarios

        print_json(schema_of_scenarios())
        return
    if file is None:
        fail("FILE: no file named", 'write, for example, "liftcadence new my-lift.toml"')
    if units not in STARTS:
        fail(f'--units: "{units}" is not known', f"write {' or '.join(STARTS)}")
    write_file(file, example(STARTS[units]), force)
    tell(f"{file} written; next: liftcadence check {quoted(file)}, then liftcadence run {quoted(file)}")


@app.command()
def check(
    file: ScenarioFile,
    variant: VariantName = "",
    as_json: AsJson = False,
    page: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the calculation sheet (HTML).")] = None,
    expand: Annotated[bool, typer.Option("--expand", help="Print the full form of a short scenario instead.")] = False,
) -> None:
    """Validate a scenario; show who carries what, and what the lift will take, before anyone pumps."""
    scenario = read_or_say_as_json(file, variant) if as_json else read(file, variant)
    if expand:
        from sim.short import expand as full_form

        print(full_form(scenario.text, file.name), end="")
        return
    from sim.check import check as check_sheet

    sheet = check_sheet(scenario)
    if page is not None:
        from reports.sheet import write_sheet

        write_file(page, write_sheet(sheet, scenario), force=True)
        tell(f"{page} written")
    if as_json:
        print_json(sheet.as_json())
    else:
        from reports.check_terminal import show

        show(sheet, console())
    if any(finding.level == "stop" for finding in sheet.findings):
        raise typer.Exit(NOT_RAISED)


@app.command()
def run(
    file: ScenarioFile,
    variant: VariantName = "",
    seed: Seed = 0,
    replication: Annotated[int, typer.Option(min=0, max=2**32, help="Which of the seed's lifts.")] = 0,
    fixed: Annotated[bool, typer.Option("--fixed", help="Everyone at mean times, no chance.")] = False,
    as_json: AsJson = False,
    out: Runs = Path("runs"),
    no_page: Annotated[bool, typer.Option("--no-page", help="Leave the report page out.")] = False,
    captions: Annotated[Path | None, typer.Option(metavar="FILE", help="Write calls and holds as WebVTT.")] = None,
    audio: Annotated[Path | None, typer.Option(metavar="FILE", help="Write a call track (WAV).")] = None,
    pictures: Annotated[Path | None, typer.Option(metavar="DIR", help="Write pictures for slides there.")] = None,
    size: PictureSize = "1600x900",
) -> None:
    """Tell one lift, stroke by stroke: summary, stored run, report."""
    record = tell_lift(read(file, variant), seed, replication, fixed)
    lift, folder = store_run(record, out, page=not no_page)
    write_extras(record, captions, audio, pictures, size)
    if as_json:
        print_json(lift.summary)
    else:
        show_run(lift)
    tell(f"stored in {folder}" + ("" if no_page else f"; open {folder / 'report.html'}"))
    if record.outcome != "raised":
        raise typer.Exit(NOT_RAISED)


@app.command()
def compare(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILE...", help="A scenario with variants, or several scenarios.", show_default=False),
    ],
    n: Annotated[int, typer.Option("-n", min=0, max=10**6, help="Replications of each; 0: a usual number.")] = 0,
    seed: Seed = 0,
    workers: Workers = 0,
    cluster: Cluster = "",
    as_json: AsJson = False,
    out: Runs = Path("runs"),
    no_page: Annotated[bool, typer.Option("--no-page", help="Leave the page out.")] = False,
    pictures: Annotated[Path | None, typer.Option(metavar="DIR", help="Write the picture for slides there.")] = None,
) -> None:
    """Put a scenario and its variants, or several scenarios, side by side on the same people."""
    from reports.compare import label
    from sim.compared import compare as compare_ways

    ways = ways_of(files)
    named = list(ways.items()) if len(files) > 1 else [(label(s), s) for s in ways.values()]
    many = compare_ways(named, n, seed, workers, cluster)
    summaries, folder = compare_and_store(ways, out, page=not no_page, pictures=pictures, many=many)
    if as_json:
        print_json(summaries)
    else:
        from reports.many_compared import show_many
        from reports.terminal import show_comparison

        units = named[0][1].units
        console().print("Everyone at their mean times:", style="bold")
        show_comparison(summaries, units, console())
        show_many(many, units, console())
    tell(f"stored in {folder}" + ("" if no_page else f"; open {folder / 'compare.html'}"))


@app.command()
def study(
    file: ScenarioFile,
    n: Annotated[int, typer.Option("-n", min=1, max=10**8, help="How many replications.")] = 10_000,
    within: Annotated[
        float, typer.Option(min=0, max=0.5, help="Half-width wanted for the chance of a gap: a pilot fixes -n.")
    ] = 0.0,
    variant: VariantName = "",
    seed: Seed = 0,
    crew_sd: Annotated[
        float | None,
        typer.Option(min=0, max=1, help="How much people differ: sd of each one's factor.", show_default=False),
    ] = None,
    workers: Workers = 0,
    cluster: Cluster = "",
    resume: Annotated[bool, typer.Option("--resume", help="Go on from the blocks of an interrupted study.")] = False,
    no_help: Annotated[bool, typer.Option("--no-changes", help="Do not ask what would help.")] = False,
    as_json: AsJson = False,
    out: Runs = Path("runs"),
    no_page: Annotated[bool, typer.Option("--no-page", help="Leave the page out.")] = False,
) -> None:
    """Many lifts: distributions with honest intervals, chances, who is waited for, what would help."""
    scenario = read(file, variant)
    from reports.studied import progress_bar, store_study
    from sim.blocks import folder_for
    from sim.study import size_for
    from sim.study import study as study_lift

    if within > 0:
        with progress_bar("pilot lifts") as progress:
            n = size_for(scenario, seed, within, workers, progress)
        tell(f"a pilot fixed it at {n:,} lifts")
    folder = folder_for(scenario, seed, out, resume)
    with progress_bar("lifts") as progress:
        found = study_lift(
            scenario, n, seed, workers=workers, cluster=cluster, folder=folder, crew_sd=crew_sd, helps=not no_help,
            progress=progress,
        )  # fmt: skip
    stored = store_study(found, str(file), out, page=not no_page)
    if as_json:
        print_json(found.as_json())
    else:
        from reports.study_terminal import show_study

        show_study(found, console(), str(file))
    tell(f"stored in {stored}" + ("" if no_page else f"; open {stored / 'study.html'}"))
    if found.n < found.wanted:
        tell(f"stopped: {found.n} of {found.wanted} were finished; the same command with --resume goes on from there")
        raise typer.Exit(INTERRUPTED)
    folder_for(scenario, seed, out, resume=False)


@app.command()
def cadence(
    file: ScenarioFile,
    risk: Annotated[float, typer.Option(min=0.0001, max=0.5, help="The chance that may remain.")] = 0.05,
    variant: VariantName = "",
    seed: Seed = 0,
    workers: Workers = 0,
    cluster: Cluster = "",
    resume: Annotated[bool, typer.Option("--resume", help="Go on from the blocks of an interrupted one.")] = False,
    as_json: AsJson = False,
    out: Runs = Path("runs"),
    no_page: Annotated[bool, typer.Option("--no-page", help="Leave the page out.")] = False,
) -> None:
    """Find the fastest pace and gap limit that this crew can keep within the limits."""
    scenario = read(file, variant)
    from reports.studied import progress_bar, store_cadence
    from sim.blocks import folder_for
    from sim.cadence import cadence as find_cadence

    folder = folder_for(scenario, seed, out, resume, "cadence")
    with progress_bar("lifts") as progress:
        found = find_cadence(scenario, risk, seed, workers=workers, cluster=cluster, folder=folder, progress=progress)
    stored = store_cadence(found, out, page=not no_page)
    if as_json:
        print_json(found.as_json())
    else:
        from reports.study_terminal import show_cadence

        show_cadence(found, console())
    tell(f"stored in {stored}" + ("" if no_page else f"; open {stored / 'cadence.html'}"))
    if len(found.ways) < found.wanted:
        tell(f"stopped: {len(found.ways)} of {found.wanted} ways were tried; the same command with --resume goes on")
        raise typer.Exit(INTERRUPTED)
    folder_for(scenario, seed, out, resume=False, what="cadence")


@app.command()
def rehearse(
    file: ScenarioFile,
    variant: VariantName = "",
    seed: Seed = 0,
    speed: Annotated[float, typer.Option(min=0.25, max=4, help="So many times as fast as life.")] = 1.0,
    help_level: Annotated[str, typer.Option(metavar="LEVEL", help="numbers, drawing or voices.")] = "numbers",
    surprises: Annotated[bool, typer.Option("--surprises", help="Things go wrong, by seed, unannounced.")] = False,
    host: Annotated[str, typer.Option(metavar="ADDR", help="Listen there, for a training room.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="0: any that is free.")] = 0,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Only print the address.")] = False,
    out: Runs = Path("runs"),
) -> None:
    """Lead a lift yourself, in the browser: you call, the crew answers."""
    from reports.live.page import HELP_LEVELS

    if help_level not in HELP_LEVELS:
        fail(f'--help-level: "{help_level}" is not known', f"write {', '.join(HELP_LEVELS)}")
    scenario = read(file, variant)
    from reports.live.start import Settings, rehearse_in_browser

    settings = Settings(seed, speed, help_level, surprises, host, port, not no_browser, out)
    try:
        summary = rehearse_in_browser(scenario, settings, tell)
    except OSError as error:
        fail(f"{host}:{port}: cannot listen there: {error.strerror or error}", "name another --host or --port")
    if not summary:
        raise typer.Exit(INTERRUPTED)


@app.command(no_args_is_help=True)
def debrief(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="LOG... FILE", help="Drill logs (CSV), then the scenario.", show_default=False),
    ],
    timer: Annotated[bool, typer.Option("--timer", help="Write the observer's timer page for FILE instead.")] = False,
    variant: VariantName = "",
    one_drill: Annotated[
        bool, typer.Option("--one-drill", help="The logs are of one drill, by several people.")
    ] = False,
    write: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the scenario with the crew's own times there.")
    ] = None,
    page: Annotated[Path | None, typer.Option(metavar="FILE", help="With --timer: where to write it (HTML).")] = None,
    quick: Annotated[bool, typer.Option("--quick", help="Leave out the plan's lifts and the cadence.")] = False,
    seed: Seed = 0,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    as_json: AsJson = False,
    out: Runs = Path("runs"),
    no_page: Annotated[bool, typer.Option("--no-page", help="Leave the page out.")] = False,
) -> None:
    """How a drill really went: measured, set against the plan; the crew's own times."""
    *logs, file = files
    if timer:
        if logs:
            fail("--timer: takes the scenario alone", f"liftcadence debrief --timer {quoted(file)}")
        from reports.timer import write_timer

        target = page or Path(f"{file.stem}-timer.html")
        write_file(target, write_timer(read(file, variant)), force)
        tell(f"{target} written; send it to the observer's phone and open it there: it needs no network")
        return
    if not logs:
        fail(f"{file}: no drill log named before it", f"liftcadence debrief my-drill.csv {quoted(file)}")
    scenario = read(file, variant)
    from reports.debriefed import read_and_debrief, store_debrief

    found = read_and_debrief(logs, scenario, file.name, one_drill, not quick, seed)
    if write is not None:
        from sim.drill.debriefed import text_with_crew

        write_file(write, text_with_crew(found), force)
        tell(f"{write} written, with {len(found.crew.fitted)} of the crew's own times in it")
    stored = store_debrief(found, logs, out, page=not no_page)
    if as_json:
        print_json(found.as_json())
    else:
        from reports.debrief_terminal import show_debrief

        show_debrief(found, console())
    tell(f"stored in {stored}" + ("" if no_page else f"; open {stored / 'report.html'}"))


@app.command()
def demo(out: Runs = Path("runs")) -> None:
    """Run the main job on a scenario that ships: a trailer nose, raised off a kerb block."""
    from sim.examples import example
    from sim.reading import parse

    scenario = parse(example("trailer"), "trailer.toml")
    lift, folder = store_run(tell_lift(scenario, seed=0, replication=0, fixed=False), out, page=True)
    show_run(lift)
    console().print()
    from reports.terminal import show_comparison

    summaries, compared = compare_and_store(with_variants(scenario), out, page=True)
    show_comparison(summaries, scenario.units, console())
    tell(f"\nthe lift, stroke by stroke:  open {folder / 'report.html'}")
    tell(f"side by side:                open {compared / 'compare.html'}")
    tell('another that ships: "sim/examples/van.toml", a van whose rear axle has gone through a drain cover')


@app.command()
def lesson(
    name: Annotated[str, typer.Argument(metavar="[NAME]", help='A lesson, or "all"; none lists them.')] = "",
    scenario_file: Annotated[
        Path | None, typer.Option("--scenario", metavar="FILE", help="Your own lift; else the trailer.")
    ] = None,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Where to write it.")] = Path("lessons"),
    units: Annotated[str | None, typer.Option(help="us or si; else the scenario's.")] = None,
    pictures: Annotated[bool, typer.Option("--pictures", help="Write pictures for slides too.")] = False,
    answers: Annotated[bool, typer.Option("--answers", help="With the page of worked answers.")] = False,
    seed: Annotated[int, typer.Option(min=0, help="Roll the questions' numbers again.")] = 0,
) -> None:
    """Write a lesson: a page to put before a class, with questions; NAME none lists them, "all" is a booklet."""
    if not name:
        list_lessons()
        return
    if units not in (None, "us", "si"):
        fail(f'--units: "{units}" is not known', "write us or si")
    from reports.lesson import write_booklet, write_lesson, write_lesson_pictures
    from sim.lessons import LESSONS

    scenario = read(scenario_file, "") if scenario_file else None
    if name == "all":
        page = write_booklet(scenario, units, answers=answers, seed=seed)
    else:
        page = write_lesson(name, scenario, units, answers=answers, seed=seed)
    out.mkdir(parents=True, exist_ok=True)
    target = out / f"{'lessons' if name == 'all' else name}.html"
    write_file(target, page, force=True)
    tell(f"{target} written")
    for one in (LESSONS if name == "all" else [name]) if pictures else []:
        for picture in write_lesson_pictures(one, scenario, out, units):
            tell(f"{picture} written")


def list_lessons() -> None:
    """The lessons, a line each."""
    from rich.table import Table

    from sim.lessons import LESSONS

    table = Table.grid(padding=(0, 2))
    for one in LESSONS.values():
        table.add_row(str(one.number), one.name, one.aim)
    console().print(table)


# --- what is stored


@runs_app.callback(invoke_without_command=True)
def runs_list(context: typer.Context, as_json: AsJson = False, out: Runs = Path("runs")) -> None:
    """What is stored: list (a line each), show, open, call sheet, pictures."""
    if context.invoked_subcommand is not None:
        return
    from reports.runs_list import show_runs
    from sim.store import stored

    found = list(stored(out))
    if as_json:
        print_json([{"path": str(s.path), "trouble": s.trouble, "summary": s.summary} for s in found])
    else:
        show_runs(found, console())


RunName = Annotated[str, typer.Argument(metavar="RUN", help='Part of its name, or "last".')]


@runs_app.command("show")
def runs_show(name: RunName = "last", as_json: AsJson = False, out: Runs = Path("runs")) -> None:
    """Show one stored run's summary again."""
    stored = find_run(name, out)
    if as_json:
        print_json(stored.summary)
        return
    if "said" in stored.summary:  # a study, a cadence or a comparison
        for line in (stored.summary["title"], *stored.summary["said"]):
            console().print(line, markup=False)
        return
    stored, scenario = stored_run(name, out)
    from reports.terminal import show_lift

    show_lift(stored.summary, scenario, console())


@runs_app.command("open")
def runs_open(name: RunName = "last", out: Runs = Path("runs")) -> None:
    """Open a stored run's page in the browser."""
    import webbrowser

    stored = find_run(name, out)
    pages = sorted(stored.path.glob("*.html"))
    if not pages:
        fail(f"{stored.path}: holds no page", "it was stored with --no-page; run the scenario again without it")
    if not webbrowser.open(pages[-1].resolve().as_uri()):
        tell(f"no browser here; open {pages[-1]}")


@runs_app.command("sheet")
def runs_sheet(
    name: RunName = "last",
    page: Annotated[Path | None, typer.Option(metavar="FILE", help="Where to write it (HTML).")] = None,
    out: Runs = Path("runs"),
) -> None:
    """Write the call sheet of a stored run: one page for the pocket."""
    from reports.call_sheet import sheet

    stored, scenario = stored_run(name, out)
    target = page or stored.path / "call-sheet.html"
    write_file(target, sheet(told_again(stored, scenario)), force=True)
    tell(f"{target} written; it prints on one page")


@runs_app.command("pictures")
def runs_pictures(
    name: Annotated[str, typer.Argument(metavar="RUN")],
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where to write them.")],
    size: PictureSize = "1600x900",
    out: Runs = Path("runs"),
) -> None:
    """Write pictures of a stored run for slides: PNG, SVG, PDF, and the numbers as CSV."""
    stored, scenario = stored_run(name, out)
    write_extras(told_again(stored, scenario), None, None, folder, size)


# --- shared by the commands


def read_or_say_as_json(file: Path, variant: str) -> Scenario:
    """The scenario; or what is wrong with it, for a machine too."""
    from dataclasses import asdict

    from sim.errors import ScenarioError

    try:
        return read(file, variant)
    except ScenarioError as wrong:
        print_json({"valid": False, "problems": [asdict(problem) for problem in wrong.problems]})
        raise


def read(file: Path, variant: str) -> Scenario:
    """The scenario, or every problem with it and exit 2."""
    from sim.reading import read as read_scenario

    return read_scenario(file, variant)


def tell_lift(scenario: Scenario, seed: int, replication: int, fixed: bool) -> Record:
    """One lift."""
    from sim.lift import tell as tell_with_chance
    from sim.lift import tell_fixed

    return tell_fixed(scenario) if fixed else tell_with_chance(scenario, seed, replication)


def told_again(stored: Any, scenario: Scenario) -> Record:
    """A stored lift, told again from its scenario and seed; a rehearsal, which no seed tells again, from its events."""
    summary = stored.summary
    if summary.get("kind") == "rehearsal":
        from sim.store import record_of

        return record_of(stored, scenario)
    return tell_lift(scenario, summary["seed"], summary["replication"], summary["fixed_values"])


def store_run(record: Record, out: Path, page: bool) -> tuple[Told, Path]:
    """Measure and check a lift and store it whole: scenario, events, summary, page."""
    from reports.stored import run_files, told
    from sim.store import save

    lift = told(record)
    scenario = record.scenario
    title = f"{scenario.title} {scenario.variant}" if scenario.variant else scenario.title
    return lift, save(title, run_files(lift, page), out)


def ways_of(files: list[Path]) -> dict[str, Scenario]:
    """What is put side by side: a scenario and its variants, or several scenarios by the names of their files."""
    if len(files) == 1:
        return with_variants(read(files[0], ""))
    names = [file.stem for file in files]
    ways = {stem if names.count(stem) == 1 else str(f): read(f, "") for stem, f in zip(names, files, strict=True)}
    if len(ways) < len(files):
        fail("FILE...: the same file is named twice", "name each scenario once")
    return ways


def with_variants(scenario: Scenario) -> dict[str, Scenario]:
    """A scenario and its variants by name."""
    from sim.reading import variants

    if not scenario.variants:
        fail(
            f"{scenario.title}: has no [[variant]]",
            "add one, for example: name, replace = {...} or leader = {...}; or name several scenarios",
        )
    return {s.variant or "as written": s for s in (scenario, *variants(scenario))}


def compare_and_store(
    ways: dict[str, Scenario], out: Path, page: bool, pictures: Path | None = None, many: Compared | None = None
) -> tuple[dict[str, dict[str, Any]], Path]:
    """Tell every way at mean values; measure them and store them, with the page and pictures."""
    from reports.stored import compare_files
    from sim.lift import tell_fixed
    from sim.store import save

    records = {name: tell_fixed(s) for name, s in ways.items()}
    first = next(iter(ways.values()))
    if pictures is not None:
        from reports.pictures import write_compare_pictures

        several = () if first.variants and len({s.text for s in ways.values()}) == 1 else tuple(ways)
        for picture in write_compare_pictures(list(records.values()), pictures, names=several):
            tell(f"{picture} written")
    summaries, files = compare_files(list(records.items()), page, many)
    return summaries, save(f"{first.title} compared", files, out)


def show_run(lift: Told) -> None:
    """The lift on the terminal, with the stops and cautions of its check on top."""
    from reports.check_terminal import show_findings
    from reports.terminal import show_lift

    show_findings(lift.sheet, console())
    show_lift(lift.summary, lift.record.scenario, console())


def write_extras(record: Record, captions: Path | None, audio: Path | None, pictures: Path | None, size: str) -> None:
    """What else a run can be written as."""
    if captions is not None:
        from reports.captions import webvtt

        write_file(captions, webvtt(record), force=True)
        tell(f"{captions} written")
    if audio is not None:
        from reports.captions import wav

        write_file(audio, wav(record), force=True)
        tell(f"{audio} written")
    if pictures is not None:
        from reports.pictures import write_pictures

        for picture in write_pictures(record, pictures, *width_and_height(size)):
            tell(f"{picture} written")


def width_and_height(size: str) -> tuple[int, int]:
    """A picture's size as written, such as 1600x900."""
    width, cross, height = size.lower().partition("x")
    if not (cross and width.isdecimal() and height.isdecimal()):
        fail(f'--size: "{size}" is not a width and a height', "write them in px, such as 1600x900")
    return int(width), int(height)


def find_run(name: str, out: Path) -> Any:
    """A stored run by name."""
    from sim.store import find

    return find(name, out)


def stored_run(name: str, out: Path) -> tuple[Any, Scenario]:
    """A stored lift and its scenario."""
    stored = find_run(name, out)
    if "seed" not in stored.summary:
        fail(f"{stored.path}: is not one lift that can be told again", f"open its page: runs open {stored.path.name}")
    return stored, read(stored.path / "scenario.toml", stored.summary["variant"])


def write_file(file: Path, content: str | bytes, force: bool) -> None:
    """Write a file whole or not at all; never over one that is there unless told to."""
    if file.exists() and not force:
        fail(f"{file}: is there already", "name another file, or add --force to write over it")
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        beside.write_bytes(content.encode() if isinstance(content, str) else content)
        beside.replace(file)
    except OSError as error:
        beside.unlink(missing_ok=True)
        fail(f"{file}: cannot be written: {error.strerror}", "name a file in a folder that you may write to")


def console() -> Console:
    """Where data for people goes."""
    from rich.console import Console

    wide = None if sys.stdout.isatty() or "COLUMNS" in os.environ else 160
    return Console(highlight=False, width=wide)


def tell(words: str) -> None:
    """Words go to stderr."""
    print(words, file=sys.stderr)


def print_json(data: Any) -> None:
    """Data for machines goes to stdout; JSON that every reader takes, without NaN."""
    import json

    print(json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False))


def quoted(file: Path) -> str:
    """A file's name as a shell takes it."""
    import shlex

    return shlex.quote(str(file))


def fail(what: str, hint: str) -> NoReturn:
    """Say what is wrong with the input, and leave."""
    tell(f"error: {what}\n\nhint: {hint}")
    raise typer.Exit(BAD_INPUT)


def main(argv: list[str] | None = None) -> NoReturn:
    """Run a command and leave with its code; no traceback reaches a user."""
    sys.exit(_guarded(lambda: app(argv, standalone_mode=False)))


def _guarded(command: Callable[[], Any]) -> int:
    for stream in (sys.stdout, sys.stderr):  # a name that the terminal cannot show is no reason to fail
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        code = command()
        sys.stdout.flush()
        return code if isinstance(code, int) else 0
    except typer.Exit as left:
        return left.exit_code
    except (KeyboardInterrupt, typer.Abort):
        tell("stopped")
        return INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except SystemExit as left:  # the command line's library leaves with 1 when the pipe at stdout is closed
        return 0 if left.code == 1 else int(left.code or 0)
    except Exception as error:
        if hasattr(error, "show") and hasattr(error, "exit_code"):  # a mistyped command line, with its own words
            error.show()
            return BAD_INPUT
        return _explained(error)


def _explained(error: Exception) -> int:
    """Known errors carry their own text; anything else is a bug of ours, told without a traceback."""
    from sim.errors import KnownError

    if isinstance(error, KnownError):
        tell(str(error))
        return BAD_INPUT
    if os.environ.get("LIFTCADENCE_TRACE"):
        raise error
    tell(
        f"error: a bug of ours: {type(error).__name__}: {error}\n\n"
        "hint: nothing of yours is lost; LIFTCADENCE_TRACE=1 before the command shows where it happened"
    )
    return OUR_BUG


if __name__ == "__main__":
    main()
