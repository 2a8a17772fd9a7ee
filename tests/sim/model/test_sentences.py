"""Sentences as data: one SI value, two texts, each rounded from that value and against the reader's comfort."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.sentences import InFormula, Sentence, Span, down, near, up
from sim.model.units import LBF, SHOWN, Units

UNITS: tuple[Units, Units] = ("us", "si")


def test_a_load_is_rounded_up_from_its_si_value_in_either_units() -> None:
    """1,278 lb was once turned into 5.68 kN although the load was 5,684.3 N: up is 5.69 kN."""
    load = 5684.3  # N: 1,277.9 lb
    assert up(load, "force").text("us") == "1,278 lb"
    assert up(load, "force").text("si") == "5.69 kN"
    assert down(load, "force").text("us") == "1,277 lb"
    assert down(load, "force").text("si") == "5.68 kN"


@given(st.floats(0, 1e6), st.sampled_from(sorted(SHOWN)), st.sampled_from(UNITS))
def test_up_is_never_less_and_down_never_more(value: float, dimension: str, units: Units) -> None:
    """But for noise of a billionth."""
    size = SHOWN[dimension][units].size
    high, low = (float(each(value, dimension).number(units).replace(",", "")) * size for each in (up, down))
    noise = 1e-9 + 1e-9 * value
    assert low <= value + noise and high >= value - noise


def test_a_sentence_says_names_counts_amounts_and_sentences_within_it() -> None:
    """In the units asked for; the data stays as it is."""
    more = Sentence(" ({more} of it for stretch)", more=up(0.00254, "length"))
    said = Sentence(
        "{who} drops {far}{more} at call {call}", who="left side", far=up(0.0254, "length"), more=more, call=3
    )
    assert said.words("us") == "left side drops 1.00 in (0.10 in of it for stretch) at call 3"
    assert said.words("si") == "left side drops 25.4 mm (2.6 mm of it for stretch) at call 3"
    assert [amount.value for amount in said.amounts()] == [0.0254, 0.00254]
    assert pickle.loads(pickle.dumps(said)) == said and hash(said) == hash(said)
    with pytest.raises(KeyError):
        Sentence("{far} and {wide}", far="1").words("us")


def test_a_span_has_one_unit_and_one_figure_where_both_read_alike() -> None:
    """From the least to the most."""
    assert Span(up(100 * LBF, "force"), up(1500.5 * LBF, "force")).text("us") == "100 to 1,501 lb"
    assert Span(near(0.01, "length"), near(0.010001, "length")).text("si") == "10.0 mm"


def test_a_length_in_a_formula_has_no_unit_and_stands_in_brackets_below_nothing() -> None:
    """What is small and divided by has four digits."""
    assert InFormula(0.1).text("us") == "3.94"
    assert InFormula(-0.1).text("si") == "(-100.0)"
    assert InFormula(0.00381, finer=True).text("us") == "0.15"
    assert InFormula(0.0040132, finer=True).text("us") == "0.158"
