"""The record that the workshop's packages share: worked out once, and the builder's own unit first in its texts."""

import dataclasses
import datetime as dt
import sys
from collections import Counter

import pytest
from workshop_designs import DABCHICK, design_of

import bottlewright.make
from bottlewright.make.build import Given, build
from bottlewright.make.specification import specify

ASKED_ONCE = {
    "specify", "unit_habit", "stand_sizes", "cut_list", "holes", "cord_places", "boring_steps", "body_of",
    "fin_corners", "nose_profile", "fin_jig",
}  # fmt: skip


def test_the_design_is_asked_for_each_measure_once_on_one_trip_through_the_package(monkeypatch):
    monkeypatch.setattr("bottlewright.make.build.typeset", lambda _: b"")  # it is given words and numbers, no design
    design, entered = design_of(DABCHICK), Counter()

    def watch(frame, event, _):
        if event == "call" and "bottlewright" in frame.f_code.co_filename:
            entered[frame.f_code.co_name] += 1

    before = sys.getprofile()
    sys.setprofile(watch)
    try:
        build(design, Given(), dt.datetime(2027, 3, 1, 12, 0))
    finally:
        sys.setprofile(before)
    assert {name: entered[name] for name in ASKED_ONCE} == dict.fromkeys(ASKED_ONCE, 1)
    assert entered["template_values"] == 2, "once for the plan, and once with what the verdict says"


def test_the_record_can_not_be_changed(dabchick):
    with pytest.raises(dataclasses.FrozenInstanceError):
        specify(dabchick).seat_diameter = 1.0


def test_lengths_are_in_the_builders_own_unit_first(dabchick):
    assert specify(dabchick).to_mm(140.2, 90.0) == "140 × 90 mm"
    inches = specify(design_of(DABCHICK, 'nose.length="4.75 in"', 'fins.root="3 in"', 'fins.tip="1.5 in"',
                               'fins.span="2.5 in"', 'fins.sweep="1.5 in"', 'recovery.diameter="12 in"'))  # fmt: skip
    assert inches.to_mm(139.7, 88.9) == "5.5 × 3.5 in (140 × 89 mm)"
    assert inches.to_tenth(9.525) == "0.375 in (9.5 mm)"
    assert inches.length(8.99998) == "0.354 in (9 mm)"  # 9 mm, written as 0.35433 in


def test_the_package_shows_the_path_of_its_data():
    numbered = [row for row in (bottlewright.make.__doc__ or "").splitlines() if row[:1].isdigit()]
    assert 8 <= len(numbered) <= 10
