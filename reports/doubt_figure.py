"""What an answer hangs on, as a picture: a bar for each assumed value around the answer as written, widest first."""

from __future__ import annotations

from html import escape
from typing import Any

from reports.doubt import TIME, title_of
from reports.figures import LABEL_PX, Figure, axis, checked, em, layout
from sim.doubt import Doubt

MOST = 12  # bars; the table has all
ROOM = 300  # what a label may take on the narrowest page [px]
ROW, LINE = 40, 15  # [px]
MARGIN = {"l": 12, "r": 20, "t": 40, "b": 48}


def doubt_figure(doubt: Doubt, answer: str) -> Figure:
    """The bars of one answer, a time or a length: from low to high of each value, and of all at once."""
    bars = doubt.widest(answer)[:MOST]
    labels = [_label(title_of(bar)) for bar in bars]
    here = doubt.as_written[answer]
    together = [each for each in doubt.at_once if (each.what in ("slowest", "fastest")) == (answer == TIME)]
    if together:
        labels = ["all at once", *labels]
    rows = len(labels)
    first = rows - 1 - bool(together)  # the highest stands on top
    low = _ends([(first - n, here, bar.at_low[answer], f"at {bar.low}") for n, bar in enumerate(bars)])
    high = _ends([(first - n, here, bar.at_high[answer], f"at {bar.high}") for n, bar in enumerate(bars)])
    once = _ends([(rows - 1, here, each.answers[answer], each.what) for each in together])
    traces = [_bars("at its low", "$a", "circle", *low), _bars("at its high", "$b", "diamond", *high)]
    if together:
        traces.append(_bars("all at once", "$d", "square", *once))
    traces.append(
        {
            "type": "scatter", "mode": "lines", "name": "as written", "x": [here, here], "y": [-0.5, rows],
            "line": {"color": "$ink", "width": 1.5, "dash": "dash"}, "hovertemplate": "as written: %{x}<extra></extra>",
        }
    )  # fmt: skip
    for trace in traces:
        trace["meta"] = {} if answer == TIME else {"length": "x"}
    lines = max(label.count("<br>") for label in labels) + 1
    shown = {"ticksuffix": " s", "hoverformat": ".1f"} if answer == TIME else {}
    return checked(
        {
            "data": traces,
            "layout": layout(
                height=MARGIN["t"] + MARGIN["b"] + rows * (ROW + LINE * (lines - 1)), margin=MARGIN,
                showlegend=True, legend={"orientation": "h", "x": 0, "xanchor": "left", "y": 1, "yanchor": "bottom"},
                xaxis=axis(title={"text": "mean time" if answer == TIME else "mean largest gap"}, nticks=7, **shown),
                yaxis=axis(visible=False, range=[-0.5, rows], fixedrange=True),
                annotations=[
                    {
                        "xref": "paper", "x": 0, "xanchor": "left", "yref": "y", "y": rows - 1 - n, "yanchor": "bottom",
                        "yshift": 8, "text": label, "showarrow": False, "align": "left",
                        "font": {"size": LABEL_PX, "color": "$ink"},
                    }
                    for n, label in enumerate(labels)
                ],
                meta={} if answer == TIME else {"lengths": ["xaxis"]},
            ),
        }
    )  # fmt: skip


def _ends(bars: list[tuple[int, float, float, str]]) -> tuple[list[Any], list[Any], list[Any], list[str]]:
    """Lines from the answer as written to each end: x, y, the sizes of the marks, and what is said of them."""
    x: list[Any] = []
    y: list[Any] = []
    sizes: list[Any] = []
    words: list[str] = []
    for row, here, end, said in bars:
        x += [round(here, 6), round(end, 6), None]
        y += [row, row, None]
        sizes += [0, 12, 0]
        words += ["as written", escape(said, quote=False), ""]
    return x, y, sizes, words


def _bars(
    name: str, colour: str, symbol: str, x: list[Any], y: list[Any], sizes: list[Any], words: list[str]
) -> dict[str, Any]:
    return {
        "type": "scatter", "mode": "lines+markers", "name": name, "x": x, "y": y, "customdata": words,
        "line": {"color": colour, "width": 7},
        "marker": {
            "color": colour, "symbol": symbol, "size": sizes, "opacity": 1, "line": {"color": "$paper", "width": 1},
        },
        "hovertemplate": "%{customdata}: %{x}<extra></extra>",
    }  # fmt: skip


def _label(words: str) -> str:
    """In two lines, and cut, where it would not fit on the narrowest page."""
    if LABEL_PX * em(words) <= ROOM:
        return escape(words, quote=False)
    path, divider, ends = words.rpartition(": ")
    return "<br>".join(escape(_cut(part), quote=False) for part in (path, ends) if divider) or escape(_cut(words))


def _cut(words: str) -> str:
    while LABEL_PX * em(words) > ROOM:
        words = words[:-2].rstrip() + "…"
    return words
