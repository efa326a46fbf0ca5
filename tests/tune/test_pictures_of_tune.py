"""The pictures of Tune read back: loads, lines of equal height, limits and bars lie where the numbers say."""

import numpy as np
import pytest

from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.tune.mapping import FrontPoint, ResponseMap
from bottlewright.tune.pictures import front_chart, response_chart, sources_chart
from bottlewright.tune.sensitivity import Source, Sources
from drawn import MM, Drawn

WATER, PRESSURE = np.linspace(2e-4, 8e-4, 9), np.linspace(2e5, 5e5, 9)
PRESENT, BEST = (3.8e-4, 4.5e5), (5e-4, 4.4e5)


def height(water, pressure):
    """A hill of known shape, m: cubic splines draw it exactly."""
    return 12.0 * pressure / 1e5 - 4e8 * (water - 5e-4) ** 2


def slack(water, pressure):
    """Nothing left along a slanting line."""
    return (pressure / 1e5 - 2.0) / 3.0 - (water - 2e-4) / 6e-4 + 0.4


def response(**slacks) -> ResponseMap:
    grid = np.meshgrid(WATER, PRESSURE, indexing="ij")
    left = {name: one(*grid) for name, one in slacks.items()}
    return ResponseMap(WATER, PRESSURE, height(*grid), height(*grid), left)


def chart(width=165.0, habit=METRIC, ceiling=4.53e5) -> Drawn:
    return Drawn(response_chart(response(margin=slack), PRESENT, BEST, "Height", habit, ceiling, width=width).sheet)


@pytest.mark.parametrize("width", [165.0, 92.0])
def test_both_loads_and_the_highest_pressure_stand_where_they_are(width):
    drawn = chart(width)
    (water,), (bar,) = drawn.x_scales(), drawn.y_scales()
    tenth_mm = 0.1 * MM
    for part, (litres, pascals) in (("present load", PRESENT), ("recommended", BEST)):
        x, y = drawn.middle(part)
        assert abs(x - (water - litres * 1e6).roots()[0]) < tenth_mm
        assert abs(y - (bar - pascals / 1e5).roots()[0]) < (tenth_mm if part == "present load" else 1.0)  # a star
    assert abs(drawn.parts["ceiling"][0][0, 1] - (bar - 4.53).roots()[0]) < tenth_mm
    assert "4.53 bar, the highest pressure to aim at" in drawn.texts


def test_a_line_of_equal_height_runs_through_that_height_and_carries_its_value():
    drawn = chart()
    (water,), (bar,) = drawn.x_scales(), drawn.y_scales()
    levels = [part for part in drawn.parts if part.startswith("at ")]
    assert len(levels) >= 4
    for part in levels:
        for piece in drawn.parts[part]:
            there = height(water(piece[:, 0]) * 1e-6, bar(piece[:, 1]) * 1e5)
            assert there == pytest.approx(np.full(len(piece), float(part[3:])), abs=0.15)
    named = {text.removesuffix(" m") for text in drawn.texts if text.endswith(" m")}
    assert named
    assert named <= {part[3:] for part in levels}
    for text in named:
        word = drawn.word(f"{text} m")
        assert height(water(word.x) * 1e-6, bar(word.y - 0.36 * word.size) * 1e5) == pytest.approx(float(text), abs=0.3)


def test_the_edge_of_a_limit_is_where_nothing_is_left_and_the_hatched_side_is_beyond():
    drawn = chart()
    (water,), (bar,) = drawn.x_scales(), drawn.y_scales()
    (edge,), (beyond,) = drawn.parts["edge of margin"], drawn.parts["beyond margin"]
    assert slack(water(edge[:, 0]) * 1e-6, bar(edge[:, 1]) * 1e5) == pytest.approx(np.zeros(len(edge)), abs=5e-3)
    assert (slack(water(beyond[:, 0]) * 1e-6, bar(beyond[:, 1]) * 1e5) < 5e-3).all()
    assert "beyond: margin" in drawn.texts


@pytest.mark.parametrize("width", [165.0, 92.0])
@pytest.mark.parametrize("habit", [METRIC, UnitHabit(psi=True, inches=True, pounds=True, miles=True)])
def test_no_two_words_of_the_map_cover_each_other(width, habit):
    drawn = chart(width, habit)
    assert drawn.overlaps() == []
    assert drawn.outside() == []


def test_a_builder_of_psi_reads_the_same_load_in_psi():
    drawn = chart(habit=UnitHabit(psi=True, inches=True, pounds=True, miles=True))
    (psi,) = drawn.y_scales()
    assert psi(drawn.middle("present load")[1]) == pytest.approx(4.5e5 / 6894.757, abs=0.1)


@pytest.mark.parametrize("width", [165.0, 92.0])
def test_the_front_is_drawn_point_by_point_with_its_water(width):
    points = [FrontPoint(p * 1e5, h, w * 1e-6) for p, w, h in ((2, 450, 20), (3, 500, 33), (4, 520, 41), (5, 540, 45))]
    drawn = Drawn(front_chart(points, (3.3e5, 30.0), "nine flights in ten", METRIC, width=width))
    (bar,), (metres,) = drawn.x_scales(), drawn.y_scales()
    for point in points:
        x, y = drawn.middle(f"{point.water * 1e6:.0f} mL")
        assert (bar(x), metres(y)) == pytest.approx((point.pressure / 1e5, point.height), abs=0.1)
    assert {"500 mL", "540 mL", "present load"} <= set(drawn.texts)
    assert drawn.overlaps() == []
    assert drawn.outside() == []


def test_a_front_without_a_load_that_keeps_to_the_limits_shows_the_present_one_alone():
    drawn = Drawn(front_chart([], (3.3e5, 30.0), "nine flights in ten", METRIC, outside=True))
    assert "present load, beyond a limit" in drawn.texts
    assert "front" not in drawn.parts


@pytest.mark.parametrize("width", [165.0, 92.0])
def test_the_thin_line_of_a_source_spans_its_interval(width):
    pressure, nose = Source("charge.pressure", 0.4, 0.5, 0.42, 0.58), Source("nose.length", 0.1, 0.12, 0.08, 0.16)
    found = Sources((pressure, nose), 0.1)
    drawn = Drawn(sources_chart(found, width))
    (share,) = drawn.x_scales()
    for source in found.sources:
        (line,) = drawn.parts[source.path]
        assert share(line[:, 0]) == pytest.approx([100 * source.low, 100 * source.high], abs=0.2)
    assert drawn.overlaps() == []
    assert drawn.outside() == []
