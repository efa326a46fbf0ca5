"""Tune on a rocket whose flight is known on paper."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.wishes import EXAMPLES, wish_of
from bottlewright.findings import Level
from bottlewright.flight.batch import sample_batch
from bottlewright.flight.summary import SUMMARY
from bottlewright.quantities import QuantityError
from bottlewright.tune.advice import Ceiling, advise
from bottlewright.tune.summary_text import explanation, findings_of, more_pressure
from bottlewright.tune.variables import variables_of

BEST_WATER = 0.5e-3  # m³, whatever the pressure


def fly_on_paper(batch):
    """Height 12 m a bar, less 80 m for each litre squared off the best water; heavier ballast costs height."""
    notes = np.zeros(len(batch), SUMMARY)
    bar = batch["pressure_gauge"] / 1e5
    litres = (batch["water"] - BEST_WATER) * 1e3
    ballast = batch["extra_mass"].sum(axis=1)
    notes["apogee_m"] = 12.0 * bar - 80.0 * litres**2 - 50.0 * ballast
    notes["flight_time_s"] = 0.25 * notes["apogee_m"]
    notes["static_margin_min_calibres"] = 2.0 - 2.0 * batch["water"] * 1e3 + 20.0 * ballast
    notes["guide_exit_speed_m_s"] = 4.0 * bar
    notes["max_acceleration_m_s2"] = 100.0 * bar
    notes["landing_east_m"] = notes["apogee_m"]
    notes["landing_north_m"] = 0.0
    return notes


@pytest.fixture
def paper_design():
    def make(**tables):
        text = {
            "vessel": {"bottle": "carbonated-1500"},
            "fins": {"count": 3, "span": "100 mm"},
            "charge": {"water": "300 mL ± 10 mL", "pressure": "3 bar ± 0.1 bar"},
            "weather": {"wind_speed": "1 m/s"},
        }
        return complete(Design.model_validate(text | tables))

    return make


RATED = Ceiling(5e5, "a test allows no more")


def advice(design, ceiling=RATED, **more):
    return advise(design, ceiling, fly=fly_on_paper, **more)


def test_the_best_load_is_the_known_one_and_the_rating_holds_it_back(paper_design):
    found = advice(paper_design())
    assert found.point[1] == pytest.approx(5e5, rel=0.002)
    # The hill is flat at its top: 30 mL off costs 0.07 m, and the water's own ± is 10 mL.
    assert found.point[0] == pytest.approx(BEST_WATER, abs=3e-5)
    assert "the pressure of 5 bar, for a test allows no more" in found.holding
    assert found.gain[0] == pytest.approx(12.0 * 2.0 + 80.0 * 0.2**2, abs=0.3)
    assert found.gain[1] < found.gain[0] < found.gain[2]


def test_nine_flights_in_ten_pass_what_is_promised(paper_design):
    found = advice(paper_design(tune={"reach": "90 %"}))
    middle = advice(paper_design(tune={"reach": "50 %"}))
    assert found.worth == pytest.approx(found.height.low, abs=0.05)
    assert middle.worth == pytest.approx(middle.height.middle, abs=0.05)
    # a bar is 12 m, its ± 0.1 bar 1.2 m; the water costs a little more
    assert middle.worth - found.worth == pytest.approx(1.2816 * 1.2, rel=0.15)


def test_no_trial_passes_the_rating_even_when_the_builder_asks_for_more(paper_design):
    found = advice(paper_design(tune={"pressure": ["1 bar", "9 bar"]}))
    assert found.point[1] <= 5e5 * (1 + 1e-9)


def test_a_lower_pressure_of_the_builder_goes_before_the_rating(paper_design):
    found = advice(paper_design(tune={"most_pressure": "4 bar"}))
    assert found.point[1] == pytest.approx(4e5, rel=0.005)
    assert "tune.most_pressure" in found.holding[0]


def test_least_pressure_reaches_the_wanted_height_in_nine_flights_of_ten(paper_design):
    found = advice(paper_design(tune={"aim": "least pressure", "height": "36 m"}))
    needed = 3.0 + 1.2816 * 0.1  # bar, on paper, at the best water
    assert found.point[1] / 1e5 == pytest.approx(needed, abs=0.06)
    assert found.height.low == pytest.approx(36.0, abs=0.5)


def test_nearest_height_comes_close_to_it(paper_design):
    found = advice(paper_design(tune={"aim": "nearest height", "height": "30 m"}))
    assert found.height.middle == pytest.approx(30.0, abs=0.5)


def test_a_payload_limit_holds_the_pressure_down(paper_design):
    found = advice(paper_design(tune={"most_g": 40}))
    assert found.point[1] == pytest.approx(40 * 9.80665 / 100 * 1e5, rel=0.05)
    assert any("acceleration" in words for words in found.holding)


def test_the_static_margin_holds_the_water_down(paper_design):
    found = advice(paper_design(vessel={"bottle": "carbonated-1500"}, charge={"water": "300 mL", "pressure": "3 bar"},
                                tune={"water": ["600 mL", "900 mL"]}))
    assert found.unmet == ("static margin",)
    assert any(finding.code == "no-load-cures-it" for finding in findings_of(found))
    assert explanation(found, paper_design())[0].startswith("No load cures the static margin")
    assert "not for flying" in explanation(found, paper_design())[0]


def test_ballast_is_worth_it_where_the_margin_asks_for_it_and_not_otherwise(paper_design):
    spare = advice(paper_design(tune={"vary": ["water", "pressure", "ballast"]}))
    assert spare.point[2] < 0.01
    tight = advice(paper_design(tune={"vary": ["water", "pressure", "ballast"], "water": ["550 mL", "700 mL"]}))
    assert tight.point[2] > 0.004


def test_landing_inside_the_field_holds_the_height_down(paper_design):
    found = advice(paper_design(), room=(lambda rows: 30.0 - rows[:, 0], 0.02))
    assert found.height.high < 31.0
    assert any("landing inside the field" in words for words in found.holding)


def test_the_optimum_agrees_with_brute_force_over_the_map(paper_design):
    found = advice(paper_design())
    allowed = np.all([slack >= 0.0 for slack in found.map.slacks.values()], axis=0)
    assert found.worth >= found.map.worth[allowed].max() - 0.5


def test_the_front_rises_with_pressure_and_names_the_water(paper_design):
    found = advice(paper_design())
    heights = [point.height for point in found.front]
    assert heights == sorted(heights)
    assert found.front[-1].water == pytest.approx(0.5e-3, rel=0.06)


def test_the_spread_is_laid_to_the_value_that_makes_it(paper_design):
    found = advice(paper_design())
    assert found.sources.sources[0].path == "charge.pressure"
    assert found.sources.sources[0].total > 0.9
    assert "start with charge.pressure" in explanation(found, paper_design())[-1]


def test_the_same_seed_gives_the_same_answer(paper_design):
    first, second = advice(paper_design()), advice(paper_design())
    assert (first.point == second.point).all()
    assert first.gain == second.gain
    assert first.sources == second.sources


def test_the_words_give_the_numbers(paper_design):
    text = " ".join(explanation(advice(paper_design()), paper_design()))
    for words in ("Nine flights in ten", "5 bar of pressure", "instead of 300 mL of water and 3 bar of pressure",
                  "What holds it back", "A fifth less water costs", "a test allows no more"):
        assert words in text
    assert "safe" not in text


def test_a_step_that_would_gain_names_what_it_passes(paper_design):
    found = advice(paper_design(tune={"water": ["600 mL", "900 mL"], "pressure": ["3 bar", "4 bar"]}))
    assert found.steps["pressure"][1].past == ("the most pressure that you allow",)
    assert found.steps["water"][0].past == ("the least water that you allow",)
    text = " ".join(explanation(found, paper_design()))
    assert "but passes the most pressure that you allow" in text


def test_a_loss_is_told_as_the_price_of_the_limit_that_the_present_load_breaks(paper_design):
    found = advice(paper_design(charge={"water": "550 mL ± 10 mL", "pressure": "4 bar ± 0.1 bar"}), Ceiling(3e5, "r"))
    assert found.gain[0] < 0.0
    assert "the price of keeping to the limits of the static margin and the pressure" in explanation(
        found, paper_design())[0]


def test_less_than_the_rating_asked_for_by_the_builder_is_no_stop(paper_design):
    found = advice(paper_design(tune={"most_pressure": "2.5 bar"}))
    assert [finding.level for finding in findings_of(found) if "pressure" in finding.code] == [Level.LOOK]


def test_what_is_recommended_keeps_to_the_limits_in_many_flights_too(paper_design):
    """A margin that every flight draws for itself: the edge seen by 12 flights is not that of 240."""

    def noisy(batch):
        notes = fly_on_paper(batch)
        bar = batch["pressure_gauge"] / 1e5
        deviation = (batch["wind_speed"] - 1.0) / 0.4
        notes["static_margin_min_calibres"] = 3.0 - 0.5 * bar + 0.4 * deviation
        return notes

    for seed in range(1, 5):
        rocket = paper_design(weather={"wind_speed": "1 m/s ± 0.4 m/s"}, tune={"flights": 12, "seed": seed})
        found = advise(rocket, RATED, fly=noisy)
        assert found.slacks["static margin"] >= 0.0


def test_a_present_pressure_over_the_rating_is_a_stop(paper_design):
    found = advice(paper_design(), Ceiling(2.5e5, "a test allows no more"))
    (over,) = [finding for finding in findings_of(found) if finding.level is Level.STOP]
    assert over.code == "present-pressure-over-limit"


@pytest.mark.parametrize(
    ("tune", "words"),
    [
        ({"aim": "least pressure"}, "tune.height is missing"),
        ({"water": ["900 mL", "200 mL"]}, "tune.water leaves nothing to choose"),
        ({"pressure": ["6 bar", "9 bar"]}, "tune.pressure leaves nothing to choose"),
        ({"vary": []}, "tune.vary is empty"),
    ],
)
def test_what_can_not_be_tuned_is_refused_in_words(paper_design, tune, words):
    with pytest.raises(DesignError, match=words):
        advice(paper_design(tune=tune))


def test_ballast_moves_a_measured_balance_point_as_a_lever_does(paper_design):
    measured = {"dry_mass": "200 g", "balance_point": "240 mm"}
    design = paper_design(measured=measured, tune={"vary": ["ballast"]}, nose={"length": "200 mm"})
    (ballast,) = variables_of(design, 5e5)
    batch = sample_batch(design, 0, 3, seed=1, vary=False)[None, :]
    ballast.change(batch, np.array([[0.05]]))
    assert batch["measured_mass"] == pytest.approx(0.25)
    assert batch["measured_balance"] == pytest.approx((0.2 * 0.24 + 0.05 * 0.05) / 0.25)


def test_longer_fins_weigh_more_by_their_area(paper_design):
    design = paper_design(tune={"vary": ["fin span"]})
    (span,) = variables_of(design, 5e5)
    batch = sample_batch(design, 0, 1, seed=1, vary=False)[None, :]
    before = float(batch["fin_mass"][0, 0])
    span.change(batch, np.array([[0.15]]))
    assert float(batch["fin_mass"][0, 0]) == pytest.approx(1.5 * before)
    assert float(batch["measured_mass"][0, 0]) == 0.0
    assert math.isclose(float(batch["fin_span"][0, 0]), 0.15)


def test_a_bound_beyond_which_nothing_is_gained_holds_nothing_back(paper_design):
    """30 m are reached at 2.5 bar: a ceiling of 2.6 bar, just above it, is in nobody's way."""
    found = advice(paper_design(tune={"aim": "nearest height", "height": "31 m"}), Ceiling(2.6e5, "rated on a test"))
    assert found.steps["pressure"][1].change < 0.0
    assert not any("the pressure" in words for words in found.holding)


def test_a_limit_that_nothing_cures_is_told_with_its_number_and_how_near_a_load_comes(paper_design):
    tune = {"vary": ["water", "ballast"], "water": ["1000 mL", "1200 mL"], "ballast": ["0 g", "5 g"]}
    (cure,) = [one for one in findings_of(advice(paper_design(tune=tune))) if one.code == "no-load-cures-it"]
    assert "at least 1 calibre" in cure.limit
    assert "beyond it" in cure.found
    assert "nothing that `tune` can change reaches it" in cure.remedy


def wanting(*want, **tune):
    return {"want": list(want), "flights": 24, **tune}


def test_a_time_in_the_air_is_asked_for_in_words_and_kept(paper_design):
    found = advice(paper_design(tune=wanting("at least 9 s in the air", "as little pressure as will do",
                                             "at least 20 m high")))
    assert found.aim.name == "least pressure"
    assert found.aim.wanted == pytest.approx(20.0)
    assert found.slacks["time in the air"] >= 0.0
    assert found.hang.low >= 9.0


def test_what_a_payload_stands_holds_the_pressure_down(paper_design):
    found = advice(paper_design(tune=wanting("as high as it goes", "at most 40 g")))
    assert found.felt.high <= 40.5 * 9.80665
    assert found.point[1] == pytest.approx(40 * 9.80665 / 100.0 * 1e5, rel=0.08)
    assert any("tune.want, yours" in words for words in found.holding)


def test_a_wish_that_no_load_fulfils_says_so_why_and_what_would_reach_it(paper_design):
    design = paper_design(vessel={"bottle": "carbonated-1500"},
                          tune=wanting("nearest to 30 m", "at least 12 s in the air", most_pressure="2.5 bar"))
    found = advice(design)
    beyond, = found.out_of_reach
    assert beyond.held.says == "at least 12 s in the air"
    assert beyond.cure == ""  # on paper only pressure buys height, and nobody may pass the most pressure
    assert "Out of reach: the time in the air" in explanation(found, design)[0]
    assert "s. Change the rocket or the site" in explanation(found, design)[0]


def test_what_would_reach_it_is_a_change_that_does(paper_design):
    found = advice(paper_design(fins={"count": 3, "span": "100 mm"}, charge={"water": "300 mL", "pressure": "3 bar"},
                                tune=wanting("as high as it goes", water=["600 mL", "900 mL"])))
    beyond, = found.out_of_reach
    assert beyond.held.name == "static margin"
    assert "of ballast" in beyond.cure


def test_the_advice_is_never_worse_than_the_present_load_and_its_table_agrees(paper_design):
    design = paper_design(charge={"water": "480 mL", "pressure": "5 bar"}, tune={"flights": 8})
    # On paper 480 mL lies well inside the static margin's limit, and 500 mL right on it.
    found = advice(design)
    assert found.worth >= found.present_worth
    assert found.worth >= max(top.height for top in found.front) - 1e-9


@pytest.mark.parametrize("text", ["at least 5 kg", "quickly", "at least 4 bar", "at least 5 m/s", "at most 0 s"])
def test_a_wish_that_is_not_understood_is_refused_with_one_that_is(text):
    with pytest.raises(QuantityError, match="write such as"):
        wish_of(text)


@pytest.mark.parametrize("text", EXAMPLES)
def test_each_example_of_a_wish_is_understood(text):
    assert wish_of(text).text == text


def test_two_aims_are_refused(paper_design):
    with pytest.raises(DesignError, match="more than one aim"):
        advice(paper_design(tune=wanting("nearest to 30 m", "as high as it goes")))


def test_a_present_pressure_that_a_second_test_could_cover_is_no_stop(paper_design):
    found = advice(paper_design(), Ceiling(2.5e5, "a first test allows no more", first_test=4.3e5, in_the_end=9e5))
    assert [one.level for one in findings_of(found) if one.code == "present-pressure-over-limit"] == [Level.LOOK]


def test_a_load_with_more_pressure_than_now_says_from_what_to_what_and_where_it_ends(paper_design):
    found = advice(paper_design(), Ceiling(4.5e5, "a test allows no more"))
    index = [one.name for one in found.variables].index("pressure")
    said, before = more_pressure(found), found.present[index]
    assert bool(said) == (found.point[index] > before)
    lower = replace(found, present=np.where(np.arange(len(found.present)) == index, 1e5, found.present))
    assert "It raises the pressure: 1 bar → " in more_pressure(lower)
    assert more_pressure(lower).endswith("never over 4.5 bar")
    higher = replace(found, present=np.where(np.arange(len(found.present)) == index, 9e5, found.present))
    assert more_pressure(higher) == ""
