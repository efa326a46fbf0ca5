"""The engine against flights whose answer is known; known_flights.py says what and how near."""

import pytest
from known_flights import CASES


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.__name__)
def test_the_engine_flies_what_is_known(case):
    rows = case()
    assert rows
    shown = [f"{row.what}: {row.ours:.9g} for {row.reference:.9g} {row.unit}" for row in rows if not row.hit]
    assert shown == [f"{row.what}: {row.ours:.9g} for {row.reference:.9g} {row.unit}" for row in rows if row.known_miss]
    for row in rows:
        if row.known_miss:
            assert row.off == pytest.approx(row.known_miss, rel=0.02), row
