"""What a fit means is said in plain words, and nothing is claimed from too little."""

from dataclasses import replace

import numpy as np
import pytest
from conftest_flights import CURLEW, folder_of

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.learn import misfits
from bottlewright.learn.carried import Drawn
from bottlewright.learn.coverage import Coverage, coverage
from bottlewright.learn.fit import Fit
from bottlewright.learn.inference import Data, Posterior
from bottlewright.learn.launches import FIGURES, Launch, Reading
from bottlewright.learn.meaning import CALLED, Known, known, together
from bottlewright.learn.misfits import odd_flights, patterns, wrong_numbers
from bottlewright.learn.unknowns import GAUGE, Unknown
from bottlewright.logbook.records import FlightFile
from bottlewright.project.learning import learn
from bottlewright.project.logbook import Logbook

DRAG, CANOPY, DELAY = "model.drag_factor", "recovery.drag_coefficient", "recovery.delay"


@pytest.fixture(scope="module")
def design():
    return bw.read(CURLEW / "rocket.toml").design


def fitted(design, launches, paths=(DRAG,), means=(0.0,), spreads=(0.5,), moves=None, before=(50.0, 4.0), off=()):
    """Return a fit whose answer is given: launches as lists of (what, value, ±), and how far each lies off after it."""
    asked = [one if isinstance(one, Unknown) else Unknown(one) for one in paths]
    flown = [Launch(f"2027-03-20-{number:02d}", design, [Reading(*one) for one in readings])
             for number, readings in enumerate(launches, 1)]  # fmt: skip
    value = np.array([reading.value for one in flown for reading in one.readings])
    draws = np.array(means) + np.array(spreads) * np.random.default_rng(1).normal(size=(4000, len(asked)))
    sigma = np.full(len(value), 1.0)
    shown = value - sigma * (np.array(off) if len(off) else np.zeros(len(value)))
    posterior = Posterior(draws, np.full(4000, 1 / 4000), np.tile(shown, (4000, 1)), np.array(means),
                          np.diag(np.square(spreads)), 0.5, 1, True)  # fmt: skip
    data = Data(value, sigma, np.full(len(value), 4.0), np.zeros((len(value), 0)))
    middle, wide = (np.broadcast_to(np.asarray(one, float), value.shape) for one in before)
    moves = np.ones((len(value), len(asked))) if moves is None else np.asarray(moves, float)
    return Fit(flown, asked, posterior, draws, [], [], data, (middle, wide), moves,
               Drawn(draws, np.zeros((4000, 0)), 1.0))  # fmt: skip


HEIGHT, TIME = ("height", 50.0, 1.5), ("time", 16.0, 0.3)


def test_drag_that_is_less_is_said_as_a_share_with_its_ends(design):
    old = design.model.drag_factor
    fit = fitted(design, [[HEIGHT]], means=[-0.12 / old.spread * old.value], spreads=[0.02 / old.spread * old.value])
    (one,) = known(fit)
    assert one.sentence().startswith("Drag: 12 % less than was assumed; nine times in ten 9 % to 15 % less. Its ± is ")
    assert one.low == pytest.approx(old.value * (0.88 - 1.645 * 0.02), abs=0.002)


def test_a_value_that_keeps_its_doubt_is_called_unlearned(design):
    (one,) = known(fitted(design, [[HEIGHT]], spreads=[0.95]))
    assert one.little
    assert "next to nothing" in one.sentence()
    assert "%" not in one.sentence()


def test_the_gauge_is_told_as_bar_more_or_less_than_it_said(design):
    (one,) = known(fitted(design, [[HEIGHT]], paths=[GAUGE], means=[1.0], spreads=[0.3]))
    assert one.before == 0.0
    assert "bar more than the gauge said" in one.sentence()


def test_a_value_beyond_what_was_thought_possible_is_doubted(design):
    (one,) = known(fitted(design, [[HEIGHT]], means=[3.0], spreads=[0.3]))
    assert "look for another cause" in one.sentence()


def test_one_height_cant_tell_drag_from_pressure(design):
    (one,) = together(fitted(design, [[HEIGHT]], [DRAG, GAUGE], [0.0, 0.0], [0.8, 0.8], [[-2.0, 1.0]]))
    assert one.words.startswith("One height can't tell drag and true pressure against the gauge apart")
    assert "measure the pressure better" in one.helps
    assert "the time to the highest point" in one.helps


def test_two_kinds_of_measurement_that_move_otherwise_part_them(design):
    assert not together(fitted(design, [[HEIGHT, TIME]], [DRAG, GAUGE], [0, 0], [0.8, 0.8], [[-2, 1], [1, 2]]))
    assert not together(fitted(design, [[HEIGHT]], [DRAG, GAUGE], [0, 0], [0.3, 0.8], [[-2, 1]])), "drag is known"


@pytest.mark.parametrize(("reading", "words"), [
    (("height", 164.0, 5.0), "as feet"), (("height", 15.24, 0.5), "as metres where feet were written"),
    (("height", 5.0, 0.2), "with the point moved"), (("time", 50_200.0, 300.0), "as milliseconds"),
    (("speed", 180.0, 5.0), "as km/h"),
])  # fmt: skip
def test_a_number_in_the_wrong_unit_is_noticed_and_said(design, reading, words):
    (said,) = wrong_numbers(fitted(design, [[reading]]))
    assert f"fits {words}" in said


def test_a_number_that_fits_in_no_unit_is_not_explained_away(design):
    assert not wrong_numbers(fitted(design, [[("height", 90.0, 2.0)]]))
    assert not wrong_numbers(fitted(design, [[("height", 55.0, 2.0)]]))


def test_swapped_columns_are_noticed(design):
    said = wrong_numbers(fitted(design, [[("height", 16.0, 0.3), ("time", 50.0, 1.5)]], before=([50, 16], [3, 1])))
    assert len(said) == 2
    assert "where the time in the air stands" in said[0]


def test_a_flight_that_does_not_belong_is_offered(design):
    fit = fitted(design, [[HEIGHT], [HEIGHT], [("height", 38.0, 1.5)], [HEIGHT]], off=[0.3, -0.2, -8.0, 0.1])
    (odd,) = odd_flights(fit)
    assert (odd.launch, odd.why) == ("2027-03-20-03", "its height is 8.0 times its ± too small")
    assert not patterns(fit), "one odd flight is no pattern"


def test_a_launch_that_needs_other_water_than_was_written_down_is_offered(design):
    asked = [DRAG, Unknown("charge.water", 1)]
    (odd,) = odd_flights(fitted(design, [[HEIGHT], [HEIGHT]], asked, [0, -3.2], [0.5, 0.3]))
    assert odd.launch == "2027-03-20-02"
    assert "less water than was written down" in odd.why


def test_times_that_never_fit_while_heights_do_are_a_pattern_and_nobodys_fault(design):
    fit = fitted(design, [[HEIGHT, TIME]] * 4, off=[0.2, 3.6, -0.3, 3.4, 0.1, 3.3, 0.0, 3.8])
    assert patterns(fit) == ["The height fits; the time in the air comes out greater than the fit makes it, flight "
                             "after flight: look at the wind or the canopy's opening."]  # fmt: skip
    assert not odd_flights(fit)


def test_every_kind_of_measurement_has_its_words():
    assert set(CALLED) == set(FIGURES)
    assert set(misfits._LOOK_AT) == set(FIGURES)
    assert set(misfits._READ_AS) == set(FIGURES) - {"bearing"}


# --- the honesty of the predictions -----------------------------------------------------------------------------------


def launched(number, height, water="480 mL"):
    return FlightFile.model_validate({
        "entry": f"{number:012x}", "day": "2027-03-20", "number": number, "rocket": "Curlew",
        "loaded": {"water": water},
        "prediction": {"made": "2027-03-20T09:00:00", "height": "50 m", "height_low": "46 m", "height_high": "54 m",
                       "water": "480 mL"},
        "measured": [{"what": "height", "value": height, "how": "two stations"}],
    })  # fmt: skip


def test_measurements_are_counted_inside_the_bands_that_were_foretold():
    # 46 and 54 m are 1.28 standard deviations off: 52 m lies inside a half (52.1), 55 m inside nine in ten (55.1).
    flights = [launched(n, f"{height} m") for n, height in enumerate((50, 52, 55, 56), 1)]
    (one,), apart = coverage(flights)
    assert (one.count, one.half, one.most, apart) == (4, 2, 3, 0)
    assert "too few" in one.sentence


def test_a_coarse_measurement_widens_the_band_it_is_held_against():
    (one,), _ = coverage([launched(1, "58 m ± 6 m")])
    assert one.most == 1


def test_a_launch_with_another_load_says_nothing_of_the_prediction():
    found, apart = coverage([launched(1, "80 m", water="300 mL")])
    assert (found, apart) == ([], 1)


def test_bands_that_miss_too_often_are_called_too_narrow():
    assert Coverage("height", 10, 4, 6).narrow
    assert not Coverage("height", 10, 4, 8).narrow
    assert not Coverage("height", 4, 0, 1).narrow, "four flights judge nobody"


# --- the whole of it --------------------------------------------------------------------------------------------------


def test_one_flight_in_feet_is_learned_from_said_and_not_kept(tmp_path):
    file = folder_of(tmp_path)
    project = bw.read(file)
    Logbook(file.parent).enter_flight(project, {"at": "2026-11-01T10:00:00"}, {"height": "174 m ± 5 m", "how": "x"})
    found = learn(project)
    words = " ".join(found.words().split())
    assert "It fits as feet" in words
    assert "One height can't tell" in words
    document = found.document()
    assert document["wrong_unit_or_column"]
    assert DELAY in document["nothing_learned_of"]
    assert CANOPY in document["nothing_learned_of"]
    assert set(found.pictures) == {"measured", "values"}
    with pytest.raises(InputError, match="nothing is kept"):
        found.keep()
    assert not (file.parent / "logbook" / "learned").exists()
    with pytest.raises(InputError, match="there is no launch 2020-01-01-01 to leave out"):
        learn(project, ["2020-01-01-01"])


def test_a_value_that_stayed_where_it_was_is_said_to_be_as_it_was_thought():
    same = Known(CANOPY, "drag of the canopy", 0.75, 0.08, 0.751, 0.68, 0.82, 0.6, 0.01, "the table thought")
    assert same.sentence().startswith("Drag of the canopy: as the table thought; nine times in ten between 9 % less")
    assert "7 % less than the table thought" in replace(same, after=0.7).sentence()
