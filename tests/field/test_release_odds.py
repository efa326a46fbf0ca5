"""What a mechanism comes to in the flights counts in Field; counted tests better the judged odds only as is stated."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from bottlewright.design import complete, parse_design
from bottlewright.field.counted_tests import FEWEST_TRIES, WEIGHT, after_tries
from bottlewright.field.landings import Mode, failure_odds
from bottlewright.field.release_odds import came_to, release_odds_findings, where_torn_falls
from bottlewright.field.results import odds_rows
from bottlewright.field.scatter import scatter
from bottlewright.field.site import FieldSite
from bottlewright.findings import Level
from bottlewright.flight.batch import fly_batch, sample_batch

ROCKET = """
[vessel]
bottle = "carbonated-1500"
[nozzle]
bore = "9 mm"
[nose]
mass = "15 g"
length = "240 mm"
[fins]
span = "140 mm"
[[mass]]
name = "clay"
material = "modelling-clay"
mass = "50 g"
position = "40 mm"
[charge]
pressure = "4 bar"
[weather]
wind_speed = "2 m/s"
[recovery]
kind = "parachute"
diameter = "500 mm"
delay = "0.1 s ± 0.1 s"
{recovery}
[recovery.mechanism]
"""
TIMER = 'way = "side door"\ntrip = "servo timer"\ntime = "3.3 s ± 0.05 s"\n'
LOOSE = 'nose_mass = "65 g"\nnose_centre = "70 mm"\nhold = "0.25 N ± 0.1 N"\n'
FIELD = FieldSite("Brambling Field", box(-150.0, -150.0, 150.0, 150.0), (), None)


def design_of(more, recovery=""):
    return complete(parse_design(ROCKET.format(recovery=recovery) + more))


def counted(**tests):
    lines = "".join(f"{key} = {value!r}\n" if isinstance(value, int) else f'{key} = "{value}"\n'
                    for key, value in tests.items())  # fmt: skip
    return failure_odds(design_of(f"{TIMER}[recovery.mechanism.tests]\n{lines}"))


@pytest.fixture(scope="module")
def loose():
    return scatter(design_of(LOOSE), FIELD, flights=400, seed=3, winds=False)


def test_a_loose_nose_is_early_or_never_far_oftener_than_judged(loose):
    odds = {name: one.value for name, one in loose.odds.items()}
    assert odds["not_opening"] == pytest.approx(0.05)  # jam and forgetting stay
    assert odds["release_never"] + odds["release_early"] > 0.3
    one = next(each for each in loose.findings if each.code == "release-goes-wrong")
    assert one.level in (Level.LOOK, Level.STOP)
    assert "never" in one.found
    assert "its mechanism never lets it out" in {what for what, _, _ in odds_rows(loose)}


def test_the_landings_are_told_by_how_they_came_down(loose):
    names = {name: len(rows) for name, rows in loose.landings.items()}
    assert names["the parachute comes out early"] > 100
    assert sum(names.values()) == loose.flights


def test_the_odds_of_all_kinds_of_return_make_one(loose):
    strata = loose.ground.strata
    assert sum(one.odds for one in strata) == pytest.approx(1.0, abs=1e-9)
    assert len({one.name for one in strata}) == len(strata)
    never = next(one for one in strata if one.name == "ballistic: the parachute stays in")
    assert never.odds > loose.odds["release_never"].value * 0.9


def test_a_timer_goes_wrong_no_oftener_than_judged_and_nothing_is_said():
    design = design_of(TIMER)
    found = scatter(design, FIELD, flights=300, seed=3, winds=False)
    assert sum(found.odds[name].value for name in found.odds if name.startswith("release")) < 0.05
    assert not [one for one in found.findings if one.code == "release-goes-wrong"]


def test_a_canopy_that_tears_slows_nothing():
    design = design_of('way = "side door"\ntrip = "tilt ball"\n', 'line_strength = "1 N ± 0.01 N"\n')
    batch = sample_batch(design, 0, 20, seed=1)
    flown = where_torn_falls(design, fly_batch)(batch)
    assert (came_to(design, batch, flown, np.zeros(20, np.int64)) == Mode.TORN).all()
    bare = batch.copy()
    bare["release"] = 2
    assert np.array_equal(flown["landing_speed_m_s"], fly_batch(bare)["landing_speed_m_s"])


def test_a_design_without_a_mechanism_is_flown_by_what_it_was_given():
    design = complete(parse_design(ROCKET.format(recovery="").replace("[recovery.mechanism]", "")))
    assert where_torn_falls(design, fly_batch) is fly_batch
    assert release_odds_findings(design, {}) is not None
    assert list(release_odds_findings(design, {})) == []
    assert set(failure_odds(design)) == {"fin_lost", "not_opening", "early_opening"}


@given(st.floats(0.0, 0.5), st.integers(0, 500), st.integers(0, 500))
def test_the_next_try_fails_between_what_was_judged_and_what_was_counted(judged, tries, failures):
    failures = min(failures, tries)
    new = after_tries(judged, tries, failures)
    seen = failures / tries if tries else judged
    assert min(judged, seen) - 1e-12 <= new <= max(judged, seen) + 1e-12
    assert after_tries(judged, 0, 0) == pytest.approx(judged)


def test_a_thousand_tries_are_believed():
    assert after_tries(0.05, 100_000, 1000) == pytest.approx(0.01, rel=0.01)
    assert WEIGHT == FEWEST_TRIES == 20


def test_worse_than_judged_counts_at_once():
    assert counted(tries=10, stuck=4)["not_opening"].value > 0.05
    assert counted(tries=10, early=3)["early_opening"].value > 0.03


@pytest.mark.parametrize(
    "tests",
    [
        {"tries": 19, "confirmed_by": "M. Ashgrove", "confirmed_on": "2027-03-30"},
        {"tries": 200},
        {"tries": 200, "confirmed_by": "M. Ashgrove"},
        {"tries": 200, "confirmed_on": "2027-03-30"},
    ],
)
def test_better_than_judged_needs_twenty_tries_and_somebody_who_confirms_them(tests):
    odds = counted(**tests)
    assert (odds["not_opening"].value, odds["early_opening"].value) == (0.05, 0.03)


def test_twenty_confirmed_tries_better_the_odds_but_for_what_no_test_shows():
    odds = counted(tries=20, confirmed_by="M. Ashgrove", confirmed_on="2027-03-30")
    jam = (0.05 - 0.01) / 0.99
    assert odds["not_opening"].value == pytest.approx(0.01 + 0.99 * 0.5 * jam)
    assert odds["early_opening"].value == pytest.approx(0.015)
    assert "M. Ashgrove on 2027-03-30" in odds["not_opening"].source
    many = counted(tries=10_000, confirmed_by="M. Ashgrove", confirmed_on="2027-03-30")
    assert many["not_opening"].value > 0.01, "forgotten arming stays"


def test_what_the_builder_states_has_the_last_word():
    text = f"{TIMER}[recovery.mechanism.tests]\ntries = 10\nstuck = 9\n[failures]\nnot_opening = \"2 %\"\n"
    assert failure_odds(design_of(text))["not_opening"].value == pytest.approx(0.02)


def test_unconfirmed_tests_are_shown_old_and_new():
    design = design_of(f"{TIMER}[recovery.mechanism.tests]\ntries = 40\n")
    one = next(iter(release_odds_findings(design, {"release_never": failure_odds(design)["fin_lost"]} | {
        name: failure_odds(design)["fin_lost"] for name in ("release_early", "release_late", "release_torn")})))
    assert one.code == "tests-not-confirmed"
    assert "from 5 % to" in one.found.replace("\u202f", " ")


def test_ballast_that_leaves_a_rocket_nose_first_counts_as_a_canopy_that_stays_in():
    shifts = 'kind = "tumble"\nballast = "clay"\nshift = "150 mm"'
    text = ROCKET.replace('kind = "parachute"\ndiameter = "500 mm"', shifts)
    design = complete(parse_design(text.format(recovery="") + TIMER.replace("side door", "latch")))
    found = scatter(design, FIELD, flights=200, seed=3, winds=False)
    assert found.odds["release_never"].value > 0.3
    assert "ballistic: the ballast stays ahead" in found.landings
    assert sum(one.odds for one in found.ground.strata) == pytest.approx(1.0, abs=1e-9)
    one = next(each for each in found.findings if each.code == "release-goes-wrong")
    assert "ballast shifts" in one.hazard
