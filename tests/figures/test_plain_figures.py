"""What every figure rests on: widths of words, round ticks, scales, places of words, lines with fewer points."""

import re
import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.figures.colours import DARK, LIGHT
from bottlewright.figures.contours import contour_lines, ground, surface
from bottlewright.figures.letters import Box, width
from bottlewright.figures.panel import Axis, Panel, reach
from bottlewright.figures.places import Places, rows_needed
from bottlewright.figures.sheet import Sheet, Words
from bottlewright.figures.simpler import simpler
from bottlewright.figures.ticks import tick_words, ticks
from drawn import MM, Drawn, advance

finite = st.floats(-1e12, 1e12)


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", ["Height above the launch point, m", "Ø90 ± 2 % · 3½ in", "Bjørk, Œuvre, Ωμέγα"])
def test_words_are_as_wide_as_in_the_typeface_itself(text, bold):
    assert width(text, 7.5, bold) == pytest.approx(advance(text, 7.5, bold), rel=1e-9)


@given(finite, finite, st.integers(4, 9))
def test_ticks_are_round_in_order_and_inside(a, b, most):
    low, high = reach([a, b])
    found = ticks(low, high, most)
    assert 2 <= len(found) <= most + 1
    assert found == sorted(set(found))
    assert low <= found[0] <= found[-1] <= high


@given(st.floats(-1e5, 1e5), st.floats(1e-3, 1e5), st.integers(4, 9))
def test_a_tick_says_where_it_stands(low, span, most):
    found = ticks(low, low + span, most)
    steps = np.diff(found)
    decade = 10.0 ** np.floor(np.log10(steps[0]) + 1e-6)
    assert min(abs(steps[0] / decade - round_) for round_ in (1.0, 2.0, 2.5, 5.0)) < 1e-3
    for place, words in zip(found, tick_words(found), strict=True):
        assert float(words.replace("−", "-")) == pytest.approx(place, abs=1e-6 * steps[0] + 1e-9 * abs(place))


@given(st.lists(st.tuples(finite, finite), min_size=1, max_size=30), st.sampled_from([1.0, 0.3048, 0.0689]))
def test_any_finite_data_lie_inside_the_chart_with_ticks_that_do_not_touch(data, unit):
    x, y = np.array(data).T
    sheet = Sheet(92.0, 60.0)
    box = Box(80.0, 20.0, 250.0, 140.0)
    panel = Panel(sheet, box, Axis(*reach(x), "x", unit), Axis(*reach(y), "y", unit))
    panel.scales()
    panel.line(x, y, "teal", part="line")
    drawn = Drawn(sheet)
    corners = np.concatenate(drawn.parts["line"])
    assert (corners.min(axis=0) >= (box.left - 0.01, box.top - 0.01)).all()
    assert (corners.max(axis=0) <= (box.right + 0.01, box.bottom + 0.01)).all()
    assert drawn.overlaps() == []


@given(st.lists(st.tuples(st.floats(0.0, 300.0), st.floats(1.0, 80.0)), max_size=20))
def test_names_in_one_row_do_not_touch(stretches):
    stretches = [(start, start + long) for start, long in sorted(stretches)]
    rows = rows_needed(stretches)
    for k, row in enumerate(rows):
        assert all(stretches[k][0] >= stretches[j][1] + 6.0 for j in range(k) if rows[j] == row)


def test_words_step_aside_for_what_is_there():
    places, sheet = Places(Box(0.0, 0.0, 200.0, 200.0)), Sheet(100.0, 100.0)
    first, second = (places.beside(sheet, "the same words", 100.0, 100.0) for _ in range(2))
    assert first.box.meets(second.box) == 0.0


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(0, 400)), min_size=4, max_size=60, unique=True))
def test_a_simpler_line_leaves_no_point_farther_off_than_the_eye_can_see(points):
    from shapely.geometry import LineString, Point

    rows = np.array(points, float)
    fewer = simpler(rows)
    line = LineString(fewer)
    assert (fewer[0] == rows[0]).all()
    assert (fewer[-1] == rows[-1]).all()
    assert max(line.distance(Point(row)) for row in rows) <= 0.04 + 1e-9


def test_a_smooth_line_of_thousands_of_points_is_drawn_with_few():
    x = np.linspace(0.0, 400.0, 5000)
    assert len(simpler(np.column_stack([x, 100.0 + 80.0 * np.sin(x / 60.0)]))) < 200


def test_a_line_with_a_gap_is_drawn_in_pieces():
    sheet = Sheet(100.0, 50.0)
    y = np.array([1.0, 2.0, np.nan, 5.0, 7.0, np.nan, np.nan, 9.0])
    sheet.line(np.column_stack([np.arange(8.0), y]), part="line")
    assert [len(piece) for piece in Drawn(sheet).parts["line"]] == [2, 2, 1]


def test_the_outline_of_a_round_hill_is_a_circle_of_the_right_size():
    x, y = np.linspace(-2.0, 2.0, 81), np.linspace(-3.0, 3.0, 121)
    hill = 5.0 - np.hypot(*np.meshgrid(x, y))
    (ring,) = ground(surface(x, y, hill), 4.0, np.inf)
    (line,) = contour_lines(surface(x, y, hill), 4.0)
    for rows in (ring, line):
        assert np.hypot(*rows.T) == pytest.approx(np.ones(len(rows)), abs=2e-3)


def test_a_sheet_says_what_it_shows_and_keeps_its_words_as_words():
    sheet = Sheet(50.0, 20.0)
    sheet.write(Words("a < b & c", 10.0, 20.0))
    svg = sheet.svg("Height & time", "A <caption>")
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    assert [child.text for child in root[:2]] == ["Height & time", "A <caption>"]
    assert Drawn(svg).texts == ["a < b & c"]
    assert float(root.get("width").removesuffix("pt")) == pytest.approx(50.0 * MM, abs=0.01)


def test_a_file_carries_its_colours_by_day_and_night_and_a_figure_of_a_page_carries_none():
    sheet = Sheet(50.0, 20.0)
    sheet.shape("M0 0L9 9", "teal")
    sheet.shape("M0 0L9 9L9 0z", "", "orange", hatch=1)
    alone, inline = sheet.svg(), sheet.svg(alone=False)
    day, night = alone.split("@media screen and (prefers-color-scheme:dark)")
    assert f".bw .s-teal{{stroke:{LIGHT['teal']}}}" in day
    assert f".bw .s-teal{{stroke:{DARK['teal']}}}" in night
    assert re.findall("#[0-9a-f]{6}", inline) == []
    assert {name for name in LIGHT if f"-{name}{{" in day} == {"teal", "orange", "sheet"}


def test_every_colour_of_a_class_is_a_house_colour():
    sheet = Sheet(50.0, 20.0)
    sheet.shape("M0 0L9 9", "mauve")
    with pytest.raises(KeyError):
        sheet.svg()


def test_a_bent_scale_is_even_on_either_side_of_its_bend():
    axis = Axis(0.0, 20.0, bend=(0.5, 0.4))
    assert axis.share([0.0, 0.25, 0.5, 10.25, 20.0]) == pytest.approx([0.0, 0.2, 0.4, 0.7, 1.0])


def test_shapes_of_a_group_are_moved_together_and_seen_within_an_outline_only():
    sheet = Sheet(20.0, 20.0)
    with sheet.group("water", "translate(3 4)", within="M0 0H5V5z"), sheet.group("level"):
        sheet.shape("M0 0H9", "teal")
    root = ElementTree.fromstring(sheet.svg(prefix="a"))
    (outer,) = (node for node in root.iter() if node.get("data-part") == "water")
    assert outer.get("transform") == "translate(3 4)"
    assert [node.get("data-part") for node in outer] == ["level"]
    name = outer.get("clip-path").removeprefix("url(#").removesuffix(")")
    (window,) = (node for node in root.iter() if node.get("id") == name)
    assert window[0].get("d") == "M0 0H5V5z"
