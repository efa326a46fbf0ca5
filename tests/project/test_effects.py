"""Before a cure's button is pressed it says what it changes, and pressing it gives just that."""

import pytest

import bottlewright as bw
from bottlewright.project.effects import effect_of

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


@pytest.mark.parametrize(("hold", "opens"), [("0.12 N", " m up"), ("3 N", "not before the ground")])
def test_a_way_says_where_the_canopy_opens_in_its_flight_before_anybody_takes_it(hold, opens):
    way = {"recovery.mechanism.way": "loose nose", "recovery.mechanism.hold": hold,
           "recovery.release": "by its mechanism"}
    plain = bw.begin(name="Wren", bottle="1.5 litre fizzy", pressure="1.5 bar", bore="9 mm")
    (turn,) = (one for one in effect_of(plain, way.items()).outcomes if "opens" in one.what)
    assert turn.before.endswith(" m up"), "taken for granted as long as nobody describes it"
    assert turn.after.endswith(opens)


def test_a_rocket_without_a_canopy_has_none_that_opens():
    bare = bw.read("examples/dabchick/rocket.toml")
    assert not any("opens" in one.what for one in effect_of(bare, [("charge.water", "400 mL")]).outcomes)
