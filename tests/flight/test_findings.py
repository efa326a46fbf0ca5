import math

import pytest

from bottlewright.design import DesignError, complete, parse_design
from bottlewright.findings import Level
from bottlewright.flight.findings import flight_findings, limit

DESIGN = """
schema = 1
name = "Curlew"
[vessel]
bottle = "carbonated-1500"
[launcher]
guide_length = "1 m"
tilt = "{tilt}"
[charge]
water = "500 mL"
pressure = "4.5 bar"
[recovery]
kind = "{kind}"
diameter = "500 mm"
"""

GOOD = {
    "apogee_m": 40.0,
    "guide_exit_time_s": 0.08,
    "guide_exit_speed_m_s": 20.0,
    "static_margin_min_calibres": 1.5,
    "static_margin_min_time_s": 0.1,
    "static_margin_max_calibres": 2.0,
    "landing_speed_m_s": 0.8,
    "landing_energy_J": 0.05,
    "landing_strike_angle_rad": math.nan,
    "landing_speed_down_m_s": 0.7,
    "landing_pressure_gauge_Pa": 0.0,
    "sinking_speed_m_s": 0.7,
    "water_left_kg": 0.0,
    "canopy_out_time_s": 3.0,
    "gas_out_time_s": 0.4,
    "flight_time_s": 20.0,
}


def judge(wind=1.0, tilt="5 deg", kind="parachute", ending="landed", complete_=True, sets=(), **changes):
    text = DESIGN.format(tilt=tilt, kind=kind)
    if kind == "none":
        text = text.replace('diameter = "500 mm"', "")
    return flight_findings(complete(parse_design(text, sets)), {**GOOD, **changes}, ending, complete_, wind)


def levels(found):
    return {finding.code: finding.level for finding in found}


def test_a_gentle_upright_flight_has_no_findings():
    assert judge() == []


def test_a_pressure_centre_ahead_of_the_balance_point_says_stop():
    assert levels(judge(static_margin_min_calibres=-0.1)) == {"unstable": Level.STOP}


def test_a_rocket_in_the_air_whose_steadiness_nobody_knows_says_stop():
    assert levels(judge(static_margin_min_calibres=math.nan)) == {"margin-unknown": Level.STOP}
    on_the_guide = {"static_margin_min_calibres": math.nan, "guide_exit_speed_m_s": math.nan}
    assert "margin-unknown" not in levels(judge(**on_the_guide))


def test_what_is_no_parachute_and_no_fin_is_refused():
    with pytest.raises(DesignError, match=r"recovery\.diameter"):
        judge(sets=['recovery.diameter="20 mm"'])
    with pytest.raises(DesignError, match=r"fins\.span"):
        judge(sets=['fins.span="5 m"'])


def test_less_than_one_calibre_asks_for_a_look_and_says_when():
    found = judge(static_margin_min_calibres=0.6, static_margin_min_time_s=0.21)
    assert levels(found) == {"margin-small": Level.LOOK}
    assert found[0].found == "0.60 calibres, 0.21 s after release"


@pytest.mark.parametrize(("wind", "level"), [(1.0, Level.NOTE), (4.0, Level.LOOK)])
def test_too_much_margin_matters_in_wind(wind, level):
    assert levels(judge(wind, static_margin_max_calibres=4.0))["margin-large"] is level


def test_slower_than_four_times_the_wind_off_the_guide_asks_for_a_look():
    assert levels(judge(3.0, guide_exit_speed_m_s=12.0)) == {}
    found = judge(3.0, guide_exit_speed_m_s=11.88)
    assert levels(found) == {"slow-off-guide": Level.LOOK}
    assert "wait for a wind under 2.97 m/s" in found[0].remedy


@pytest.mark.parametrize(
    ("tilt", "expected"),
    [
        ("20 deg", {}),
        ("21 deg", {"tilt-beyond-rule": Level.LOOK}),
        ("30 deg", {"tilt-beyond-rule": Level.LOOK}),
        ("31 deg", {"tilt-beyond-rule": Level.STOP}),
        ("60 deg", {"tilt-beyond-rule": Level.STOP}),
        ("61 deg", {"tilt-level": Level.STOP}),
    ],
)
def test_the_tilt_is_held_against_the_published_rules(tilt, expected):
    assert levels(judge(tilt=tilt)) == expected


CONTEST = 'site.rules=["distance contest"]'


@pytest.mark.parametrize(
    ("sets", "level"),
    [
        ((CONTEST,), Level.STOP),
        ((CONTEST, 'site.rectangle={length="149 m", width="60 m"}'), Level.STOP),
        ((CONTEST, 'site.rectangle={length="150 m", width="59 m"}'), Level.STOP),
        ((CONTEST, 'site.rectangle={length="150 m", width="60 m"}'), Level.LOOK),
        ((CONTEST, 'site.map="field.geojson"'), Level.LOOK),
        (('site.rectangle={length="150 m", width="60 m"}',), Level.STOP),
    ],
)
def test_a_contest_for_distance_may_lean_the_launcher_on_a_field_as_its_rules_ask(sets, level):
    assert levels(judge(tilt="45 deg", sets=sets)) == {"tilt-beyond-rule": level}


def test_no_contest_launches_level():
    sets = (CONTEST, 'site.rectangle={length="300 m", width="100 m"}')
    assert levels(judge(tilt="65 deg", sets=sets)) == {"tilt-level": Level.STOP}


def test_where_section_1036_is_named_its_20_degrees_are_a_stop():
    assert levels(judge(tilt="21 deg", sets=('site.rules=["section 1036"]',))) == {"tilt-beyond-rule": Level.STOP}


@pytest.mark.parametrize(
    ("delay", "expected"),
    [
        ("0.3 s ± 0.01 s", {"opens-in-push": Level.STOP}),
        ("0.5 s ± 0.1 s", {"opens-in-push": Level.LOOK}),
        ("0.5 s ± 0.01 s", {}),
    ],
)
def test_a_canopy_that_opens_while_the_rocket_is_driven_says_stop(delay, expected):
    """The last air leaves after 0.4 s."""
    assert levels(judge(sets=('recovery.release="delay"', f'recovery.delay="{delay}"'))) == expected


@pytest.mark.parametrize(
    ("energy", "expected"),
    [(0.07, None), (0.09, Level.NOTE), (14.8, Level.NOTE), (15.0, Level.LOOK), (34.0, Level.LOOK)],
)
def test_the_landing_energy_is_held_against_the_published_limits(energy, expected):
    assert levels(judge(landing_energy_J=energy)).get("landing-energy") is expected


def test_foot_pounds_were_turned_into_joules_rightly():
    foot_pound = 0.3048 * 0.45359237 * 9.80665
    assert limit("energy_low").value == pytest.approx(11 * foot_pound, rel=1e-4)
    assert limit("energy_high").value == pytest.approx(25 * foot_pound, rel=1e-4)


def test_a_rocket_without_a_parachute_comes_down_hard_and_says_how():
    found = judge(
        kind="none", canopy_out_time_s=math.nan, landing_strike_angle_rad=0.1, landing_speed_m_s=21.0,
        landing_energy_J=20.0,
    )  # fmt: skip
    assert levels(found) == {"ballistic": Level.LOOK, "landing-energy": Level.LOOK}
    assert found[0].found.startswith("nose first, 21 m/s")


@pytest.mark.parametrize(("kind", "sets", "out", "says"), [
    ("parachute", (), 3.0, "a larger parachute or less mass"),
    ("streamer", ('recovery.length="1.5 m"', 'recovery.width="100 mm"'), 3.0, "a larger streamer or less mass"),
    ("parachute", (), math.nan, "however large, what stays in softens nothing"),
    ("parachute", ('recovery.release="never"',), math.nan, "what stays in softens nothing"),
    ("none", (), math.nan, "a parachute or less mass"),
    ("rotor", ('recovery.mass="20 g"',), 3.0, "longer blades or less mass"),
])  # fmt: skip
def test_a_larger_canopy_softens_a_landing_only_where_one_came_out(kind, sets, out, says):
    found = judge(kind=kind, sets=sets, landing_energy_J=20.0, canopy_out_time_s=out, landing_strike_angle_rad=0.1)
    one = next(one for one in found if one.code == "landing-energy")
    assert says in one.remedy
    assert ("larger" in one.remedy) == ("larger" in says)


def test_a_parachute_that_is_late_says_stop():
    assert levels(judge(canopy_out_time_s=math.nan, landing_energy_J=0.05)) == {"opens-too-late": Level.STOP}


def test_a_parachute_that_is_out_and_not_open_says_stop():
    found = judge(landing_speed_down_m_s=1.0, canopy_out_height_m=2.0)
    assert levels(found) == {"opens-too-late": Level.STOP}
    assert "out 2 m above the ground" in found[0].found
    assert levels(judge(landing_speed_down_m_s=0.85)) == {}


def test_a_bottle_that_lands_with_its_pressure_says_stop():
    assert levels(judge(landing_pressure_gauge_Pa=2e5)) == {"lands-under-pressure": Level.STOP}
    assert levels(judge(landing_pressure_gauge_Pa=1e3)) == {}


def test_a_rocket_that_never_left_says_stop_and_nothing_about_its_flight():
    nothing = dict.fromkeys(GOOD, math.nan)
    assert levels(judge(ending="never left the launcher", complete_=False, **nothing)) == {"never-left": Level.STOP}


def test_a_flight_that_was_cut_off_says_so():
    assert levels(judge(ending="cut off", complete_=False)) == {"cut-off": Level.LOOK}


IMPERIAL = """
schema = 1
[vessel]
bottle = "carbonated-1500"
diameter = "3.5 in"
empty_mass = "1.4 oz"
[launcher]
guide_length = "3 ft"
[charge]
water = "500 mL"
pressure = "65 psi"
[recovery]
kind = "parachute"
diameter = "20 in"
[weather]
wind_speed = "5 mph"
"""


def test_a_builder_who_writes_psi_inches_ounces_and_miles_reads_them_first():
    flown = GOOD | {
        "canopy_out_height_m": 3.048, "landing_speed_down_m_s": 9.0, "landing_speed_m_s": 8.9408,
        "landing_pressure_gauge_Pa": 137895.2, "water_left_kg": 0.0283495, "guide_exit_speed_m_s": 4.4704,
    }  # fmt: skip
    found = flight_findings(complete(parse_design(IMPERIAL)), flown, "landed", True, 2.2352, 0.0254)
    said = {finding.code: finding.found for finding in found}
    assert said["lands-under-pressure"].startswith("20 psi (1.4 bar) on the gauge and 1 oz (28.3 g) of water left")
    assert said["opens-too-late"].startswith("out 10 ft (3 m) above the ground, 20 mph (8.94 m/s)")
    assert said["slow-off-guide"].startswith(
        "10 mph (4.47 m/s) at the end of the guide of 3 ft (0.91 m), in a wind of 5 mph (2.2 m/s) there: 2.0 times"
    )
    assert said["tube-under-water"] == "the water reaches 1 in (25 mm) over its top"


def test_a_builder_who_writes_bar_and_metres_reads_nothing_besides():
    found = judge(3.0, guide_exit_speed_m_s=9.0, landing_pressure_gauge_Pa=2e5, water_left_kg=0.03)
    said = " ".join(finding.found + finding.remedy for finding in found)
    assert "2 bar on the gauge and 30 g of water left" in said
    assert not [unit for unit in (" psi", " in)", " ft", " oz", " mph") if unit in said]


def test_every_limit_names_its_source():
    for finding in judge(
        9.0,
        "40 deg",
        "none",
        canopy_out_time_s=math.nan,
        landing_strike_angle_rad=2.0,
        landing_energy_J=50.0,
        static_margin_min_calibres=0.2,
        static_margin_max_calibres=9.0,
    ):
        assert finding.source
        assert finding.limit
        assert finding.remedy
        assert "safe" not in " ".join(finding.as_json().values()).lower().replace("safety code", "")


@pytest.mark.parametrize(("energy", "badly"), [(14.8, False), (15.0, True)])
def test_a_landing_is_judged_by_how_hard_it_strikes_not_by_what_is_to_slow_it(energy, badly):
    """A parachute that slows too little, and a light rocket that has none, are called by the strike."""
    under = [one.hazard for one in judge(landing_energy_J=energy)]
    without = [one.hazard for one in judge(kind="none", canopy_out_time_s=math.nan, landing_strike_angle_rad=0.1,
                                           landing_energy_J=energy)]
    assert any("can hurt someone badly" in hazard for hazard in under) is badly
    assert any("can hurt someone badly" in hazard for hazard in without) is badly
