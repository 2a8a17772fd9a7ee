"""The intervals against published values, and by coverage: nominal 95 % covers between 93 and 97 %."""

from __future__ import annotations

import numpy as np
import pytest

from sim.many.statistics import (
    clopper_pearson,
    mean,
    paired,
    paired_chance,
    quantile,
    size_for_chance,
    upper_chance,
    upper_rank,
    wilson,
)
from sim.many.study import spread


def test_clopper_pearson_as_scipy_documents_it() -> None:
    """7 of 50: 0.0581917 to 0.2673960."""
    # SciPy documentation, BinomTestResult.proportion_ci
    found = clopper_pearson(7, 50)
    assert found.value == 0.14
    assert found.low == pytest.approx(0.0581917, abs=5e-8)
    assert found.high == pytest.approx(0.2673960, abs=5e-8)


def test_clopper_pearson_at_its_ends() -> None:
    """None of n: up to 1 - (tail)^(1/n); all of n: from there."""
    assert clopper_pearson(0, 20).low == 0
    assert clopper_pearson(0, 20).high == pytest.approx(1 - 0.025 ** (1 / 20))
    assert clopper_pearson(20, 20).high == 1
    assert upper_chance(0, 59) == pytest.approx(1 - 0.05 ** (1 / 59))
    assert upper_chance(5, 5) == 1


@pytest.mark.parametrize(
    ("happened", "n", "low", "high", "half"),
    [(7, 50, 0.0695083, 0.2618619, 5e-8), (81, 263, 0.2553, 0.3662, 5e-5), (0, 20, 0.0, 0.1611, 5e-5)],
)
def test_wilson_as_newcombe_prints_it(happened: int, n: int, low: float, high: float, half: float) -> None:
    """The score interval without continuity correction."""
    # Newcombe, Statistics in Medicine 17 (1998) 857, table I; the first from the SciPy documentation
    found = wilson(happened, n)
    assert found.low == pytest.approx(low, abs=half)
    assert found.high == pytest.approx(high, abs=half)


@pytest.mark.parametrize(("n", "nth_largest"), [(59, 1), (93, 2), (124, 3)])
def test_wilks_numbers(n: int, nth_largest: int) -> None:
    """The largest of 59 bounds the 95th percentile with 95 % confidence; of 93 the second, of 124 the third."""
    # Wilks 1941
    rank = n - nth_largest + 1
    assert upper_rank(n, 0.95, 0.95) == rank
    assert upper_rank(n - 1, 0.95, 0.95) > rank - 1


@pytest.mark.parametrize(("n", "rank"), [(100, 99), (200, 196), (500, 484), (1000, 962)])
def test_which_value_bounds_the_95th_percentile(n: int, rank: int) -> None:
    """With 95 % confidence, from above."""
    # check values, order statistics
    assert upper_rank(n, 0.95, 0.95) == rank


def test_too_few_values_bound_nothing() -> None:
    """58 values cannot bound the 95th percentile; 59 can."""
    assert upper_rank(58, 0.95, 0.95) == 59
    assert upper_rank(59, 0.95, 0.95) == 59
    assert quantile(np.arange(10.0), 0.95).high == np.inf


def test_what_the_smallest_and_the_largest_of_25_cover() -> None:
    """0.90 of the distribution with confidence 0.729, 0.75 with 0.993."""

    # NIST/SEMATECH e-Handbook 7.2.6.4
    def confidence(share: float, n: int = 25) -> float:
        return float(1 - n * share ** (n - 1) + (n - 1) * share**n)

    draws = np.sort(np.random.default_rng(1).random((20_000, 25)), axis=1)
    covered = draws[:, -1] - draws[:, 0]
    for share, printed in ((0.90, 0.729), (0.75, 0.993)):
        assert confidence(share) == pytest.approx(printed, abs=5e-4)
        assert np.mean(covered >= share) == pytest.approx(printed, abs=0.012)


def coverage(make: object, truth: float, repeats: int, draw: object) -> float:
    """How often an interval covers the known answer."""
    covered = 0
    for k in range(repeats):
        found = make(draw(np.random.default_rng(k)))  # type: ignore[operator]
        covered += found.low <= truth <= found.high
    return covered / repeats


def test_the_interval_of_a_median_covers() -> None:
    """Of a lognormal, 500 values: at least 93 % of the time, and not much more than asked."""
    share = coverage(lambda x: quantile(x, 0.5), 1.0, 1000, lambda r: r.lognormal(0.0, 0.5, 500))
    assert 0.93 <= share <= 0.975


def test_the_interval_of_a_mean_covers() -> None:
    """Of a lognormal, 500 values."""
    share = coverage(mean, float(np.exp(0.125)), 1000, lambda r: r.lognormal(0.0, 0.5, 500))
    assert 0.93 <= share <= 0.97


def test_the_exact_interval_of_a_chance_covers_at_least() -> None:
    """Clopper-Pearson never covers less than asked; at 0.3 in 400 it is near it."""
    share = coverage(lambda x: clopper_pearson(int(x), 400), 0.3, 2000, lambda r: r.binomial(400, 0.3))
    assert 0.945 <= share <= 0.97


def test_pairs_leave_only_the_difference() -> None:
    """What both ways have in common drops out."""
    people = np.random.default_rng(0).normal(100.0, 30.0, 400)
    found = paired(people, people + np.random.default_rng(1).normal(1.0, 0.1, 400))
    assert 0.97 < found.low < 1.0 < found.high < 1.03


def test_a_pilot_fixes_the_sample_size() -> None:
    """For a chance n = p (1 - p) (z / half-width)^2, at the interval's end next to a half."""
    assert size_for_chance(np.arange(500) < 250, 0.01) == pytest.approx(0.25 * (1.96 / 0.01) ** 2, rel=1e-3)
    assert size_for_chance(np.zeros(500), 0.01) < size_for_chance(np.arange(500) < 50, 0.01)


@pytest.mark.parametrize(
    ("happened", "of", "worst"),
    [
        (81, 263, 0.3662),  # Newcombe's interval, 0.2553 to 0.3662: its upper end
        (182, 263, 1 - 0.3662),  # the same turned round: its lower end
        (0, 20, 0.1611),  # the same table, 0.0000 to 0.1611
        (10, 20, 0.5),  # a half lies within it
    ],
)
def test_the_pilots_end_next_to_a_half_asks_for_the_most(happened: int, of: int, worst: float) -> None:
    """To within 0.01, n = p (1 - p) (1.959964 / 0.01)^2: 8,916 for p = 0.3662, where p = 81/263 would ask for 8,187."""
    # Newcombe, Statistics in Medicine 17 (1998) 857, table I, printed to four digits; the 97.5 % point of the normal
    wanted = size_for_chance(np.arange(of) < happened, 0.01)
    half_digit = 0.00005 * abs(1 - 2 * worst) * (1.959964 / 0.01) ** 2
    assert wanted == pytest.approx(worst * (1 - worst) * (1.959964 / 0.01) ** 2, abs=half_digit + 1)


# Michelson's speed of light of 1879 [Mm/s], as StRD has it: hundredths above 299
MICHELSON = """
85 74 90 107 93 85 95 98 98 88 100 98 93 65 76 81 100 100 96 96 96 94 96 94 88 80 85 88 90 84 83 79 81 88 88 83 80 79 76
80 88 88 88 86 72 72 62 86 97 95 88 91 85 87 84 84 85 84 84 84 89 81 81 82 80 77 76 74 75 76 91 92 89 86 88 72 84 85 85
78 89 84 78 81 76 81 79 81 82 85 87 87 81 74 81 94 95 80 81 87
"""


def test_mean_and_sd_of_the_reference_data_of_nist() -> None:
    """Michelso: mean 299.852400000000, sd 0.0790105478190518, to the digits certified."""
    # NIST StRD, univariate summary statistics, Michelso
    found = spread(299 + np.array(MICHELSON.split(), dtype=np.float64) / 100)
    assert found.mean.value == pytest.approx(299.852400000000, abs=5e-13)
    assert found.sd == pytest.approx(0.0790105478190518, rel=1e-11)


def test_a_change_of_a_chance_is_never_more_sure_than_it_can_be() -> None:
    """All of 100 changed, or none: still an interval. In the middle it is that of the paired differences."""
    none, every = np.zeros(100, dtype=bool), np.ones(100, dtype=bool)
    assert paired_chance(none, every).low == pytest.approx(1 - np.hypot(0.03699, 0.03699), abs=1e-4)
    assert paired_chance(none, none).high == pytest.approx(0.03699, abs=1e-4)  # Wilson, 0 of 100
    random = np.random.default_rng(0)
    before = random.random(4000) < 0.4
    after = before ^ (random.random(4000) < 0.1)
    found, plain = paired_chance(before, after), paired(before.astype(float), after.astype(float))
    assert (found.low, found.high) == pytest.approx((plain.low, plain.high), abs=5e-4)
