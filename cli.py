"""The command line: parse, call, print, exit. No physics here, and nothing heavy at the top."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated, Any, NoReturn

from reports.commands.leaving import INTERRUPTED, NOT_RAISED, leave_after, on_ctrl_c, say

as_usual = on_ctrl_c(lambda *_: os._exit(INTERRUPTED))  # while this file is read there is nothing to clear up
import typer  # noqa: E402
from typer.core import TyperGroup  # noqa: E402


class Commands(TyperGroup):
    """The commands; a Ctrl-C in one of them is answered here, for typer leaves without a word."""

    def invoke(self, ctx: Any) -> Any:
        """Do what was asked."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            say("stopped")
            raise typer.Exit(INTERRUPTED) from None


app = typer.Typer(
    name="liftcadence",
    cls=Commands,
    help="Rehearse, measure and compare heavy lifts: call, pump, capture, hold.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
runs_app = typer.Typer(help="What is stored: list, show, open, call sheet, pictures, pick-up.", rich_markup_mode=None)
app.add_typer(runs_app, name="runs")

Option = typer.Option
ScenarioFile = Annotated[Path, typer.Argument(metavar="FILE", help="A scenario (TOML).", show_default=False)]
ToWrite = typer.Argument(metavar="FILE", help="The scenario to write.", show_default=False)
RunName = Annotated[str, typer.Argument(metavar="RUN", help='Part of its name, or "last".')]
VariantName = Annotated[str, Option("--variant", metavar="NAME", help="One of the scenario's variants.")]
AsJson = Annotated[bool, Option("--json", help="Print JSON for a machine to read.")]
Seed = Annotated[int, Option(min=0, max=2**64 - 1, help="Which crew: the same seed, the same people.")]
PictureSize = Annotated[str, Option("--size", metavar="WxH", help="Of the pictures, in px.")]
Pictures = Annotated[Path | None, Option(metavar="DIR", help="Write pictures for slides there.")]
Runs = Annotated[Path, Option("--out", metavar="DIR", help="Where runs are stored.")]
NoPage = Annotated[bool, Option("--no-page", help="Leave the page out.")]
Force = Annotated[bool, Option("--force", help="Write over a file that is there.")]
Workers = Annotated[int, Option(min=0, max=1024, help="Processes here; 0: one a core.")]
Cluster = Annotated[str, Option(metavar="ADDRESS", help="A dask scheduler, such as tcp://10.0.0.5:8786.")]
Resume = Annotated[bool, Option("--resume", help="Go on from the blocks of an interrupted one.")]
STORED = Path("runs")


def answer(number: int, words: str, *name: str) -> Any:
    """An option that answers one of the questions of `ask`."""
    return Option(*name, metavar="ANSWER", help=f"{number}. {words}", show_default=False)


def leave_with(code: int, unless: bool) -> None:
    """Leave with a code, unless all went as asked."""
    if not unless:
        raise typer.Exit(code)


@app.command()
def ask(
    file: Annotated[Path | None, ToWrite] = None,
    like: Annotated[str, answer(1, "What is raised.")] = "",
    far_end: Annotated[str, answer(2, "Whether the far end stays down: yes or no.")] = "",
    pivot_held: Annotated[str, answer(2, "What keeps that end from moving, such as chocked both ways.")] = "",
    weight: Annotated[str, answer(3, 'Such as "2400 lb at the end" or "5200 lb whole".')] = "",
    weight_from: Annotated[str, answer(3, "How that is known: scale, papers or estimate.")] = "",
    hinge_to_lifters: Annotated[str, answer(4, "From the hinge line to the lifters.")] = "",
    hinge_to_point: Annotated[str, answer(4, "From the hinge line to the point that has to come up.")] = "",
    rise: Annotated[str, answer(5, "How far that point has to rise.")] = "",
    down_again: Annotated[str, answer(5, 'And down again: no, yes, or after how long, such as "10 min".')] = "",
    lifters: Annotated[str, answer(6, "How many lifters: 1 or 2.")] = "",
    apart: Annotated[str, answer(6, "How far apart they stand.")] = "",
    strokes_per_inch: Annotated[str, answer(6, "Pump strokes for one inch (si: 25 mm) of ram.")] = "",
    follows: Annotated[str, answer(7, "What follows the load.", "--with")] = "",
    also: Annotated[str, answer(7, 'What else follows it, such as "cribbing".')] = "",
    hinge_to_struts: Annotated[str, answer(7, "From the hinge line to that.")] = "",
    catchers: Annotated[str, answer(8, "Who works what follows it, such as one a place.")] = "",
    people: Annotated[str, answer(8, "How many people, the leader among them.")] = "",
    strokes: Annotated[str, answer(9, "Strokes a call.")] = "",
    gap: Annotated[str, answer(9, "The largest gap at which you still call.")] = "",
    units: Annotated[str, Option(help="us or si (default us).", show_default=False)] = "",
    enter: Annotated[bool, Option("--enter", help="Ask nothing: Enter at every question left open.")] = False,
    force: Force = False,
    and_run: Annotated[bool | None, Option("--run/--no-run", help="Run it then.", show_default=False)] = None,
    out: Runs = STORED,
) -> None:
    """Answer nine questions; get a short scenario and what it takes."""
    said = {**locals(), "with": follows}
    from reports.commands.write import ask
    from reports.terminal.ask import OPTIONS

    answers = {key: said[key] for key in OPTIONS}
    raised = ask(file or Path("my-lift.toml"), answers, units or None, enter, force, and_run, out)
    leave_with(NOT_RAISED, unless=raised)


@app.command()
def new(
    file: Annotated[Path | None, ToWrite] = None,
    units: Annotated[str, Option(help="us or si.")] = "us",
    schema: Annotated[bool, Option("--schema", help="Print the JSON schema for editors instead.")] = False,
    force: Force = False,
) -> None:
    """Write a full commented scenario to start from; it runs as it is."""
    from reports.commands.write import new, print_schema

    if schema:
        print_schema()
    else:
        new(file, units, force)


@app.command()
def check(
    file: ScenarioFile,
    variant: VariantName = "",
    as_json: AsJson = False,
    page: Annotated[Path | None, Option(metavar="FILE", help="Write the calculation sheet (HTML).")] = None,
    expand: Annotated[bool, Option("--expand", help="Print the full form of a short scenario instead.")] = False,
) -> None:
    """Validate a scenario; show who carries what, before anyone pumps."""
    from reports.commands.check import check, print_full_form

    if expand:
        print_full_form(file, variant, as_json)
    else:
        leave_with(NOT_RAISED, unless=check(file, variant, as_json, page))


@app.command()
def run(
    file: ScenarioFile,
    variant: VariantName = "",
    seed: Seed = 0,
    replication: Annotated[int, Option(min=0, max=2**32, help="Which of the seed's lifts.")] = 0,
    fixed: Annotated[bool, Option("--fixed", help="Everyone at mean times, no chance.")] = False,
    as_json: AsJson = False,
    out: Runs = STORED,
    no_page: NoPage = False,
    captions: Annotated[Path | None, Option(metavar="FILE", help="Write calls and holds as WebVTT.")] = None,
    audio: Annotated[Path | None, Option(metavar="FILE", help="Write a call track (WAV).")] = None,
    pictures: Pictures = None,
    size: PictureSize = "1600x900",
) -> None:
    """Simulate one lift, stroke by stroke: summary, stored run, report."""
    from reports.commands.lift import Extras, run

    extras = Extras(captions, audio, pictures, size)
    leave_with(NOT_RAISED, unless=run(file, variant, seed, replication, fixed, as_json, out, not no_page, extras))


@app.command()
def compare(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILE...", help="A scenario with variants, or several scenarios.", show_default=False),
    ],
    n: Annotated[int, Option("-n", min=0, max=10**6, help="Lifts of each; 0: a usual number.")] = 0,
    seed: Seed = 0,
    workers: Workers = 0,
    cluster: Cluster = "",
    as_json: AsJson = False,
    out: Runs = STORED,
    no_page: NoPage = False,
    pictures: Pictures = None,
    resume: Resume = False,
) -> None:
    """Put variants, or scenarios, side by side on the same people."""
    from reports.commands.compare import compare

    compare(files, n, seed, workers, cluster, as_json, out, not no_page, pictures, resume)


@app.command()
def study(
    file: ScenarioFile,
    n: Annotated[int, Option("-n", min=1, max=10**6, help="How many lifts.")] = 10_000,
    within: Annotated[
        float, Option(min=0, max=0.5, help="Half-width wanted for the chance of a gap: a pilot fixes -n.")
    ] = 0.0,
    variant: VariantName = "",
    seed: Seed = 0,
    crew_sd: Annotated[
        float | None, Option(min=0, max=1, help="How much people differ: sd of each one's factor.", show_default=False)
    ] = None,
    workers: Workers = 0,
    cluster: Cluster = "",
    resume: Resume = False,
    no_help: Annotated[bool, Option("--no-changes", help="Do not ask what would help.")] = False,
    as_json: AsJson = False,
    out: Runs = STORED,
    no_page: NoPage = False,
) -> None:
    """Many lifts: how times and gaps spread, and what would help."""
    from reports.commands.many import Options, study

    options = Options(seed, workers, cluster, resume, as_json, out, not no_page)
    leave_with(INTERRUPTED, unless=study(file, n, within, variant, crew_sd, not no_help, options))


@app.command()
def cadence(
    file: ScenarioFile,
    risk: Annotated[float, Option(min=0.0001, max=0.5, help="The chance that may remain.")] = 0.05,
    looser: Annotated[bool, Option("--looser", help="Also gap limits over the file's own.")] = False,
    variant: VariantName = "",
    seed: Seed = 0,
    workers: Workers = 0,
    cluster: Cluster = "",
    resume: Resume = False,
    as_json: AsJson = False,
    out: Runs = STORED,
    no_page: NoPage = False,
) -> None:
    """Find the fastest cadence that this crew can keep in the limits."""
    from reports.commands.many import Options, cadence

    options = Options(seed, workers, cluster, resume, as_json, out, not no_page)
    leave_with(INTERRUPTED, unless=cadence(file, risk, looser, variant, options))


@app.command()
def rehearse(
    file: ScenarioFile,
    variant: VariantName = "",
    seed: Seed = 0,
    speed: Annotated[float, Option(min=0.25, max=4, help="So many times as fast as life.")] = 1.0,
    help_level: Annotated[str, Option(metavar="LEVEL", help="numbers, drawing or voices.")] = "numbers",
    surprises: Annotated[bool, Option("--surprises", help="Things go wrong, by seed, unannounced.")] = False,
    host: Annotated[str, Option(metavar="ADDR", help="Listen there; 0.0.0.0 for a training room.")] = "127.0.0.1",
    port: Annotated[int, Option(min=0, max=65535, help="0: any that is free.")] = 0,
    no_browser: Annotated[bool, Option("--no-browser", help="Only print the address.")] = False,
    out: Runs = STORED,
) -> None:
    """Lead a lift yourself in the browser: you call, they answer."""
    from reports.commands.rehearse import rehearse
    from reports.live.start import Settings

    settings = Settings(seed, speed, help_level, surprises, host, port, not no_browser, out)
    leave_with(INTERRUPTED, unless=rehearse(file, variant, settings))


@app.command(no_args_is_help=True)
def debrief(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="LOG... FILE", help="Drill logs (CSV), then the scenario.", show_default=False),
    ],
    timer: Annotated[bool, Option("--timer", help="Write the observer's timer page for FILE instead.")] = False,
    variant: VariantName = "",
    one_drill: Annotated[bool, Option("--one-drill", help="The logs are of one drill, by several people.")] = False,
    write: Annotated[
        Path | None, Option(metavar="FILE", help="Write the scenario with the crew's own times there.")
    ] = None,
    page: Annotated[Path | None, Option(metavar="FILE", help="With --timer: where to write it (HTML).")] = None,
    quick: Annotated[bool, Option("--quick", help="Leave out the plan's lifts and the cadence.")] = False,
    seed: Seed = 0,
    force: Force = False,
    as_json: AsJson = False,
    out: Runs = STORED,
    no_page: NoPage = False,
) -> None:
    """Measure how a drill really went; learn the crew's own times."""
    from reports.commands.debrief import debrief, write_timer_page

    if timer:
        write_timer_page(files, variant, page, force)
    else:
        debrief(files, variant, one_drill, not quick, seed, write, force, as_json, out, not no_page)


@app.command()
def desk(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the plans are.")] = Path(),
    port: Annotated[int, Option(min=0, max=65535, help="Where it listens on this machine.")] = 4747,
    no_browser: Annotated[bool, Option("--no-browser", help="Only print the address.")] = False,
) -> None:
    """Make, look at and try plans in the browser, saved as you go."""
    from reports.commands.desk import desk

    desk(folder, port, not no_browser)


@app.command()
def demo(out: Runs = STORED) -> None:
    """Run the main job on a scenario that ships: a trailer's nose."""
    from reports.commands.demo import demo

    demo(out)


@app.command()
def lesson(
    name: Annotated[str, typer.Argument(metavar="NAME", help='A lesson, or "all"; none lists them.')] = "",
    scenario: Annotated[Path | None, Option(metavar="FILE", help="Your own lift; else the trailer.")] = None,
    out: Annotated[Path, Option(metavar="DIR", help="Where to write it.")] = Path("lessons"),
    units: Annotated[str | None, Option(help="us or si; else the scenario's.")] = None,
    pictures: Annotated[bool, Option("--pictures", help="Write pictures for slides too.")] = False,
    answers: Annotated[bool, Option("--answers", help="With worked answers and the instructor's page.")] = False,
    seed: Annotated[int, Option(min=0, help="Another question set.")] = 0,
    texts: Annotated[Path | None, Option(metavar="DIR", help="Your own words: Markdown files, a part each.")] = None,
    write_texts: Annotated[Path | None, Option(metavar="DIR", help="Write our words there, to begin from.")] = None,
    docx: Annotated[bool, Option("--docx", help="An editable document (Word) too.")] = False,
    notebook: Annotated[bool, Option("--notebook", help="A Jupyter notebook too.")] = False,
) -> None:
    """Write a lesson to put before a class; without NAME, list them."""
    from reports.commands.lesson import lesson, list_lessons
    from reports.commands.lesson import write_texts as write_our_texts

    if name and write_texts:
        write_our_texts(name, scenario, write_texts)
    elif name:
        lesson(name, scenario, out, units, pictures, answers, seed, texts, docx, notebook)
    else:
        list_lessons()


# --- what is stored


@runs_app.callback(invoke_without_command=True)
def runs_list(context: typer.Context, as_json: AsJson = False, out: Runs = STORED) -> None:
    """What is stored: list (a line each), show, open, call sheet, pictures, pick-up."""
    if context.invoked_subcommand is None:
        from reports.commands.runs import list_runs

        list_runs(as_json, out)
    else:  # `runs --out DIR show` is `runs show --out DIR`
        context.default_map = {context.invoked_subcommand: {"out": str(out), "as_json": as_json}}


@runs_app.command("show")
def runs_show(name: RunName = "last", as_json: AsJson = False, out: Runs = STORED) -> None:
    """Show one stored run's summary again."""
    from reports.commands.runs import show_run

    show_run(name, as_json, out)


@runs_app.command("open")
def runs_open(name: RunName = "last", out: Runs = STORED) -> None:
    """Open a stored run's page in the browser."""
    from reports.commands.runs import open_run

    open_run(name, out)


@runs_app.command("sheet")
def runs_sheet(
    name: RunName = "last",
    page: Annotated[Path | None, Option(metavar="FILE", help="Where to write it (HTML).")] = None,
    out: Runs = STORED,
) -> None:
    """Write the call sheet of a stored run: one page for the pocket."""
    from reports.commands.runs import write_call_sheet

    write_call_sheet(name, page, out)


@runs_app.command("pictures")
def runs_pictures(
    name: Annotated[str, typer.Argument(metavar="RUN")],
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where to write them.")],
    size: PictureSize = "1600x900",
    out: Runs = STORED,
) -> None:
    """Write pictures of a stored run for slides: PNG, SVG, PDF, and the numbers as CSV."""
    from reports.commands.runs import write_run_pictures

    write_run_pictures(name, folder, size, out)


@runs_app.command("pick-up")
def runs_pick_up(out: Runs = STORED) -> None:
    """Store what was run of a rehearsal whose program was killed."""
    from reports.commands.runs import pick_up_rehearsals

    pick_up_rehearsals(out)


def main(argv: list[str] | None = None) -> NoReturn:
    """Run a command and leave with its code; no traceback reaches a user."""
    leave_after(lambda: app(argv, standalone_mode=False), for_good=argv is None)


on_ctrl_c(as_usual)

if __name__ == "__main__":
    main()
