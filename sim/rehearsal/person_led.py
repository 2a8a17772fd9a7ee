"""A leader who is outside of the lift: the story of `lift.py`, led by one who waits for a person's word."""

from __future__ import annotations

import simpy

from sim.model.devices import EXACT
from sim.model.scenario import Stage
from sim.record.what import Outcome, What
from sim.story.clock import Process
from sim.story.ending import Ended, stuck
from sim.story.lift import Lift
from sim.story.now import SideNow, names_of
from sim.story.site import Site

CALL, UP, ROOM, DOWN, GO_ON = "call", "up", "room", "down", "go on"  # what the crew waits to hear
ALL = ""  # the side of a call that goes to every lifter


class PersonLed(Lift):
    """The people of one lift whose leader is outside."""

    def __init__(self, site: Site) -> None:
        super().__init__(site)
        self.word: str | None = None  # what the person has just said: a lifter's name or ALL
        self.ends = False  # the person has said that it is enough
        self.asks = ""  # what the crew waits to hear; "": it is at work
        self.paced: simpy.Event | None = None  # the pace since the last call

    def until_the_next_look(self) -> Process:
        """No wait: the person looks all the time."""
        self.paced = self.env.timeout(max(0.0, self.last_call + self.rule.pace - self.env.now))
        yield from ()

    def look(self) -> Process:
        """Wait for the person's word; where the rule would look and hold, write that down.

        Raises
        ------
        Ended
            The person has said that it is enough.
        """
        site, self.asks = self.site, CALL
        while not (self.at_pace and self.all_ready):
            if self.spoken:
                break
            yield self.wait() if self.at_pace or self.paced is None else self.paced | self.wait()
        if not self.spoken:
            yield from self.as_the_rule_looks()
        while not self.spoken:
            yield self.wait()
        self.asks = ""
        if self.ends:
            self.ends = False
            over = self.over_limit if site.all_caught and self.rule.rule == "stop-until-caught" else []
            yield from self.until_all_caught()
            if self.settled_rise >= self.goal - EXACT:
                raise Ended(Outcome.RAISED, "the needed rise is held by what was captured")
            why = stuck(over) if over else "the leader ended the lift short of the needed rise"
            raise Ended(Outcome.STOPPED, why)

    def as_the_rule_looks(self) -> Process:
        """What the rule's look would have found, for as long as the person does not speak."""
        site = self.site
        yield from self.takes_a_look()
        if self.spoken:
            return
        reached = self.point_rise >= self.goal - EXACT
        refused = self.rule.rule == "stop-until-caught" and self.refused
        if (reached or refused) and not site.all_caught:
            self.say(What.HOLDS, self.not_caught)
            while not (site.all_caught or self.spoken):
                yield self.wait()
        enough = reached and self.settled_rise >= self.goal - EXACT
        if refused and self.over_limit and not (enough or self.spoken):
            self.say(What.UNCAPTURABLE, ", ".join(self.over_limit))

    def sides_to_call(self) -> list[SideNow]:
        """Those that the person has called."""
        word, self.word = self.word, None
        return [s for s in self.site.sides if word in (ALL, s.lifter.name)]

    # --- held, and on the way down

    def hold(self, stage: Stage) -> Process:
        """The load stands on its captures, until its time is over or the person goes on."""
        self.site.settle()
        over, self.asks = self.env.timeout(stage.time), GO_ON
        while not (over.processed or self.spoken):
            yield over | self.wait()
        self.heard("the leader ended the lift while it was held")

    def is_above(self, to: float) -> Process:
        """Wait for the person's word to come down a step, while there is a way to go."""
        yield from self.until_ready()
        return (yield from super().is_above(to))

    def before_calling_down(self, held: bool) -> Process:
        """All is caught: the person says when to come down."""
        yield from self.the_word(UP)

    def before_room(self) -> Process:
        """All sides are clear: the person says when hands may go in."""
        yield from self.the_word(ROOM)

    def before_lowering(self) -> Process:
        """All hands are out: the person says when to open the valves."""
        yield from self.the_word(DOWN)

    def the_word(self, asks: str) -> Process:
        """Wait for the person to say what is due.

        Raises
        ------
        Ended
            The person has said that it is enough.
        """
        self.asks = asks
        while not self.spoken:
            yield self.wait()
        side = self.word
        self.heard("the leader ended the lift on its way down")
        self.word = side if asks == UP else None

    def heard(self, ended: str) -> None:
        """The person has spoken.

        Raises
        ------
        Ended
            To say that it is enough.
        """
        self.asks, self.word = "", None
        if self.ends:
            raise Ended(Outcome.STOPPED, ended)

    def sides_to_call_down(self, to: float) -> list[SideNow]:
        """Those that the person has called, if they are above it; else all that are."""
        above = [s for s in self.site.sides if s.u > to + EXACT]
        word, self.word = self.word, None
        return [s for s in above if word in (ALL, s.lifter.name)] or above

    @property
    def spoken(self) -> bool:
        """Whether the person has said something."""
        return self.ends or self.word is not None

    @property
    def at_pace(self) -> bool:
        """Whether the pace has passed since the last call."""
        return self.paced is None or self.paced.processed

    @property
    def under_way(self) -> str:
        """What the crew is at while it waits for no word."""
        hands = [d.place.name for d in self.site.devices if d.goes_down_to is not None]
        if hands:
            return f"hands are in: {', '.join(dict.fromkeys(hands))}"
        if not self.all_ready:
            return self.busy
        if not self.site.all_caught:
            return f"still being caught: {self.not_caught}"
        return "the lifters are being re-set, or the lift is ending"

    @property
    def more_to_come(self) -> bool:
        """Whether another stage follows this one."""
        return self.stage is not self.site.scenario.job[-1]

    @property
    def busy(self) -> str:
        """Which operators could not hear a call."""
        return f"{names_of(s for s in self.site.sides if not s.ready)} still at work"
