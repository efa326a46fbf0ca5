"""What a day adds up to before it begins."""

import pytest
from days import rocket

from bottlewright.logbook.day_sums import Share, day_sums

ROCKETS = {"Curlew": rocket("Curlew", "B07", cycles=12), "Wren": rocket("Wren", "B07", cycles=12),
           "Dabchick": rocket("Dabchick", "B09", cycles=None)}  # fmt: skip


def test_the_chances_of_all_launches_add_up():
    sums = day_sums(ROCKETS, {"Curlew": Share(2, 0.001, 0.0002), "Wren": Share(1, 0.004, 0.0)})
    assert sums.launches == 3
    assert sums.burst == pytest.approx(0.006)
    assert sums.strike == pytest.approx(0.0004)
    assert "published burst tests" in sums.burst_basis


def test_of_a_chance_that_nobody_worked_out_nobody_knows_the_sum():
    sums = day_sums(ROCKETS, {"Curlew": Share(2, 0.001, None), "Wren": Share(1, None, 0.0)})
    assert sums.burst is None
    assert sums.strike is None
    assert "not worked out" in sums.strike_basis


def test_a_chance_below_what_can_be_told_counts_as_that():
    assert day_sums(ROCKETS, {"Curlew": Share(3, 0.0, 0.0)}).burst == pytest.approx(3e-4)


def test_bottles_that_come_to_their_fifteenth_time_are_named():
    assert day_sums(ROCKETS, {"Curlew": Share(2), "Wren": Share(1)}).spent == {}
    assert day_sums(ROCKETS, {"Curlew": Share(2), "Wren": Share(2)}).spent == {"B07": 3}
    assert day_sums(ROCKETS, {"Dabchick": Share(1)}).spent == {"B09": None}  # nobody counted it
