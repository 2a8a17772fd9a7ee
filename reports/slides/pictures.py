"""Pictures for slides: the charts as PNG, SVG and PDF at a given size, and beside each a CSV of what it shows.

Drawn by kaleido in an installed Chrome or Chromium.
"""

from __future__ import annotations

import asyncio
import csv
import io
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from reports.lift.gaps import gap_figure
from reports.lift.lanes import Lanes, lanes_of
from reports.lift.pressed import pressed
from reports.lift.timeline import timeline_figure, top_of
from reports.many.compare import compare_figure, label, path_of, sentences
from reports.paper.figures import Figure, as_text, finished
from reports.slides.drawing import PictureError, could_not_draw, write_drawing
from reports.views.stands import pressed_time
from reports.words.answer import answer
from reports.words.sheet_sides import Said
from reports.words.stops import do_not, stops_of
from sim.model.units import Units
from sim.model.visible import guarded
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.stored.whole import write_whole

Cell = str | float | None
Rows = Sequence[Sequence[Cell]]
FORMATS = ("png", "svg", "pdf")
LEAST = (320, 240)
MOST = 8000  # px, either way
BELOW_PX = 56  # for the key
LEAST_LANE_PX, ROLE_LANE_PX = 15, 29  # a lane with its name; with its name and what the person is at


def write_pictures(
    record: Record, folder: Path | str, width: int = 1600, height: int = 900, formats: Sequence[str] = FORMATS
) -> list[Path]:
    """Timeline, gap chart and drawing of one lift.

    Parameters
    ----------
    record : Record
        The lift.
    folder : Path or str
        Where they go; made if it is not there.
    width, height : int
        Of each picture [px]; a PDF has as many points.
    formats : sequence of str
        Of `FORMATS`.

    Returns
    -------
    list of Path
        What was written, each chart's CSV included.

    Raises
    ------
    PictureError
        No browser that could draw, a size or a format that cannot be.
    """
    lanes = lanes_of(record)
    scenario = record.scenario
    heading = _heading(scenario.title, scenario.variant, answer(measure(record), scenario), width, stops_of(scenario))
    time = pressed_time(record)  # a long stand squeezes nothing here either
    timeline = _titled(pressed(timeline_figure(record, lanes), time), heading)
    _fit_lanes(timeline, lanes, height, heading)
    charts = {"timeline": timeline, "gaps": _titled(pressed(gap_figure(record), time), heading)}
    tables = {"timeline": timeline_table(lanes), "gaps": gap_table(record)}
    _refuse(width, height, formats)
    Path(folder).mkdir(parents=True, exist_ok=True)
    drawing = write_drawing(record, Path(folder), width, height, formats, find_browser())  # its SVG needs no browser
    return drawing + write_charts(charts, tables, Path(folder), scenario.units, width, height, formats)


def write_compare_pictures(
    records: Sequence[Record],
    folder: Path | str,
    width: int = 1600,
    height: int = 900,
    formats: Sequence[str] = FORMATS,
    names: Sequence[str] = (),
) -> list[Path]:
    """The gap against the rise of a scenario and its variants; see `write_pictures`."""
    scenario = records[0].scenario
    names = names or [label(record.scenario) for record in records]
    said = sentences(names, [measure(record) for record in records], scenario.units)[0]
    figure = _titled(
        compare_figure(records, names),
        _heading(scenario.title, "", said, width, stops_of(*(r.scenario for r in records))),
    )
    return write_charts(
        {"compare": figure},
        {"compare": compare_table(records, names)},
        Path(folder),
        scenario.units,
        width,
        height,
        formats,
    )


def find_browser() -> str:
    """Where Chrome or Chromium is; "" where there is none."""
    from choreographer.browsers.chromium import Chromium

    return str(Chromium.find_browser(skip_local=False) or "")


def browser_to_draw_with() -> str:
    """Where Chrome or Chromium is.

    Raises
    ------
    PictureError
        There is none.
    """
    browser = find_browser()
    if not browser:
        raise PictureError(
            "no Chrome or Chromium was found, and it draws the timeline and the gap chart",
            "install one (Debian, Ubuntu: apt install chromium), or set BROWSER_PATH to it; "
            "the SVG of the drawing needs none",
        )
    return browser


def _refuse(width: int, height: int, formats: Sequence[str]) -> None:
    unknown = [each for each in formats if each not in FORMATS]
    if unknown:
        raise PictureError(f'"{unknown[0]}" is not a kind of picture that can be made', f"one of {', '.join(FORMATS)}")
    if not (LEAST[0] <= width <= MOST and LEAST[1] <= height <= MOST):
        raise PictureError(
            f"a picture of {width} by {height} px cannot be made",
            f"from {LEAST[0]} by {LEAST[1]} to {MOST} by {MOST} px",
        )


def write_charts(
    charts: dict[str, Figure], tables: Mapping[str, Rows], folder: Path, units: Units, width: int, height: int,
    formats: Sequence[str], scale: int = 1,
) -> list[Path]:  # fmt: skip
    """Charts by name as pictures, and their tables as CSV beside them; arguments as in `write_pictures`.

    `scale` is how many dots of a PNG there are to a px, so that it is sharp on paper.

    Raises
    ------
    PictureError
        There is no browser to draw with.
    """
    _refuse(width, height, formats)
    from choreographer.errors import BrowserClosedError, BrowserFailedError, ChannelClosedError, DevtoolsProtocolError

    browser = browser_to_draw_with()
    folder.mkdir(parents=True, exist_ok=True)
    jobs = []
    for name, figure in charts.items():
        drawn = _with_heading(finished(figure, units, width, height), figure["layout"]["meta"]["heading"])
        jobs += [(_plain_fills(drawn) if form == "pdf" else drawn, folder / f"{name}.{form}") for form in formats]
    with ThreadPoolExecutor(1) as aside:  # not in a loop that may be running already, as in a notebook
        drawing = aside.submit(asyncio.run, _draw(jobs, browser, width, height, scale))
    try:
        drawing.result()
    except (BrowserClosedError, BrowserFailedError, ChannelClosedError, DevtoolsProtocolError, TimeoutError) as error:
        raise could_not_draw(browser, str(error).partition("\n")[0] or "no picture came") from None
    written = [path for _, path in jobs]
    for name, rows in tables.items():
        written.append(folder / f"{name}.csv")
        write_whole(written[-1], _csv(rows))
    return written


def _csv(rows: Rows) -> str:
    text = io.StringIO(newline="")
    csv.writer(text).writerows([guarded(x) if isinstance(x, str) else x for x in row] for row in rows)
    return text.getvalue()


async def _draw(jobs: Iterable[tuple[Figure, Path]], browser: str, width: int, height: int, scale: int) -> None:
    import kaleido

    async with kaleido.Kaleido(n=1, mathjax=False, path=browser) as artist:
        for figure, path in jobs:
            drawn = await artist.calc_fig(
                figure, opts={"format": path.suffix[1:], "width": width, "height": height, "scale": scale}
            )
            write_whole(path, drawn)


# --- what a picture has that the page says around it: a heading and a key


def _heading(title: str, variant: str, said: str, width: int, stops: Sequence[Said]) -> list[str]:
    """The stops first; then what lift it is, and what came of it."""
    letters = max(30, int((width - 40) / 7.6))
    first = f"{title} – {variant}" if variant else title
    bold = [line for text in (do_not(stops), first) for line in textwrap.wrap(text, int(letters * 0.75))]
    return [f"<b>{as_text(line)}</b>" for line in bold] + [as_text(line) for line in textwrap.wrap(said, letters)]


def _titled(figure: Figure, heading: list[str]) -> Figure:
    shown = figure["layout"]
    above = 22 + 20 * len(heading)
    shown["paper_bgcolor"] = "$paper"
    for margin in (shown["margin"], shown["meta"].get("narrow", {}).get("margin")):
        if margin:
            margin["t"] += above
            margin["b"] += BELOW_PX
    shown["meta"]["heading"] = "<br>".join(heading)
    shown["showlegend"] = True
    shown["legend"] = {
        "orientation": "h", "x": 0, "xref": "container", "xanchor": "left", "y": 0, "yref": "container",
        "yanchor": "bottom",
        "font": {"size": 12, "color": "$ink"}, "itemsizing": "trace", "traceorder": "normal",
    }  # fmt: skip
    named: set[str] = set()
    for trace in figure["data"]:
        name = trace.get("name", "")
        fresh = name not in named and trace.get("visible", True) and trace.get("showlegend", True)
        trace["showlegend"] = bool(name and fresh)
        if trace["showlegend"]:
            named.add(name)
    return figure


def _with_heading(drawn: Figure, heading: str) -> Figure:
    """The heading at the top left of the picture, whatever its margins."""
    margin = drawn["layout"]["margin"]
    drawn["layout"].setdefault("annotations", []).append(
        {
            "text": heading, "xref": "paper", "yref": "paper", "x": 0, "y": 1, "xanchor": "left", "yanchor": "top",
            "align": "left",
            "xshift": 14 - margin["l"], "yshift": margin["t"] - 10, "showarrow": False, "font": {"size": 14},
        }
    )  # fmt: skip
    return drawn


def _plain_fills(drawn: Figure) -> Figure:
    """Hollow or filled instead of hatched: a browser writes each hatched bar into a PDF as a picture of its own."""
    traces = []
    for trace in drawn["data"]:
        marker = trace.get("marker", {})
        if "pattern" in marker and trace.get("type") == "bar":
            filled = marker["pattern"]["shape"] == "x"
            ink = marker["pattern"]["fgcolor"]
            marker = {"color": ink if filled else marker["color"], "line": {"width": 1.5, "color": ink}}
            trace = {**trace, "marker": marker}
        traces.append(trace)
    return {**drawn, "data": traces}


def _fit_lanes(figure: Figure, lanes: Lanes, height: int, heading: list[str]) -> None:
    """Names alone where the lanes are low; an error where not even those could be read."""
    shown = figure["layout"]
    room = height - shown["margin"]["t"] - shown["margin"]["b"]
    in_all = len(lanes.lanes) + top_of(bool(lanes.stages))
    lane = room / in_all
    if lane < LEAST_LANE_PX:
        needed = round(in_all * LEAST_LANE_PX) + height - room
        raise PictureError(
            f"{len(lanes.lanes)} lanes cannot be read in a picture {height} px high", f"make it {needed} px or more"
        )
    if lane < ROLE_LANE_PX:
        shown["yaxis"]["ticktext"] = [name.split("<br>")[0] for name in shown["yaxis"]["ticktext"]]


# --- the tables beside the pictures


def timeline_table(lanes: Lanes) -> list[list[Cell]]:
    """Every block of the timeline; lengths in metres."""
    rows: list[list[Cell]] = [["who", "what", "station", "call", "start_s", "end_s", "gap_at_start_m", "gap_at_end_m"]]
    for block in sorted(lanes.blocks, key=lambda b: (b.start, b.lane)):
        who = lanes.lanes[block.lane].name
        rows.append([who, block.what, block.where, block.call, block.start, block.end, block.gap_start, block.gap_end])
    rows += [["leader", f"call {n}", who, n, time, time, None, None] for n, (time, who) in enumerate(lanes.calls, 1)]
    rows += [["leader", "holds", hold.station, None, hold.start, hold.end, None, None] for hold in lanes.holds]
    return rows


def gap_table(record: Record) -> list[list[Cell]]:
    """Demand, captured and gap of every station, as after each instant that something changed; lengths in metres."""
    rows: list[list[Cell]] = [["station", "time_s", "demand_m", "captured_m", "gap_m", "open"]]
    for place in Measured(record).places.values():
        for n, time in enumerate(place.time.tolist()):
            demand, captured = float(place.demand.after[n]), float(place.captured.after[n])
            rows.append([place.name, time, demand, captured, demand - captured, bool(place.open[n])])
    return rows


def compare_table(records: Sequence[Record], names: Sequence[str]) -> list[list[Cell]]:
    """The lines of the comparison; lengths in metres."""
    rows: list[list[Cell]] = [["variant", "rise_m", "widest_gap_m"]]
    for name, record in zip(names, records, strict=True):
        rise, gap, _ = path_of(record)
        rows += [[name, r, g] for r, g in zip(rise.tolist(), gap.tolist(), strict=True)]
    return rows
