"""Which launch and which measurement come next: by the flight engine, and in words."""

import numpy as np
import pytest
from conftest_flights import CURLEW, folder_of, true_flights, written_down

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.learn import inference
from bottlewright.project.learning import learn
from bottlewright.project.next_launch import next_of


@pytest.fixture(scope="module")
def flown(tmp_path_factory):
    """One measured height, from a fit with fewer draws than usual."""
    file = folder_of(tmp_path_factory.mktemp("next"))
    project = bw.read(file)
    written_down(file, true_flights(project.design, 1, drag_factor=1.2), times=None)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(inference, "_DRAWS", 300)
        patch.setattr(inference, "_MORE", 500)
        found = learn(project)
    found.next  # noqa: B018
    return found


def single(found, name):
    return next(one for one in found.next.found.options
                if [each.name for each in one.with_] == [name] and one.load == "the same load")  # fmt: skip


def test_each_launch_leaves_less_doubt_and_none_less_than_what_differs_from_launch_to_launch(flown):
    ahead = flown.next.found
    assert len(ahead.options) > 30
    assert all(ahead.floor < one.height <= 1.001 * ahead.height for one in ahead.options)
    assert ahead.floor_by_pressure < ahead.floor
    assert ahead.options[0].height == min(one.height for one in ahead.options)


def test_the_height_tells_of_the_height_and_the_time_of_the_time(flown):
    height, time = single(flown, "angles"), single(flown, "two stopwatches")
    assert height.height < 0.95 * flown.next.found.height
    assert (height.height < time.height, time.time < height.time) == (True, True)
    assert time.time < single(flown, "stopwatch").time


def test_what_is_measured_again_is_what_repeating_gives(flown):
    assert flown.next.found.repeat.height == pytest.approx(single(flown, "angles").height)


def test_a_second_gauge_parts_pressure_from_drag_better_than_another_height(flown):
    (group,) = [one for one in flown.meant.together if "charge.pressure" in one.paths]
    assert "measure the pressure better" in group.sentence
    option, left = flown.next.found.parted["charge.pressure"]
    assert "second gauge" in [one.name for one in option.with_]
    assert left < 0.8


def test_no_load_has_more_pressure_than_planned(flown):
    planned = flown.project.value("charge.pressure").value
    assert flown.next.loads["the same load"].endswith("at 4.5 bar")
    for words in flown.next.loads.values():
        assert float(words.split(" at ")[1].split(" ")[0]) * 1e5 <= planned + 1.0


def test_it_is_said_in_words_with_what_repeating_gives(flown):
    said = " ".join(flown.next.sentences())
    assert "nine in ten of the launches after it then lie within ±" in said
    assert "read its height by angles" in said
    assert "However often you launch, ±" in said
    assert "To tell apart what these flights can't" in said
    assert "look at its own verdict and landings" in said
    rows = flown.next.rows()
    assert [rows[0].what, rows[1].what] == ["nothing is launched", "measure what was measured last time"]
    assert flown.document()["next"]["best"]["height_within_m"] < flown.document()["next"]["height_within_m"]


def test_without_a_water_test_no_launch_is_offered(flown):
    untested = flown.project.changed({"vessel.proof": None, "vessel.proof.pressure": None})
    ahead = next_of(untested, flown.fit, [])
    assert ahead.found is None
    assert "No launch is offered, because the verdict says stop: the bottle can burst" in ahead.why_not[0]
    assert ahead.document() == {"offered": False, "why_not": list(ahead.why_not)}


def test_a_plan_over_what_is_allowed_is_offered_no_launch(flown):
    ahead = next_of(flown.project.changed({"charge.pressure": "6 bar"}), flown.fit, [])
    assert ahead.found is None


def test_a_load_with_less_static_margin_than_is_asked_is_not_offered(flown):
    assert "more water" not in flown.next.loads
    (said,) = [one for one in flown.next.why_not if one.startswith("More water, 460 mL at 4.5 bar, is not offered. ")]
    assert "The rocket may swing or tumble" in said
    assert "at least 1 calibre" in said


def test_a_design_with_less_static_margin_than_is_asked_is_told_so_before_any_advice(flown):
    ahead = next_of(flown.project.changed({"charge.water": "460 mL"}), flown.fit, [], ["angles"])
    said = next(ahead.sentences())
    assert said.startswith("The rocket may swing or tumble")
    assert said.endswith("look at that before anybody launches 460 mL at 4.5 bar again.")
    assert "more water" not in ahead.loads


def test_an_instrument_that_nobody_knows_is_refused():
    with pytest.raises(InputError, match="nobody knows the instrument 'ruler'"):
        learn(bw.read(CURLEW / "rocket.toml"), at_hand=["ruler"])


def test_draws_of_all_values_are_those_that_fit_when_they_are_flown(flown):
    from bottlewright.learn.fit import predictions
    from bottlewright.learn.unknowns import unknowns_of

    drawn, launches = flown.fit.drawn, flown.fit.launches
    every = unknowns_of([one.design for one in launches])
    heights = predictions(launches, every, drawn.scores)[:, 0] * (1.0 + 0.02 * drawn.missed[:, 0])
    off = (heights - launches[0].readings[0].value) / flown.fit.data.sigma[0]
    assert drawn.share > inference.ENOUGH
    assert np.quantile(np.abs(off), 0.9) < 2.5
    assert abs(np.mean(off)) < 0.5
