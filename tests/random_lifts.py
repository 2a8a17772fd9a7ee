"""Lifts drawn at random, of every kind that the model knows, for tests that hold two ways of simulating them equal.

Times are whole hundredths of a second: what is due at once is due at once in a simulator that steps through time too.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

from hypothesis import strategies as st

from sim.model.devices import Chain, Collar, Crib, Device, Pin, Strap
from sim.model.draw import Draw
from sim.model.loads import lever_share
from sim.model.scenario import (
    Leader,
    Lifter,
    Limits,
    Load,
    Mishap,
    Need,
    Operator,
    Pump,
    Reset,
    Scenario,
    Station,
    Tie,
)


def seconds(low: float, high: float) -> st.SearchStrategy[float]:
    """A time in whole hundredths."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda n: n / 100)


def millimetres(low: float, high: float) -> st.SearchStrategy[float]:
    """A length in tenths of a millimetre [m]."""
    return st.integers(round(low * 10), round(high * 10)).map(lambda n: n / 10_000)


def fixed(times: st.SearchStrategy[float]) -> st.SearchStrategy[Draw]:
    """A quantity that is the same every time."""
    return times.map(Draw)


collars = st.builds(
    Collar,
    name=st.just("collar"),
    rise_per_turn=millimetres(2, 13),
    turns=fixed(st.integers(2, 20).map(lambda n: n / 10)),
    react=fixed(seconds(0, 1.5)),
    seat=fixed(seconds(0, 1.5)),
    chases=st.sampled_from(["with", "after"]),
    reach_limit=st.one_of(st.just(inf), st.just(inf), millimetres(4, 60)),
)
pins = st.builds(
    lambda spacing, swap, react, share, out, holes: Pin(
        "pin", spacing, Draw(swap), Draw(react), spacing * share, out, holes
    ),
    millimetres(8, 60), seconds(0.5, 6), seconds(0, 1.5), st.sampled_from([1.0, 1.0, 0.3, 0.55]),
    st.sampled_from(["open", "held"]), st.sampled_from([None, None, 1, 2, 4]),
)  # fmt: skip
chains = st.builds(Chain, st.just("chain"), millimetres(8, 40), fixed(seconds(0.5, 6)), fixed(seconds(0, 1.5)))
straps = st.builds(
    Strap, st.just("strap"), millimetres(1, 8), fixed(seconds(0.1, 1)), millimetres(20, 200), fixed(seconds(0, 1.5))
)
cribs = st.builds(
    Crib,
    name=st.just("crib"),
    pieces=st.lists(millimetres(6, 60), min_size=1, max_size=3, unique=True).map(tuple),
    place=fixed(seconds(0.5, 5)),
    wedge=st.sampled_from([0.0, 0.01, 0.025]),
    drive=fixed(seconds(0.5, 4)),
    react=fixed(seconds(0, 1.5)),
    wedge_out=st.sampled_from(["held", "open"]),
    layer=st.sampled_from([1, 1, 2, 3]),
    swap_up=st.sampled_from([False, False, True]),
)
devices: st.SearchStrategy[Device] = st.one_of(collars, pins, chains, straps, cribs)
operators = st.builds(
    Operator,
    name=st.just("operator"),
    stroke=fixed(seconds(0.3, 2)),
    react=fixed(seconds(0, 1)),
    recover=fixed(seconds(0.05, 1)),  # so that a station that is caught is so for a while
    fill=fixed(st.integers(6, 10).map(lambda n: n / 10)),
)
pumps = st.builds(
    Pump,
    name=st.just("pump"),
    first_stage=st.just(30e-6),
    second_stage=st.just(8e-6),
    shift_pressure=st.sampled_from([3e6, 5e6, float("inf")]),
    relief_pressure=st.sampled_from([70e6, float("inf")]),
)
leaders = st.builds(
    Leader,
    rule=st.sampled_from(["stop-until-caught", "stop-until-caught", "keep-pace"]),
    strokes=st.integers(1, 4),
    gap_limit=st.sampled_from([0.0, 0.002, 0.00635, 0.02]),
    pace=seconds(0, 8),
    look=seconds(0, 1),
    level_limit=st.sampled_from([None, None, 0.004, 0.012]),
    if_uncapturable=st.sampled_from(["go-on", "go-on", "stop"]),
    max_calls=st.sampled_from([500, 500, 7]),
)


gives = st.sampled_from([None, 0.001, 0.004])
SOFT = Tie("webbing", 0.004, length=1.5, working_load_limit=60e3, elongation=0.03)
TIES = [None, None, Tie("chain", slack=0.0127), Tie("chain", slack=0.004), SOFT, replace(SOFT, working_load_limit=6e3)]


@st.composite
def lifts(draw: st.DrawFn, mishaps: bool = True) -> Scenario:
    """One lift of any kind."""
    hinged = draw(st.booleans())
    load = Load(
        weight=20_000.0,
        motion="hinged" if hinged else "straight",
        cg=(1.8, draw(st.sampled_from([0.0, 0.1])), 0.9) if hinged else (0.0, 0.1, 0.9),
        pivot_height=0.3 if hinged else 0.0,
        take_up=draw(st.sampled_from([0.0, 0.0, 0.006, 0.0127])),
    )
    sides = draw(st.sampled_from([("left", "right"), ("left", "right"), ("left",)]))
    x = 3.5 if hinged else 0.0
    y = {"left": 0.8, "right": -0.8}
    lifters = []
    for side in sides:
        by_pump = draw(st.integers(0, 3)) == 0
        capture = draw(st.lists(devices, max_size=1))
        share = lever_share(((x, 0.8, 0.6), (x, -0.8, 0.6)), load.cg, load.motion) if len(sides) > 1 else 1.0
        lifters.append(
            Lifter(
                name=f"{side} lifter",
                side=side,
                head=(x, y[side], 0.6),
                base=(x + (0.1 if hinged else 0.05), y[side], 0.0),
                travel=draw(st.sampled_from([1.0, 1.0, 0.05])),
                operator=draw(operators),
                share=share if side == "left" else 1 - share,
                travel_per_pump=None if by_pump else draw(millimetres(2, 12)),
                pump=draw(pumps) if by_pump else None,
                ram_area=0.0018 if by_pump else None,
                capture=tuple(capture),
                catchers=(f"{side} lifter capture",) * len(capture),
                give=draw(gives),
            )
        )
    shared = draw(st.booleans())
    stations = []
    for n in range(draw(st.integers(0, 3))):
        side = draw(st.sampled_from([*sides, "both"]))
        across = y.get(side, 0.0)
        capture = draw(st.lists(devices, min_size=1, max_size=2))
        names = ["rear hand"] * len(capture) if shared else [f"station {n} hand {k}" for k in range(len(capture))]
        stations.append(
            Station(
                name=f"station {n}",
                side=side,
                head=(x * 0.85, across, 0.9),
                base=(x * 0.85, across * 1.8, 0.0),
                capture=tuple(capture),
                catchers=tuple(names),
                tie=draw(st.sampled_from(TIES)),
                give=draw(gives),
            )
        )
    reset = draw(st.sampled_from([None, Reset(time=20.0, reseat=0.003)]))
    scenario = Scenario(
        title="drawn at random",
        units="si",
        load=load,
        need=Need((x + 0.2, 0.0, 0.5), draw(millimetres(5, 120))),
        leader=draw(leaders),
        limits=Limits(),
        lifters=tuple(lifters),
        stations=tuple(stations),
        walk={"rear hand": Draw(draw(seconds(0.2, 4)))} if shared else {},
        reset=reset,
    )
    if not mishaps or draw(st.integers(0, 2)):
        return scenario
    return with_mishap(scenario, draw(mishap_of(scenario)))


def with_mishap(scenario: Scenario, mishap: Mishap) -> Scenario:
    """The same lift, with something going wrong."""
    from dataclasses import replace

    return replace(scenario, mishaps=(mishap,))


@st.composite
def mishap_of(draw: st.DrawFn, scenario: Scenario) -> Mishap:
    """Something that can go wrong in this lift."""
    kinds = ["pressure-lost", "lifter-lost", "missed", "stop"]
    catchers = sorted({c for place in scenario.places for c in place.catchers})
    if catchers:
        kinds += ["slow", "false-caught"]
    kind = draw(st.sampled_from(kinds))
    who = ""
    if kind in ("pressure-lost", "lifter-lost", "missed"):
        who = draw(st.sampled_from([x.name for x in scenario.lifters]))
    elif kind in ("slow", "false-caught"):
        who = draw(st.sampled_from(catchers))
    return Mishap(
        kind=kind,
        call=draw(st.integers(1, 4)),
        who=who,
        after=draw(seconds(0, 3)),
        factor=draw(st.sampled_from([2.0, 3.5])),
        time=draw(seconds(0.5, 5)),
    )
