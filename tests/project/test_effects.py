"""Before a cure's button is pressed it says what it changes, and pressing it gives just that."""

import pytest

import bottlewright as bw

LIGHT = {"fins.span": "60 mm", "mass.0.mass": "5 g", "measured.dry_mass": None, "measured.balance_point": None}


@pytest.fixture(scope="module")
def cured():
    return bw.read("examples/curlew/rocket.toml").changed(LIGHT).prove().cured()


def test_a_cure_shows_each_value_now_and_with_it(cured):
    cure = next(one for one in cured.cures if one.changes)
    effect = cured.effects[cure.code]
    assert [turn.after for turn in effect.values] == [text for _, text in cure.changes]
    assert all(turn.before != turn.after for turn in effect.values)
    assert effect.values[0].what[0].isupper()


def test_what_is_promised_of_the_flight_is_what_comes_of_it(cured):
    cure = next(one for one in cured.cures if one.changes)
    changed = cured.project.changed({key: text or None for key, text in cure.changes})
    promised = {turn.what: turn.after for turn in cured.effects[cure.code].outcomes}
    margin = changed.fly().summary["static_margin_min_calibres"]
    assert promised["least static margin, middle flight, calibres"] == f"{margin:.2f}"
    assert promised["this finding"] == "gone"
    assert cure.code not in {one.code for one in changed.prove().findings if one.level in ("stop", "look")}


def test_what_stays_open_with_it_is_said(cured):
    for cure in cured.cures:
        if cure.changes:
            assert set(cured.effects[cure.code].left) == {one.hazard for one in cure.findings_left}
