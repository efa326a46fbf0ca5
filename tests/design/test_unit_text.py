"""Texts of a table in the builder's own units, and limits that no rounding carries past themselves."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import age_words, at_least, at_most, in_own_units, on_the_gauge, percent

INCH_POUND = UnitHabit(psi=True, inches=True, pounds=True, miles=True)


@pytest.mark.parametrize(
    ("text", "metric", "inch_pound"),
    [
        ("never over 90 psi", "never over 6.21 bar", "never over 90 psi (6.21 bar)"),
        ("4.05 to 5.07 bar advised", "4.05 to 5.07 bar advised", "59 to 74 psi (4.05 to 5.07 bar) advised"),
        ("above 60 psi, everyone 20 ft away", "above 4.14 bar, everyone 6.1 m away",
         "above 60 psi (4.14 bar), everyone 20 ft (6.1 m) away"),
        ("15 N ± 5 N", "15 N ± 5 N", "3.4 lbf (15 N) ± 1.1 lbf (5 N)"),
        ("wind at most 20 mph", "wind at most 8.94 m/s", "wind at most 20 mph (8.94 m/s)"),
        ("at most 10 % of 45 deg", "at most 10\u202f% of 45°", "at most 10\u202f% of 45°"),
        ("2500 J per square metre, 20 m/s, 5 mL, 1 in 10 000", None, None),
    ],
)  # fmt: skip
def test_a_number_keeps_its_own_unit_and_gets_the_builder_s(text, metric, inch_pound):
    assert in_own_units(METRIC, text) == (text if metric is None else metric)
    if inch_pound is not None:
        assert in_own_units(INCH_POUND, text) == inch_pound


@given(st.floats(0.0, 3e6))
def test_no_rounding_lets_anybody_pump_harder(pascals):
    assert float(at_most(METRIC, pascals).removesuffix(" bar")) * 1e5 <= pascals + 0.01
    psi, bar = re.fullmatch(r"([\d.]+) psi \(([\d.]+) bar\)", at_most(INCH_POUND, pascals)).groups()
    assert pascals - 700.0 <= float(psi) * 6894.757293168 <= pascals + 0.01
    assert pascals - 1001.0 <= float(bar) * 1e5


def test_a_share_is_written_with_a_thin_space():
    shares = {0.0: "0", 0.00092: "0.092", 0.026: "2.6", 0.44: "44", 1.0: "100"}
    assert [percent(share) for share in shares] == [f"{text}\u202f%" for text in shares.values()]


def test_a_limit_at_a_round_number_is_the_number_that_everything_else_shows():
    limit = 60 * 6894.757293168
    assert INCH_POUND.pressure(limit) == at_most(INCH_POUND, limit) == "60 psi (4.14 bar)"
    assert at_most(INCH_POUND, limit - 10.0) == "59.9 psi (4.13 bar)"
    assert at_most(INCH_POUND, 4.5e5) == "65.2 psi (4.5 bar)"


@given(st.floats(1e3, 2.5e6))
def test_a_test_at_the_shown_pressure_is_no_weaker_than_promised(pascals):
    psi, bar = re.fullmatch(r"([\d.]+) psi \(([\d.]+) bar\)", at_least(INCH_POUND, pascals)).groups()
    assert psi.isdecimal()
    assert pascals - 0.01 <= float(psi) * 6894.757293168 <= pascals + 6895.0
    assert pascals - 0.01 <= float(bar) * 1e5 <= pascals + 7900.0
    assert pascals - 0.01 <= float(at_least(METRIC, pascals).removesuffix(" bar")) * 1e5 <= pascals + 1001.0


@pytest.mark.parametrize(("days", "words"), [
    (0.0, "0 days"), (1.0, "1 day"), (9.0, "9 days"), (14.0, "2 weeks"), (61.0, "2 months"),
    (365.25, "1 year"), (548.0, "1.5 years"),
])  # fmt: skip
def test_an_age_is_told_as_people_tell_it(days, words):
    assert age_words(days * 86400.0) == words


@given(st.floats(1e4, 25e5), st.sampled_from([METRIC, INCH_POUND]))
def test_a_step_of_a_test_is_a_mark_that_a_pump_s_gauge_has_and_never_more_than_was_meant(pascals, habit):
    shown = on_the_gauge(habit, pascals)
    number, unit = shown.split()[:2]
    size = {"bar": 1e5, "psi": 6894.757}[unit]
    marks = float(number) * (10.0 if unit == "bar" else 1.0)
    assert marks == pytest.approx(round(marks), abs=1e-9), "0.1 bar or a whole psi"
    assert pascals - 1.02 * (1e4 if unit == "bar" else size) < float(number) * size <= pascals * (1.0 + 1e-6)
