import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design import DesignError, bounds_of, complete, parse_design, stood_on, value_at, with_values
from bottlewright.quantities import Basis
from strategies import designs

DESIGN = complete(parse_design("""
[vessel]
bottle = "carbonated-1500"
[fins]
[[mass]]
name = "clay"
mass = "20 g ± 1 g"
position = "30 mm"
[charge]
pressure = "4 bar ± 0.1 bar"
"""))


def test_a_value_is_found_by_its_path():
    assert value_at(DESIGN, "charge.pressure").value == 4e5
    assert value_at(DESIGN, "mass.0.position").value == pytest.approx(0.03)
    assert value_at(DESIGN, "fins.count") == 3


def test_other_values_keep_their_spread_and_leave_the_old_design_alone():
    other = with_values(DESIGN, {"charge.pressure": 5e5, "mass.0.mass": 0.03, "fins.count": 4, "fins.material": "card"})
    assert (other.charge.pressure.value, other.charge.pressure.spread) == pytest.approx((5e5, 1e4))
    assert other.mass[0].mass.value == 0.03
    assert (other.fins.count, other.fins.material) == (4, "card")
    assert DESIGN.charge.pressure.value == 4e5
    assert DESIGN.mass[0].mass.value == pytest.approx(0.02)


def test_a_value_where_there_was_none_says_it_was_set():
    other = with_values(DESIGN, {"model.drag_coefficient": 0.4})
    assert other.model.drag_coefficient.value == 0.4
    assert other.model.drag_coefficient.basis is Basis.ASSUMED


def test_what_has_no_place_or_is_out_of_bounds_is_refused_all_at_once():
    with pytest.raises(DesignError) as caught:
        with_values(DESIGN, {"charge.pressure": 1e9, "fins.count": 99, "mass.7.mass": 1.0, "charge.x": 1.0, "y": 1.0})
    assert [problem.path for problem in caught.value.problems] == [
        "charge.pressure", "fins.count", "mass.7.mass", "charge.x", "y",
    ]


def test_clipping_moves_a_value_to_the_bound():
    low, high = bounds_of("model.tail_efficiency", DESIGN)
    assert (low, high) == (0.0, 1.0)
    assert with_values(DESIGN, {"model.tail_efficiency": 1.7}, clip=True).model.tail_efficiency.value == high
    assert with_values(DESIGN, {"model.tail_efficiency": -0.1}, clip=True).model.tail_efficiency.value == low


@given(designs(), st.data())
def test_every_value_listed_can_be_found_and_replaced(text, data):
    design = complete(parse_design(text))
    path, quantity = data.draw(st.sampled_from(stood_on(design)))
    assert value_at(design, path) == quantity
    low, high = bounds_of(path, design)
    new = data.draw(st.floats(max(low, -1e9), min(high, 1e9)))
    other = with_values(design, {path: new})
    assert value_at(other, path).value == new
    back = {path: quantity.value}
    assert with_values(other, back, clip=True) == with_values(design, back, clip=True)
