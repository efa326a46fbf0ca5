"""Loggers write tables in every way there is: each is read back as what was written."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.errors import FieldsError, InputError
from bottlewright.learn.columns import UNITS, corrected, keep, kept, propose
from bottlewright.learn.table_file import read_table

NAMES = ["time", "height", "accel"]


def written(values, separator, comma, header, end="\n"):
    def cell(value):
        text = f"{value:.3f}"
        return text.replace(".", ",") if comma else text

    rows = [separator.join(map(cell, row)) for row in values]
    return end.join(([separator.join(NAMES[: len(values[0])])] if header else []) + rows)


numbers = st.floats(-9e4, 9e4).map(lambda value: round(value, 3))
tables = st.integers(1, 3).flatmap(lambda wide: st.lists(st.lists(numbers, min_size=wide, max_size=wide), min_size=4,
                                                         max_size=12))  # fmt: skip


@given(values=tables, separator=st.sampled_from("\t;|, "), comma=st.booleans(), header=st.booleans(),
       end=st.sampled_from(["\n", "\r\n"]),
       coded=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]))  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_a_table_is_read_back_whatever_parts_its_columns(values, separator, comma, header, end, coded):
    """Only "0,5" alone in each row and without a name may be two columns as well as one: that is left out here."""
    if comma and separator == ",":
        separator = ";"
    header = header or (comma and len(values[0]) == 1)
    table = read_table(written(values, separator, comma, header, end).encode(coded))
    assert table.cells == pytest.approx(np.array(values), abs=1e-9)
    assert table.names == (tuple(NAMES[: len(values[0])]) if header else ("",) * len(values[0]))


@given(unit=st.sampled_from(sorted(UNITS["height"])), tick=st.sampled_from(["s", "ms", "us"]), bracket=st.booleans())
@settings(max_examples=20, deadline=None)
def test_units_in_the_header_are_believed(unit, tick, bracket):
    head = f"time [{tick}];height ({unit})" if bracket else f"time_{tick};height_{unit}"
    columns = propose(read_table(f"{head}\n0;1\n10;2\n20;3\n".encode()))
    assert (columns.time.unit, columns.height.unit) == (tick, unit)


def test_a_row_of_units_under_the_names_belongs_to_them():
    columns = propose(read_table(b"Time\tPressure\tTemp\nms\thPa\tC\n0\t1013.2\t20\n20\t1013.1\t20\n40\t1013\t20\n"))
    assert (columns.time.unit, columns.pressure.number, columns.pressure.unit) == ("ms", 2, "hPa")
    assert columns.height is None


def test_lines_above_the_table_are_no_rows_and_may_say_the_rate():
    rows = "\n".join(f"{value}" for value in (0.0, 0.1, 0.0, 5.5, 9.0, 8.0, 2.0))
    table = read_table(f"Logger 3, sample rate 50 Hz\nheight m\n{rows}".encode())
    assert len(table.cells) == 7
    assert propose(table).rate == 50.0


def test_rows_that_begin_with_tags_are_parted_by_them():
    text = "".join(f"ACC,{n},{0.1 * n:.1f},1.0,2.0\nBARO,{n},{1013.0 - n}\n" for n in range(9))
    table = read_table(text.encode(), "BARO")
    assert table.tags == {"ACC": 9, "BARO": 9}
    assert table.cells[:, 1] == pytest.approx(1013.0 - np.arange(9))
    with pytest.raises(InputError, match="no row begins with 'GYRO'"):
        read_table(text.encode(), "GYRO")


def test_times_of_day_and_cells_with_units_are_numbers():
    table = read_table("clock;height\n12:00:01,5;3 m\n12:00:02,5;4 m\n12:00:03,5;5 m\n".encode("utf-8-sig"))
    assert np.diff(table.cells[:, 0]) == pytest.approx([1.0, 1.0])
    assert table.cells[:, 1] == pytest.approx([3.0, 4.0, 5.0])


def test_a_cell_without_a_number_is_a_hole_and_not_nothing():
    cells = read_table(b"time,height\n0,1\n1,\n2,nan\n3,4\n").cells
    assert np.isnan(cells[1:3, 1]).all()


@pytest.mark.parametrize("content", [b"", b"only words here\nand here\n", bytes(range(256)) * 4])
def test_what_is_no_table_is_refused_in_words(content):
    with pytest.raises(InputError, match=r"table|empty"):
        read_table(content)


def test_columns_without_names_are_told_by_their_numbers():
    rise = np.concatenate([np.zeros(10), 20.0 * np.sin(np.linspace(0.0, np.pi, 40)), np.zeros(10)])
    rows = "\n".join(f"{20 * n + 5000} {101325.0 - 12.0 * h:.1f} {h:.2f}" for n, h in enumerate(rise))
    columns = propose(read_table(rows.encode()))
    assert (columns.time.number, columns.time.unit) == (1, "ms")
    assert (columns.pressure.number, columns.pressure.unit, columns.height.number) == (2, "Pa", 3)


def test_a_person_puts_a_column_right_and_the_next_file_is_read_so(tmp_path):
    table = read_table(b"a,b,c\n0,5,1\n1,6,2\n2,7,3\n")
    meant = corrected(propose(table), table, {"time": "1 ms", "height": "c", "acceleration": "2 g"})
    assert (meant.height.number, meant.acceleration[0].unit) == (3, "g")
    keep(tmp_path, table, meant)
    again = kept(tmp_path, read_table(b"a,b,c\n9,9,9\n8,8,8\n10,7,7\n"))
    assert [(what, one.number, one.unit) for what, one in again.items()] == [
        (what, one.number, one.unit) for what, one in meant.items()]  # fmt: skip
    assert kept(tmp_path, read_table(b"a,b,d\n9,9,9\n8,8,8\n10,7,7\n")) is None


@pytest.mark.parametrize(("name", "answer"), [("height", "9 m"), ("height", "2 bar"), ("rate", "fast"), ("mood", "1")])
def test_an_answer_that_makes_no_sense_is_refused(name, answer):
    table = read_table(b"a,b\n0,5\n1,6\n2,7\n")
    with pytest.raises(FieldsError):
        corrected(propose(table), table, {name: answer})
