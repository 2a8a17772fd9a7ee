"""The crew's own times: a lognormal for each quantity that the logs can tell apart, and a scenario with them in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from sim.drill.drilled import Drill
from sim.drill.lognormal import Fit, fit, good_enough
from sim.drill.times import CollarLine, Sample, lines, samples
from sim.many.statistics import Estimate
from sim.model.draw import draws_of
from sim.model.scenario import Scenario

FEWEST, FEW = 5, 20  # noted times: under the first the plan's values stay, under the second the intervals are wide
ENOUGH = 8  # of each person, to be looked at by themselves


@dataclass(frozen=True, slots=True)
class Known:
    """One quantity: its times, and what they say of it."""

    sample: Sample
    fit: Fit | None  # None: too few
    p: float | None  # goodness of fit; None: not tested
    words: str
    people: dict[str, Fit] = field(default_factory=dict)  # where several have enough times: each by themselves
    differ: float | None = None  # p of the likelihood ratio against one and the same for all; None: not tested

    @property
    def key(self) -> str:
        """As one would point at it in the scenario."""
        return f"{self.sample.table}.{self.sample.name}.{self.sample.quantity}"

    @property
    def written(self) -> str | dict[str, str]:
        """As the scenario takes it."""
        assert self.fit is not None
        unit = "/s" if self.sample.is_rate else "s"
        mean = f"{_figures(self.fit.mean.value)} {unit}"
        return mean if self.fit.no_spread else {"mean": mean, "sd": f"{_figures(self.fit.sd.value)} {unit}"}

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        s, f = self.sample, self.fit
        unit = "per_s" if s.is_rate else "s"
        return {
            "key": self.key, "count": s.noted, "censored": len(s.values) - s.noted, "left_out": s.left_out,
            "people": {
                who: {"count": n} | (_moments(self.people[who], unit) if who in self.people else {})
                for who, n in s.people.items()
            },
            "people_differ_p": self.differ, "plan_kept_for": sorted(s.kept), f"plan_mean_{unit}": s.plan.mean,
            f"plan_sd_{unit}": s.plan.sd,
            **_moments(f, unit),
            "no_spread": f is not None and f.no_spread, "goodness_of_fit_p": self.p, "words": self.words,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class DrilledCrew:
    """All that the drills say of the crew."""

    known: list[Known]
    lines: list[CollarLine]
    unknown: list[str]  # keys that keep the plan's values, for want of any time

    @property
    def fitted(self) -> list[Known]:
        """Those with a fit."""
        return [k for k in self.known if k.fit is not None]


def crew_of(drills: Sequence[Drill], scenario: Scenario) -> DrilledCrew:
    """Fit every quantity that there is anything about."""
    known = [_known(sample) for sample in samples(drills, scenario).values() if sample.values or sample.left_out]
    have = {k.key for k in known if k.sample.values}
    wanted = [f"operator.{x.operator.name}.{q}" for x in scenario.lifters for q in ("react", "stroke", "recover")]
    for where in scenario.places:
        for device in where.capture:
            wanted += [f"device.{device.name}.{key}" for key, draw in draws_of(device) if draw.mean > 0]
    unknown = [key for key in dict.fromkeys(wanted) if key not in have]
    return DrilledCrew([k for k in known if k.sample.values], lines(drills, scenario), unknown)


def _known(sample: Sample) -> Known:
    noted, censored = sample.noted, len(sample.values) - sample.noted
    if noted < FEWEST:
        only = "faster" if sample.is_rate else "longer or shorter"
        more = f", and {censored} only known to be {only}" if censored else ""
        return Known(sample, None, None, f"too few to say ({noted}{more}): the plan's values stay")
    fitted = fit(sample.times)
    p = None if fitted.no_spread else good_enough(sample.times)
    people, differ = ({}, None) if fitted.no_spread else _one_by_one(sample, fitted)
    words = _words(sample, fitted, p, censored)
    if differ is not None and differ < 0.01:
        each = ", ".join(f"{who} {f.mean.value:.3g}" for who, f in people.items())
        words += f"; these people differ (p = {differ:.3f}: {each}): give them kinds of their own"
    return Known(sample, fitted, p, words, people, differ)


def _one_by_one(sample: Sample, pooled: Fit) -> tuple[dict[str, Fit], float | None]:
    """Everybody by themselves, where each has enough times; and whether that explains more than chance would."""
    from scipy.stats import chi2

    counts = {who: int(sample.of(who).noted.sum()) for who in sample.people}
    if len(counts) < 2 or min(counts.values()) < ENOUGH:
        return {}, None
    people = {who: fit(sample.of(who)) for who in counts}
    gained = sum(f.loglik for f in people.values()) - pooled.loglik
    return people, float(chi2.sf(max(0.0, 2 * gained), 2 * (len(people) - 1)))


def _words(sample: Sample, fitted: Fit, p: float | None, censored: int) -> str:
    said = []
    if sample.noted < FEW:
        said.append("few: the intervals are wide")
    if fitted.no_spread:
        said.append("no more spread than the clock's tick makes: written as a fixed value")
    elif p is None:
        said.append("the shape is not tested: too few, or some only known to be longer or shorter")
    elif p < 0.05:
        said.append(f"these times do not look lognormal (p = {p:.3f}): look at the quantile plot")
    else:
        said.append(f"nothing against a lognormal (p = {p:.2f})")
    if censored:
        word = "kept up with the load, so only known to be at least so fast" if sample.is_rate else "only bounded"
        said.append(f"{censored} {word}")
    if sample.left_out:
        said.append(f"{sample.left_out} not given by the log")
    if sample.kept:
        said.append(f"with the plan's {' and '.join(sorted(sample.kept))}")
    return "; ".join(said)


def _figures(value: float) -> str:
    """Three figures that a scenario can hold."""
    text = f"{max(value, 1e-3):.3g}"
    return f"{float(text):f}".rstrip("0").rstrip(".") if "e" in text else text


def _moments(fitted: Fit | None, unit: str) -> dict[str, Any]:
    """Mean and sd, each with its interval; None where there is no fit."""
    found: dict[str, Any] = {}
    for name in ("mean", "sd"):
        e: Estimate | None = None if fitted is None else getattr(fitted, name)
        found[f"{name}_{unit}"] = None if e is None else e.value
        found[f"{name}_interval_{unit}"] = None if e is None else [e.low, e.high if e.high < float("inf") else None]
    return found
