"""Knobs are turned from the mildest setting on, and what is found is the mildest that works."""

from hypothesis import given
from hypothesis import strategies as st

from bottlewright.cures.knobs import Knob
from bottlewright.cures.search import by_keys, joined, mildest


def ladder(name, count, keys=1):
    return Knob(name, tuple(tuple((f"{name}.{k}", str(n)) for k in range(keys)) for n in range(count)))


@given(st.integers(1, 200), st.data())
def test_the_first_setting_that_works_is_found_where_all_stronger_ones_work(count, data):
    first = data.draw(st.integers(0, count - 1))
    found = list(mildest([ladder("a", count)], lambda changes: int(dict(changes)["a.0"]) >= first))
    assert found == [(("a.0", str(first)),)]


def test_nothing_is_found_where_nothing_works():
    assert list(mildest([ladder("a", 50)], lambda _: False)) == []
    assert list(mildest([ladder("a", 5), ladder("b", 5)], lambda _: False)) == []


def test_a_window_that_is_wide_enough_is_found_though_the_strongest_setting_does_not_work():
    found = list(mildest([ladder("a", 60)], lambda changes: 20 <= int(dict(changes)["a.0"]) <= 40))
    assert found == [(("a.0", "20"),)]


def test_two_knobs_share_the_work_and_each_stays_mild():
    def works(changes):
        turned = dict(changes)
        return int(turned["a.0"]) + int(turned["b.0"]) >= 12

    found = [dict(changes) for changes in mildest([ladder("a", 10), ladder("b", 10)], works)]
    assert found
    assert all(int(one["a.0"]) + int(one["b.0"]) == 12 for one in found)


def test_fewest_keys_come_first():
    groups = list(by_keys([(ladder("c", 2, keys=3),), (ladder("a", 2), ladder("b", 2)), (ladder("a", 2),)]))
    assert [[tuple(knob.name for knob in knobs) for knobs in alike] for alike in groups] == [
        [("a",)], [("a", "b")], [("c",)]]  # fmt: skip


def test_a_later_value_of_a_key_wins():
    assert joined((("a", "1"), ("b", "2")), (("a", "3"),)) == (("a", "3"), ("b", "2"))
