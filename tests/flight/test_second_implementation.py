"""The engine against the flight written a second time (second_implementation.py)."""

import pytest
from second_implementation import CASES, compared


@pytest.mark.parametrize("case", CASES)
def test_a_flight_written_twice_is_the_same_flight(case):
    pairs = compared(case)
    assert len(pairs) > 15
    off = {key: ours / other - 1.0 for key, (ours, other) in pairs.items()}
    assert {key: value for key, value in off.items() if not abs(value) < 1e-7} == {}
