import math

import numpy as np
import pytest
from shapely.geometry import box

from bottlewright.field.compass import compass
from bottlewright.field.exposure import exposures, worst_ratio
from bottlewright.field.site import FieldSite
from bottlewright.field.wind_limit import (
    DIRECTIONS,
    HourCall,
    WindLimit,
    call_hour,
    called_under,
    limit_at,
    wind_limits,
    within_reach,
)

SCATTER = np.random.default_rng(3).normal(size=(2000, 2)) * 5.0


def drift_ratio(field):
    """Ratio for a rocket that drifts 10 m for each m/s of wind, with the same 5 m scatter each time."""

    def ratio(speed, from_direction):
        towards = np.array([-math.sin(from_direction), -math.cos(from_direction)])
        return worst_ratio(exposures(field, SCATTER + 10.0 * speed * towards))

    return ratio


def square(half):
    return FieldSite("the field", box(-half, -half, half, half), (), None)


def test_the_limit_is_where_the_drift_eats_the_field_less_the_scatter():
    (north,) = wind_limits(drift_ratio(square(60.0)), directions=[0.0])
    edge = np.quantile(-SCATTER[:, 1], 0.98)  # 2 % accepted
    assert north.speed == pytest.approx((60.0 - edge) / 10.0, abs=0.21)
    assert north.reached


def test_the_limit_grows_with_the_field():
    limits = [min(limit.speed for limit in wind_limits(drift_ratio(square(half)))) for half in (30.0, 50.0, 80.0)]
    assert limits[0] < limits[1] < limits[2]


def test_a_road_on_one_side_lowers_the_limit_for_the_wind_that_blows_there():
    field = FieldSite("the field", box(-30.0, -60.0, 60.0, 60.0), (), None)
    limits = {round(math.degrees(limit.from_direction)): limit.speed for limit in wind_limits(drift_ratio(field))}
    assert limits[90] < limits[270]


def test_a_wind_strong_enough_to_blow_past_a_keep_out_is_no_limit():
    def ratio(speed, _):
        return 5.0 if 2.0 < speed < 5.0 else 0.0

    (limit,) = wind_limits(ratio, directions=[0.0])
    assert limit.speed == pytest.approx(2.0, abs=0.21)


def test_a_limit_that_is_never_met_says_so_and_one_in_still_air_is_nought():
    assert list(wind_limits(lambda *_: 0.0, directions=[0.0], highest=9.0)) == [WindLimit(0.0, 9.0, False)]
    assert list(wind_limits(lambda *_: 2.0, directions=[0.0])) == [WindLimit(0.0, 0.0, True)]


def test_between_two_directions_and_over_a_swing_the_lower_limit_counts():
    speeds = [6.0, 5.0, 2.0, 5.0, 6.0, 6.0, 6.0, 6.0, 6.0, 6.0, 6.0, 6.0]
    limits = [WindLimit(math.radians(30 * k), speed, True) for k, speed in enumerate(speeds)]
    assert limit_at(limits, math.radians(60)) == 2.0
    assert limit_at(limits, math.radians(30)) == 5.0
    assert limit_at(limits, math.radians(45)) == 2.0
    assert limit_at(limits, math.radians(30), math.radians(10)) == 2.0
    assert limit_at(limits, math.radians(-10)) == 6.0
    assert limit_at(limits, math.radians(359)) == 6.0
    assert limit_at(limits, math.radians(1)) == 5.0


@pytest.mark.parametrize(
    ("speed", "spread", "gust", "verdict"),
    [
        (2.0, 0.5, 4.0, HourCall.OPEN),
        (2.0, 0.5, 6.0, HourCall.WAIT),
        (4.0, 0.8, None, HourCall.WAIT),
        (5.1, 0.0, None, HourCall.NO),
    ],
)
def test_nothing_against_it_wait_or_no(speed, spread, gust, verdict):
    call = call_hour("14:00", 5.0, speed, spread, gust, height=2.0)
    assert call.verdict is verdict
    assert "limit of 5 m/s at a height of 2 m" in call.why


@pytest.mark.parametrize(("degrees", "name"), [(0, "N"), (240, "WSW"), (359, "N"), (-45, "NW"), (101, "E")])
def test_compass_points(degrees, name):
    assert compass(math.radians(degrees)) == name


def test_no_limit_at_all_is_not_called_too_much_wind():
    call = call_hour("now", 0.0, 1.0, 0.0, None)
    assert (call.verdict, "or none, is too much" in call.why) == (HourCall.NO, True)


def test_a_stop_elsewhere_leaves_no_hour_that_nothing_is_against():
    calm, strong = (call_hour("14:00", 5.0, speed, 0.0, None) for speed in (2.0, 6.0))
    assert (calm.verdict, strong.verdict) == (HourCall.OPEN, HourCall.NO)
    told = called_under(calm, "STOP: the bottle can burst")
    assert told.verdict is HourCall.NO
    assert told.why == f"STOP: the bottle can burst. {calm.why}"
    assert called_under(calm, "", "nobody wrote down the wind").verdict is HourCall.WAIT
    assert called_under(strong, "STOP") == strong
    assert called_under(calm, "") == calm


def test_each_limit_that_is_shown_is_the_least_within_the_swing_of_its_wind():
    limits = [WindLimit(way, 2.0 if number == 2 else 6.0, reached=True) for number, way in enumerate(DIRECTIONS)]
    shown = [one.speed for one in within_reach(limits, math.radians(20.0))]
    assert shown == [6.0, 2.0, 2.0, 2.0, *[6.0] * 8], "a wind from 30° that swings comes near 60° at times"
    assert [one.speed for one in within_reach(limits, 0.0)] == [one.speed for one in limits]
