"""What every device can say of itself.

A device is frozen data and a few plain functions of what it holds now and of the demand. Who does the work, and
when, is the story's business (`sim/story/lift.py`); the devices know nothing of the clock.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar, Literal, Protocol

from sim.model.draw import Draw

EXACT = 1e-9  # lengths [m] nearer than this are the same: four strokes of half an inch do reach a hole at two inches


@dataclass(frozen=True, slots=True)
class Held:
    """What a device holds of the line's length since the start, and what that stands on [m]."""

    captured: float
    slack: float = 0.0  # slack that stays (pin, chain)
    pile: float = 0.0  # timber without its wedges (crib)
    pieces: tuple[float, ...] = ()  # what the pile is of, the lowest first (crib)


class Task(StrEnum):
    """What a catcher does in one step at a device of ours, and the quantity that its time is drawn as."""

    SWAP = "swap"  # a pin out, and in at another hole
    REHOOK = "rehook"  # a chain off its hook, and on again
    CLICK = "click"  # a strap, once, taken up or let out
    PLACE = "place"  # a piece of timber, put on or taken off
    DRIVE = "drive"  # a pair of wedges, driven or drawn


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of a catcher's work at a device, planned from the demand (or the level to go down to) at its start."""

    doing: str  # a `Task`, or a word of the device's own
    takes: Draw  # [s]; its draw is that of the quantity named `doing`
    then: Held  # what the device holds once the step is done
    meanwhile: Held  # what it holds while the step is being done
    open: bool = False  # it holds nothing while the step is being done
    hands: bool = False  # hands are in while the step is being done
    times: int = 1  # over, one after another: the timbers of a layer
    anew: bool = False  # the step after it is chosen anew by the demand then, and only while the side is at rest

    @property
    def mean(self) -> float:
        """How long it takes at mean values [s]."""
        return self.times * self.takes.mean


class Device(Protocol):
    """A kind of device, as the story and the batch use it."""

    kind: ClassVar[str]

    @property
    def chases(self) -> Literal["with", "after"] | None:
        """None: it works in steps, and only while its side is at rest."""

    @property
    def name(self) -> str:
        """The writer's own name for it."""

    @property
    def react(self) -> Draw:
        """From seeing that there is something to do to starting on it [s]."""

    @property
    def finest(self) -> float:
        """The least that one step of work captures [m]; infinite for one that chases."""

    @property
    def ends_at(self) -> float:
        """The demand past which it captures nothing more [m]; infinite where it goes on as far as the load."""

    def at_start(self, slack: float) -> Held:
        """What it holds before anyone has done anything, behind a tie with this slack [m]."""

    def reach(self, held: Held, demand: float) -> float:
        """What it would hold after work begun at this demand [m]."""

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """The work that gets it there, one step after another. Empty for one that chases."""

    def tightened(self, held: Held, demand: float) -> float:
        """What it would hold after work begun on the way down, where nothing is moved up any more [m]."""

    def tighten(self, held: Held, demand: float) -> tuple[Step, ...]:
        """The work that gets it there. Empty for one that chases."""

    def let_down(self, held: Held, to: float) -> tuple[Step, ...]:
        """The work after which it holds no more than `to` [m]. Empty for one that is turned back."""

    def seconds_a_call(self, gives: float) -> float:
        """Seconds from seeing it to caught, where calls give so much each [m]: at mean values, on average over many."""


def stands_alone(device: Device) -> bool:
    """Whether it stands under the load by itself: no strut carries it, and no tie's slack leaves it behind."""
    return device.at_start(1.0).captured >= 0


def on_a_strut(devices: Iterable[Device]) -> bool:
    """Whether something leans to the load that carries these: not all of them stand by themselves."""
    return not all(map(stands_alone, devices))


def at_its_end(device: Device, held: Held) -> bool:
    """Whether it has been brought up as far as it goes, whatever the demand."""
    return held.captured >= device.ends_at - EXACT


def leaves_past_its_end(device: Device, demand: float) -> float:
    """What it leaves of a demand because it ends, and not because it works in steps [m]; 0 where it does not end."""
    left = demand - device.ends_at
    step = EXACT if device.chases else device.finest - EXACT
    return left if left > step else 0.0


def brought_up(device: Device, slack: float, demand: float) -> Held:
    """What it holds where it has been kept up with the load to this demand [m]."""
    start = device.at_start(slack)
    steps = device.steps(start, demand)
    return steps[-1].then if steps else Held(max(start.captured, device.reach(start, demand)), start.slack)


def can_capture(device: Device, held: Held, demand: float) -> bool:
    """Whether work begun now would make the device hold more than it does."""
    return device.reach(held, demand) > held.captured + EXACT
