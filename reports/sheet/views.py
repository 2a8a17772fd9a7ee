"""The two views of a printed sheet, side and front, drawn to scale in millimetres of paper.

What stands where comes from the scenario, the outline of the load from `drawing_shape`, every force from the sheet.
Printed at full size a view is 1 : its scale; a bar says the same for a page that was printed otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from reports.paper.svg_paper import spread
from reports.sheet.labels import BESIDE, LABEL_HIGH, LABEL_WIDE, LINE, label, past
from reports.sheet.marks import FONT, HATCHES, Marks, Spot, figures, pair
from reports.views import shape
from reports.words.plain import limit
from sim.check import Sheet
from sim.model.devices.crib import Crib, Timber
from sim.model.devices.protocol import stands_alone
from sim.model.motion import motion_of
from sim.model.scenario import Lifter, Scenario, Station
from sim.model.units import INCH, Units

SCALES = (4, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500, 1000, 2000, 5000)
MARGIN, TOP, GROUND = 14.0, 9.0, 6.5  # beside and above the drawing, and the ground's own strip [mm]
BARS: dict[Units, tuple[float, ...]] = {
    "si": (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 50.0),
    "us": tuple(n * INCH for n in (2, 6, 12, 24, 36, 60, 120, 240, 1200)),
}  # a bar of a round length [m]
MOST_LABELS = 16
LONGEST = 15.0  # the largest force [mm], where the view is high enough


@dataclass
class Standing:
    """What stands in one line of sight: a lifter or a station, or several, one behind the other."""

    places: list[Lifter | Station]
    foot: Spot
    head: Spot


def view(sheet: Sheet, scenario: Scenario, which: str, wide: float, high: float) -> str:
    """One view as an SVG element.

    Parameters
    ----------
    sheet : Sheet
        With the forces.
    scenario : Scenario
        The same lift.
    which : "side" or "front"
        Seen from the right, the lifting end to the right; or from the pivot's end, left to the left.
    wide, high : float
        Room on the paper [mm].

    Returns
    -------
    str
        SVG; its figures turn with the page's switch of units.
    """
    return View(sheet, scenario, which, wide, high).drawn()


class View:
    """One view being drawn."""

    def __init__(self, sheet: Sheet, scenario: Scenario, which: str, wide: float, high: float) -> None:
        self.sheet, self.scenario, self.which, self.wide = sheet, scenario, which, wide
        self.motion = motion_of(scenario.load)
        self.u = self.motion.u_for_rise(scenario.need.point, scenario.need.rise)
        outline = shape.body(scenario)["near" if which == "side" else "end"]
        self.before = [tuple(p["at"]) for p in outline]
        self.after = [self.motion.moved(p, self.u) for p in self.before]
        self.standing = self._standing()
        self.labelled = self._labelled()
        rows = -(-len(self.labelled) // max(1, int(wide // LABEL_WIDE)))
        self.labels_high = rows * LABEL_HIGH
        self.paper = Marks(sheet.units)
        self._scale(wide - 2 * MARGIN, high - TOP - GROUND - self.labels_high)
        self.high = TOP + (self.top - self.bottom) * self.mm + GROUND + self.labels_high

    def drawn(self) -> str:
        """All of it, what lies behind first."""
        self._ground()
        self._load()
        for each in self.standing:
            self._tie(each)
        for each in self.standing:
            self._place(each)
        self._weight_and_pivot()
        self._labels()
        self._bar()
        size = f'width="{self.wide:.1f}mm" height="{self.high:.1f}mm" viewBox="0 0 {self.wide:.1f} {self.high:.1f}"'
        name = "Side view" if self.which == "side" else "End view"
        title = f"{name}, 1 : {self.scale}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="view" {size} role="img" font-size="{FONT}">'
            f"<title>{title}</title>{HATCHES}{''.join(self.paper.parts)}</svg>"
        )

    # --- where things are on the paper

    def flat(self, point: Sequence[float]) -> Spot:
        """A point as the view sees it [m]: how far to the right, how high."""
        return (point[0] if self.which == "side" else -point[1]), point[2]

    def at(self, spot: Spot) -> Spot:
        """On the paper [mm]."""
        x = MARGIN + self.inset + (spot[0] - self.left) * self.mm
        return x, TOP + (self.top - spot[1]) * self.mm

    def _standing(self) -> list[Standing]:
        """Places by line of sight, from left to right."""
        seen: dict[tuple[float, ...], Standing] = {}
        everything: list[Lifter | Station] = [*self.scenario.lifters, *self.scenario.stations]
        for place in everything:
            foot, head = self.flat(place.base), self.flat(place.head)
            key = (*(round(x, 2) for x in (*foot, *head)), isinstance(place, Lifter))
            standing = seen.setdefault(key, Standing([], foot, head))
            standing.places.append(place)
        return sorted(seen.values(), key=lambda each: each.foot[0])

    def _labelled(self) -> list[Standing]:
        """Those that get a label: all, or of very many the lifters and whoever carries most."""
        if len(self.standing) <= MOST_LABELS:
            return self.standing

        def worth(each: Standing) -> tuple[bool, float]:
            return isinstance(each.places[0], Lifter), self._forces(each)[0]

        foremost = sorted(self.standing, key=worth, reverse=True)[:MOST_LABELS]
        return [each for each in self.standing if any(each is one for one in foremost)]

    def _scale(self, wide: float, high: float) -> None:
        """The largest scale of the series at which all of it has room."""
        spots = [self.flat(p) for p in (*self.before, *self.after)]
        spots += [spot for each in self.standing for spot in (each.foot, each.head)]
        spots += [self.flat(end) for x in self.scenario.stations if (end := shape.tie_end(x)) is not None]
        across, up = [x for x, _ in spots], [z for _, z in spots]
        self.left, right = min(across), max(across)
        self.bottom, self.top = min(0.0, *up), max(up)
        span, height = right - self.left, self.top - self.bottom
        fits = [n for n in SCALES if span * 1e3 / n <= wide and height * 1e3 / n <= high]
        self.scale = fits[0] if fits else SCALES[-1]
        self.mm = 1e3 / self.scale
        self.inset = (wide - span * self.mm) / 2
        self.longest = min(LONGEST, 0.22 * height * self.mm)

    # --- what is drawn

    def _ground(self) -> None:
        y = self.at((0.0, 0.0))[1]
        self.paper.parts.append(f'<rect x="0" y="{y:.2f}" width="{self.wide:.1f}" height="2.2" fill="url(#soil)"/>')
        self.paper.line((0.0, y), (self.wide, y), "ground")

    def _load(self) -> None:
        """Its outline now, and dashed where the need is reached; the needed point's rise."""
        for points, kind in ((self.before, "load"), (self.after, "load then")):
            path = " ".join("{:.2f},{:.2f}".format(*self.at(self.flat(p))) for p in points)
            self.paper.parts.append(f'<polygon class="{kind}" points="{path}"/>')
        point = self.scenario.need.point
        start, end = self.at(self.flat(point)), self.at(self.flat(self.motion.moved(point, self.u)))
        self.paper.line(start, end, "need")
        self.paper.parts.append(f'<circle class="need" cx="{start[0]:.2f}" cy="{start[1]:.2f}" r="0.7"/>')
        if self.which == "side":
            self.paper.line(end, (end[0], TOP - 1.2), "lead")
            anchor = "end" if end[0] > self.wide / 2 else "start"
            words = figures("needed:", self.scenario.need.rise, "length")
            self.paper.text((end[0] + (2 if anchor == "end" else -2), TOP - 2), words, anchor)

    def _place(self, each: Standing) -> None:
        """A lifter or a station from foot to head, its foot, its crib, its force."""
        lifter = isinstance(each.places[0], Lifter)
        foot, head = self.at(each.foot), self.at(each.head)
        alone = {stands_alone(device) for place in each.places for device in place.capture}
        if True in alone and not lifter:
            self._pile(each)
        if alone != {True}:
            self.paper.line(foot, head, "lifter" if lifter else "strut")
        area = each.places[0].base_area
        half = max(1.6, math.sqrt(area) * self.mm / 2) if area else 1.6
        self.paper.line((foot[0] - half, foot[1]), (foot[0] + half, foot[1]), "foot")
        self._force(each, head, foot, lifter)

    def _force(self, each: Standing, head: Spot, foot: Spot, lifter: bool) -> None:
        """An arrow along the lifter or strut into its head, and the push of its foot along the ground."""
        axial, thrust = self._forces(each)
        most = max(
            [x.axial_worst for x in self.sheet.lifters.values()]
            + [x.static_worst for x in self.sheet.stations.values()]
        )
        if not most > 0:
            return
        length = math.dist(foot, head) or 1.0
        ux, uy = (head[0] - foot[0]) / length, (head[1] - foot[1]) / length
        real = math.dist(each.places[0].head, each.places[0].base) * self.mm  # what of the force lies in this view
        longest = self.longest
        long = longest * axial / most * min(1.0, length / real)
        kind = "force" if lifter else "force lost"
        self.paper.arrow((head[0], head[1]), (head[0] + ux * long, head[1] + uy * long), kind)
        across = longest * thrust / most
        if abs(across) > 0.6:
            self.paper.arrow((foot[0], foot[1] + 1.2), (foot[0] + across, foot[1] + 1.2), kind)

    def _forces(self, each: Standing) -> tuple[float, float]:
        """The largest axial force of those in one line of sight, and its foot's push in this view, to the right [N]."""
        found = []
        for place in each.places:
            if isinstance(place, Lifter):
                lifter = self.sheet.lifters[place.name]
                found.append((lifter.axial_worst, lifter.thrust_along, lifter.thrust_across))
            else:
                station = self.sheet.stations[place.name]
                found.append((station.static_worst, station.thrust_along, station.thrust_across))
        axial, along, across = max(found)
        return axial, along if self.which == "side" else -across

    def _tie(self, each: Standing) -> None:
        for place in each.places:
            end = shape.tie_end(place) if isinstance(place, Station) else None
            if end is not None:
                start, stop = self.at(each.foot), self.at(self.flat(end))
                self.paper.line((start[0], start[1] - 0.8), (stop[0], stop[1] - 0.8), "tie")
                self.paper.parts.append(f'<circle class="anchor" cx="{stop[0]:.2f}" cy="{stop[1] - 0.8:.2f}" r="0.8"/>')

    def _pile(self, each: Standing) -> None:
        """A pile below the head, as high as its line is long; of timber as it is given."""
        timber = next((d.timber for p in each.places for d in p.capture if isinstance(d, Crib)), Timber())
        side, long = (timber.side or 0.09), (timber.length or 0.5)
        x, top = each.head
        low = each.foot[1]
        left, up = self.at((x - long / 2, top))
        self.paper.parts.append(
            f'<rect class="crib" x="{left:.2f}" y="{up:.2f}" width="{long * self.mm:.2f}" '
            f'height="{(top - low) * self.mm:.2f}" fill="url(#timber)"/>'
        )
        for n in range(1, min(60, int((top - low) / side) + 1)):
            y = self.at((x, low + n * side))[1]
            self.paper.line((left, y), (left + long * self.mm, y), "layer")

    def _weight_and_pivot(self) -> None:
        load = self.scenario.load
        if load.motion == "hinged" and self.which == "side":
            x, y = self.at((0.0, load.pivot_height))
            low = self.at((0.0, 0.0))[1]
            self.paper.parts.append(f'<path class="pivot" d="M{x:.2f} {y:.2f}L{x - 2:.2f} {low:.2f}H{x + 2:.2f}Z"/>')
            self.paper.parts.append(f'<circle class="pivot" cx="{x:.2f}" cy="{y:.2f}" r="1.1"/>')
            self.paper.text((x - 2.5, y - 1.6), "pivot", "end")
        if not load.weight_known:
            return
        x, y = self.at(self.flat(load.cg))
        self.paper.parts.append(
            f'<circle class="cg" cx="{x:.2f}" cy="{y:.2f}" r="1.7"/>'
            f'<path class="cg full" d="M{x:.2f} {y:.2f}V{y - 1.7:.2f}A1.7 1.7 0 0 1 {x + 1.7:.2f} {y:.2f}Z'
            f'M{x:.2f} {y:.2f}V{y + 1.7:.2f}A1.7 1.7 0 0 1 {x - 1.7:.2f} {y:.2f}Z"/>'
        )
        self.paper.arrow((x, y + 1.7), (x, y + 1.7 + self.longest * 0.5), "weight")
        self.paper.text((x + 2.4, y + 1.0), figures("CG", load.weight, "force"), "start")

    def _labels(self) -> None:
        """Below the ground, in rows: who it is, angle and force, thrust and tie; a thin line from each foot.

        Neighbours stand in different rows, so that the line to a lower row passes between two labels above it.
        """
        ground = self.at((0.0, 0.0))[1] + GROUND
        rows = max(1, round(self.labels_high / LABEL_HIGH))
        room = self.wide / max(1, -(-len(self.labelled) // rows))
        apart = LABEL_WIDE + max(0.0, min(BESIDE, room - LABEL_WIDE)) if rows > 1 else LABEL_WIDE
        feet = [self.at(each.foot)[0] for each in self.labelled]
        centres = [0.0] * len(feet)
        for row in range(rows):
            centres[row::rows] = spread(feet[row::rows], LABEL_WIDE / 2, self.wide - LABEL_WIDE / 2, apart)
        for n, (each, x, foot) in enumerate(zip(self.labelled, centres, feet, strict=True)):
            row = n % rows
            top = ground + row * LABEL_HIGH
            at = (foot, self.at(each.foot)[1] + 2.2)
            for corner in [*past(centres, n, rows, ground, self.wide), (x, top - 0.4)]:
                self.paper.line(at, corner, "lead")
                at = corner
            for line, (us, si) in enumerate(label(self.sheet, each.places, self._forces(each)[0])):
                self.paper.text((x, top + (line + 0.8) * LINE), (us, si), "middle", bold=line == 0)

    def _bar(self) -> None:
        """The scale in figures, and a bar of a round length."""
        longest = 45.0 / self.mm
        bars = BARS[self.paper.units]
        metres = max((m for m in bars if m <= longest), default=bars[0])
        y = 4.0
        self.paper.line((1.0, y), (1.0 + metres * self.mm, y), "ruler")
        for x in (1.0, 1.0 + metres * self.mm):
            self.paper.line((x, y - 0.8), (x, y + 0.8), "ruler")
        name = "Side view, from the right" if self.which == "side" else "End view, left is left"
        bare = len(self.standing) - len(self.labelled)
        more = f"; {bare} of {len(self.standing)} stand without a label: see the tables" if bare else ""
        words = pair(f"{name}; {limit(metres, u)} at 1 : {self.scale}{more}" for u in ("us", "si"))
        self.paper.text((3.0 + metres * self.mm, y + 0.9), words, "start")
