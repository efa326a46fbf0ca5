"""Where operator, pumper and spectators stand, and whether a landing strikes them there."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.design import complete, parse_design
from bottlewright.design.errors import DesignError
from bottlewright.design.unit_habit import METRIC
from bottlewright.field.people import accepted, crew_stands, reach, strike_chance
from bottlewright.field.people_findings import crew_findings
from bottlewright.field.tail import Stratum
from bottlewright.findings import Level
from bottlewright.proof.distances import governing_distance
from habits import curlew_text

SHORT = (
    'launcher.cord.length="15 m"', 'launcher.hose.length="14 m"', 'launcher.crew.operator="13 m"',
    'launcher.crew.pumper="13 m"', "launcher.crew.operator_bearing=", "launcher.crew.pumper_bearing=",
)  # fmt: skip


def design(*sets):
    """Return Curlew with a shorter cord and hose, its crew 13 m away on no side that the file says."""
    return complete(parse_design(curlew_text(False), [*SHORT, *sets]))


def ring(inner, outer, share, flights=4000):
    """Landings of which a share lies evenly between two circles about the launcher, the rest 20 to 30 m away."""
    generator = np.random.default_rng(3)
    inside = generator.random(flights) < share
    low, high = np.where(inside, inner, 20.0), np.where(inside, outer, 30.0)
    away = np.sqrt(generator.uniform(low**2, high**2))
    bearing = generator.uniform(0.0, 2.0 * math.pi, flights)
    return [Stratum(1.0, np.column_stack([away * np.sin(bearing), away * np.cos(bearing)]))]


def spot(east, north, spread, flights=4000):
    return [Stratum(1.0, np.random.default_rng(3).normal(size=(flights, 2)) * spread + (east, north))]


def findings(stated, strata):
    return list(crew_findings(crew_stands(stated, strata), accepted(stated, "crew")))


NEAR = ('launcher.crew.operator="6 m"', 'launcher.crew.pumper="8 m"')


def test_crew_at_6_and_8_m_where_94_in_100_landings_lie_at_4_to_10_m_is_a_stop():
    (found,) = findings(design(*NEAR), ring(4.0, 10.0, 0.94))
    assert (found.level, found.code) == (Level.STOP, "crew-in-landing-zone")
    assert "operator" in found.found
    assert "pumper" in found.found


def test_it_is_a_stop_whatever_bearing_the_file_gives():
    for bearing in range(0, 360, 45):
        turned = [f'launcher.crew.{role}_bearing="{bearing} deg"' for role in ("operator", "pumper")]
        assert [one.level for one in findings(design(*NEAR, *turned), ring(4.0, 10.0, 0.94))] == [Level.STOP]


def test_where_no_place_within_the_cord_will_do_it_asks_for_a_longer_one_shelter_or_another_field():
    """All landings lie within 18 m, 14 m the hose, 15 m the cord."""
    (found,) = findings(design(), ring(0.0, 18.0, 1.0))
    assert found.level is Level.STOP
    for words in ("No place within the cord of 15 m", "a longer cord, to stand", "a longer hose", "shelter",
                  "another field"):
        assert words in found.remedy


def test_a_place_within_the_cord_that_will_do_is_named():
    east = ('launcher.crew.operator_bearing="90 deg"', 'launcher.crew.operator="13 m"')
    stands = crew_stands(design(*east), spot(13.0, 0.0, 3.0))
    operator = next(one for one in stands if one.role == "operator")
    assert operator.struck
    assert operator.better is not None  # on the bearing that the file gives: beyond the landings
    assert operator.better[0] > 20.0
    free = next(one for one in crew_stands(design(), spot(13.0, 0.0, 3.0)) if one.role == "operator")
    assert not free.struck
    assert free.better == (free.distance, free.bearing, True)  # as planned, for its bound is accepted
    assert free.distance >= governing_distance(design()).operator.asks_m


def test_the_place_to_stand_is_one_whose_bound_is_accepted():
    """No landing counted at 14 m on the far side: by so few flights that is no proof that none comes down there."""
    stated = design('launcher.crew.pumper="8 m"', 'launcher.crew.operator="8 m"')
    strata = spot(0.0, 0.0, 3.5)
    for one in crew_stands(stated, strata):
        assert one.better.settled
        assert one.better.distance > one.distance
        place = one.better.distance * np.array([math.sin(one.better.bearing), math.cos(one.better.bearing)])
        assert strike_chance(strata, place)[1] <= one.allowed


@pytest.mark.parametrize("flights", [60, 400])
def test_where_the_flights_show_no_place_it_is_over_the_least_bad_and_a_look_says_how_many_it_takes(flights):
    stated = design('launcher.crew.pumper="8 m"', 'launcher.crew.operator="8 m"', 'scatter.striking="0.00001 %"')
    strata = [Stratum(1.0, spot(60.0, 0.0, 8.0, flights)[0].landings), Stratum(0.001, np.full((3, 2), 60.0))]
    stands = crew_stands(stated, strata)
    for one in stands:
        assert not one.better.settled
        assert one.better.distance >= one.distance
    (found,) = crew_findings(stands, accepted(stated, "crew"))
    assert (found.level, found.code) == (Level.LOOK, "crew-place-not-settled")
    assert "over " in found.remedy
    assert f"it takes {stands[0].need}" in found.remedy


@settings(max_examples=15, deadline=None)
@given(st.floats(2.0, 30.0), st.floats(2.0, 12.0), st.floats(-40.0, 40.0))
def test_no_place_is_nearer_than_the_rule_or_than_the_one_that_was_judged(planned, spread, east):
    stated = design(*(f'launcher.crew.{role}="{planned} m"' for role in ("pumper", "operator")))
    asked = governing_distance(stated)
    for one, rule in zip(crew_stands(stated, spot(east, 0.0, spread, 800)), (asked.operator, asked.pumper),
                         strict=True):
        if one.better is not None:
            assert one.better.distance >= max(rule.asks_m, one.distance) - 1e-9


def test_the_remedy_names_the_distance_of_the_numbers():
    stated = design('launcher.crew.pumper="8 m"', 'launcher.crew.operator="8 m"')
    stands = crew_stands(stated, spot(0.0, 0.0, 3.5))
    said = " ".join(one.remedy for one in crew_findings(stands, accepted(stated, "crew")))
    for one in stands:
        assert METRIC.stand_back(one.better.distance) in said


def test_a_stop_is_looked_for_at_each_distance_that_is_tried():
    looks = []

    def stop():
        looks.append(None)
        if len(looks) == 3:
            raise KeyboardInterrupt

    strata, asked = ring(0.0, 90.0, 0.9), design()
    whole = []
    crew_stands(asked, strata, look=lambda: whole.append(None))
    assert len(whole) > 20
    with pytest.raises(KeyboardInterrupt):
        crew_stands(asked, strata, look=stop)
    assert len(looks) == 3


def test_without_a_bearing_the_crew_stands_on_the_side_with_the_fewest_landings():
    operator, pumper = crew_stands(design(), spot(30.0, 0.0, 6.0))
    assert math.degrees(operator.bearing) == pytest.approx(270.0, abs=50.0)
    assert not operator.chosen
    (found,) = findings(design(), spot(30.0, 0.0, 6.0))
    assert "the side with the fewest landings" in found.found
    assert pumper.chance == 0.0


@pytest.mark.parametrize("east", [-30.0, -15.0, 0.0, 12.0])
def test_the_bound_of_a_strike_is_no_lower_than_the_chance_of_the_normal_law(east):
    """Chance within 2 m of a place, by the density there, which hardly changes over 2 m."""
    place = np.array([east, 0.0])
    true = math.exp(-(east**2) / (2.0 * 64.0)) / (2.0 * math.pi * 64.0) * math.pi * reach()[0] ** 2
    counted, bound = strike_chance(spot(0.0, 0.0, 8.0), place)
    assert bound >= 0.95 * true
    assert counted <= bound
    if true > 1e-3:
        assert counted == pytest.approx(true, rel=0.25)


def test_shelter_takes_a_stop_to_a_look_that_says_that_nobody_checked_it():
    (found,) = findings(design(*NEAR, "launcher.crew.shelter=true"), ring(4.0, 10.0, 0.94))
    assert found.level is Level.LOOK
    assert "which we have not checked" in found.found


def test_the_accepted_chance_is_shared_by_the_launches_of_the_day():
    assert accepted(design(), "spectators").a_launch == pytest.approx(1e-5)
    assert accepted(design("scatter.launches=20"), "spectators").a_launch == pytest.approx(5e-6)
    assert accepted(design(), "crew").a_launch == pytest.approx(1e-4)


def test_the_accepted_chance_can_be_lowered_and_never_raised():
    assert accepted(design('scatter.striking="0.001 %"'), "spectators").a_launch == pytest.approx(1e-6)
    assert accepted(design('scatter.striking="0.001 %"'), "crew").a_launch == pytest.approx(1e-5)
    with pytest.raises(DesignError, match=r"scatter\.striking"):
        design('scatter.striking="0.02 %"')
