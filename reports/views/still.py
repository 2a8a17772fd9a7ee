"""The drawing standing still, at one instant, as an SVG for a slide: made here, so that it needs no browser.

The same picture as the page's, from the same points: the load from its right side and from its end, both to one scale,
where it would come down to if a lifter were lost, and each station's gap, magnified, with its figure.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from reports.paper.palette import LIGHT
from reports.paper.svg_paper import Paper, cut, spread
from reports.views import shape
from reports.words.plain import limit
from reports.words.stops import do_not, stops_of
from sim.model.devices import EXACT
from sim.model.motion import motion_of
from sim.model.scenario import Lifter, Point, Station
from sim.model.units import FOOT, show, show_up
from sim.record.drops import drops_of
from sim.record.measured import Measured, during
from sim.record.measures import measure
from sim.record.record import Record

LIFTS, FOLLOWS = LIGHT["stroke"], LIGHT["work"]  # a hue says what a part does; its side is told by its form:
HOLLOW = {"right": "none", "both": "3 3"}  # the dashes of what is left out of its middle; the left one is solid
CARD, CARD_HIGH, BAR = 190.0, 128.0, 56.0  # a station's card, and the magnified part of it [px]


def time_to_show(record: Record, summary: dict[str, Any] | None = None) -> float:
    """The instant worth a picture: the largest gap, else the end [s]."""
    summary = summary or measure(record)
    time = summary["largest_gap"]["time_s"]
    if time is None:
        return float(record.columns.time_s[-1])
    return max(0.0, float(time) + (1e-6 if largest_is_made(summary) else -1e-6))


def largest_is_made(summary: dict[str, Any]) -> bool:
    """Whether the largest gap was made on the way down: it is there once it is made, any other until it is caught."""
    return bool(summary["largest_gap"] == summary["largest_made_gap"])


def svg(record: Record, time: float, width: int = 1280, height: int | None = None) -> str:
    """The drawing at a time [s].

    Parameters
    ----------
    record : Record
        A lift.
    time : float
        The instant [s].
    width, height : int
        Size [px]; without a height, what the picture needs.

    Returns
    -------
    str
        An SVG document.
    """
    return Still(record, time, width, height).document()


class Still:
    """One picture being made."""

    def __init__(self, record: Record, time: float, width: int, height: int | None) -> None:
        self.record, self.scenario, self.time, self.width = record, record.scenario, time, width
        self.lift, self.motion = Measured(record), motion_of(record.scenario.load)
        at = np.array([time])
        self.u = [float(self.lift.sides[x.name].just_after(at)[0]) for x in self.scenario.lifters]
        self.gaps = {n: max(0.0, float(p.gap().just_after(at)[0])) for n, p in self.lift.places.items()}
        self.stops = [self._stop(x) for x in self.scenario.lifters]
        self.outlines = shape.body(self.scenario)
        highest = self.motion.u_for_rise(self.scenario.need.point, 1.15 * self.scenario.need.rise)
        self.extent = shape.extent(self.scenario, self.outlines, 0.0 if math.isnan(highest) else highest)
        self.columns = max(1, int((width - 24) // (CARD + 10)))
        cards = math.ceil(len(self.gaps) / self.columns)
        self.below = 66 + cards * (CARD_HIGH + 10)
        (x0, x1), (y0, y1), (z0, z1) = (self.extent[a] for a in "xyz")
        most_high = 0.42 * width if height is None else max(80.0, height - self.below - 84)
        self.scale = min((width - 120) / (x1 - x0 + y1 - y0), most_high / (z1 - min(0.0, z0)))
        self.ground = 76 + z1 * self.scale
        self.height = height or math.ceil(self.ground + self.below)
        spare = (width - (x1 - x0 + y1 - y0) * self.scale) / 3
        self.origin = {"side": spare - x0 * self.scale, "end": 2 * spare + (x1 - x0) * self.scale + y1 * self.scale}
        self.paper = Paper()

    def document(self) -> str:
        """The whole SVG."""
        say = self._words()
        first = ". ".join(filter(None, (do_not(stops_of(self.scenario)), self.scenario.title)))
        self.paper.text(12, 28, cut(first, self.width - 24, 19), size=19, bold=True)
        self.paper.text(12, 52, cut(say, self.width - 24, 15), size=15)
        self.paper.shape(
            "line",
            "ground",
            x1=8,
            x2=self.width - 8,
            y1=self.ground,
            y2=self.ground,
            stroke=LIGHT["ink"],
            stroke_width=2,
        )
        for view in ("side", "end"):
            self._load(view)
            for where in self._all_places():
                self._place(view, where)
            self._need(view)
            self._tags(view)
        self._bar()
        for n, where in enumerate(self.scenario.places):
            self._card(n, where)
        return self.paper.document(self.width, self.height, say)

    # --- the load

    def _load(self, view: str) -> None:
        ink = {"stroke": LIGHT["ink"], "stroke_width": 1.8, "fill": LIGHT["band"], "fill_opacity": 0.75}
        far = {"stroke": LIGHT["soft"], "stroke_width": 1, "stroke_dasharray": "2 3", "fill": "none"}
        ghost = {"stroke": LIGHT["gap"], "stroke_width": 1.8, "stroke_dasharray": "7 4", "fill": "none"}
        if view == "side" and self.scenario.load.motion == "hinged":
            x, y = self._on(view, (0.0, 0.0, self.scenario.load.pivot_height))
            self.paper.shape(
                "circle",
                "wheel",
                cx=x,
                cy=y,
                r=self.scenario.load.pivot_height * self.scale,
                fill="none",
                stroke=LIGHT["soft"],
            )
            self.paper.shape("path", "pivot", d=f"M{x:.1f},{y:.1f} l-6,10 h12 Z", fill=LIGHT["ink"])
        for name in ("far", "near") if view == "side" else ("end",):
            self.paper.shape(
                "polygon", f"load-{name}", points=self._polygon(view, name, self.u), **(far if name == "far" else ink)
            )
        for name, n in shape.ghosts(self.scenario)[view]:
            stop = self.stops[n]
            if stop is not None:
                u = [stop if k == n else own for k, own in enumerate(self.u)]
                self.paper.shape("polygon", "ghost", points=self._polygon(view, name, u), **ghost)

    def _place(self, view: str, where: Lifter | Station) -> None:
        ink = LIFTS if isinstance(where, Lifter) else FOLLOWS
        base = self._on(view, where.base)
        head = self._on(view, self._moved(shape.head_of(self.scenario, where), self.u))
        tie = None if isinstance(where, Lifter) else shape.tie_end(where)
        if tie is not None:
            end = self._on(view, tie)
            self.paper.line(base, end, ink, 1.5, "3 3")
        ram = isinstance(where, Lifter)
        middle = [b + (h - b) * (0.7 if ram else 0.58) for b, h in zip(base, head, strict=True)]
        self.paper.line(base, head, ink, 3)
        self.paper.line(base, middle, ink, 11 if ram else 7)
        if where.side in HOLLOW:
            ends = {"x1": base[0], "y1": base[1], "x2": middle[0], "y2": middle[1]}
            white = {"stroke": "#ffffff", "stroke_width": 6 if ram else 3.5, "stroke_dasharray": HOLLOW[where.side]}
            self.paper.shape("line", "core", **ends, **white)
        self.paper.shape("path", "foot", d=f"M{base[0] - 9:.1f},{base[1]:.1f} h18 l-4,-4 h-10 Z", fill=ink)
        if where.capture:
            turn = math.degrees(math.atan2(head[1] - base[1], head[0] - base[0])) + 90
            over = self._over(where.name)
            mark = {"stroke": LIGHT["gap" if over else "ink"], "stroke_width": 3.5 if over else 1.8, "fill": "#ffffff"}
            turned = f"translate({middle[0]:.1f},{middle[1]:.1f}) rotate({turn:.1f})"
            self.paper.shape("rect", "device", x=-8, y=-3, width=16, height=6, transform=turned, **mark)

    def _need(self, view: str) -> None:
        need = self.scenario.need
        x, y = self._on(view, need.point)
        up = need.rise * self.scale
        self.paper.line((x - 14, y - up), (x + 30, y - up), LIGHT["ink"], 1.6, "8 3")
        self.paper.line((x - 14, y), (x + 30, y), LIGHT["soft"], 1)
        weights = {"at": need.point, "w": [1 / len(self.u)] * len(self.u)}
        px, py = self._on(view, self._moved(weights, self.u))
        self.paper.shape(
            "path", "point", d=f"M{px - 5:.2f},{py:.2f} l5,-5 5,5 -5,5 Z", fill=LIGHT["ink"], stroke="#ffffff"
        )

    def _bar(self) -> None:
        """A bar of a round length under the ground, so that a person can measure with it."""
        unit, name = (FOOT, "ft") if self.scenario.units == "us" else (1.0, "m")
        length = max([n for n in (0.1, 0.5, 1, 2, 5, 10, 20) if n * unit * self.scale < 160], default=0.1)
        y = self.height - self.below + 47
        long = length * unit * self.scale
        self.paper.line((self.width - 70 - long, y), (self.width - 70, y), LIGHT["ink"], 4)
        self.paper.text(self.width - 64, y + 5, f"{length:g} {name}", size=13)

    def _tags(self, view: str) -> None:
        """A number for each place, under the ground; none overlaps another."""
        span = self.extent["x" if view == "side" else "y"]
        low = self.origin[view] + (span[0] if view == "side" else -span[1]) * self.scale
        places = list(self.scenario.places)
        wide = max((span[1] - span[0]) * self.scale, 21.0 * min(len(places), 12))
        low = max(12.0, min(low, self.width - 12 - wide))
        rows = math.ceil(21 * len(places) / wide)
        order = sorted(range(len(places)), key=lambda n: self._on(view, places[n].base)[0])
        for row in range(rows):
            own = order[row::rows]
            at = spread([self._on(view, places[n].base)[0] for n in own], low, low + wide, 21.0)
            for x, n in zip(at, own, strict=True):
                y = self.ground + 18 + 21 * row
                self.paper.line((self._on(view, places[n].base)[0], self.ground), (x, y - 8), LIGHT["soft"], 0.8)
                self.paper.shape(
                    "circle", "tag", cx=round(x, 2), cy=round(y, 2), r=9, fill="#ffffff", stroke=LIGHT["ink"]
                )
                self.paper.text(x, y + 4, str(n + 1), size=11, bold=True, anchor="middle")

    # --- the stations

    def _card(self, n: int, where: Lifter | Station) -> None:
        row, column = divmod(n, self.columns)
        x, y = 12 + column * (CARD + 10), self.height - self.below + 60 + row * (CARD_HIGH + 10)
        gap, over = self.gaps[where.name], self._over(where.name)
        room = shape.MOST_ROOM * max(*self.gaps.values(), 1.3 * self.scenario.leader.gap_limit, 0.002)
        times = max([t for t in shape.TIMES if t <= BAR / room / self.scale], default=1)
        if n == 0:
            said = limit(self.scenario.leader.gap_limit, self.scenario.units)
            self.paper.text(12, y - 8, f"Gaps, ×{times} the scale above; the limit is {said}", size=13)
        edge = LIGHT["gap" if over else "rule"]
        self.paper.shape(
            "rect",
            "card",
            x=x,
            y=y,
            width=CARD,
            height=CARD_HIGH,
            fill="#ffffff",
            stroke=edge,
            stroke_width=3 if over else 1,
        )
        self.paper.text(x + 8, y + 18, cut(f"{n + 1}  {where.name}", CARD - 16, 13), size=13, bold=True)
        words = self._state(where.name)
        self.paper.text(
            x + 8,
            y + 36,
            f"{'▲ ' if over else ''}gap {show_up(gap, 'length', self.scenario.units)}  {words}",
            size=12,
            bold=over,
        )
        top = y + 48
        down = min(BAR, gap * times * self.scale)
        ink = LIFTS if isinstance(where, Lifter) else FOLLOWS
        self.paper.shape(
            "rect", "edge", x=x + 8, y=top, width=CARD - 16, height=8, fill=LIGHT["band"], stroke=LIGHT["ink"]
        )
        bar = {"x": x + 40, "width": 60, "fill": LIGHT["gapfill"], "stroke": LIGHT["soft"], "stroke_dasharray": "2 2"}
        noted = {"data_gap_m": f"{gap:.9f}", "data_per_metre": f"{times * self.scale:.6f}"}
        self.paper.shape("rect", "gap", y=top + 8, height=f"{down:.4f}", **bar, **noted)
        rest = {"x": x + 40, "width": 60, "fill": "#ffffff", "stroke": ink, "stroke_width": 2}
        self.paper.shape("rect", "block", y=top + 8 + down, height=CARD_HIGH - 58 - down, **rest)
        limit_y = top + 8 + self.scenario.leader.gap_limit * times * self.scale
        if limit_y < y + CARD_HIGH - 3:
            self.paper.line((x + 8, limit_y), (x + CARD - 8, limit_y), LIGHT["ink"], 1.2, "6 3")

    def _state(self, name: str) -> str:
        place = self.lift.places[name]
        now = int(np.searchsorted(place.time, self.time, side="right")) - 1
        if now >= 0 and place.open[now]:  # whatever was caught before a lifter went holds nothing
            return "○ open"
        if self._made(name):
            return "◇ made on purpose"
        return "● caught" if now < 0 or place.caught[now] else "◐ not caught"

    # --- where things are

    def _stop(self, lifter: Lifter) -> float | None:
        found = drops_of(self.lift, lifter, lifter_holds=False)
        times, u, stop = found.first.times, found.first.u, found.first.stop
        at = max(0, int(np.searchsorted(times, self.time, side="right")) - 1)
        then = min(at + 1, len(times) - 1)
        share = 0.0 if times[then] <= times[at] else (self.time - times[at]) / (times[then] - times[at])
        own, held = (float(v[at] + share * (v[then] - v[at])) for v in (u, stop))
        return held if own - held > EXACT else None

    def _over(self, name: str) -> bool:
        return not self._made(name) and self.gaps[name] > self.scenario.leader.gap_limit + EXACT

    def _made(self, name: str) -> bool:
        return bool(during(self.lift.made(self.lift.places[name]), np.array([self.time]))[0])

    def _all_places(self) -> list[Lifter | Station]:
        return [*(x for x in self.scenario.lifters if not x.capture), *self.scenario.places]

    def _words(self) -> str:
        leader = self.lift.leader
        call = int(leader.call[leader.time_s <= self.time].max(initial=0))
        need = self.scenario.need
        rise = float(self.motion.rise(need.point, sum(self.u) / len(self.u)))
        figures = " of ".join(show(x, "length", self.scenario.units) for x in (rise, need.rise))
        dashed = "Dashed: where it would drop to if a lifter were lost"
        return f"{self.time:.1f} s, call {call}: the point has risen {figures}. {dashed}"

    def _moved(self, point: dict[str, Any], u: list[float]) -> Point:
        by = sum(w * own for w, own in zip(point["w"], u, strict=True))
        x, y, z = self.motion.moved(tuple(point["at"]), by)
        return float(x), float(y), float(z)

    def _polygon(self, view: str, name: str, u: list[float]) -> str:
        return " ".join("{:.2f},{:.2f}".format(*self._on(view, self._moved(p, u))) for p in self.outlines[name])

    def _on(self, view: str, p: Point) -> tuple[float, float]:
        across = p[0] if view == "side" else -p[1]
        return self.origin[view] + across * self.scale, self.ground - p[2] * self.scale
