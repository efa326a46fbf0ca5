"""Ordinary rockets do what builders say they do: common practice without a source, and one published table."""

from flown_practice import range_by_pressure, third_full


def test_a_third_of_water_is_near_the_best():
    rows = third_full()
    assert len(rows) == 8
    assert [row for row in rows if not row.hit] == []


def test_ranges_are_of_the_size_of_the_published_table():
    # The table states neither rocket nor angle: of the right size, and growing with pressure, is all that can be held.
    rows = range_by_pressure()
    assert all(abs(row.off) < 0.35 * row.reference for row in rows)
    for one in (rows[:4], rows[4:]):
        assert [row.ours for row in one] == sorted(row.ours for row in one)
