"""One flight as one picture with its moments: read back from the drawing and held against the flight."""

import re

import numpy as np
import pytest

import bottlewright as bw
from bottlewright.flight.course import MOMENTS
from bottlewright.report.course_chart import LANDS_AT, ROOM
from bottlewright.report.moment_drawing import MomentDrawing, MomentView, Pose
from bottlewright.report.style import FULL_WIDTH, NARROW
from drawn import MM, Drawn
from habits import CURLEW, curlew_text

DESIGNS = {
    "parachute": (CURLEW, {}), "no parachute": (CURLEW, {"recovery.kind": "none"}),
    "no water": (CURLEW, {"charge.water": "0 mL"}), "long push": (CURLEW, {"nozzle.bore": "4 mm"}),
    "turns over": (CURLEW, {"fins.span": "20 mm"}),
    "first class": (CURLEW.parent.parent / "dabchick" / "rocket.toml", {}),
}  # fmt: skip


def flown(name):
    if name == "inches":
        return bw.parse(curlew_text(inch_pound=True)).fly()
    file, values = DESIGNS[name]
    return bw.read(file).changed(values).fly()


@pytest.fixture(scope="module", params=[*DESIGNS, "inches"])
def flight(request):
    return flown(request.param)


@pytest.fixture(scope="module")
def curlew():
    return flown("parachute")


@pytest.fixture(scope="module")
def course(flight):
    return flight.course().found


@pytest.fixture(scope="module")
def drawn(course):
    return Drawn(course.picture.figure)


def time_scales(drawn):
    """The two scales of the time axis, from points to seconds, as their ticks say."""
    foot = max(word.y for word in drawn.words if re.fullmatch(r"[\d.]+", word.text))
    tear = float(np.concatenate(drawn.parts["tear"])[:, 0].mean())
    found = []
    for ticks in ([one for one in drawn.words if one.y == foot and (one.x > tear) == late] for late in (False, True)):
        x, said = [one.x for one in ticks], [float(one.text) for one in ticks]
        found.append(np.polynomial.Polynomial.fit(x, said, 1))
        assert found[-1](np.array(x)) == pytest.approx(said, abs=2e-3 * max(said))
    return found


def named(course, name):
    return next((k, one) for k, one in enumerate(course.moments) if one.name == name)


# --- the picture ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("narrow", [False, True])
def test_no_word_covers_another_or_leaves_the_picture(course, narrow):
    drawn = Drawn(course.picture.narrow if narrow else course.picture.figure)
    assert drawn.overlaps() == []
    assert drawn.outside() == []


def test_the_highest_point_is_marked_where_the_line_of_the_height_is_highest(drawn):
    line = np.concatenate(drawn.parts["height"])
    mark = drawn.middle("apogee")
    assert mark[1] == pytest.approx(line[:, 1].min(), abs=0.06)
    assert mark[0] == pytest.approx(line[line[:, 1].argmin(), 0], abs=0.5)


def test_the_scale_reads_the_height_that_the_flight_reached(flight, drawn):
    scale = drawn.y_scales()[0]
    feet = 0.3048 if "Height, ft" in drawn.texts else 1.0
    assert feet * scale(drawn.middle("apogee")[1]) == pytest.approx(flight.summary["apogee_m"], rel=3e-3)


def test_each_moment_is_marked_where_the_picture_has_its_time(flight, course, drawn):
    push, rest = time_scales(drawn)
    at = {name: float(drawn.parts[name][-1][0, 0]) for name in ("air out", "landing")}
    assert push(at["air out"]) == pytest.approx(flight.summary["gas_out_time_s"], abs=0.005 * course.view.split)
    assert rest(at["landing"]) == pytest.approx(flight.summary["flight_time_s"], rel=2e-3)
    assert course.view.split > flight.summary["gas_out_time_s"]


def test_the_torn_edge_stands_where_the_scale_changes(course, drawn):
    for edge in drawn.parts["tear"]:
        middle = 0.5 * (edge[:, 0].min() + edge[:, 0].max())
        assert time_scales(drawn)[0](middle) == pytest.approx(course.view.split, rel=1e-2)


@pytest.mark.parametrize("width", [FULL_WIDTH, NARROW])
def test_a_scrubber_under_the_picture_can_follow_it_evenly(course, width):
    right, down = course.places(width).T
    plot = width * MM - 2.0 * ROOM
    assert right[0] == pytest.approx(ROOM)
    assert right[-1] == pytest.approx(ROOM + LANDS_AT * plot)
    even = np.linspace(right[0], right[-1], MOMENTS)
    assert np.abs(right - even).max() < 3.0 * (even[1] - even[0])
    assert (np.diff(right) >= 0.0).all()
    assert down.argmin() == named(course, "highest point")[0]


def test_the_band_lies_about_the_line_of_one_flight(curlew):
    drawn = Drawn(curlew.course(curlew.project.fly_many(40)).found.picture.figure)
    low, high = (np.concatenate(drawn.parts[name]) for name in ("one in ten lower", "one in ten higher"))
    x, y = drawn.middle("apogee")
    assert np.interp(x, *high.T) < y < np.interp(x, *low.T)
    assert "band" not in Drawn(curlew.course().found.picture.figure).parts


def test_a_jolt_that_leaves_the_scale_says_how_large_it_is():
    flight = flown("long push")
    drawn = Drawn(flight.course().found.picture.figure)
    most = f"{flight.summary['thrust_peak_N']:.0f} N at most, for about 1 ms,"
    assert most in drawn.texts
    assert drawn.y_scales()[1](drawn.parts["thrust"][0][0, 1]) == pytest.approx(flight.series["thrust_N"][0], rel=0.02)


# --- the moments ---------------------------------------------------------------------------------------------------


def test_there_are_as_many_moments_for_any_flight_and_the_named_ones_are_exact(flight, course):
    times = [one.time for one in course.moments]
    assert len(times) == MOMENTS <= 200
    assert times == sorted(times)
    assert named(course, "release")[0] == 0
    assert named(course, "highest point")[1].time == flight.summary["apogee_time_s"]
    assert named(course, "landing")[1].time == flight.summary["flight_time_s"]


def test_the_numbers_of_a_moment_are_those_of_the_flight(curlew):
    course, series = curlew.course().found, curlew.series
    for one in course.moments[::20]:
        time, height, speed, push, pressure, water, lean, _ = one.texts
        at = {name: np.interp(one.time, series["time_s"], column) for name, column in series.items()}
        for text, unit, value, half in (
            (time, "s", one.time, 0.006), (height, "m", at["height_m"], 0.06), (speed, "m/s", at["speed_m_s"], 0.06),
            (push, "N", at["thrust_N"], 0.6), (pressure, "bar", (at["pressure_Pa"] - 101325.0) / 1e5, 0.02),
            (water, "g", 1e3 * at["water_kg"], 0.6), (lean, "°", at["tilt_deg"], 0.6),
        ):  # fmt: skip
            if text == "–":
                assert np.isnan(value)
                continue
            number, written = re.fullmatch(r"(-?[\d.]+)\s?(\D.*)", text).groups()
            assert written == unit
            assert float(number) == pytest.approx(value, abs=half)


def test_a_builder_in_inches_reads_feet_pounds_and_psi():
    course = flown("inches").course().found
    units = [re.sub(r"[-\d.\s]", "", text) for text in course.moments[10].texts]
    assert units[:6] == ["s", "ft", "mph", "lbf", "psi", "oz"]


def test_the_water_in_the_drawing_is_the_water_that_is_left(curlew):
    course, layout = curlew.course().found, curlew.course().found.drawing.view
    z, r = layout.inner_z, layout.inner_r
    for one in course.moments[1:40:6]:
        fine = np.linspace(0.0, one.pose.water, 20_001)
        area = np.pi * np.interp(fine, z, r) ** 2
        litres = 1e3 * np.trapezoid(area, fine)
        water = np.interp(one.time, curlew.series["time_s"], curlew.series["water_kg"])
        assert litres == pytest.approx(water / 0.998, rel=5e-3)


def test_water_leaves_then_air_then_nothing_and_the_canopy_opens_when_it_comes_out(curlew):
    moments = curlew.course().found.moments
    jets = [one.pose.jet for one in moments]
    out, opened = (next(k for k, one in enumerate(moments) if one.name == name)
                   for name in ("water out", "parachute out"))  # fmt: skip
    assert "water" in jets[:out]
    assert jets[out + 1] == "air"
    assert set(jets[opened:]) == {""}
    assert all(one.pose.canopy == 0.0 for one in moments[:opened])
    assert moments[opened].pose.canopy > 0.0
    assert moments[-1].pose.canopy == pytest.approx(1.0)


# --- the drawing ---------------------------------------------------------------------------------------------------


def turned(moved):
    """The numbers of a transform, by its name."""
    return {name: [float(one) for one in rest.split()] for name, rest in re.findall(r"(\w+)\(([^)]*)\)", moved)}


def pose(**changes):
    usual = {"lean": 0.0, "water": 0.1, "jet": "", "push": 0.0, "canopy": 0.0, "height": 30.0, "rising": True}
    return Pose(**{**usual, **changes})


@pytest.fixture(scope="module")
def drawing(curlew):
    return curlew.course().found.drawing


def moved(drawing, part, **changes):
    return turned(drawing.moved(pose(**changes))[MomentDrawing.PARTS.index(part)])


def test_the_rocket_leans_as_far_as_it_does(drawing):
    assert moved(drawing, "rocket", lean=37.0)["rotate"] == [37.0]
    assert moved(drawing, "rocket", lean=float("nan"), canopy=0.5)["rotate"] == [0.0]


def test_a_jet_is_drawn_while_something_leaves_and_as_what_leaves(drawing):
    assert moved(drawing, "water-jet")["scale"][0] == 0.0
    assert moved(drawing, "water-jet", jet="water", push=1.0)["scale"] == [1.0, 1.0]
    assert moved(drawing, "air-jet", jet="water", push=1.0)["scale"][0] == 0.0
    assert 0.0 < moved(drawing, "air-jet", jet="air", push=0.25)["scale"][1] < 1.0


@pytest.mark.parametrize("lean", [0.0, 60.0, 120.0, 180.0])
def test_a_rocket_that_comes_down_touches_the_ground_with_what_is_lowest(drawing, lean):
    at = turned(drawing.moved(pose(lean=lean, height=0.0, rising=False))[0])
    svg = Drawn(drawing.sheet(pose()))
    corners = np.concatenate([*svg.parts["body"], *svg.parts["fin"]])
    turn = np.radians(lean)
    lowest = at["translate"][1] + (corners[:, 0] * np.sin(turn) + corners[:, 1] * np.cos(turn)).max()
    ground = moved(drawing, "ground", lean=lean, height=0.0, rising=False)["translate"][1]
    assert ground == pytest.approx(lowest, abs=0.6)


def test_a_leaning_rocket_stays_on_its_sheet(drawing):
    svg = Drawn(drawing.sheet(pose()))
    corners = np.concatenate([*svg.parts["body"], *svg.parts["fin"]])
    assert np.hypot(*corners.T).max() < 0.5 * svg.width


def test_the_launcher_stays_behind(drawing):
    there = moved(drawing, "launcher", height=0.0)["translate"][1]
    assert there < 240.0 < moved(drawing, "launcher", height=1.0)["translate"][1]
    assert moved(drawing, "launcher", height=0.0, rising=False)["translate"][1] > 240.0


def test_a_rocket_without_fins_is_drawn():
    z = np.linspace(0.0, 0.3, 20)
    bare = MomentView(z, np.full(20, 0.04), z, np.full(20, 0.039), 0.3, np.empty((0, 2)), 0, "none")
    assert "fin" not in Drawn(MomentDrawing(bare).sheet(pose())).parts


def test_a_rocket_that_does_not_leave_has_no_course():
    weak = bw.read(CURLEW).changed({"charge.pressure": "0.3 bar"}).fly()
    assert weak.course() is None
    assert weak.title.startswith("No flight")


def test_a_flight_that_is_cut_off_on_its_way_up_is_shown_as_far_as_it_goes():
    cut = bw.read(CURLEW, ["model.time_limit=1 s"]).fly()
    course = cut.course().found
    assert cut.title == "Still climbs, then cut off"
    assert "nan" not in course.picture.alt + course.picture.figure.svg()
    assert [one.name for one in course.moments if one.name] == ["release", "off the guide", "water out", "air out"]
    assert course.moments[0].pose.rising
    assert course.moments[-1].time == pytest.approx(1.0)
