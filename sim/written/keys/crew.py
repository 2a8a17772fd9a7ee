"""What a person writes about the people and the pumps, and what the model makes of it.

Each key's description is the README's too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from pydantic import Field

from sim.model.draw import Draw
from sim.model.scenario import Operator, Pump
from sim.model.sentences import Sentence, near
from sim.written.keys.quantities import (
    DrawnShare,
    DrawnSpeed,
    DrawnTime,
    DrawnWork,
    Pressure,
    Share,
    Table,
    Volume,
    drawn,
    optional,
)

UNSAID = Operator("", Draw(1.0))  # of the way down: a plausible valve, where nobody has measured one; ours


class WrittenOperator(Table):
    """[operator.NAME]: a kind of person at a pump handle; every lifter has one of its own."""

    react: DrawnTime | None = optional("From the call to the first stroke (default 0 s).")
    stroke: DrawnWork = Field(description="One working movement of the handle.")
    recover: DrawnTime | None = optional("Bringing the handle back after each stroke (default 0 s).")
    fill: DrawnShare | None = optional("Share of a full stroke delivered, 0 to 1 (default 1).")
    miss: Share = optional("Chance that a call is missed, 0 to 1 (default 0).", 0.0)

    lowering: DrawnSpeed | None = optional("How fast the ram shortens while the valve is open (default 5 mm/s).")
    close: DrawnTime | None = optional("From landing, or from being told to stop, until it is shut (default 0.5 s).")

    def operator(self, name: str) -> Operator:
        """As the model has it."""
        react, recover, fill = drawn(self.react), drawn(self.recover), drawn(self.fill, 1.0)
        lowering, close = drawn(self.lowering, UNSAID.lowering.mean), drawn(self.close, UNSAID.close.mean)
        return Operator(name, self.stroke.draw, react, recover, fill, self.miss, lowering, close)

    def unsaid(self, name: str) -> Iterator[str]:
        """What had to be taken for granted, a sentence each."""
        nothing = [key for key in ("react", "recover") if getattr(self, key) is None]
        if nothing:
            yield f'Operator "{name}": {" and ".join(nothing)} not given, taken as 0 s.'
        if self.fill is None:
            yield f'Operator "{name}": fill not given, every stroke is a full one.'

    def unsaid_lowering(self, name: str) -> Iterator[Sentence]:
        """The same of the way down."""
        taken = {"lowering": near(UNSAID.lowering.mean, "speed"), "close": near(UNSAID.close.mean, "time")}
        unsaid = {key: figure for key, figure in taken.items() if getattr(self, key) is None}
        if unsaid:
            listed = "; ".join(f"{key} not given, taken as {{{key}}}" for key in unsaid)
            yield Sentence(f'Operator "{{name}}": {listed}.', name=name, **unsaid)


class WrittenPump(Table):
    """[pump.NAME]: a hand pump of one or two stages."""

    first_stage: Volume = Field(description="Volume a stroke, below the shift pressure.")
    second_stage: Volume | None = optional("Volume a stroke from the shift pressure on (default: none).")
    shift_pressure: Pressure | None = optional("Where the pump shifts (default: it does not).")
    relief_pressure: Pressure | None = optional("Above it nothing moves (default: no relief valve).")

    def pump(self, name: str) -> Pump:
        """As the model has it: without a shift pressure it never shifts, without a relief valve it never opens it."""
        second = self.first_stage if self.second_stage is None else self.second_stage
        shift = math.inf if self.shift_pressure is None else self.shift_pressure
        relief = math.inf if self.relief_pressure is None else self.relief_pressure
        return Pump(name, self.first_stage, second, shift, relief)


class WrittenCatcher(Table):
    """[catcher.NAME]: a person who serves several stations."""

    walk: DrawnTime = Field(description="From one station to another, whichever they are.")
