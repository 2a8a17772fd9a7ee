"""What is fitted to how far a side drops is off by no more than it says, so that no largest drop is passed over."""

from __future__ import annotations

import numpy as np
import pytest

from sim.batch.measured.likely import START, Fitted
from sim.batch.parts.layout import layout_of
from sim.model.loads import share_met
from sim.model.meeting import meet
from tests.sim.batch.test_batch import shipped


@pytest.mark.parametrize("name", ["trailer", "van"])
@pytest.mark.parametrize("low", [0.0, 0.004, 0.012])
def test_what_is_fitted_to_the_drops_is_off_by_no_more_than_its_error(name: str, low: float) -> None:
    """Both sides and all their places, at 400 u drawn within the range of a call, up to 3 in 1,000 above a stop."""
    layout, random = layout_of(shipped(name)), np.random.default_rng(1)
    load, motion = layout.scenario.load, layout.motion
    u, other = low + 0.004 * random.random((2, 400))
    above = np.minimum(u, 0.003 * random.random(400))
    between = np.full(2, low), np.full(2, low + 0.004)
    for side, lifter in enumerate(layout.lifters):
        rise = motion.rise(lifter.head, u)
        start = Fitted(layout, side, START)
        assert np.abs(start.drops(between, u) - rise).max() <= start.error < 1e-5
        for p in layout.places_of[side]:
            where, fitted = layout.places[p], Fitted(layout, side, p)
            stays = layout.lifters[1 - side]
            share = share_met(load, lifter, stays, where)
            drop = meet(load, motion, lifter, share, where, u, u - above, other).drop
            about = np.minimum(fitted.drops(between, above), rise)
            assert np.abs(about - drop).max() <= fitted.error
            assert fitted.error <= 0.002  # ours: so that few instants are left


@pytest.mark.parametrize("lows", [(0.03, 0.0), (0.0, 0.03)], ids=["lower", "higher"])
def test_what_is_fitted_is_fitted_anew_where_the_least_or_the_largest_u_goes_further(lows: tuple[float, float]) -> None:
    """The same asked of a call and then of one further down, or up: off by no more than its error in the second too."""
    layout, random = layout_of(shipped("trailer")), np.random.default_rng(1)
    u, other = lows[1] + 0.004 * random.random((2, 400))
    above = np.minimum(u, 0.003 * random.random(400))
    for side, lifter in enumerate(layout.lifters):
        start = Fitted(layout, side, START)
        for low in lows:
            between = np.full(2, low), np.full(2, low + 0.004)
            start.drops(between, np.full(400, lows[0] + 0.04))
        rise = layout.motion.rise(lifter.head, u)
        assert np.abs(start.drops(between, u) - rise).max() <= start.error < 1e-5
        for p in layout.places_of[side]:
            fitted = Fitted(layout, side, p)
            for low in lows:
                between = np.full(2, low), np.full(2, low + 0.004)
                about = np.minimum(fitted.drops(between, above), rise)
            where, stays = layout.places[p], layout.lifters[1 - side]
            share = share_met(layout.scenario.load, lifter, stays, where)
            drop = meet(layout.scenario.load, layout.motion, lifter, share, where, u, u - above, other).drop
            assert np.abs(about - drop).max() <= fitted.error
