"""What every chart shares: plain plotly JSON, colours by name, lengths in SI, texts that are shown where they fit.

A figure is a plain dict as plotly.js takes it, so that making one imports nothing. It is written once, and finished
twice, by the same rules: in the page by `assets/charts.js`, for pictures by `finished` here.
    "$ink"                         a colour of palette.py
    layout.meta.lengths            the axes that hold lengths [m], to be shown in inches or millimetres
    trace.meta.length              "x", "y" or "xy": so do these of a trace
    trace.meta.width               so does the width of its bars
    trace.meta.hover               {"us": ..., "si": ...}: its hover template
    trace.meta.fit                 a text trace; each point's customdata is [from, to, text, shorter, ...], of which the
                                   first that fits is shown: "within" that time, or "beside" the one shown before
    trace.meta.crowded             what is laid over a trace where the calls (layout.meta.calls) stand close
    layout.meta.pressed            [[from, to, shown], ...]: stretches of time that are shown so much shorter (see
                                   lift/pressed.py); the ticks of the time axis say true times
    layout.meta.notes              annotations, their text as {"us": ..., "si": ...}, their `length` as of a trace,
                                   their `narrow` laid over them where there is little width
    layout.meta.narrow             what is laid over the layout where there is little width
"""

from __future__ import annotations

import copy
import unicodedata
from collections.abc import Mapping
from html import escape
from typing import Any

from reports.paper.palette import LIGHT
from sim.model.units import Units
from sim.model.visible import visible

Figure = dict[str, Any]
TRACES = ("scatter", "bar", "heatmap", "histogram", "box")  # what the shipped bundle draws and we have looked at
FONT = 'system-ui, "Segoe UI", Roboto, "Helvetica Neue", Arial, "Noto Sans", sans-serif'
NARROW = 640  # px
SIZE = {"us": (0.0254, " in", ".2f"), "si": (0.001, " mm", ".1f")}
LABEL_PX = 12
CLEAR = "rgba(0,0,0,0)"
CROWDED_PX = 8  # a call


class UnknownTrace(ValueError):
    """A type of trace that the shipped bundle of plotly.js would draw as something else, in silence."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        super().__init__(kind)

    def __str__(self) -> str:
        return f'a trace of type "{self.kind}" is not one that the pages can draw: {", ".join(TRACES)}'


def as_text(words: str) -> str:
    """What a person wrote, for a label: plotly reads tags, entities and %{...} in its texts, and these are none."""
    return escape(visible(words), quote=False).replace("%{", "%&#123;")


def checked(figure: Figure) -> Figure:
    """The figure itself, if the shipped bundle draws everything in it.

    Raises
    ------
    UnknownTrace
        The bundle of the page would draw it as something else.
    """
    for trace in figure["data"]:
        kind = trace.get("type", "scatter")
        if kind not in TRACES:
            raise UnknownTrace(kind)
    return figure


def axis(title: Mapping[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    """An axis as all charts have it; its title keeps the type and the distance of all titles."""
    return {
        "gridcolor": "$rule",
        "linecolor": "$edge",
        "tickcolor": "$edge",
        "zeroline": False,
        "ticks": "outside",
        "ticklen": 4,
        "tickfont": {"size": LABEL_PX, "color": "$soft"},
        "title": {"font": {"size": LABEL_PX, "color": "$soft"}, "standoff": 8, **(title or {})},
        **more,
    }


def time_axis(end: float, **more: Any) -> dict[str, Any]:
    """Time since the start; two charts with it stand under each other."""
    return axis(
        range=[-0.012 * end, 1.012 * end], ticksuffix=" s", hoverformat=".1f", nticks=12, showgrid=False, **more
    )


def layout(**more: Any) -> dict[str, Any]:
    """A layout as all charts have it."""
    return {
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"family": FONT, "size": LABEL_PX, "color": "$ink"},
        "hovermode": "closest",
        "hoverdistance": 12,
        "hoverlabel": {
            "bgcolor": "$paper",
            "bordercolor": "$edge",
            "font": {"color": "$ink", "size": 13, "family": FONT},
            "align": "left",
        },
        "showlegend": False,
        "dragmode": "zoom",
        "separators": ".,",
        **more,
    }


def finished(figure: Figure, units: Units, width: int, height: int) -> Figure:
    """A figure as it is drawn: lengths in these units, colours filled in, texts that fit this width.

    Parameters
    ----------
    figure : dict
        As the functions of this package make them; it is not changed.
    units : "us" or "si"
        For lengths.
    width, height : int
        Of the whole picture [px].

    Returns
    -------
    dict
        A plotly figure.
    """
    figure = copy.deepcopy(checked(figure))
    meta = figure["layout"].pop("meta", {})
    if width < NARROW:
        laid_over(figure["layout"], meta.get("narrow", {}))
    figure["layout"].update(width=width, height=height)
    unit, suffix, form = SIZE[units]
    for name in meta.get("lengths", ()):
        shown = figure["layout"][name]
        shown.update(ticksuffix=suffix, hoverformat=form)
        if "range" in shown:
            shown["range"] = [end / unit for end in shown["range"]]
    if "pressed" in meta:
        figure["layout"]["xaxis"].update(_true_ticks(figure["layout"]["xaxis"], meta["pressed"]))
    for note in meta.get("notes", ()):
        beside = note.get("narrow", {}) if width < NARROW else {}
        note = {key: value for key, value in note.items() if key != "narrow"} | beside | {"text": note["text"][units]}
        note |= {way: note[way] / unit for way in note.pop("length", "")}
        figure["layout"].setdefault("annotations", []).append(note)
    for trace in figure["data"]:
        asks = trace.pop("meta", {})
        for way in asks.get("length", ""):
            trace[way] = [None if v is None else v / unit for v in trace[way]]
        if asks.get("width"):
            trace["width"] /= unit
        if "fit" in asks:
            _show_what_fits(trace, asks["fit"], figure["layout"], width)
        if "crowded" in asks and _crowded(meta, figure["layout"], width):
            laid_over(trace, asks["crowded"])
        if "hover" in asks:
            trace["hovertemplate"] = asks["hover"][units]
    coloured: Figure = _coloured(figure, LIGHT)
    return coloured


TICK_STEPS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600)  # [s]


def _true_ticks(axis: dict[str, Any], pressed: list[list[float]]) -> dict[str, Any]:
    """Where the time axis says which time: at round ones, none in what is pressed together, none twice."""
    first, last = axis["range"]
    step = next((s for s in TICK_STEPS if (last - first) / s <= axis["nticks"]), 7200)
    end = last + sum(to - start - shown for start, to, shown in pressed)
    ticks: list[tuple[float, str]] = []
    for n in range(int(end / step) + 1):
        time, at = n * step, n * step
        for start, to, shown in pressed:
            if n * step > start:
                at -= (min(time, to) - start) * (1 - shown / (to - start))
        if first <= at <= last and not any(start < time < to for start, to, _ in pressed):
            ticks.append((at, f"{time:,.1f}".removesuffix(".0") + " s"))
    return {"tickmode": "array", "tickvals": [at for at, _ in ticks], "ticktext": [said for _, said in ticks]}


def _crowded(meta: dict[str, Any], layout: dict[str, Any], width: int) -> bool:
    """Whether the calls in sight stand closer than one can tell apart."""
    first, last = layout["xaxis"]["range"]
    calls = sum(first <= time <= last for time in meta["calls"])
    return bool((width - layout["margin"]["l"] - layout["margin"]["r"]) < CROWDED_PX * calls)


def laid_over(below: dict[str, Any], above: Mapping[str, Any]) -> None:
    """Lay one layout over another, table by table."""
    for key, value in above.items():
        if isinstance(value, dict) and isinstance(below.get(key), dict):
            laid_over(below[key], value)
        else:
            below[key] = value


def _show_what_fits(trace: dict[str, Any], way: str, layout: dict[str, Any], width: int) -> None:
    """Leave out each text that has no room: within its own stretch of time, or else beside the one shown before."""
    first, last = layout["xaxis"]["range"]
    a_second = (width - layout["margin"]["l"] - layout["margin"]["r"]) / (last - first)
    size = trace["textfont"]["size"]
    texts, free_from = [], float("-inf")
    for begin, end, *said in trace["customdata"]:
        wide = {text: size * em(text) + 6 for text in said}
        fits = (
            t
            for t in said
            if (begin * a_second >= free_from if way == "beside" else (end - begin) * a_second >= wide[t])
        )
        text = next(fits, "")
        texts.append(text)
        free_from = begin * a_second + wide[text] + 4 if text else free_from
    trace["text"] = texts


def em(words: str) -> float:
    """About how wide a text is, in times its size: on the wide side, for nobody knows the reader's typeface."""
    return sum(_wide(letter) for letter in words)


def _wide(letter: str) -> float:
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.05
    if letter in "iljtfrI.,:;'|!()[]- ":
        return 0.4
    if letter in "mwMW@%" or letter.isupper():
        return 0.9 if letter in "mwMW@%" else 0.74
    return 0.63 if letter.isascii() else 0.7


def _coloured(value: Any, colours: Mapping[str, str], key: str = "") -> Any:
    if isinstance(value, dict):
        return {name: _coloured(each, colours, name) for name, each in value.items()}
    if isinstance(value, list) and key not in WORDS:
        return [_coloured(each, colours, key) for each in value]
    if isinstance(value, str) and value[:1] == "$" and key not in WORDS:
        return colours[value[1:]]
    return value


WORDS = (
    "x",
    "y",
    "base",
    "text",
    "ticktext",
    "customdata",
    "name",
)  # what people wrote, and numbers: no colours in there
