"""What holds of every way down, whatever the devices and the people: asked of lifts drawn at random."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings

from sim.model.devices import EXACT, Collar
from sim.model.draw import Draw
from sim.model.scenario import Lifter, Scenario, Stage
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.what import Outcome, What
from sim.story.lift import simulate_fixed
from tests.builders import MM, collar, lift, lifter, operator
from tests.drawn_stages import staged_lifts

drawn = settings(max_examples=50, deadline=None)
LETS_DOWN = (What.TURNS_BACK, What.SWAP, What.REHOOK, What.CLICK, What.PLACE, What.DRIVE)


def words(record: Record, *whats: str) -> pd.DataFrame:
    """The rows that say one of these."""
    return record.events[record.events["what"].isin(whats)]


def sides_of(scenario: Scenario, place: str) -> list[Lifter]:
    """The lifters of the sides that a place is on."""
    side = next(p.side for p in scenario.places if p.name == place)
    return [x for x in scenario.lifters if side in (x.side, "both")]


def phases(record: Record) -> list[tuple[float, float, list[str]]]:
    """From when to when hands may be in on the way down, and whose sides were called."""
    rows = words(record, What.ROOM, What.LOWERS)
    rows = rows[rows["who"] == "leader"]
    pairs = zip(rows.iloc[::2].itertuples(), rows.iloc[1::2].itertuples(), strict=False)
    return [(room.time_s, lowers.time_s, room.note.split(", ")) for room, lowers in pairs]


@drawn
@given(staged_lifts())
def test_the_laws_of_every_way_down(scenario: Scenario) -> None:
    """Nothing is let down under a resting load, hands are out when a valve opens, nobody captures what is made."""
    record = simulate_fixed(scenario)
    events = record.events
    assert record.outcome in (Outcome.LOWERED, Outcome.STUCK, Outcome.NOT_REACHED, Outcome.STOPPED), record.reason
    places = events[events["station"] != ""]
    for room, lowers, _ in phases(record):
        work = places[(places["time_s"] >= room) & (places["time_s"] <= lowers) & places["what"].isin(LETS_DOWN)]
        assert (work["demand_m"] - work["captured_before_m"] > EXACT).all()
    for opens in words(record, What.OPENS).itertuples():
        now = places.loc[: opens.Index].groupby("station").last()
        assert (not now["hands"].any() and not now["open"].any()) or not now["hands"].any()
    for side in scenario.lifters:
        own = events[events["side"] == side.name]
        travel = own["ram_travel_m"]
        assert (travel >= -1e-9).all()
        frees = own.loc[own["what"] == What.FREES, "time_s"].to_numpy()
        downs = own.loc[own["what"] == What.LET_DOWN, "time_s"].to_numpy()
        names = [p.name for p in scenario.places if p.side in (side.side, "both")]
        for begin in frees:
            later = downs[downs >= begin]
            end = later[0] if len(later) else np.inf
            busy = places[places["station"].isin(names) & (places["time_s"] > begin) & (places["time_s"] < end)]
            assert not busy["what"].isin([What.CAUGHT, What.CAPTURES, What.TURNS]).any()
    if record.outcome == Outcome.LOWERED:
        end = measure(record)["point_rise_m"]
        assert end <= scenario.stages[-1].to + 1e-7
        assert places.groupby("station").last()["caught"].all()


@drawn
@given(staged_lifts())
def test_the_stages_add_up_to_the_lift(scenario: Scenario) -> None:
    """Calls, pumps, time, and the largest of each is the largest of all."""
    found = measure(simulate_fixed(scenario))
    stages = found["stages"]
    assert sum(s["calls"] for s in stages) == found["calls"]
    assert sum(s["duration_s"] for s in stages) == pytest.approx(found["duration_s"])
    assert sum(s["holds"] for s in stages) == found["holds"]
    for x in scenario.lifters:
        assert sum(s["pumps"][x.name] for s in stages) == found["pumps"][x.name]
    for key in ("largest_passing_gap", "largest_standing_gap", "largest_made_gap"):
        assert max(s[key]["gap_m"] for s in stages) == pytest.approx(found[key]["gap_m"], abs=1e-9), key
    for key in ("largest_drop_pressure_lost", "largest_drop_lifter_lost"):
        assert max(s[key]["drop_m"] for s in stages) == pytest.approx(found[key]["drop_m"], abs=1e-9), key
    alone = sum(s["hands_in_on_rams_alone_s"] for s in stages)
    assert alone == pytest.approx(found["hands_in_on_rams_alone_s"], abs=1e-6)
    three = [found[f"largest_{kind}_gap"]["gap_m"] for kind in ("passing", "standing", "made")]
    assert found["largest_gap"]["gap_m"] == max(three)


def slower(scenario: Scenario, factor: float) -> Scenario:
    """The same, everyone at a device taking so many times as long."""

    def times(device: Any) -> Any:
        keys = {"react", "seat", "swap", "rehook", "click_time", "place", "drive"} & set(device.__dataclass_fields__)
        changed = {key: Draw(getattr(device, key).mean * factor) for key in keys}
        if isinstance(device, Collar):
            changed["turns"] = Draw(device.turns.mean / factor)
        return replace(device, **changed)

    def places(several: Any) -> Any:
        return tuple(replace(p, capture=tuple(times(d) for d in p.capture)) for p in several)

    return replace(scenario, lifters=places(scenario.lifters), stations=places(scenario.stations))


@drawn
@given(staged_lifts())
def test_a_slower_catcher_makes_no_larger_gap_only_a_longer_stage(scenario: Scenario) -> None:
    """From half-way down, where nobody had to be fast before."""
    down = replace(scenario, stages=scenario.stages[-1:], start=scenario.need.rise / 2, walk={})
    fast, slow = (measure(simulate_fixed(each)) for each in (down, slower(down, 2.0)))
    assert fast["outcome"] == slow["outcome"]
    assert slow["largest_made_gap"]["gap_m"] == pytest.approx(fast["largest_made_gap"]["gap_m"], abs=1e-7)
    assert slow["duration_s"] >= fast["duration_s"] - 1e-6


@pytest.mark.parametrize(("stroke", "step"), [(4, 2), (10, 10), (3, 11)])
def test_with_a_collar_the_made_gap_is_the_freeing_stroke_and_the_step(stroke: int, step: int) -> None:
    """Stood at 60 mm (reached by whole strokes), freed by one, room of a step under where it stood."""
    up = lift(60 * MM, lifter(collar(), travel_per_pump=stroke * MM, operator=operator()), step=step * MM)
    found = measure(simulate_fixed(replace(up, stages=(Stage("raise", 60 * MM), Stage("lower", 0.0)))))
    assert found["outcome"] == "lowered"
    assert found["stages"][1]["largest_made_gap"]["gap_m"] / MM == pytest.approx(stroke + step)
