"""The quadrant: its arc is an arc of a circle about the plumb line's hole, and each tick stands at its own angle."""

import math
import re

import pytest
from workshop_designs import DABCHICK, design_of

from bottlewright.make.drawing import Arc, Label, Path, simple
from bottlewright.make.patterns.quadrant import RADIUS, quadrant
from bottlewright.make.patterns.svg import pattern_svg
from bottlewright.make.specification import specify


@pytest.fixture(scope="module")
def pattern():
    return quadrant(specify(design_of(DABCHICK)))


def ticks(pattern):
    """Return the angle, from straight down towards the eye, and the ends of each tick."""
    found = {}
    for shape in pattern.shapes:
        if isinstance(shape, Path) and len(shape.points) == 2 and math.hypot(*shape.points[1]) == pytest.approx(RADIUS):
            (x0, y0), (x, y) = shape.points
            found[round(math.degrees(math.atan2(-x, -y)), 6)] = (math.hypot(x0, y0), math.hypot(x, y))
    return found


def test_there_is_a_tick_for_every_degree_from_the_level_to_straight_up(pattern):
    found = ticks(pattern)
    assert sorted(found) == pytest.approx(list(range(91)))
    assert all(outer == pytest.approx(RADIUS, abs=1e-9) for _, outer in found.values())
    assert all(found[degree][0] < found[degree + 1][0] for degree in range(0, 90, 10))


def test_the_plumb_line_hangs_over_the_elevation_that_somebody_looks_at(pattern):
    """Raised by an angle, the card turns by it about its hole; the line goes on pointing down."""
    for elevation in (0.0, 30.0, 45.0, 72.0):
        way = -0.5 * math.pi - math.radians(elevation)  # of down, on the card
        reading = math.degrees(math.atan2(-math.cos(way), -math.sin(way)))
        assert reading == pytest.approx(elevation)
        assert round(reading, 6) in ticks(pattern)


def test_numbers_stand_at_their_ticks_and_hole_and_arc_have_one_middle(pattern):
    arcs = [shape for shape in pattern.shapes if isinstance(shape, Arc)]
    assert {arc.centre for arc in arcs} == {(0.0, 0.0)}
    assert RADIUS in {arc.radius for arc in arcs}
    numbers = [shape for shape in pattern.shapes if isinstance(shape, Label) and shape.text.rstrip("°").isdigit()]
    assert len(numbers) == 10
    for label in numbers:
        assert math.degrees(math.atan2(-label.at[0], -label.at[1])) == pytest.approx(float(label.text[:-1]))


def test_it_is_at_true_size_for_the_cutter(pattern):
    svg = pattern_svg(pattern)
    size = 150.0 + 11.0 + 14.0 + 10.0
    assert f'width="{size:.4f}mm"' in svg
    assert re.search(rf'viewBox="\S+ \S+ {size:.4f} ', svg), "one unit is one millimetre"
    assert any(isinstance(shape, Label) and "EYE HERE" in shape.text for shape in simple(pattern.shapes))
