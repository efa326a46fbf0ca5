"""Tables for spreadsheets: text stays text, numbers stay numbers."""

import csv
import io

import numpy as np
import pytest

from bottlewright.flight.results import series_csv
from bottlewright.make.parts import Part, PartsList, parts_csv
from bottlewright.report.csv_text import csv_text


@pytest.mark.parametrize("text", ['=HYPERLINK("x")', "+1+1|calc", "-2+3", "@SUM(A1)", "\t=1", "＝1", "--3"])
def test_what_a_spreadsheet_would_run_becomes_text(text):
    assert next(csv.reader(io.StringIO(csv_text([[text, "x"]]), newline=""))) == [f"'{text}", "x"]


@pytest.mark.parametrize("number", ["-3.2", "+5", "-1e-05", "-4.", -3.2, 0, np.float64(-1.5)])
def test_numbers_stay_as_they_are(number):
    assert csv_text([[number]]) == f"{number}\n"


def test_a_negative_course_of_a_flight_is_not_spoilt():
    assert series_csv({"time_s": np.array([0.0, 1.0]), "speed_m_s": np.array([-3.25, np.nan])}) == (
        "time_s,speed_m_s\n0,-3.25\n1,\n"
    )


def test_a_part_named_like_a_formula_is_text_in_the_parts_list():
    part = Part("-hose", "supplies", "=1+1", 2, "", "")
    text = parts_csv(PartsList((part,), {"-hose": 1.5}, {}, "@crowns", 0.0, 0.0, None))
    assert text.splitlines()[1] == "'-hose,supplies,'=1+1,2,,,,,,0,2,1.50,3.00,'@crowns,"
