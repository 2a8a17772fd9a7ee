"""What each strut would carry against what buckles it: at rest, and at the peak of the drop that it catches.

It is taken as one straight tube or post, pinned at both ends (K = 1) and loaded in its middle, as long as it gets.
What it is made of stands in the file, or its buckling is not known: rated loads are no answer to it, for makers rate
a strut at a length.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.check.course import Course
from sim.check.figures import margin, of, times_up
from sim.check.findings import Check, Finding, finding
from sim.check.stations import IMPACT, StationLoad
from sim.check.struts import columns, materials
from sim.model.scenario import Station, Strut
from sim.model.sentences import Part, Sentence, down, near, up

PINNED = "ends pinned, straight, loaded in its middle: assumed"
EULER, JOHNSON, STABILITY = "Euler", "Johnson", "stability factor, dry, load duration 1.0"
NOT_GIVEN = "not given in the file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Buckling:
    """One strut as a column; what it carries is as its station has it."""

    outer: float | None = of("m")  # of a tube: its diameter
    wall: float | None = of("m")
    thick: float | None = of("m")  # of a post
    wide: float | None = of("m")
    material: str
    length: float = of("m")  # from foot to head, where it is longest
    slenderness: float | None  # length over radius of gyration, of a post over its thickness
    rule: str  # Euler's, Johnson's or the stability factor's; "": not known
    stress: float | None = of("Pa")  # at which it buckles
    capacity: float | None = of("N")  # None: not known, or too slender
    static: float = of("N")  # what it would carry at rest with its side's lifter lost
    margin: float | None
    peak: float | None = of("N")  # None: not known, or no drop meets it
    margin_peak: float | None
    source: str


def buckling(course: Course, station: Station, load: StationLoad) -> Buckling:
    """One station's strut as a column."""
    strut, length = station.strut, longest(course, station)
    slenderness, stress, rule, source = _as_column(strut, length)
    area = section(strut)
    carries = None if stress is None or area is None else stress * area
    outer, wall = strut.tube or (None, None)
    thick, wide = strut.post or (None, None)
    return Buckling(
        outer=outer,
        wall=wall,
        thick=thick,
        wide=wide,
        material=strut.material,
        length=length,
        slenderness=slenderness,
        rule=rule,
        stress=stress,
        capacity=carries,
        static=load.static_worst,
        margin=margin(carries, load.static_worst),
        peak=load.peak,
        margin_peak=margin(carries, load.peak),
        source=source,
    )


def longest(course: Course, station: Station) -> float:
    """From a station's foot to its head where that is longest [m]: lines lengthen as the load rises."""
    line = course.motion.line(station.head, station.base)
    return line.start + line.demand(max(course.tops[x.name] for x in course.lifters_of(station)))


def section(strut: Strut) -> float | None:
    """Its cross section [m^2]; None where its size is not given."""
    if strut.tube is not None:
        return columns.tube_area(*strut.tube)
    return strut.post[0] * strut.post[1] if strut.post is not None else None


def _as_column(strut: Strut, length: float) -> tuple[float | None, float | None, str, str]:
    """Slenderness, the stress at which it buckles [Pa], the rule and its source; None for what is not known."""
    if strut.tube is not None:
        slenderness = length / columns.tube_radius(*strut.tube)
        metal = materials.metal(strut.material)
        if metal is None or strut.yields is None:
            return slenderness, None, "", NOT_GIVEN
        rule = JOHNSON if slenderness <= columns.changeover(metal.modulus, strut.yields) else EULER
        stress = columns.metal_stress(slenderness, metal.modulus, strut.yields)
        return slenderness, stress, rule, f"{rule}, {PINNED}; {metal.source}"
    if strut.post is not None:
        slenderness = length / strut.post[0]
        grade = materials.grade(strut.material, *strut.post)
        if grade is None or not slenderness <= columns.MOST_SLENDER:
            return slenderness, None, "", NOT_GIVEN if grade is None else grade.source
        stress = grade.bears * columns.stability_factor(slenderness, grade.modulus, grade.bears)
        return slenderness, stress, STABILITY, f"{STABILITY}, {PINNED}; {grade.source}"
    return None, None, "", NOT_GIVEN


def buckling_findings(course: Course, station: Station, load: StationLoad, found: Buckling) -> Iterator[Finding]:
    """What buckles it, against what it would carry; or that this is not known, and why."""
    name, factor = station.name, course.scenario.limits.design_factor
    if load.static_worst < 0:
        return  # it would have to pull: its station says so
    if found.capacity is None:
        yield _not_known(name, found, station.strut)
        return
    over: dict[str, Part | Sentence] = {
        "lost": load.lost, "factor": course.scenario.limits.factor_said, "most": down(found.capacity, "force"),
        "section": _section(found), "long": up(found.length, "length"),
    }  # fmt: skip
    if not found.static * factor <= found.capacity:
        yield finding(
            "stop", Check.STRUT_BUCKLES_AT_REST, name, found.static * factor, found.capacity, "N", found.source,
            static=up(found.static, "force"), **over,
        )  # fmt: skip
    elif found.peak is not None and not found.peak * factor <= found.capacity:
        yield finding(
            "stop", Check.STRUT_BUCKLES_AT_PEAK, name, found.peak * factor, found.capacity, "N",
            f"{found.source}; {IMPACT}", peak=up(found.peak, "force"), **over,
        )  # fmt: skip


def _not_known(name: str, found: Buckling, strut: Strut) -> Finding:
    """Why there is no figure: too slender a post, or what the file does not say."""
    long = up(found.length, "length")
    known = materials.metals() if strut.tube else materials.grades()
    if found.slenderness is None:
        return finding("caution", Check.STRUT_UNSIZED, name, source=NOT_GIVEN, long=long)
    if strut.post is not None and not found.slenderness <= columns.MOST_SLENDER:
        said: dict[str, Part] = {
            "long": long,
            "ratio": times_up(found.slenderness),
            "most": f"{columns.MOST_SLENDER:g}",
        }
        ratio, source = found.slenderness, "NDS 2018 3.7.1.4"
        return finding("stop", Check.POST_TOO_SLENDER, name, ratio, columns.MOST_SLENDER, "", source, **said)
    if not strut.material:
        return finding("caution", Check.STRUT_MATERIAL_UNKNOWN, name, source=NOT_GIVEN, long=long)
    if strut.tube is None or materials.metal(strut.material) is None:
        return finding(
            "caution", Check.STRUT_MATERIAL_UNLISTED, name, source=NOT_GIVEN,
            long=long, material=strut.material, known=", ".join(known),
        )  # fmt: skip
    return finding("caution", Check.STRUT_YIELD_UNKNOWN, name, source=NOT_GIVEN, long=long, material=strut.material)


def _section(found: Buckling) -> Sentence:
    """What it is, in words."""
    material = found.material
    if found.outer is not None and found.wall is not None:
        outer, wall = near(found.outer, "length"), near(found.wall, "length")
        return Sentence("tube of {material}, {outer} by {wall}", material=material, outer=outer, wall=wall)
    assert found.thick is not None and found.wide is not None
    thick, wide = near(found.thick, "length"), near(found.wide, "length")
    return Sentence("post of {material}, {thick} by {wide}", material=material, thick=thick, wide=wide)
