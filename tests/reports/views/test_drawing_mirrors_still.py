"""The page's drawing and the picture that stands still are one picture: `drawing_views.js`, its cards, and `still.py`.

Each has a layout of its own. So the still picture is made to the page's scale, ground and origin, and what both draw
has to be at the same pixels: to the hundredth that is printed, and the one beside it.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from reports.views import still
from reports.views.shape import ghosts as ghosts_of
from sim.record.measured import Measured
from sim.record.record import Record
from tests.reports.drawn import Opened
from tests.reports.views.mirrored import LIFTS, instants, mirrored

pytestmark = pytest.mark.browser
SVG = "{http://www.w3.org/2000/svg}"
VIEWS = ("side", "end")
PRINTED = 0.0101  # px
SHOWN = 0.8  # px: a dashed outline nearer than this to the load's own is left out on the page
DRAWN = """times => {
  const drawing = document.querySelector(".lift-drawing").liftDrawing;
  const at = (line, ...names) => names.map((name) => Number(line.getAttribute(name)));
  const points = (shape) => (shape.getAttribute("points").match(/[-\\d.]+/g) || []).map(Number);
  const view = (view) => {
    const one = (name) => view.svg.querySelector(name);
    return {
      scale: view.scale, ground: view.ground, left: view.left,
      outlines: Object.fromEntries(view.outlines.map(([name, shape]) => [name, points(shape)])),
      ghosts: view.ghosts.map(([name, side, shape]) => points(shape)),
      places: Object.fromEntries(view.places.map(({place, tube, rod, group}) =>
        [place.name, [...at(tube, "x1", "y1"), ...at(rod, "x2", "y2"), group.classList.contains("lift-over")]])),
      tags: view.tags.map((tag) => [tag.textContent, tag.classList.contains("lift-over")]),
      target: at(one(".lift-target"), "y1", "y2"), start: at(one(".lift-start"), "y1", "y2"),
      point: one(".lift-point").getAttribute("transform").match(/[-\\d.]+/g).map(Number),
      wheel: one(".lift-wheel") && at(one(".lift-wheel"), "cx", "cy", "r"),
    };
  };
  const card = ({root, place, gap, figure, words, magnified}) => ({
    name: place.name, figure: figure.textContent, words: words.textContent, over: root.classList.contains("lift-over"),
    high: Number(gap.getAttribute("height")), most: magnified.most, per_metre: magnified.per_metre,
  });
  return times.map((time) => {
    drawing.seek(time);
    return {views: drawing.views.map(view), cards: drawing.cards.map(card), status: drawing.status.textContent,
      rise: Number(drawing.element.dataset.pointRiseM)};
  });
}"""


@pytest.mark.parametrize("name", LIFTS)
def test_the_page_and_the_still_picture_draw_the_same(browser: Any, tmp_path: Path, name: str) -> None:
    """The load, where it would drop to, every line, the needed point, marks, gaps, figures, words."""
    record = mirrored(name)
    times = worth_a_picture(record)
    opened = Opened(browser, record, tmp_path)
    drawn = opened.page.evaluate(DRAWN, times)
    opened.page.close()
    assert opened.complaints == []
    for time, there in zip(times, drawn, strict=True):
        here = Picture(record, time, there["views"])
        for n, view in enumerate(VIEWS):
            views_alike(there["views"][n], here, view)
        cards_alike(there["cards"], here)
        risen = here.made.motion.rise(record.scenario.need.point, float(np.mean(here.made.u)))
        assert there["rise"] == pytest.approx(risen, rel=1e-9, abs=1e-12)
        said = re.match(r"([\d.]+ s), call (\d+): the point has risen (.*? of .*?)\. Dashed", here.title)
        assert said, here.title
        words = re.match(r"([\d.]+ s) of .*? · call (\d+) · point risen (.*? of .*?) · widest", there["status"])
        assert words and words.groups() == said.groups(), (time, there["status"])


def worth_a_picture(record: Record) -> list[float]:
    """Some twenty instants: where gaps are widest and sides let go, at events, and between them [s]."""
    lift, end = Measured(record), float(record.events["time_s"].iloc[-1])
    gaps = [place.gap() for place in lift.places.values()]
    widest = [gap.time[np.argmax(gap.before)] - 1e-6 for gap in gaps]
    lost = record.events.loc[record.events["what"].isin(["falls", "fell", "settles", "settled"]), "time_s"]
    around = [time + step for time in lost for step in (-1e-6, 0.0, 0.01)]
    hands = record.events.loc[record.events["hands"].fillna(value=False) | record.events["open"].fillna(value=False)]
    some = instants(record)[1:-1]
    some = some[np.linspace(0, len(some) - 1, 9).astype(int)]
    times = [*widest[:4], *around[:12], *hands["time_s"].iloc[:: max(1, len(hands) // 3)], *some, 0.25, 0.75]
    return sorted({float(min(end, max(0.0, time))) for time in times})


class Picture:
    """The still picture at the page's scale, taken apart."""

    def __init__(self, record: Record, time: float, views: list[dict[str, Any]]) -> None:
        self.made = still.Still(record, time, 1280, None)
        self.made.scale, self.made.ground = views[0]["scale"], views[0]["ground"]
        self.made.origin = dict(zip(VIEWS, (view["left"] for view in views), strict=True))
        root = ElementTree.fromstring(self.made.document())
        self.title = str(root.findtext(f"{SVG}title"))
        self.shapes = [each for each in root if each.get("class")]
        self.texts = [str(each.text) for each in root.iter(f"{SVG}text")]

    def all(self, kind: str, **attributes: str) -> list[ElementTree.Element]:
        """Shapes of a class, with these attributes."""
        there = {name.replace("_", "-"): value for name, value in attributes.items()}
        return [x for x in self.shapes if x.get("class") == kind and there.items() <= dict(x.attrib).items()]

    def of(self, view: str, shapes: list[ElementTree.Element]) -> list[ElementTree.Element]:
        """Those of one view: the first half, or the second."""
        half = len(shapes) // 2
        return shapes[:half] if view == "side" else shapes[half:]


def numbers(words: str | None) -> list[float]:
    """All the numbers in a text."""
    return [float(each) for each in re.findall(r"-?\d+\.?\d*", words or "")]


def ends(line: ElementTree.Element) -> list[float]:
    """Where a line begins and ends [px]."""
    return [float(str(line.get(name))) for name in ("x1", "y1", "x2", "y2")]


def alike(there: list[float], here: list[float]) -> bool:
    """The same pixels, as printed."""
    return len(there) == len(here) and there == pytest.approx(here, abs=PRINTED)


def views_alike(there: dict[str, Any], here: Picture, view: str) -> None:
    """One view of the page, and of the still picture."""
    scenario = here.made.scenario
    assert set(there["outlines"]) == ({"far", "near"} if view == "side" else {"end"})
    for name, points in there["outlines"].items():
        assert alike(points, numbers(here.all(f"load-{name}")[0].get("points"))), name
    ghosts = iter(here.of(view, here.all("ghost")))
    for (name, side), points in zip(ghosts_of(scenario)[view], there["ghosts"], strict=True):
        if here.made.stops[side] is None:
            assert points == []
            continue
        ghost = numbers(next(ghosts).get("points"))
        apart = np.subtract(ghost, numbers(here.all(f"load-{name}")[0].get("points"))).reshape(-1, 2)
        far = np.hypot(*apart.T).max()
        assert alike(points, ghost) if points else far < SHOWN + 2 * PRINTED, name
        assert not points or far > SHOWN - 2 * PRINTED
    assert next(ghosts, None) is None
    lines = here.of(view, here.all("line", stroke_width="3"))
    over = {where.name for where in scenario.places if here.made._over(where.name)}
    for where, line in zip(here.made._all_places(), lines, strict=True):
        *where_drawn, marked = there["places"][where.name]
        assert alike(where_drawn, ends(line)), where.name
        assert marked == (where.name in over), where.name
    devices = here.of(view, here.all("device"))
    marked = [there["places"][where.name][4] for where in scenario.places]
    assert [device.get("stroke-width") == "3.50" for device in devices] == marked
    assert there["tags"] == [[str(n), where.name in over] for n, where in enumerate(scenario.places, 1)]
    target, start = (
        here.of(view, here.all("line", stroke_dasharray=dashes, stroke_width=wide))[0]
        for dashes, wide in (("8 3", "1.60"), ("none", "1"))
    )
    assert alike(there["target"], ends(target)[1::2]) and alike(there["start"], ends(start)[1::2])
    x, y = numbers(here.of(view, here.all("point"))[0].get("d"))[:2]
    assert alike(there["point"], [x + 5, y])
    if view == "side" and there["wheel"]:
        wheel = here.all("wheel")[0]
        assert alike(there["wheel"], [float(str(wheel.get(name))) for name in ("cx", "cy", "r")])
    assert alike([there["ground"]], [float(str(here.all("ground")[0].get("y1")))])


def cards_alike(there: list[dict[str, Any]], here: Picture) -> None:
    """The gap of each place: its figure, its mark, its words, and how high it is drawn."""
    said = [text.split("  ") for text in here.texts if re.match("(▲ )?gap ", text)]
    bars = here.all("gap")
    for card, where, (figure, words), bar in zip(there, here.made.scenario.places, said, bars, strict=True):
        assert (card["name"], card["figure"]) == (where.name, figure)
        assert card["over"] == figure.startswith("▲") == card["words"].startswith("over the limit · ")
        own = card["words"].removeprefix("over the limit · ")
        assert own.removesuffix(", hands in") == words or (own == "◐ hands in" and words == "◐ not caught"), where.name
        gap = float(str(bar.get("data-gap-m")))
        assert card["high"] == pytest.approx(min(card["most"], gap * card["per_metre"]), abs=0.00051)


def test_a_gap_is_magnified_as_often_in_both(browser: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With as much room for it: the largest round number of times at which the largest gap fits."""
    for n, name in enumerate(("trailer", "trailer, pinned", "one station", "re-set")):
        (folder := tmp_path / str(n)).mkdir()
        record = mirrored(name)
        opened = Opened(browser, record, folder)
        script = "document.querySelector('.lift-drawing').liftDrawing.cards[0].magnified"
        times, most, scale = opened.page.evaluate(
            f"(({{times, most, per_metre}}) => [times, most, per_metre / times])({script})"
        )
        opened.page.close()
        lift = Measured(record)
        monkeypatch.setattr(still, "BAR", most - 2)  # the page leaves two pixels more under it
        widest = max(
            (place.gap() for place in lift.places.values()), key=lambda gap: max(gap.before.max(), gap.after.max())
        )
        at = np.argmax(np.maximum(widest.before, widest.after))
        before = widest.before[at] > widest.after[at]
        made = still.Still(
            record, float(np.nextafter(widest.time[at], -np.inf) if before else widest.time[at]), 1280, None
        )
        made.scale = scale
        said = re.search(r"Gaps, ×(\d+) the scale", made.document())
        assert said and int(said[1]) == times, name
