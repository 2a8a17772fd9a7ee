"""Quantities in and out. pint is the outside opinion on every factor."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.units import (
    ANGLE,
    AREA,
    DIMENSIONS,
    FORCE,
    INCH,
    LBF,
    LENGTH,
    PRESSURE,
    RATE,
    SHOWN,
    SPEED,
    TIME,
    VOLUME,
    Dimension,
    QuantityError,
    read,
    show,
    show_up,
)

PINT = pint.UnitRegistry()
IN_PINT = {  # our spelling -> pint's, where it differs; a mass is meant as its weight
    "lb": "lbf", "lbs": "lbf", "pound": "lbf", "pounds": "lbf", "kip": "kip", "kips": "kip", "kg": "kg * g_0",
    "kgf": "kgf", "t": "tonne * g_0", "tonne": "tonne * g_0", "tonnes": "tonne * g_0", "ton": "short_ton * g_0",
    "tons": "short_ton * g_0", "/s": "1/s", "/min": "1/min", "turns/s": "1/s", "turns/min": "1/min", "rpm": "1/min",
    "in2": "in^2", "ft2": "ft^2", "mm2": "mm^2", "cm2": "cm^2", "m2": "m^2", "in3": "in^3", "mm3": "mm^3",
    "cm3": "cm^3", "psf": "lbf/ft^2", "°": "degree",
}  # fmt: skip
EVERY_UNIT = [(dimension, unit) for dimension in DIMENSIONS for unit in dimension.units]


@pytest.mark.parametrize(("dimension", "unit"), EVERY_UNIT, ids=[unit for _, unit in EVERY_UNIT])
def test_every_unit_is_worth_what_pint_says(dimension, unit):
    """One of each unit, in SI, to twelve digits."""
    outside = (1.0 * PINT.parse_expression(IN_PINT.get(unit, unit))).to_base_units().magnitude
    assert dimension.units[unit] == pytest.approx(outside, rel=1e-12)


@given(
    st.sampled_from(EVERY_UNIT),
    st.floats(1e-6, 1e6).map(lambda x: f"{x!r}") | st.integers(0, 10**6).map(str),
    st.sampled_from(["", " ", "\u00a0", "\u202f"]),
)
def test_a_decimal_number_reads_as_pint_reads_it(which, number, space):
    """Whatever the number and the unit, with or without a space, hard or soft."""
    dimension, unit = which
    expected = float(number) * (1.0 * PINT.parse_expression(IN_PINT.get(unit, unit))).to_base_units().magnitude
    if expected > dimension.most * (1 + 1e-9):
        with pytest.raises(QuantityError, match="is more than"):
            read(f"{number}{space}{unit}", dimension)
    elif expected < dimension.most * (1 - 1e-9):
        assert read(f"{number}{space}{unit}", dimension) == pytest.approx(expected, rel=1e-11)


@given(st.integers(0, 400), st.integers(0, 11), st.integers(0, 15))
def test_feet_inches_and_fractions_add_up(feet, inches, sixteenths):
    """ "11 ft 8 3/16 in" is so many sixteenths of an inch, and the minus sign is that of all of it."""
    expected = ((feet * 12 + inches) * 16 + sixteenths) * INCH / 16
    assert read(f"{feet} ft {inches} {sixteenths}/16 in", LENGTH) == pytest.approx(expected, abs=1e-12)
    assert read(f"-{feet} ft {inches}-{sixteenths}/16 in", LENGTH) == pytest.approx(-expected, abs=1e-12)


@pytest.mark.parametrize(
    ("written", "dimension", "expected"),
    [
        ("5 in", LENGTH, 0.127),
        ("4 1/2 in", LENGTH, 0.1143),
        ("4-1/2 in", LENGTH, 0.1143),
        ("4½ in", LENGTH, 0.1143),
        ("3/8 in", LENGTH, 0.009525),
        ("11 ft 8 in", LENGTH, 3.556),
        ("11ft 8in", LENGTH, 3.556),
        ("-30 in", LENGTH, -0.762),
        ("\u221230 in", LENGTH, -0.762),
        ("+30 in", LENGTH, 0.762),
        (" 127\u00a0mm ", LENGTH, 0.127),
        (".5 in", LENGTH, 0.0127),
        ("5. in", LENGTH, 0.127),
        ("1.5e2 mm", LENGTH, 0.15),
        ("5200 lb", FORCE, 23130.752),  # 5200 x 4.4482216 N (NIST SP 811)
        ("1 t", FORCE, 9806.65),
        ("1 ton", FORCE, 8896.443),  # NIST SP 811: short ton-force 8.896443 E+03 N
        ("1 min 30 s", TIME, 90.0),
        ("30 /min", RATE, 0.5),
        ("1/s", RATE, 1.0),
        ("30 rpm", RATE, 0.5),
        ("45°", ANGLE, math.pi / 4),
        ("16 cm²", AREA, 0.0016),
        ("1 in^3", VOLUME, 1.6387064e-05),
        ("0.2 in/s", SPEED, 0.00508),
        ("30 mm/min", SPEED, 0.0005),
        ("1 psi", PRESSURE, 6894.757),  # NIST SP 811: 6.894757 E+03 Pa
    ],
)
def test_what_people_write_is_read(written, dimension, expected):
    """The spellings that design.md part 4 promises, and the ones that creep in from word processors."""
    assert read(written, dimension) == pytest.approx(expected, rel=5e-8)


@pytest.mark.parametrize(
    ("written", "dimension", "says", "hint"),
    [
        (5, LENGTH, "5 has no unit", "write a length, such as"),
        (0.25, LENGTH, "0.25 has no unit", "127 mm"),
        ("0.25", LENGTH, '"0.25" has no unit', "write a length, such as"),
        ("1/2", LENGTH, '"1/2" has no unit', "write a length"),
        ("0,25 in", LENGTH, "has a comma in it", "a point for decimals"),
        ("5,20 lb", FORCE, "has a comma in it", "5200 lb"),
        ("5 kn", FORCE, 'the unit "kn" is not known', 'did you mean "kN"?'),
        ("5 MM", LENGTH, 'the unit "MM" is not known', 'did you mean "mm"?'),
        ("5 inchs", LENGTH, 'the unit "inchs" is not known', 'did you mean "inch'),
        ("5 furlongs", LENGTH, 'the unit "furlongs" is not known', "in, ft, yd, mm, cm, m"),
        ("5 lb", LENGTH, "is a weight or force, and a length is wanted", "write a length"),
        ("5 m", TIME, "is a length, and a time is wanted", "write a time"),
        ("5 in^2", VOLUME, "is an area, and a volume is wanted", "in^3"),
        ("nan in", LENGTH, '"nan in" is not a length', "write a length"),
        ("inf in", LENGTH, '"inf in" is not a length', "write a length"),
        (float("nan"), LENGTH, "nan has no unit", "write a length"),
        ("1e400 in", LENGTH, "is more than 1 km", "check the unit"),
        ("2 km", LENGTH, 'the unit "km" is not known', ""),
        ("5 ft -3 in", LENGTH, "is not a length", ""),
        ("--5 in", LENGTH, "is not a length", ""),
        ("5 in 3 ft", LENGTH, "does not add up", "larger unit first"),
        ("5 ft 13 in", LENGTH, "does not add up", ""),
        ("5 in 3 in", LENGTH, "does not add up", ""),
        ("1/0 in", LENGTH, "divides by zero", ""),
        ("10² mm", LENGTH, "is not known", ""),
        ("", LENGTH, "is not a length", ""),
        ("-", LENGTH, "is not a length", ""),
        ("in", LENGTH, "is not a length", ""),
        ("5 in of it", LENGTH, "is not a length", ""),
        ("1_000 in", LENGTH, "not known", ""),
        ("٥ in", LENGTH, "is not a length", ""),  # Arabic-Indic five
        (True, LENGTH, "a length is wanted, in quotes", ""),
        (None, TIME, "a time is wanted, in quotes", ""),
        (["5 in"], LENGTH, "a length is wanted, in quotes", ""),
    ],
)
def test_what_nobody_can_be_sure_of_is_refused(written, dimension, says, hint):
    """A bare number, a comma, a unit of another kind: said with what to write instead."""
    with pytest.raises(QuantityError) as refused:
        read(written, dimension)
    assert says in refused.value.what
    assert hint in refused.value.hint


@given(st.text(max_size=40) | st.text("0123456789./-+ eE\"'infatmlbskgN^½²", max_size=20), st.sampled_from(DIMENSIONS))
def test_any_text_is_a_finite_quantity_or_is_refused(written, dimension):
    """Nothing that a person can type ends in anything but a number within bounds, or a QuantityError."""
    try:
        value = read(written, dimension)
    except QuantityError as refused:
        assert refused.what and str(refused) == refused.what
    else:
        assert abs(value) <= dimension.most


@pytest.mark.parametrize(
    ("value", "dimension", "us", "si"),
    [
        (0.127, "length", "5.00 in", "127.0 mm"),
        (-1e-9, "length", "0.00 in", "0.0 mm"),
        (5200 * LBF, "force", "5,200 lb", "23.13 kN"),
        (1355.82, "energy", "1,000 ft-lb", "1,356 J"),
        (7.75, "time", "7.75 s", "7.75 s"),
        (0.00508, "speed", "0.20 in/s", "5.1 mm/s"),
        (math.pi / 4, "angle", "45.0 deg", "45.0 deg"),
        (6894.757e3, "pressure", "1,000 psi", "6.89 MPa"),
        (3000 * 47.88026, "bearing", "3,000 psf", "143.6 kPa"),  # NIST SP 811: 1 psf is 4.788026 E+01 Pa
    ],
)
def test_figures_are_shown_in_the_scenarios_units(value, dimension, us, si):
    """US or SI, thousands marked, and nothing is ever -0."""
    assert show(value, dimension, "us") == us
    assert show(value, dimension, "si") == si


def test_gaps_are_rounded_up_but_not_by_rounding_noise():
    """A gap of 2.001 in reads 2.01 in; one of 2.0000000001 in is 2.00 in."""
    assert show_up(2.001 * INCH, "length", "us") == "2.01 in"
    assert show_up(2.0000000001 * INCH, "length", "us") == "2.00 in"
    assert show_up(7e-3, "length", "si") == "7.0 mm"
    assert show_up(-1e-12, "length", "si") == "0.0 mm"
    assert show_up(-0.00004, "length", "si") == "0.0 mm"


@given(st.floats(0, 10), st.sampled_from(["us", "si"]), st.sampled_from(sorted(SHOWN)))
def test_a_figure_rounded_up_is_never_less_than_the_value(value, units, dimension):
    """Up to a nanometre of noise, and by less than one in the last place."""
    figure = float(show_up(value, dimension, units).split()[0].replace(",", ""))
    shown = SHOWN[dimension][units]
    assert value / shown.size - 1e-8 / shown.size <= figure <= value / shown.size + 1.000001 / 10**shown.places


@pytest.mark.parametrize(
    ("written", "dimension", "value"),
    [
        ("12,000 lb", FORCE, 12000 * LBF), ("12,000 lbs", FORCE, 12000 * LBF), ("1,200,000 lb", FORCE, 1.2e6 * LBF),
        ("5 in.", LENGTH, 5 * INCH), ('5"', LENGTH, 5 * INCH), ('4 1/2"', LENGTH, 4.5 * INCH),
        ("5'6\"", LENGTH, 66 * INCH), ("11 ft. 8 in.", LENGTH, 140 * INCH),
    ],
)  # fmt: skip
def test_what_people_write_on_a_yard_sheet_is_read(written: str, dimension: Dimension, value: float) -> None:
    """Thousands where it can be no other number, an abbreviation's full stop, the marks for inches and feet."""
    assert read(written, dimension) == pytest.approx(value, rel=1e-12)
