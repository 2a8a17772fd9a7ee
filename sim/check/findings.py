"""What a check can find, and how it is said: data first, and every sentence in one place.

A finding is which check, of whom, its amounts, and whose limit it is. Words are made of it last, in the units asked for
(`Finding.what.words(units)`); nothing reads them back.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any, Literal

from sim.model.sentences import Part, Sentence
from sim.model.units import Units

Level = Literal["stop", "caution", "note"]
LEVELS: tuple[Level, ...] = ("stop", "caution", "note")

COMMON = "common practice"
ASSUMED = "assumption"
MAKER = "the maker's rating given in the file"


class Check(Enum):
    """Everything that a check can find, with the sentence for it."""

    # lifters
    LIFTER_WOULD_PULL = (
        "would have to pull down with {pull} at worst, and it can only push: its part of the load is below 0"
    )
    LIFTER_UNRATED = "rated load not known: it would carry {worst} at worst"
    LIFTER_OVER = "carries {worst} at worst; times the design factor {factor} that is over its rated load of {rated}"
    LIFTER_OVER_AT_PEAK = (
        "would peak at {peak} if its pressure were lost and its own capture met the drop; "
        "times the design factor {factor} that is over its rated load of {rated}"
    )
    LIFTER_GIVE_UNKNOWN = "give of its own capture not known: a drop onto it is at least the fall, its peak not known"
    LIFTER_OVER_ALONE = (
        "would carry {alone} if its side came to bear all of the load (a stiff load, one pump ahead): "
        "over its rated load of {rated}"
    )
    LIFTER_LEANS = "stands at {angle} from horizontal, outside its band"
    LIFTER_RESETS = "needs {need} of ram travel for the rise, and has {has}: it must be re-set on the way"
    LIFTER_SHORT = "needs {need} of ram travel for the rise, and has {has}; the scenario has no [reset]"
    PUMP_RELIEVES = "needs {got} at worst, and the pump opens its relief valve at {most}: it cannot raise this load"
    # stations
    STATION_WOULD_PULL = "would have to hold its side down with {pull} if {lost} were lost, and it can only push"
    STATION_UNRATED = "rated load not known: it would carry {static} at rest if {lost} were lost"
    STATION_OVER_AT_REST = (
        "would carry {static} at rest if {lost} were lost; "
        "times the design factor {factor} that is over its rated load of {rated}"
    )
    STATION_OVER_AT_PEAK = (
        "would peak at {peak} if {lost} were lost and it met a drop of {drop} along its line; "
        "times the design factor {factor} that is over its rated load of {rated}"
    )
    STATION_NEVER_FIRST = "is never the first to stop the load if {lost} is lost: no drop onto it is reckoned"
    STATION_GIVE_UNKNOWN = (
        "give not known: at rest it would carry {static}, and how high the peak of a drop goes is not known"
    )
    STATIONS_SHARE_NOTHING = (
        "where several could stop a side, the first is reckoned to take it all, and the others nothing"
    )
    STRUT_LEANS = "stands at {angle} from horizontal {when}, outside its band"
    STRUT_UNSIZED = "buckling not known: maker's table for {long} of length; the file gives no size of its tube or post"
    STRUT_MATERIAL_UNKNOWN = (
        "buckling not known: maker's table for {long} of length; the file does not give what it is made of"
    )
    STRUT_MATERIAL_UNLISTED = (
        'buckling not known: maker\'s table for {long} of length; "{material}" is not among the materials here: {known}'
    )
    STRUT_YIELD_UNKNOWN = (
        "buckling not known: maker's table for {long} of length; the file gives no yield stress of its {material}"
    )
    STRUT_BUCKLES_AT_REST = (
        "would carry {static} at rest if {lost} were lost; times the design factor {factor} that is over {most}, at "
        "which a {section}, {long} long, buckles: a thicker or a shorter strut is needed"
    )
    STRUT_BUCKLES_AT_PEAK = (
        "would peak at {peak} if {lost} were lost; times the design factor {factor} that is over {most}, at which a "
        "{section}, {long} long, buckles: a smaller gap, or a thicker or a shorter strut, is needed"
    )
    POST_TOO_SLENDER = (
        "is {long} long, {ratio} times its thickness: no timber post may be over {most} times; "
        "a thicker or a shorter one is needed"
    )
    SIDE_UNSTOPPED = "its side is up by as much as {rise} and no station holds it above the start: lost then, it drops"
    # devices
    DEVICE_ENDS = (
        "its {device} ends {ends} beyond the start, and the rise asks {needs} of its line: "
        "from there on it captures nothing"
    )
    # ties
    TIE_MISSING = (
        "no tie is written: its foot would be pushed out with {thrust} and needs friction of {grip}; what is under it "
        "is not known; published, steel on concrete: {low} to {high}"
    )
    FOOT_KICKS_OUT = (
        "its foot needs friction of {grip} so as not to kick out, and nothing ties it; it has: {low} to {high} in the "
        "file"
    )
    TIE_PULLS_WRONG = "pulls the wrong way: it cannot hold the foot against {thrust}"
    TIE_OUT_OF_LINE = "is not in line with the thrust (cosine {cosine}): it takes more, and the foot the rest"
    TIE_UNRATED = "working load limit not known: it would have to hold {static} at rest; not shown to hold"
    TIE_OVER_AT_REST = (
        "would have to hold {static} at rest; "
        "times the design factor {factor} that is over its working load limit of {most}"
    )
    TIE_PEAK_UNKNOWN = "the peak of a drop is not known: beyond {static} at rest it is not shown to hold"
    TIE_OVER_AT_PEAK = (
        "would have to hold {peak} at the peak of the drop; "
        "times the design factor {factor} that is over its working load limit of {most}"
    )
    TIE_STRETCHES = "would stretch by {longer} at the peak of the drop, which is in the drop"
    TIE_STRETCH_NO_FIGURE = (
        "over its limit at the peak, stretch not meaningful: the drop is without it, and at least that"
    )
    TIES_TOGETHER_UNKNOWN = "their limits together against half the weight: not known, for {lacking} is not given"
    TIES_TOGETHER_UNDER = "their working load limits together are {together}, less than half the weight, {half}"
    # cribs
    CRIB_UNSIZED = "capacity not known, for the size of its timber is not given: it would carry {load}"
    CRIB_OVER = "would carry {load}; times the design factor {factor} that is over its capacity of {capacity}"
    CRIB_OVER_AT_PEAK = (
        "would peak at {peak} under a drop; times the design factor {factor} that is over its capacity of {capacity}"
    )
    CRIB_SPECIES_UNKNOWN = (
        "the species of the timber is not known: only the rule of thumb is used, which overstates soft and wet timber"
    )
    CRIB_SPECIES_UNLISTED = (
        '"{species}" is not in the table: only the rule of thumb is used, which overstates soft and wet timber'
    )
    CRIB_SPECIES_WEAK = "{species} bears {stress} across the grain: the rule of {rule} would overstate it"
    CRIB_WIDTH_UNKNOWN = (
        "its width is not known, for the length or the size of its timber is not given: its height is not judged"
    )
    CRIB_TALL = "gets {high} high at the end of the lift, and {widths} times its width without tails is {most}"
    # ground
    GROUND_UNCLASSED = "no class says what {soil} bears, nor what is under it: see the pressures under the feet"
    GROUND_BEARS_NOTHING = "no bearing may be taken for granted on {soil}"
    GROUND_UNKNOWN = "bearing not known: the file says neither what the ground bears nor its class"
    GROUND_EDGE = (
        "a foot stands {near} from a hole or edge that is {deep} deep: nearer than it is deep, no bearing applies"
    )
    FOOT_UNSIZED = "base area not known: load on the foot {force}"
    FOOT_UNSIZED_NEEDS = "base area not known: load on the foot {force}, and {area} would be needed"
    FOOT_OVER = "presses with {got} on ground that bears {most}: {area} of base are needed"
    FOOT_OVER_AT_PEAK = "would press with {got} at the peak of a drop on ground that bears {most}"
    FOOT_UNCLASSED = "presses with {got} on {soil}, which has no class"
    # balance
    PIVOT_LIFTED = "the lifters push it up: it would come off the ground, and the load would no longer turn about it"
    PIVOT_PUSHED = "side push from the leaning lifters, {push}: {held}"
    PIVOT_PUSHED_GRIP = "needs friction of {grip} under it so as not to slide; it has: {has}"
    PIVOT_HELD_BY_NOTHING = (
        "side push from the leaning lifters, {push}, and nothing holds the pivot: chock it both ways"
    )
    PIVOT_CHOCKED_WRONG = "is pushed {way} with up to {each} at one contact, and no chock stands there"
    PIVOT_OVER = "is pushed with {each} at one contact, over what holds it there: {most}"
    PIVOT_PULLS = "its {side} contact would have to pull down with {pull}: the load would roll off it"
    PIVOT_PUSHED_AT_PEAK = (
        "is pushed {way} with {each}{least} at one contact at the peak of a drop onto {strut}: {held}"
    )
    PIVOT_OVER_AT_PEAK = (
        "is pushed {way} with {each}{least} at one contact at the peak of a drop onto {strut}, "
        "over what holds it there: {most}"
    )
    PIVOT_UNHELD_AT_PEAK = (
        "is pushed {way} with {each}{least} at one contact at the peak of a drop onto {strut}, "
        "and nothing holds it on that side"
    )
    LIFTER_HEAD_SLIDES = (
        "its head needs friction of {grip} against the load, whose face turns as it rises; what is between them is "
        "not known; published, metal on metal: {low} to {high}"
    )
    STRUT_HEADS_SLIDE = (
        "a head that bears from below needs friction of up to {grip} against the load, unless it is seated or "
        "lashed there: not known; published, metal on metal: {low} to {high}"
    )
    LIFTER_FOOT_SLIDES = (
        "its foot needs friction of {grip} so as not to kick out, nothing ties it, and what is under it is not known; "
        "published, steel on concrete: {low} to {high}"
    )
    LIFTER_TIED_TO_PIVOT = (
        "its foot is tied to what the load turns about: it would push against what it lifts. "
        "Tie it to something that is not lifted"
    )
    LOAD_TURNED = (
        "the sides do not lean alike: that turns the load as {push} at each head would, one ahead, one back; "
        "what holds it is not known"
    )
    LOAD_ROLLS = (
        "its centre of gravity is {above} above the lifters' heads, and it can roll about them: "
        "no stations stand off their line on every side"
    )
    LOAD_ROLLS_FREE = (
        "its centre of gravity is {above} above the lifters' heads, and it can roll about them: {when} the stations "
        "off their line are {gap} behind it, over {most}"
    )
    LOAD_CAN_ROLL = (
        "its centre of gravity is {above} above the lifters' heads: it can roll as far as the gaps at the stations "
        "off their line let it"
    )
    STRUT_PUSHES = (
        "would push the load sideways with {push} at the peak of the drop it catches; what holds the load is not known"
    )
    STRUT_PUSHES_UNKNOWN = (
        "would push the load sideways with {push} at rest, and with more at the peak of the drop it catches, not known "
        "how much; nor is what holds the load"
    )
    LOAD_PUSHED = "the lifters lean the same way: {push} pushes the load sideways, and nothing holds it"
    HEADS_IN_LINE = "the lifters' heads are in one line: nothing but the file says who carries how much"
    CG_OUTSIDE = "the centre of gravity is outside the lifters' line, beyond {lifter}"
    SHARE_GIVEN = "{lifter} is given {given} of the load, and by the lever rule it has {has}"
    WRONG_SIDE = (
        "is written down as on the {side}, and its head is {off} to the {other} of the centreline: "
        "what it does for that side is not to be had from it"
    )
    CG_BESIDE = "the centre of gravity is {off} beside the lifters' line: it would roll, which the model leaves out"
    # drops and gaps
    DROP_OVER = "would drop by {far} if {loss} were lost at call {call}, {onto}; the {whose} is {most}"
    GAP_OVER = "its gap would reach {wide} at call {call}; the {whose} is {most}"
    # the way down
    LIFT_STUCK = "ends stuck: {reason}"
    SIDE_STARTS_UNHELD = "begins {far} above what holds it there: it hangs on its ram"
    STAGES_BELOW_NEED = "no stage raises to the need of {need}: {most} is the most"
    STAGE_TAKES = (
        "{calls} down and {strokes} to free the load, in {time}; the gaps that are made on purpose reach {gap}"
    )
    LIFTER_FREES = "carries up to {force} on the way down, whenever the load is clear of what held it"
    LIFTER_SHORT_TO_FREE = (
        "needs {need} of ram travel to free the load where {stage} begins, a stroke above it, and has {has}: "
        "what rests on a device cannot be let down unless it is raised first"
    )
    DEVICE_DROPS_MORE = (
        "its {device} can come to stand {far} below where the load stood, with a step of {step}: {beside}"
    )
    SIDE_ENDS_BELOW = "would come down to {end} in {stage}, below the {to} that it lowers to: {why}"
    STAGE_HANDS_ON_RAMS = (
        "hands would be in for {time} while nothing but the rams holds that side within {most}: "
        "something beside it, kept close, would"
    )
    SIDE_DROPS_COMING_DOWN = (
        "would drop by {far} on the way down, if {loss} were lost at call {call}, {onto}; the {whose} is {most}"
    )
    # people
    PEOPLE_FEW = "{needed} are needed to lead, to pump and at every device, and {here} are there"
    PUMPS_FAST = "pumps {pace} times a minute; 30 to 50 are preferred, and nobody keeps up more under load"
    PUMPS_SLOWLY = "pumps {pace} times a minute; even for long work lever pumps are worked at up to 20"
    TURNS_FAST = "is turned {turns} times a minute; under load 25 to 30 are the most, so it must run free"
    REACTS_FAST = "reacts in {ms} ms; a simple reaction to a sound takes 122 ms or more"
    HANDLE_WORK = (
        "rated load x travel per pump is {done} a stroke, and a person at the handle gives at most "
        "{given} ({effort} over {stroke}): one of the two figures cannot be"
    )
    HANDLE_WORK_ASSUMED = (
        "rated load x travel per pump is {done} a stroke, and a person at the handle gives at most "
        "{given} ({effort} over {stroke}, which is assumed): one of the two figures cannot be"
    )
    HANDLE_EFFORT = "asks for {got} at the handle at worst, friction apart; {most} is the most that may be asked"
    # quick estimates
    HALF_WEIGHT = "half the weight at the lifting end would be {half}; here it is {real}, {out}"
    CG_FURTHER_OUT = "weakest item if the centre of gravity is {off} farther out: {first} ({margin}), margin {times}"
    CG_FURTHER_OUT_BEFORE = (
        "weakest item if the centre of gravity is {off} farther out: {first} ({margin}), margin {times} "
        "(planned {before})"
    )


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that the check found: what of whom, by how much, against which limit, and whose limit it is."""

    level: Level
    check: Check
    subject: str
    what: Sentence
    value: float | None = None  # in `unit`
    limit: float | None = None
    unit: str = ""
    source: str = ASSUMED

    def as_json(self, units: Units) -> dict[str, Any]:
        """Plain data, the sentence in these units."""
        return {
            "level": self.level,
            "subject": self.subject,
            "what": self.what.words(units),
            "value": self.value,
            "limit": self.limit,
            "unit": self.unit,
            "source": self.source,
            "check": self.check.name.lower().replace("_", "-"),
        }


def finding(
    level: Level,
    check: Check,
    subject: str,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    source: str = ASSUMED,
    **parts: Part | Sentence,
) -> Finding:
    """A finding with the sentence of its check; `parts` are what the sentence names."""
    return Finding(level, check, subject, Sentence(check.value, **parts), value, limit, unit, source)
