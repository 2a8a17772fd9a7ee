"""Several ways to make a lift, many lifts of each: what differs and how sure that is, in sentences and rows."""

from __future__ import annotations

from collections.abc import Sequence

from reports.words.doubt import percent
from reports.words.plain import clock, count, limit
from reports.words.study import figure, share
from sim.many.compared import Compared, WayCompared
from sim.many.statistics import Estimate
from sim.many.studied import JUDGED, MEASURES, STAGED
from sim.model.units import INCH, Units, show, show_up

LENGTH: dict[Units, tuple[float, str, int]] = {"us": (INCH, " in", 2), "si": (0.001, " mm", 1)}  # of a difference
SHORT = (*STAGED, "largest_gap_m", "largest_standing_gap_m", "drop_lifter_lost_m", "duration_s", "hold_time_s", "holds")


def sentences(compared: Compared, units: Units) -> list[str]:
    """What differs, and what it means, in two sentences."""
    first, *others = compared.as_asked
    parts = [_differs(way, first, units) for way in others]
    limits = dict.fromkeys(limit(w.scenario.limits.gap, units) for w in compared.as_asked)
    over = [f"{round(w.chance.value * w.n):,} ({w.name})" for w in compared.as_asked]
    means = f"Of {count(first.n, 'lift')} each, so many have a gap over {' or '.join(limits)}: {listed(over)}"
    fewer = [
        f"“{alone.name}” takes {clock(alone.means['duration_s'].value)} in place of "
        f"{clock(asked.means['duration_s'].value)} with {count(alone.people, 'person', 'people')} in place of "
        f"{asked.people}"
        for asked, alone in zip(compared.as_asked, compared.same_people, strict=True)
        if alone.people != asked.people
    ]
    needs = f"; with one catcher at each place {listed(fewer)}" if fewer else "; all ask for as many catchers as places"
    return [f"Against “{first.name}”, {'; '.join(parts)}.", f"{means}{needs}."]


def _differs(way: WayCompared, first: WayCompared, units: Units) -> str:
    name = JUDGED if JUDGED in way.differences else "largest_gap_m"
    kind = "" if name == "largest_gap_m" else ", passing or standing,"
    gap, time = way.differences[name], way.differences["duration_s"]
    return (
        f"“{way.name}” has a largest gap{kind} {_more(gap, 'larger', 'smaller', units)} (mean "
        f"{show_up(way.means[name].value, 'length', units)}) and takes "
        f"{_more(time, 'longer', 'less', units, of_time=True)}"
    )


def _more(difference: Estimate, more: str, less: str, units: Units, of_time: bool = False) -> str:
    """A mean difference in words; one that may as well be the other way round is said to be unclear."""
    value = difference.value
    said = clock(abs(value)) if of_time else show(abs(value), "length", units)
    if difference.low == difference.high == 0:
        return "no different" if not of_time else "as long"
    unclear = difference.low <= 0 <= difference.high
    return f"{said} {more if value > 0 else less}{' (which may be chance)' if unclear else ''}"


def listed(words: Sequence[str]) -> str:
    """Words one after the other, "and" before the last."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def rows(ways: Sequence[WayCompared], units: Units, short: bool = False) -> list[tuple[str, list[str]]]:
    """What the table of the ways says, row by row: the mean, and the paired difference with its interval."""
    staged = any(way.scenario.stages for way in ways)
    found = [
        ("people", [str(w.people) for w in ways]),
        ("lifts simulated", [f"{w.n:,}" for w in ways]),
        ("every stage reached" if staged else "raised", [percent(w.raised) for w in ways]),
        ("chance of a gap over the limit", [_chance(w) for w in ways]),
    ]
    for name, (said, dimension) in (STAGED | MEASURES if staged else MEASURES).items():
        if all(name in way.means for way in ways) and (not short or name in SHORT):
            found.append((f"{said}, mean", [_cell(w, name, dimension, units) for w in ways]))
    return found


def _chance(way: WayCompared) -> str:
    if way.over_gap is None:
        return share(way.chance)
    d = way.over_gap
    return f"{percent(way.chance.value)}; {100 * d.value:+.0f} points ({100 * d.low:+.0f} to {100 * d.high:+.0f})"


def _cell(way: WayCompared, name: str, dimension: str, units: Units) -> str:
    mean = figure(way.means[name].value, dimension, units)
    if name not in way.differences:
        return mean
    d = way.differences[name]
    if max(abs(d.low), abs(d.high)) == float("inf"):
        return mean
    size, unit, places = {"length": LENGTH[units], "time": (1.0, " s", 1)}.get(dimension, (1.0, "", 1))
    value, low, high = (f"{x / size:+.{places}f}" for x in (d.value, d.low, d.high))
    if float(value) == float(low) == float(high) == 0:
        return f"{mean}; no different"
    return f"{mean}; {value}{unit} ({low} to {high})"


def tables(compared: Compared) -> list[tuple[str, list[WayCompared]]]:
    """The ways as asked; and with one catcher a place, if that is any different."""
    found = [("As many people as each asks for", compared.as_asked)]
    if compared.same_people is not compared.as_asked:
        found.append(("The same with one catcher at each place, who works everything there", compared.same_people))
    return found
