import re

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.design.formatting import format_value
from bottlewright.design.paths import stood_on, value_at

DESIGN = """
schema = 1
[vessel]
bottle = "carbonated-1500"
diameter = "90.5 mm ± 0.3 mm"
profile = [["0 mm", "10.9 mm"], ["40 mm", "10.9 mm"], ["120 mm", "44 mm"], ["300 mm", "44 mm"]]
[charge]
water = "500 mL+/-10 mL"
pressure = "4.5 bar"
"""


@pytest.fixture
def design():
    return complete(parse_design(DESIGN))


@pytest.mark.parametrize(("path", "with_spread", "without"), [
    ("vessel.diameter", "90.5 mm ± 0.3 mm", "90.5 mm"),
    ("charge.water", "500 mL+/-10 mL", "500 mL"),
    ("charge.pressure", "4.5 bar (± 0.14 bar assumed)", "4.5 bar"),
])  # fmt: skip
def test_the_builders_own_text_is_kept(design, path, with_spread, without):
    assert format_value(design, path, value_at(design, path)) == with_spread
    assert format_value(design, path, value_at(design, path), spread=False) == without


def test_a_filled_in_value_gets_the_unit_that_a_workshop_uses(design):
    wall = value_at(design, "vessel.wall")
    assert format_value(design, "vessel.wall", wall).endswith(" mm")
    number = format_value(design, "vessel.wall", wall, spread=False).split()[0]
    assert float(number) == pytest.approx(wall.value * 1e3, rel=1e-3)


def test_every_value_of_a_design_can_be_told(design):
    for path, quantity in stood_on(design):
        assert format_value(design, path, quantity)


IMPERIAL = """
vessel.bottle = "carbonated-2000"
fins.root = "4.5 in"
charge.pressure = "50 psi"
"""


@pytest.mark.parametrize(("path", "words"), [
    ("fins.mass", r"[\d.]+ ± [\d.]+ oz \([\d.]+ ± [\d.]+ g\)"),
    ("site.height", r"0 ± 492 ft \(0 ± 150 m\)"),
    ("weather.temperature", r"[\d.]+ ± [\d.]+ °F \([\d.]+ ± [\d.]+ °C\)"),
])  # fmt: skip
def test_a_filled_in_value_comes_in_the_builders_unit_first(path, words):
    design = complete(parse_design(IMPERIAL))
    assert re.fullmatch(words, format_value(design, path, value_at(design, path)))


def test_a_doubtful_height_is_told_in_metres(design):
    assert format_value(design, "site.height", value_at(design, "site.height")) == "0 ± 150 m"
