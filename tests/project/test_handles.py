"""What can be dragged on the drawing: how far, in which unit, and where no finger hits two things at once."""

import pytest

import bottlewright as bw
from bottlewright.project.drawing import drawn
from bottlewright.project.handles import room

CURLEW = "examples/curlew/rocket.toml"


def handles(project, narrow=False):
    return {one.key: one for one in drawn(project).sketched(narrow).handles}


@pytest.fixture(scope="module")
def curlew():
    return bw.read(CURLEW)


def test_a_grip_speaks_in_the_builders_own_unit(curlew):
    span = handles(curlew.changed({"fins.span": "5.5 in"}))["fins.span"]
    assert (span.unit, span.step, span.said) == ("in", 0.05, "5.50 in")
    assert handles(curlew)["fins.span"].said == "140 mm"


def test_the_stated_plus_or_minus_stays_and_none_is_made_up(curlew):
    assert handles(curlew)["fins.position"].spread == "2 mm"
    assert handles(curlew.changed({"fins.position": "385 mm"}))["fins.position"].spread == ""


@pytest.mark.parametrize("key", ["fins.span", "fins.root", "fins.position", "nose.length", "mass.0.position"])
def test_both_ends_of_a_grip_are_a_rocket(curlew, key):
    grip = handles(curlew)[key]
    for end in (grip.low, grip.high):
        assert drawn(curlew.changed({key: f"{end} {grip.unit}"})).length > 0.0


def test_a_point_of_the_sheet_is_as_much_of_the_rocket_as_the_scale_says(curlew):
    grips = handles(curlew)
    front, end = grips["fins.position"], grips["fins.root"]
    assert (end.place[0] - front.place[0]) * front.per == pytest.approx(140.0, abs=0.01)


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("changes", [{}, {"fins.tip": "20 mm", "fins.root": "40 mm", "fins.sweep": "10 mm"},
                                     {"mass.1.position": "41 mm", "mass.2.position": "39 mm"}])  # fmt: skip
def test_no_finger_hits_two_grips_at_once(curlew, narrow, changes):
    grips = list(handles(curlew.changed(changes), narrow).values())
    for number, one in enumerate(grips):
        for other in grips[:number]:
            far = max(abs(a - b) for a, b in zip(one.grip, other.grip, strict=True))
            assert far >= room(narrow) - 1e-9, (one.key, other.key)


def test_the_drawing_keeps_its_place_while_it_is_held(curlew):
    longer = curlew.changed({"nose.length": "330 mm", "fins.span": "220 mm"})
    held, free = drawn(longer, curlew).sketched(False), drawn(longer).sketched(False)
    before = drawn(curlew).sketched(False)
    assert (held.high, held.handles[0].per) == (before.high, before.handles[0].per)
    assert free.high != before.high
