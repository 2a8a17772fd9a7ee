"""What an answer hangs on, as a picture: a bar for each assumed value around the answer as written, widest first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reports.paper.figures import LABEL_PX, Figure, as_text, axis, checked, em, layout
from reports.words.doubt import ENDS, TIME, title_of
from sim.many.doubted import Doubt

MOST = 12  # bars; the table has all
ROOM = 300  # what a label may take on the narrowest page [px]
ROW, LINE = 40, 15  # [px]
MARGIN = {"l": 12, "r": 20, "t": 8, "b": 28}


def doubt_figure(doubt: Doubt, answer: str) -> Figure:
    """The bars of one answer, a time or a length: from low to high of each value, and of all at once."""
    bars = doubt.widest(answer)[:MOST]
    labels = [_label(title_of(bar)) for bar in bars]
    here = doubt.as_written[answer]
    together = [each for each in doubt.at_once if (each.what in ("slowest", "fastest")) == (answer == TIME)]
    if together:
        labels = [["all at once"], *labels]
    rows = len(labels)
    first = rows - 1 - bool(together)  # the highest stands on top
    traces = [
        *_bars("$a", "circle", [(first - n, here, b.at_low[answer], f"at {b.low}") for n, b in enumerate(bars)]),
        *_bars("$b", "diamond", [(first - n, here, b.at_high[answer], f"at {b.high}") for n, b in enumerate(bars)]),
        *_bars("$d", "square", [(rows - 1, here, each.answers[answer], ENDS[each.what]) for each in together]),
        {
            "type": "scatter", "mode": "lines", "name": "as written", "x": [here, here], "y": [-0.5, rows],
            "line": {"color": "$ink", "width": 1.5, "dash": "dash"}, "hovertemplate": "as written: %{x}<extra></extra>",
        },
    ]  # fmt: skip
    for trace in traces:
        trace["meta"] = {} if answer == TIME else {"length": "x"}
    lines = max(map(len, labels))
    shown: dict[str, Any] = {"ticksuffix": " s", "hoverformat": ".1f"} if answer == TIME else {}
    return checked(
        {
            "data": traces,
            "layout": layout(
                height=MARGIN["t"] + MARGIN["b"] + rows * (ROW + LINE * (lines - 1)), margin=MARGIN,
                xaxis=axis(nticks=7, **shown),
                yaxis=axis(visible=False, range=[-0.5, rows], fixedrange=True),
                annotations=[
                    {
                        "xref": "paper", "x": 0, "xanchor": "left", "yref": "y", "y": rows - 1 - n, "yanchor": "bottom",
                        "yshift": 8 + LINE * above, "text": as_text(line), "showarrow": False,
                        "font": {"size": LABEL_PX, "color": "$ink"}, "bgcolor": "$paper", "borderpad": 0,
                    }
                    for n, label in enumerate(labels)
                    for above, line in enumerate(reversed(label))
                ],
                meta={} if answer == TIME else {"lengths": ["xaxis"]},
            ),
        }
    )  # fmt: skip


def _bars(colour: str, symbol: str, bars: list[tuple[int, float, float, str]]) -> Iterator[dict[str, Any]]:
    """Lines from the answer as written to each end, and a mark at the end: row, as written, end, what is said of it."""
    if not bars:
        return
    yield {
        "type": "scatter", "mode": "lines", "hoverinfo": "skip", "line": {"color": colour, "width": 7},
        "x": [x for _, here, end, _ in bars for x in (round(here, 6), round(end, 6), None)],
        "y": [y for row, _, _, _ in bars for y in (row, row, None)],
    }  # fmt: skip
    yield {
        "type": "scatter", "mode": "markers", "x": [round(end, 6) for _, _, end, _ in bars],
        "y": [row for row, _, _, _ in bars], "customdata": [as_text(said) for _, _, _, said in bars],
        "marker": {"color": colour, "symbol": symbol, "size": 12, "line": {"color": "$paper", "width": 1}},
        "hovertemplate": "%{customdata}: %{x}<extra></extra>",
    }  # fmt: skip


def _label(words: str) -> list[str]:
    """Its lines: two, and cut, where it would not fit on the narrowest page."""
    path, divider, ends = words.rpartition(": ")
    if LABEL_PX * em(words) <= ROOM or not divider:
        return [_cut(words)]
    return [_cut(path), _cut(ends)]


def _cut(words: str) -> str:
    while LABEL_PX * em(words) > ROOM:
        words = words[:-2].rstrip() + "…"
    return words
