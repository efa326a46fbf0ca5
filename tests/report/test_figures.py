from dataclasses import replace

import numpy as np
import pytest

from bottlewright.figures.colours import BALANCE, DARK, DASHES, LIGHT, PRESSURE, SERIES
from bottlewright.report.charts import Units, firing_chart, height_and_speed_chart, margin_chart
from bottlewright.report.drawing import RocketView, drawing_scale, rocket_drawing
from bottlewright.report.path_chart import path_chart
from bottlewright.report.style import Event, Picture, inline_svg, picture_svg, save_picture
from drawn import MM, Drawn

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
    return Drawn(figure).texts


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
    drawn = Drawn(rocket_drawing(view()))
    centre, balance = drawn.parts["pressure centre"][0], drawn.parts["balance point, empty"][0]
    assert (len(centre), len(balance)) == (4, 3)
    assert drawn.looks["pressure centre"].get("class") == "s-ink f-ink"
    assert drawn.looks["balance point, empty"].get("class") == "s-teal f-teal"
    assert "orange" not in {word.colour for word in drawn.words}


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
        return height_and_speed_chart(TIME, 60 * TIME, 30 - TIME, EVENTS).svg()

    assert draw() == draw()


def test_no_house_colour_stays_fixed_in_the_page(pictures):
    inline = inline_svg(pictures[0])
    assert not [colour for colour in LIGHT.values() if colour in inline]
    assert 's-teal"' in inline
    assert "<title>Margin &amp; time</title>" in inline


def test_the_file_is_written_and_nothing_else(pictures, tmp_path):
    svg = save_picture(pictures[0], tmp_path)
    assert list(tmp_path.iterdir()) == [svg]
    assert svg.read_text(encoding="utf-8") == picture_svg(pictures[0])


def test_the_file_says_what_it_shows_with_its_caption_and_its_own_names(tmp_path):
    figure = height_and_speed_chart(TIME, 60 * TIME, 30 - TIME, EVENTS)
    height = Picture("height", "Height and speed.", "Height rises", lambda _: figure)
    svg = save_picture(height, tmp_path).read_text("utf-8")
    assert "<title>Height rises</title><desc>Height and speed.</desc>" in svg


def test_the_apogee_stands_where_the_scales_say():
    time = np.linspace(0.0, 6.0, 601)
    height = 9.81 / 2 * (9.0 - (time - 3.0) ** 2)
    drawn = Drawn(height_and_speed_chart(time, height, np.abs(9.81 * (3.0 - time)), [Event(1.5, "water out")]))
    (across,), (upper, lower) = drawn.x_scales(), drawn.y_scales()
    at = drawn.middle("apogee")
    tenth = 0.1 * MM  # of a millimetre, in points
    assert at[0] == pytest.approx((across - 3.0).roots()[0], abs=tenth)
    assert at[1] == pytest.approx((upper - 44.145).roots()[0], abs=tenth)
    for x, y in drawn.parts["height"][0]:
        assert y == pytest.approx((upper - np.interp(across(x), time, height)).roots()[0], abs=tenth)
    for x, y in drawn.parts["speed"][0]:
        assert y == pytest.approx((lower - abs(9.81 * (3.0 - across(x)))).roots()[0], abs=tenth)
    assert drawn.parts["water out"][0][0, 0] == pytest.approx((across - 1.5).roots()[0], abs=tenth)


def test_thrust_pressure_and_water_are_drawn_to_their_scales():
    drawn = Drawn(firing_chart(TIME, 50 - 100 * TIME, 4e5 - 1e6 * TIME, 0.5 - TIME, EVENTS))
    (across,) = drawn.x_scales()
    for scale, part, value in zip(drawn.y_scales(), ("thrust", "pressure", "water"),
                                  (lambda t: 50 - 100 * t, lambda t: 4 - 10 * t, lambda t: 500 - 1000 * t),
                                  strict=True):  # fmt: skip
        for x, y in drawn.parts[part][0]:
            assert scale(y) == pytest.approx(value(across(x) / 1e3), abs=2e-3 * abs(value(0.0)))


@pytest.mark.parametrize("width", [165.0, 92.0])
@pytest.mark.parametrize("own", [False, True])
def test_no_two_words_on_a_chart_cover_each_other_and_none_leaves_the_sheet(width, own):
    units = Units(own, own, own, own)
    close = [Event(0.04, "end of the guide"), Event(0.05, "water out"), Event(0.055, "gas out"), Event(0.29, "apogee")]
    jolt = 50.0 + 300.0 * np.exp(-TIME / 1e-3)
    for figure in (
        height_and_speed_chart(TIME, 60 * TIME, 30 - 20 * TIME, close, units, width),
        firing_chart(TIME, jolt, 4e5 - 1e6 * TIME, 0.5 - TIME, close, units, width),
        margin_chart(TIME, 1.4 + TIME, 1.0, 3.0, close, width),
    ):
        drawn = Drawn(figure)
        assert drawn.overlaps() == []
        assert drawn.outside() == []


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
    drawn = Drawn(flown)
    for left, right, unit in zip(drawn.y_scales(), drawn.y_scales("start"), (0.3048, 0.44704), strict=True):
        for y in (30.0, 200.0):
            assert left(y) * unit == pytest.approx(right(y), abs=0.02 * right(0.0))
    fired = words(firing_chart(TIME, 50 - 40 * TIME, 4e5 - 1e5 * TIME, 0.5 - 0.4 * TIME, units=units))
    assert {"Thrust, lbf", "Pressure in the bottle on the gauge, psi", "Water left, oz", "N", "bar", "g"} <= set(fired)
    path = words(path_chart(30 * TIME, 10 * TIME, 60 * TIME, (2.0, 1.0), units=units))
    assert {"height, ft", "east, ft", "wind 5.0 mph"} <= set(path)


def test_the_least_margin_is_named_and_slow_moments_are_left_out():
    margin = np.array([np.nan, np.nan, 1.4, 1.1, 1.6, np.nan])
    assert "least: 1.10" in words(margin_chart(np.linspace(0, 1, 6), margin, 1.0, 3.0))


def test_a_flight_never_fast_enough_still_draws():
    assert "time, s" in words(margin_chart(TIME, np.full_like(TIME, np.nan), 1.0, 3.0))


def test_the_margin_is_drawn_to_its_scale_with_its_limits():
    time, margin = np.linspace(0, 1, 6), np.array([np.nan, np.nan, 1.4, 1.1, 1.6, np.nan])
    drawn = Drawn(margin_chart(time, margin, 1.0, 3.0))
    (across,), (up,) = drawn.x_scales(), drawn.y_scales()
    assert (across(drawn.middle("least")[0]), up(drawn.middle("least")[1])) == pytest.approx((0.6, 1.1), abs=0.01)
    assert [(across(x), up(y)) for x, y in drawn.parts["margin"][0]] == [
        pytest.approx(pair, abs=0.01) for pair in ((0.4, 1.4), (0.6, 1.1), (0.8, 1.6))]  # fmt: skip
    for level in (1.0, 3.0):
        assert up(drawn.parts[f"limit {level:g}"][0][0, 1]) == pytest.approx(level, abs=0.01)


@pytest.mark.parametrize("width", [165.0, 92.0])
@pytest.mark.parametrize("reach", [0.0, 1e-6, 3.0, 500.0])
def test_a_path_of_any_length_draws_at_one_scale(reach, width):
    marks = [(0, "launch"), (39, "landing")]
    drawn = Drawn(path_chart(reach * TIME, -reach * TIME, TIME, (2.0, 1.0), marks, width=width))
    across, up = (sorted(abs(one.deriv()(0.0)) for one in scales) for scales in (drawn.x_scales(), drawn.y_scales()))
    assert across == pytest.approx(up, rel=2e-3)


def test_the_path_is_drawn_where_it_lies():
    east, north, height = 40.0 * TIME, -90.0 * TIME, 60.0 * TIME * (0.3 - TIME)
    drawn = Drawn(path_chart(east, north, height, marks=[(0, "launch"), (39, "landing")], width=92.0))
    (_, plan), (_, across) = drawn.y_scales(), drawn.x_scales()
    ends = drawn.parts["path"][1][[0, -1]]
    assert [(across(x), plan(y)) for x, y in ends] == [
        pytest.approx(pair, abs=0.1) for pair in ((0.0, 0.0), (east[-1], north[-1]))]  # fmt: skip


@pytest.mark.parametrize(("east", "north", "wind"), [(44.0, 25.5, (2.2, 1.25)), (-44.0, 25.5, (-2.2, 1.25)),
                                                     (5.2, 0.1, (1.5, 0.0)), (0.0, -60.0, (0.0, -3.0))])  # fmt: skip
def test_no_two_names_on_a_path_touch(east, north, wind):
    share = np.interp(np.linspace(0, 1, 200), [0.0, 0.2, 1.0], [0.0, 0.13, 1.0])
    height = np.interp(np.linspace(0, 1, 200), [0.0, 0.2, 1.0], [0.0, 51.0, 0.0])
    marks = [(0, "launch"), (40, "apogee"), (44, "canopy out"), (199, "landing")]
    for width in (165.0, 92.0):
        drawn = Drawn(path_chart(east * share, north * share, height, wind, marks, width=width))
        assert drawn.overlaps() == []
        assert drawn.outside() == []


def test_the_words_on_the_jolt_stand_clear_of_it():
    time = np.linspace(0.0, 0.1, 1000)
    thrust = 200.0 + 400.0 * np.exp(-time / 1e-3)
    for width in (165.0, 92.0):
        drawn = Drawn(firing_chart(time, thrust, 4e5 - 1e6 * time, 0.5 - time, width=width))
        left, top, right, bottom = next(word for word in drawn.words if "N at most" in word.text).box
        (line,) = drawn.parts["thrust"]
        seen = np.column_stack([np.interp(np.linspace(0, len(line) - 1, 9999), np.arange(len(line)), line[:, k])
                                for k in (0, 1)])  # fmt: skip
        assert not ((seen > (left, top)) & (seen < (right, bottom))).all(axis=1).any()


def test_still_air_draws_no_wind():
    assert not [text for text in words(path_chart(TIME, TIME, TIME, (0.0, 0.0))) if "wind" in text]


def test_the_drawing_is_true_to_the_scale_it_states():
    figure = rocket_drawing(view())
    drawn = Drawn(figure)
    scale = next(text for text in drawn.texts if text.startswith("Scale"))
    assert scale == "Scale 1 : 4 at 170 mm wide"
    assert figure.width / MM == pytest.approx(170.0)
    (body,) = drawn.parts["body"]
    assert np.ptp(body, axis=0) * 4.0 / MM == pytest.approx([400.0, 90.0], abs=0.1)
    nose = body[:, 0].min()
    for part, place in (("balance point, empty", 200.0), ("pressure centre", 300.0)):
        assert (drawn.middle(part)[0] - nose) * 4.0 / MM == pytest.approx(place, abs=0.1)
    assert (drawn.parts["water"][0][:, 0].min() - nose) * 4.0 / MM == pytest.approx(270.0, abs=0.1)


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
    for sheet in (170.0, 92.0):
        drawn = Drawn(rocket_drawing(view(marks=[("pressure centre", centre, "pressure")]), sheet))
        said = next(text for text in drawn.texts if text.startswith("pressure centre"))
        assert f"pressure centre  {centre * 1e3:.0f}" in said
        assert ("further off" in said) == (abs(centre) > 1.0)
        assert drawn.outside() == []


def test_the_name_of_a_short_part_is_crossed_by_no_dimension_line():
    drawn = Drawn(rocket_drawing(view(parts=[("nose", 0.0, 0.02), ("cylinder", 0.02, 0.3), ("tail", 0.3, 0.4)])))
    assert drawn.word("nose 20").y == pytest.approx(drawn.word("cylinder 280").y, abs=1.0)
    assert drawn.overlaps() == []


@pytest.mark.parametrize("sheet", [170.0, 92.0])
@pytest.mark.parametrize("inches", [False, True])
def test_no_two_words_of_the_drawing_cover_each_other(sheet, inches):
    parts = [("nose", 0.0, 0.1), ("cylinder", 0.1, 0.3), ("tail", 0.3, 0.4), ("sleeve", 0.15, 0.33),
             ("fin root", 0.27, 0.36)]  # fmt: skip
    marks = [("balance point, empty", 0.2, "balance"), ("balance point, loaded", 0.28, "balance"),
             ("pressure centre", 0.3, "pressure")]  # fmt: skip
    drawn = Drawn(rocket_drawing(view(parts=parts, marks=marks, inches=inches), sheet))
    assert drawn.overlaps() == []
    assert drawn.outside() == []


@pytest.mark.parametrize("length", [0.05, 0.2, 0.4, 1.0, 3.0, 20.0])
def test_a_rocket_of_any_length_fits_the_sheet(length):
    assert length * 1e3 / drawing_scale(length) <= 132.0


def test_a_builder_who_writes_inches_reads_the_drawing_in_inches():
    marks = [("balance point, empty", 0.254, "balance")]
    metric, inches = (set(words(rocket_drawing(view(marks=marks, inches=inch)))) for inch in (False, True))
    assert {"overall 400", "balance point, empty  254", "mm from"} <= metric
    assert {"overall 15.75", "balance point, empty  10.00", "inches from"} <= inches
    assert {"0", "5", "10", "15"} <= inches
