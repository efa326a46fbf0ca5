"""More people, nearer people and more wind never make the answer milder."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from bottlewright.design import complete, parse_design
from bottlewright.field.distance import Distance, distance_by_direction
from bottlewright.field.exposure import exposures, with_tails
from bottlewright.field.findings import call_findings, exposure_findings, reach_findings
from bottlewright.field.ground import Watching
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.people import Lull, accepted, crew_stands
from bottlewright.field.people_findings import ballistic_findings, crew_findings, spectators_finding
from bottlewright.field.scatter import scatter
from bottlewright.field.site import Area, FieldSite, field_site
from bottlewright.field.tail import Stratum
from bottlewright.field.wind_limit import HourCall, call_hour
from bottlewright.findings import Level
from habits import CURLEW, curlew_text

MILDEST = [HourCall.OPEN, HourCall.WAIT, HourCall.NO]
ABOUT_THE_PAD = [Stratum(1.0, np.random.default_rng(2).normal(size=(3000, 2)) * 9.0)]
few = settings(max_examples=25)
metres, speeds = st.floats(1.0, 200.0), st.floats(0.0, 15.0)


def worst(findings):
    levels = list(Level)
    return max((levels.index(one.level) for one in findings), default=-1)


def design(*sets):
    return complete(parse_design(curlew_text(False), list(sets)))


@given(st.floats(0.0, 9.0), speeds, speeds, st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.0, 8.0))
def test_more_wind_more_doubt_about_it_and_stronger_gusts_never_make_an_hour_milder(
    limit, speed, more, spread, wider, gust
):
    def verdict(wind, doubt, strongest):
        return MILDEST.index(call_hour("now", limit, wind, doubt, strongest).verdict)

    calm = verdict(speed, spread, speed + gust)
    assert verdict(speed + more, spread, speed + more + gust) >= calm
    assert verdict(speed, spread + wider, speed + gust) >= calm
    assert verdict(speed, spread, speed + gust + more) >= calm
    assert verdict(speed, spread, None) <= calm


@given(st.floats(0.0, 9.0), speeds, speeds)
def test_more_wind_never_lowers_the_level_of_the_present_hour(limit, speed, more):
    def level(wind):
        return worst(call_findings([call_hour("now", limit, wind, 0.5, None)], 200, 2000))

    assert level(speed + more) >= level(speed)


@given(metres, metres, metres, st.booleans())
def test_spectators_who_come_nearer_never_lower_the_level(asked, planned, nearer, settled):
    def level(where):
        seen = Watching(0.0, True, where, Distance(asked, settled))
        return worst([spectators_finding(seen, seen.asked, accepted(design(), "spectators"), 1)])

    assert level(min(planned, nearer)) >= level(planned)
    assert level(planned) >= level(None)


@given(metres, metres, metres, st.floats(0.0, 200.0))
def test_a_heavy_rocket_s_level_never_falls_as_people_come_nearer_or_it_strikes_harder(reach, planned, nearer, energy):
    nobody = FieldSite("the field", None, (), None)

    def level(where, strike):
        seen = Watching(0.0, True, where, Distance(15.0, True))
        return worst(ballistic_findings(nobody, seen, reach, strike))

    assert level(min(planned, nearer), energy) >= level(planned, energy)
    assert level(planned, energy + 10.0) >= level(planned, energy)


@few
@given(st.floats(6.0, 14.0), st.floats(0.0, 8.0))
def test_crew_who_come_nearer_to_landings_about_the_launcher_never_lower_the_level(distance, nearer):
    def level(away):
        stated = design(f'launcher.crew.operator="{away} m"', f'launcher.crew.pumper="{away} m"')
        return worst(crew_findings(crew_stands(stated, ABOUT_THE_PAD), accepted(stated, "crew")))

    assert level(max(distance - nearer, 0.0)) >= level(distance)


def crew_at(away, degrees):
    """Return the keys that put operator and pumper there."""
    return [f"launcher.crew.{role}{key}" for role in ("operator", "pumper")
            for key in (f'="{away} m"', f'_bearing="{degrees} deg"')]


def carried(wind):
    """Landings that the wind carries east, 8 m for each m/s of it."""
    return [one._replace(landings=one.landings / 3.0 + (8.0 * wind, 0.0)) for one in ABOUT_THE_PAD]


@few
@given(st.sampled_from([1.5, 3.0, 4.5, 6.0]), st.sampled_from([1.5, 3.0, 4.5, 6.0]), st.integers(0, 35), metres)
def test_more_wind_never_lowers_the_level_of_the_crew(wind, stronger, tens_of_degrees, away):
    """For some places a calm is the worst, for some the full wind, and for some a wind between."""
    stated = design(*crew_at(away, 10 * tens_of_degrees))

    def level(blowing):
        lulls = [Lull(lull, carried(lull)) for lull in np.arange(0.0, blowing, 1.5)]
        return worst(crew_findings(crew_stands(stated, carried(blowing), lulls), accepted(stated, "crew")))

    assert level(max(wind, stronger)) >= level(wind)


@pytest.fixture(scope="module")
def curlew_in():
    """Crew on Curlew's way down the wind, by 300 flights in some winds of the same ±."""

    def flown(wind):
        stated = design(*crew_at(9.0, 60), f'weather.wind_speed="{wind} m/s ± 0.5 m/s"')
        return scatter(stated, field_site(stated.site, CURLEW.parent), 300, winds=False)

    return {wind: flown(wind) for wind in (0.0, 3.0, 6.0)}


def test_crew_whom_a_calm_would_strike_are_stopped_in_every_wind(curlew_in):
    for wind, found in curlew_in.items():
        (stop,) = [one for one in found.findings if one.code == "crew-in-landing-zone"]
        assert stop.level is Level.STOP
        assert (" when the wind drops to " in stop.found) == (wind > 0.0)


def test_a_stronger_wind_has_all_the_lulls_of_a_weaker_one(curlew_in):
    weaker, stronger = (curlew_in[wind].ground.lulls for wind in (3.0, 6.0))
    assert [one.speed for one in weaker] == [0.0, 1.5]
    assert [one.speed for one in stronger] == [0.0, 1.5, 3.0, 4.5]
    for one, same in zip(weaker, stronger, strict=False):
        for kind, again in zip(one.strata, same.strata, strict=True):
            # The wind of a lull is the last bit another, and a flight may then take another step: its error shows.
            assert np.allclose(kind.landings, again.landings, atol=5e-3)
            assert np.median(abs(kind.landings - again.landings)) < 1e-9


@few
@given(st.integers(1, 30), st.integers(0, 300))
def test_more_launches_a_day_never_bring_people_nearer(launches, more):
    def away(count):
        allowed = accepted(design(f"scatter.launches={count}"), "spectators").a_launch
        return [distance.metres for _, distance in distance_by_direction(ABOUT_THE_PAD, allowed)]

    assert all(after >= before - 1e-6 for before, after in zip(away(launches), away(launches + more), strict=True))


def crowd(east, metres_wide):
    ground = box(east, -metres_wide, east + metres_wide, metres_wide)
    return Area("the families", kinds()["spectators"], ground, 1e-5)


@few
@given(st.floats(-60.0, 60.0), st.floats(1.0, 30.0), st.floats(0.0, 60.0))
def test_another_crowd_or_one_that_stands_nearer_never_lowers_the_level(east, wide, nearer):
    landings = ABOUT_THE_PAD[0].landings
    bare = FieldSite("the field", box(-80.0, -80.0, 80.0, 80.0), (), None)

    def level(field):
        return worst(exposure_findings(with_tails(exposures(field, landings), field, ABOUT_THE_PAD)))

    one = replace(bare, keep_outs=(crowd(east, wide),))
    assert level(one) >= level(bare)
    assert level(replace(bare, keep_outs=(crowd(east, wide), crowd(-east, 5.0)))) >= level(one)
    towards = math.copysign(max(abs(east) - nearer, 0.0), east)
    if east > 0.0:
        closer = replace(bare, keep_outs=(Area("the families", kinds()["spectators"], box(
            towards, -wide, east + wide, wide), 1e-5),))
        assert level(closer) >= level(one)


@given(metres, st.floats(0.0, 100.0), st.floats(-300.0, 300.0))
def test_a_longer_reach_never_lowers_the_level_of_a_power_line(reach, further, north):
    line = Area("the line", kinds()["power line"], box(-500.0, north, 500.0, north + 10.0), 0.005)
    field = FieldSite("the field", None, (line,), None)
    assert worst(reach_findings(field, reach + further, True)) >= worst(reach_findings(field, reach, True))
