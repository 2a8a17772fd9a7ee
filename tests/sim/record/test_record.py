"""The book that the story writes in, and the table that it becomes."""

import io
from dataclasses import FrozenInstanceError

import numpy as np
import pandas as pd
import pytest

from sim.model.visible import guarded
from sim.record.columns import COLUMNS, as_csv, as_table, of_table, unguarded_table
from sim.record.record import Book, LeaderRow, PlaceRow, SideRow
from sim.record.what import What
from sim.story.lift import simulate, simulate_fixed
from tests.builders import MM, collar, lift, lifter

ONE = lift(15 * MM, lifter(collar(), name="ram"))


def three_rows():
    """One of each sort, the last first."""
    book = Book()
    book.place(2.0, 1, "hand", "caught", "strut", "pinned", 0.060, 0.025, 0.050, False, True, False)
    book.lifter(1.0, 1, "ram", "strokes", "left", 0.010, 0.011, 0.012)
    book.leader(0.5, 1, "calls", "left")
    return book.columns()


def test_each_sort_of_row_says_what_it_knows_and_leaves_the_rest_empty():
    """Texts empty, numbers not a number, flags not known; the gap is what is not captured."""
    expected = [
        {"time_s": 0.5, "call": 1, "who": "leader", "what": "calls", "note": "left"},
        {"time_s": 1.0, "call": 1, "who": "ram", "what": "strokes", "side": "left",
         "u": 0.010, "ram_travel_m": 0.011, "rise_m": 0.012},
        {"time_s": 2.0, "call": 1, "who": "hand", "what": "caught", "station": "strut", "device": "pinned",
         "demand_m": 0.060, "captured_before_m": 0.025, "captured_m": 0.050, "gap_m": pytest.approx(0.010),
         "open": False, "hands": True, "caught": False},
    ]  # fmt: skip
    for row, said in zip(as_table(three_rows()).to_dict("records"), expected, strict=True):
        found = {key: value for key, value in row.items() if not pd.isna(value) and value != ""}
        assert found == said
        empty = {key for key, value in row.items() if COLUMNS[key] == "str" and value == ""}
        assert empty == {key for key, kind in COLUMNS.items() if kind == "str"} - set(said)


def test_the_table_has_the_columns_that_are_promised_each_of_its_kind():
    """In their order; a simulated lift's too. Text was `object` before pandas 3."""
    for table in (as_table(three_rows()), simulate_fixed(ONE).events):
        kinds = {name: str(kind).replace("object", "str") for name, kind in table.dtypes.items()}
        assert list(kinds.items()) == list(COLUMNS.items())


def test_a_note_that_is_not_given_is_empty():
    """As is every other text that a row of the leader's does not have."""
    book = Book()
    book.leader(0.0, 0, "calls")
    assert book.columns().note.tolist() == [""]


def test_rows_stand_in_the_order_of_time_and_at_one_instant_as_they_were_written():
    """Whatever the order of their words or calls."""
    book = Book()
    for time, call, what in ((3.0, 1, "b"), (1.0, 4, "z"), (3.0, 2, "a"), (2.0, 3, "c"), (3.0, 0, "c")):
        book.leader(time, call, what)
    assert book.columns().what.tolist() == ["z", "c", "b", "a", "c"]


@pytest.mark.parametrize("row", [LeaderRow, SideRow, PlaceRow])
def test_the_fields_of_a_row_are_named_as_the_columns_that_they_fill(row):
    """In their order; every column is filled by one sort of row or another, but for the gap, which is worked out."""
    assert [*row._fields] == [name for name in COLUMNS if name in row._fields]
    filled = {name for sort in (LeaderRow, SideRow, PlaceRow) for name in sort._fields}
    assert filled == set(COLUMNS) - {"gap_m"}


@pytest.mark.parametrize(("more", "less"), [(("x",), 0), ((), 1)])
def test_a_row_of_another_width_is_an_error(more, less):
    """Not a table with a column short: neither the book takes one, nor is a row made of it."""
    words = (0.0, 1, "ram", What.STROKES, "ram", 0.0, 0.0, 0.0, *more)
    for written in (Book().lifter, SideRow):
        with pytest.raises(TypeError, match="argument"):
            written(*words[: len(words) - less])


def test_a_book_keeps_each_row_as_the_sort_that_it_is():
    """With names for its fields."""
    book = Book()
    book.place(2.0, 1, "hand", What.CAUGHT, "strut", "pinned", 0.060, 0.025, 0.050, False, True, False)
    book.lifter(1.0, 1, "ram", What.STROKES, "left", 0.010, 0.011, 0.012)
    book.leader(0.5, 1, What.CALLS, "left")
    place, side, leader = book.rows
    assert place == PlaceRow(2.0, 1, "hand", "caught", "strut", "pinned", 0.060, 0.025, 0.050, False, True, False)
    assert side == SideRow(1.0, 1, "ram", "strokes", "left", 0.010, 0.011, 0.012)
    assert leader == LeaderRow(0.5, 1, "leader", "calls", "left")
    assert [type(row) for row in book.rows] == [PlaceRow, SideRow, LeaderRow]


def test_an_empty_book_is_a_table_without_rows():
    """Of the same columns, each of its kind."""
    table = as_table(Book().columns())
    assert len(table) == 0
    assert [str(kind).replace("object", "str") for kind in table.dtypes] == [*COLUMNS.values()]


def test_a_record_says_whether_chance_had_a_part_in_it_and_is_never_changed():
    """Simulated, at mean values or drawn; none of them observed."""
    drawn, fixed = simulate(ONE, seed=1, replication=2), simulate_fixed(ONE)
    assert (drawn.fixed, drawn.observed, drawn.seed, drawn.replication) == (False, "", 1, 2)
    assert (fixed.fixed, fixed.observed) == (True, "")
    with pytest.raises(FrozenInstanceError):
        fixed.outcome = "stopped"


def named(name):
    """A row of each sort, with this for every text that a person writes."""
    book = Book()
    book.leader(0.0, 1, "calls", name)
    book.lifter(1.0, 1, name, "strokes", name, 0.010, 0.011, 0.012)
    book.place(2.0, 1, name, "caught", name, name, 0.060, 0.025, 0.050, False, True, False)
    return book.columns()


@pytest.mark.parametrize("name", ["left strut", "=1+1", "-2", "'=quoted", "@x", "a;=b"])
def test_a_file_of_a_record_gives_back_the_record_and_no_cell_of_it_is_a_formula(name):
    """Its columns and nothing else, a line a row; names as they were, whatever they look like."""
    columns = named(name)
    lines = as_csv(columns).splitlines(keepends=True)
    assert lines[0] == ",".join(COLUMNS) + "\n"
    assert len(lines) == 1 + 3 and all(line.endswith("\n") and not line.endswith("\r\n") for line in lines)
    texts = [column for column, kind in COLUMNS.items() if kind == "str"]
    cells = pd.read_csv(io.StringIO("".join(lines)), dtype="str", keep_default_na=False)
    assert not [cell for column in texts for cell in cells[column] if cell[:1] in set("=+-@")]
    assert cells["note"].tolist()[0] == (name if name == "left strut" else guarded(name))
    back = of_table(unguarded_table(read_csv("".join(lines))))
    for name, kind in COLUMNS.items():
        np.testing.assert_array_equal(getattr(back, name), getattr(columns, name), strict=kind != "str")


def read_csv(text):
    """A file of a record, each column of its kind."""
    empty = {name: [""] for name, kind in COLUMNS.items() if kind != "str"}
    return pd.read_csv(
        io.StringIO(text), dtype=COLUMNS, keep_default_na=False, na_values=empty, float_precision="round_trip"
    )


def test_a_file_of_a_record_is_what_pandas_would_write_of_it():
    """To the byte, so that runs stored before are as those stored now."""
    record = simulate_fixed(ONE)
    assert as_csv(record.columns) == record.events.to_csv(index=False, lineterminator="\n")


def test_a_place_that_holds_above_the_demand_has_no_gap() -> None:
    """A load that came down past the height of an open pin: nothing is left to capture there, never less."""
    book = Book()
    for demand, captured in ((0.0076, 0.0185), (0.02, 0.0185)):
        book.place(1.0, 1, "hand", What.RESTS, "strut", "pin", demand, captured, captured, True, False, False)
    assert list(book.columns().gap_m.round(6)) == [0.0, 0.0015]
