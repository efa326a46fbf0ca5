import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import pytest

from bottlewright.report.charts import Units, firing_chart, height_and_speed_chart, margin_chart, path_chart
from bottlewright.report.drawing import RocketView, drawing_scale, rocket_drawing
from bottlewright.report.style import (
    BALANCE,
    DARK,
    DASHES,
    LIGHT,
    PRESSURE,
    SERIES,
    Event,
    Picture,
    inline_svg,
    save_picture,
    svg_text,
)

EVENTS = [Event(0.20, "water out"), Event(0.21, "gas out")]
TIME = np.linspace(0.0, 0.3, 40)


def view(**changes) -> RocketView:
    station = np.array([0.0, 0.05, 0.1, 0.3, 0.38, 0.4])
    radius = np.array([0.0, 0.03, 0.045, 0.045, 0.014, 0.014])
    fin = np.array([[0.27, 0.045], [0.34, 0.105], [0.39, 0.105], [0.36, 0.045]])
    values = {
        "station": station,
        "radius": radius,
        "parts": [("nose", 0.0, 0.1), ("bottle", 0.1, 0.4)],
        "fin_outline": fin,
        "fin_count": 3,
        "hidden": np.array([[0.05, 0.0], [0.1, 0.044], [0.3, 0.044], [0.38, 0.013], [0.4, 0.013]]),
        "water_front": 0.27,
        "marks": [("balance point, empty", 0.2, "balance"), ("pressure centre", 0.3, "pressure")],
    }
    return RocketView(**{**values, **changes})


def words(figure) -> list[str]:
    return [node.text for node in ElementTree.fromstring(svg_text(figure)).iter() if node.tag.endswith("}text")]


def linear(colour: str) -> np.ndarray:
    """Red, green and blue of sRGB as light, 0 to 1."""
    parts = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    """Relative luminance of WCAG 2.2."""
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def lab(light: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of linear sRGB, white point D65."""
    to_xyz = [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
    xyz = np.array(to_xyz) @ np.clip(light, 0.0, 1.0) / [0.95047, 1.0, 1.08883]
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


BLINDNESS = {
    "none": np.eye(3),
    "red": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "green": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "blue": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}
"""Linear sRGB as seen without one kind of cone: Machado, Oliveira and Fernandes, IEEE TVCG 15 (2009) 1291."""


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "sheet"])
@pytest.mark.parametrize("name", ["ink", "soft", *SERIES])
def test_every_text_colour_reaches_the_contrast_of_wcag_aa(tokens, ground, name):
    high, low = sorted((luminance(tokens[name]), luminance(tokens[ground])), reverse=True)
    assert (high + 0.05) / (low + 0.05) >= 4.5


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("kind", BLINDNESS)
def test_everyone_can_tell_the_pressure_centre_from_a_balance_point(tokens, kind):
    """15 in CIE 1976 is several times the least difference that is seen; the shapes differ besides."""
    seen = [lab(np.array(BLINDNESS[kind]) @ linear(tokens[name])) for name in (BALANCE, PRESSURE)]
    assert np.linalg.norm(seen[0] - seen[1]) >= 15.0


def test_the_pressure_centre_is_a_dark_diamond_and_a_balance_point_a_triangle():
    axes = rocket_drawing(view()).axes[0]
    marks = {line.get_marker(): line.get_color() for line in axes.lines if line.get_marker() not in ("", "None", None)}
    assert marks == {"D": LIGHT["ink"], "^": LIGHT["teal"]}
    assert LIGHT["orange"] not in {text.get_color() for text in axes.texts}


def test_day_and_night_know_the_same_names():
    assert LIGHT.keys() == DARK.keys()


def test_lines_differ_by_pattern_as_well_as_colour():
    assert len(set(DASHES)) == len(SERIES) == len(DASHES)


def test_text_in_a_figure_stays_text():
    assert {"Thrust, N", "water out", "gas out", "time, ms"} <= set(
        words(firing_chart(TIME, 50 - 100 * TIME, 4e5 - 1e6 * TIME, 0.5 - TIME, EVENTS))
    )


def test_the_same_figure_gives_the_same_bytes():
    def draw():
        return svg_text(height_and_speed_chart(TIME, 60 * TIME, 30 - TIME, EVENTS))

    assert draw() == draw()


def test_no_house_colour_stays_fixed_in_the_page(pictures):
    inline = inline_svg(pictures[0])
    assert not [colour for colour in LIGHT.values() if colour in inline]
    assert "var(--teal)" in inline
    assert "<title>Margin &amp; time</title>" in inline


def test_both_files_are_written_and_nothing_else(pictures, tmp_path):
    svg, png = save_picture(pictures[0], tmp_path)
    assert sorted(tmp_path.iterdir()) == sorted([svg, png])
    assert svg.read_text(encoding="utf-8").startswith("<?xml")
    assert png.read_bytes().startswith(b"\x89PNG")


def test_the_file_holds_the_very_drawing_that_stands_on_the_page(tmp_path):
    figure = height_and_speed_chart(TIME, 60 * TIME, 30 - TIME, EVENTS)
    shown = svg_text(figure)
    svg, _ = save_picture(Picture("height", "", "", figure), tmp_path)
    assert svg.read_text(encoding="utf-8") == shown == svg_text(figure)


def test_the_height_chart_says_the_greatest_height():
    time = np.linspace(0.0, 6.0, 601)
    height = 9.81 / 2 * (9.0 - (time - 3.0) ** 2)
    assert "44.1 m" in words(height_and_speed_chart(time, height, np.abs(9.81 * (3.0 - time))))


def test_a_builder_who_writes_inch_pound_units_reads_them_on_the_main_axis_and_metric_at_the_right():
    units = Units(psi=True, inches=True, pounds=True, miles=True)
    time = np.linspace(0.0, 6.0, 601)
    height = 9.81 / 2 * (9.0 - (time - 3.0) ** 2)
    flown = height_and_speed_chart(time, height, np.abs(9.81 * (3.0 - time)), units=units)
    said = words(flown)
    assert {"Height above the launch point, ft", "Speed, mph", "145 ft", "65.8 mph", "m", "m/s"} <= set(said)
    top = flown.axes[0]
    for place, label in zip(top.get_yticks(), top.get_yticklabels(), strict=True):
        assert float(label.get_text()) * 0.3048 == pytest.approx(place)
    fired = words(firing_chart(TIME, 50 - 40 * TIME, 4e5 - 1e5 * TIME, 0.5 - 0.4 * TIME, units=units))
    assert {"Thrust, lbf", "Pressure in the bottle on the gauge, psi", "Water left, oz", "N", "bar", "g"} <= set(fired)
    path = words(path_chart(30 * TIME, 10 * TIME, 60 * TIME, (2.0, 1.0), units=units))
    assert {"height, ft", "east, ft", "wind 5.0 mph"} <= set(path)


def test_the_least_margin_is_named_and_slow_moments_are_left_out():
    margin = np.array([np.nan, np.nan, 1.4, 1.1, 1.6, np.nan])
    assert "least: 1.10" in words(margin_chart(np.linspace(0, 1, 6), margin, 1.0, 3.0))


def test_a_flight_never_fast_enough_still_draws():
    assert "time, s" in words(margin_chart(TIME, np.full_like(TIME, np.nan), 1.0, 3.0))


@pytest.mark.parametrize("reach", [0.0, 1e-6, 3.0, 500.0])
def test_a_path_of_any_length_draws_at_one_scale(reach):
    figure = path_chart(reach * TIME, -reach * TIME, TIME, (2.0, 1.0), [(0, "launch"), (39, "landing")])
    for axes in figure.axes:
        assert np.ptp(axes.get_xlim()) == pytest.approx(np.ptp(axes.get_ylim()))
        assert axes.get_aspect() == 1.0


@pytest.mark.parametrize(("east", "north", "wind"), [(44.0, 25.5, (2.2, 1.25)), (-44.0, 25.5, (-2.2, 1.25)),
                                                     (5.2, 0.1, (1.5, 0.0)), (0.0, -60.0, (0.0, -3.0))])  # fmt: skip
def test_no_two_names_on_a_path_touch(east, north, wind):
    share = np.interp(np.linspace(0, 1, 200), [0.0, 0.2, 1.0], [0.0, 0.13, 1.0])
    height = np.interp(np.linspace(0, 1, 200), [0.0, 0.2, 1.0], [0.0, 51.0, 0.0])
    marks = [(0, "launch"), (40, "apogee"), (44, "canopy out"), (199, "landing")]
    figure = path_chart(east * share, north * share, height, wind, marks)
    figure.draw_without_rendering()
    for axes in figure.axes:
        boxes = [text.get_window_extent() for text in axes.texts if text.get_text()]
        assert not [(a, b) for k, a in enumerate(boxes) for b in boxes[:k] if a.overlaps(b)]


def test_the_words_on_the_jolt_stand_clear_of_it():
    time = np.linspace(0.0, 0.1, 1000)
    thrust = 200.0 + 400.0 * np.exp(-time / 1e-3)
    figure = firing_chart(time, thrust, 4e5 - 1e6 * time, 0.5 - time)
    figure.draw_without_rendering()
    axes = figure.axes[0]
    words = next(text for text in axes.texts if "N at most" in text.get_text()).get_window_extent()
    line = axes.transData.transform(np.column_stack([time * 1e3, thrust]))
    inside = (line[:, 0] > words.x0) & (line[:, 0] < words.x1) & (line[:, 1] > words.y0) & (line[:, 1] < words.y1)
    assert not inside.any()


def test_still_air_draws_no_wind():
    assert not [text for text in words(path_chart(TIME, TIME, TIME, (0.0, 0.0))) if "wind" in text]


def test_the_drawing_is_true_to_the_scale_it_states():
    figure = rocket_drawing(view())
    axes = figure.axes[0]
    scale = next(text for text in words(figure) if text.startswith("Scale"))
    assert scale == "Scale 1 : 4 at 170 mm wide"
    assert np.ptp(axes.get_xlim()) / (figure.get_figwidth() * 25.4) == pytest.approx(4.0)
    assert np.ptp(axes.get_ylim()) / (figure.get_figheight() * 25.4) == pytest.approx(4.0)


def test_the_drawing_of_a_builder_in_inches_says_its_width_in_inches():
    assert "Scale 1 : 4 at 6.69 inches wide" in words(rocket_drawing(replace(view(), inches=True)))


def test_the_drawing_carries_its_dimensions_and_marks():
    said = set(words(rocket_drawing(view())))
    assert {"overall 400", "nose 100", "bottle 300", "Ø90", "fin 60", "water"} <= said
    assert {"balance point, empty  200", "pressure centre  300"} <= said


@pytest.mark.parametrize(
    "changes",
    [
        {"fin_outline": None, "fin_count": 0},
        {"fin_count": 1},
        {"fin_count": 6},
        {"water_front": None, "marks": []},
        {"hidden": None},
        {"parts": []},
    ],
)
def test_an_unusual_rocket_is_drawn_too(changes):
    assert "overall 400" in words(rocket_drawing(view(**changes)))


@pytest.mark.parametrize("centre", [-0.12, -3.0, 5.0])
def test_a_pressure_centre_off_the_rocket_is_still_on_the_sheet(centre):
    figure = rocket_drawing(view(marks=[("pressure centre", centre, "pressure")]))
    figure.draw_without_rendering()
    said = next(text for text in figure.axes[0].texts if text.get_text().startswith("pressure centre"))
    assert f"pressure centre  {centre * 1e3:.0f}" in said.get_text()
    assert ("further off" in said.get_text()) == (abs(centre) > 1.0)
    assert figure.bbox.x0 <= said.get_window_extent().x0
    assert said.get_window_extent().x1 <= figure.bbox.x1


def test_the_name_of_a_short_part_is_crossed_by_no_dimension_line():
    figure = rocket_drawing(view(parts=[("nose", 0.0, 0.02), ("cylinder", 0.02, 0.3), ("tail", 0.3, 0.4)]))
    figure.draw_without_rendering()
    words = {text.get_text(): text.get_window_extent() for text in figure.axes[0].texts}
    assert words["nose 20"].y0 == pytest.approx(words["cylinder 280"].y0, abs=1.0)
    assert not words["nose 20"].overlaps(words["cylinder 280"])


@pytest.mark.parametrize("length", [0.05, 0.2, 0.4, 1.0, 3.0, 20.0])
def test_a_rocket_of_any_length_fits_the_sheet(length):
    assert length * 1e3 / drawing_scale(length) <= 132.0


def test_a_builder_who_writes_inches_reads_the_drawing_in_inches():
    marks = [("balance point, empty", 0.254, "balance")]
    metric, inches = (set(words(rocket_drawing(view(marks=marks, inches=inch)))) for inch in (False, True))
    assert {"overall 400", "balance point, empty  254", "mm from"} <= metric
    assert {"overall 15.75", "balance point, empty  10.00", "inches from"} <= inches
    assert {"0", "5", "10", "15"} <= inches
