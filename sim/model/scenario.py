"""A lift as the model sees it: frozen plain data, SI units, everything resolved.

What a person writes is in `written/`; `reading.py` turns that into what is here. Nothing in this file checks
anything: whoever holds a `Scenario` may rely on it. Lengths [m], forces [N], times [s], angles [rad],
pressures [Pa], volumes [m^3], rates [1/s].
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar, Final, Literal

from sim.model.devices import Device
from sim.model.draw import Draw
from sim.model.sentences import Sentence

HALF_AN_INCH = 0.0127  # [m]
Point = tuple[float, float, float]
Side = Literal["left", "right"]
FREE: Final = "free"  # the phases of a lowering call: raise the load clear,
ROOM: Final = "room"  # let the devices down,
LOWER: Final = "lower"  # and let the load down onto them
StationSide = Literal["left", "right", "both"]


@dataclass(frozen=True, slots=True)
class Load:
    """What is raised."""

    weight: float
    motion: Literal["hinged", "straight"]
    cg: Point
    pivot_height: float = 0.0
    take_up: float = 0.0  # ram travel spent before the load moves
    weight_known: bool = True  # False: only a scale reading at one place; weight and cg stand for its moment


@dataclass(frozen=True, slots=True)
class Need:
    """What must be cleared: how far which point has to rise, and no more."""

    point: Point
    rise: float


@dataclass(frozen=True, slots=True)
class Leader:
    """How the lift is called."""

    rule: Literal["stop-until-caught", "keep-pace"] = "stop-until-caught"
    strokes: int = 1
    gap_limit: float = 0.0
    pace: float = 0.0
    look: float = 0.0
    level_limit: float | None = None
    if_uncapturable: Literal["go-on", "stop"] = "go-on"
    max_calls: int = 500
    step: float | None = None  # how far below where it stood a device is let down in one lowering call

    @property
    def room(self) -> float:
        """How far a device is let down in one lowering call: the gap limit or half an inch by default [m]."""
        return self.step or self.gap_limit or HALF_AN_INCH


@dataclass(frozen=True, slots=True)
class Stage:
    """A part of the job with an end of its own."""

    do: Literal["raise", "hold", "lower"]
    to: float = 0.0  # raise, lower: the rise of the needed point since the start
    time: float = 0.0  # hold: for how long
    leader: Mapping[str, Any] = field(default_factory=dict)  # keys of the leader that are others in this stage

    def led(self, leader: Leader) -> Leader:
        """How it is called: as the lift is, but for keys of its own."""
        return replace(leader, **self.leader) if self.leader else leader


@dataclass(frozen=True, slots=True)
class Limits:
    """What the checks hold the lift against: what the file gives (`written`), and common practice for the rest."""

    NAMES: ClassVar = ("gap", "drop", "design_factor", "strut_angle", "lifter_angle")
    gap: float = 0.0254
    drop: float = 0.0762
    design_factor: float = 1.5
    strut_angle: tuple[float, float] = (0.6981317007977318, 1.0471975511965976)
    lifter_angle: tuple[float, float] = (0.9599310885968813, 1.5707963267948966)
    written: tuple[str, ...] = field(default=(), compare=False)

    def is_default(self, name: str) -> bool:
        """Whether nobody gave this one: it stands as the program has it."""
        return name not in self.written and getattr(self, name) == getattr(Limits(), name)

    def source(self, name: str) -> str:
        """Where it comes from, as a finding says it."""
        return f"limits.{name}" + (" (the default: common practice)" if self.is_default(name) else "")

    def word(self, name: str) -> str:
        """What it is called in a finding."""
        return "default limit" if self.is_default(name) else "limit"

    @property
    def factor_said(self) -> str:
        """The design factor as a finding says it."""
        return f"{self.design_factor:g}" + (" (default)" if self.is_default("design_factor") else "")


@dataclass(frozen=True, slots=True)
class Operator:
    """A kind of person at a pump handle. Every lifter has one of its own."""

    name: str
    stroke: Draw
    react: Draw = Draw(0.0)
    recover: Draw = Draw(0.0)
    fill: Draw = Draw(1.0)  # share of a full stroke delivered
    miss: float = 0.0  # chance that a call is missed
    lowering: Draw = Draw(0.005)  # how fast the ram shortens while the valve is open [m/s]
    close: Draw = Draw(0.5)  # from landing, or from being told to stop, until the valve is shut


@dataclass(frozen=True, slots=True)
class Pump:
    """A hand pump of one or two stages."""

    name: str
    first_stage: float  # volume a stroke [m^3]
    second_stage: float  # volume a stroke above the shift pressure [m^3]
    shift_pressure: float  # infinite: a pump of one stage
    relief_pressure: float  # infinite: no relief valve given


@dataclass(frozen=True, slots=True)
class Lifter:
    """A ram with a hand pump that raises one side."""

    name: str
    side: Side
    head: Point
    base: Point
    travel: float
    operator: Operator
    share: float  # this side's part of the load, 0 to 1
    travel_per_pump: float | None = None  # None: from the pump
    pump: Pump | None = None
    ram_area: float | None = None
    capture: tuple[Device, ...] = ()
    catchers: tuple[str, ...] = ()  # one name a device of `capture`
    rated_load: float | None = None
    base_area: float | None = None
    handle_stroke: float | None = None  # how far the hand moves in one stroke
    give: float | None = None  # how far ram, capture and ground give under the load that the capture would catch
    tie: Tie | None = None  # what keeps its foot from kicking out; None: nothing that is known
    friction: tuple[float, float] | None = None  # coefficient under its foot, from low to high; None: not known

    @property
    def slack(self) -> float:
        """How far its own capture is behind the load at the start: it is in contact [m]."""
        return 0.0


@dataclass(frozen=True, slots=True)
class Tie:
    """What holds the foot of a strut or a lifter in."""

    kind: str
    slack: float = 0.0
    length: float | None = None
    working_load_limit: float | None = None  # of its weakest part
    limit_source: str = ""  # where that figure comes from
    elongation: float | None = None  # share of its length at its working load limit
    anchor: Point | None = None  # where the far end is made fast; None: level with the foot, in the strut's plane
    to: Literal["ground", "load", "pivot"] = "ground"  # what that end is made fast to


@dataclass(frozen=True, slots=True)
class Strut:
    """What a strut is made of, for its buckling; None or "": not known."""

    tube: tuple[float, float] | None = None  # outer diameter and wall
    post: tuple[float, float] | None = None  # of timber: thickness and width
    material: str = ""
    yields: float | None = None  # yield stress [Pa]


@dataclass(frozen=True, slots=True)
class Station:
    """A place where the load is held up besides the rams."""

    name: str
    side: StationSide
    head: Point
    base: Point
    capture: tuple[Device, ...]
    catchers: tuple[str, ...]  # one name a device of `capture`; the same name twice is one person
    tie: Tie | None = None
    rated_load: float | None = None
    give: float | None = None  # how far strut and ground give under the load it would catch
    base_area: float | None = None
    strut: Strut = Strut()
    friction: tuple[float, float] | None = None  # coefficient under its foot, from low to high; None: not known

    @property
    def slack(self) -> float:
        """How far the tie leaves the device behind the load at the start [m]."""
        return self.tie.slack if self.tie else 0.0


@dataclass(frozen=True, slots=True)
class Reset:
    """A spent lifter is let go, packed up and brought back to contact."""

    time: float
    reseat: float = 0.0  # ram travel to spend before the load moves again


@dataclass(frozen=True, slots=True)
class Mishap:
    """Something that goes wrong on purpose."""

    kind: Literal["pressure-lost", "lifter-lost", "slow", "missed", "false-caught", "stop"]
    call: int
    who: str = ""  # a lifter, an operator's lifter or a catcher; "" for `stop`
    after: float = 0.0  # seconds after the end of the call
    factor: float = 1.0
    time: float = 0.0
    phase: Literal["", "free", "room", "lower"] = ""  # of a lowering call, at whose end it comes; "": of the call


@dataclass(frozen=True, slots=True)
class Ground:
    """What the feet stand on."""

    bearing: float | None = None  # [Pa]
    bearing_source: str = ""
    soil: str = ""  # the class as written, if a class was written
    edge: float | None = None  # from the nearest foot to a hole or edge
    depth: float | None = None  # how deep that hole is


@dataclass(frozen=True, slots=True)
class Pivot:
    """What keeps a hinged load's pivot from moving; None: not known."""

    held: Literal["chocked", "chocked-ahead", "chocked-behind", "brakes", "nothing"] | None = None
    holds: float | None = None  # fore and aft, each of its two contacts
    friction: tuple[float, float] | None = None  # coefficient under it, from low to high
    track: float | None = None  # between its two contacts


@dataclass(frozen=True, slots=True)
class Range:
    """A value that the file marks as assumed: its path, how low and how high it may be, and the value, as written."""

    path: str
    low: str | float
    high: str | float
    value: str | float  # of {mean, sd}: the mean


@dataclass(frozen=True, slots=True)
class Scenario:
    """One lift, all of it."""

    title: str
    units: Literal["us", "si"]
    load: Load
    need: Need
    leader: Leader
    limits: Limits
    lifters: tuple[Lifter, ...]
    stations: tuple[Station, ...] = ()
    stages: tuple[Stage, ...] = ()  # as written; none: the lift is one, which raises to the need
    start: float = 0.0  # rise of the needed point at which it begins, settled and caught
    walk: dict[str, Draw] = field(default_factory=dict)  # catcher -> time to change station
    reset: Reset | None = None
    mishaps: tuple[Mishap, ...] = ()
    ground: Ground = Ground()
    pivot: Pivot = Pivot()
    crew_sd: float = 0.0  # how much people differ: sd of the factor on all of a person's times; 0: not asked
    people: int | None = None  # how many there are, the leader among them; None: not known
    variants: tuple[str, ...] = ()  # names, in the order written
    variant: str = ""  # the one that this is; "": the scenario as written
    variant_title: str = ""  # what that one is called where ways are compared; "": by its name
    assumed: tuple[str | Sentence, ...] = ()  # what reading had to take for granted, a sentence each
    text: str = ""  # the file as read
    ranges: tuple[Range, ...] = ()  # what the file marks as assumed, in the order written

    @property
    def job(self) -> tuple[Stage, ...]:
        """Its stages in order: where none is written, one that raises to the need."""
        return self.stages or (Stage("raise", self.need.rise),)

    @property
    def comes_down(self) -> bool:
        """Whether a stage lowers the load."""
        return any(stage.do == "lower" for stage in self.stages)

    @property
    def places(self) -> tuple[Lifter | Station, ...]:
        """Every place where something is captured: each lifter's own, then the stations."""
        return tuple(x for x in self.lifters if x.capture) + self.stations
