"""A measured static firing: record 301-1 of 9 March 2020; numbers and source in data/static_firing.toml."""

import pytest
from firings import bench, mean_thrust, record

DATA = record()
TOTAL, TIME, LATE = (DATA["bounds"][k] for k in ("impulse_total_N_s", "water_time_s", "mean_thrust_120_160_ms_N"))


@pytest.fixture(scope="module")
def fitted():
    """Breakthrough and coefficients by least squares on the record without its first 20 ms."""
    return bench(**DATA["fit"])


@pytest.fixture(scope="module", params=["moist", 1.4])
def ideal(request):
    """No loss, no breakthrough."""
    return bench(gas=request.param)


def test_breakthrough_reaches_the_total_impulse(fitted):
    assert fitted.summary["impulse_total_N_s"] == pytest.approx(TOTAL[0], abs=TOTAL[1])


def test_breakthrough_reaches_the_duration_of_the_water(fitted):
    assert fitted.summary["water_time_s"] == pytest.approx(TIME[0], abs=TIME[1])


def test_breakthrough_reaches_the_late_thrust(fitted):
    assert mean_thrust(fitted, 0.12, 0.16) == pytest.approx(LATE[0], abs=LATE[1])


def test_breakthrough_reaches_the_tail(fitted):
    """Impulse 1.33 N s over about 115 ms: air alone gives 0.2 N s in 24 ms."""
    assert fitted.summary["impulse_tail_N_s"] == pytest.approx(DATA["measured"]["impulse_tail_N_s"], rel=0.1)
    assert fitted.summary["tail_time_s"] == pytest.approx(DATA["measured"]["tail_time_s"], rel=0.1)


def test_mean_thrust_after_the_first_20_ms_is_within_three_newtons(fitted):
    for start, end, force in DATA["measured"]["mean_thrust_N"][1:]:
        assert mean_thrust(fitted, start, end) == pytest.approx(force, abs=3.0)


def test_the_first_20_ms_are_missed():
    """Measured 103 N, ours about 144 N: the stand's release takes time, which no coefficient of the jet can mend.

    The miss is held here, so that nobody tunes it away unawares.
    """
    start, end, force = DATA["measured"]["mean_thrust_N"][0]
    assert mean_thrust(bench(**DATA["fit"]), start, end) > 1.3 * force


def test_values_of_the_fit_make_sense():
    """The neck is a short tube: 0.82 by Unwin, less for its roughness; gas breaks through with about a fifth left."""
    fit = DATA["fit"]
    assert 0.72 < fit["velocity_coefficient"] < 0.87
    assert 0.1 < fit["breakthrough"] < 0.3
    assert 1.0 < fit["slip"] < 5.0
    assert 0.6 < fit["spray_coefficient"] < 0.9


def test_the_ideal_model_lands_above_the_record(ideal):
    total = ideal.summary["impulse_total_N_s"]
    assert total > TOTAL[0] + 4 * TOTAL[1]
    assert 16.0 < total < 17.0


def test_two_thirds_of_the_ideal_water_impulse_are_measured(ideal):
    share = DATA["measured"]["impulse_water_N_s"] / ideal.summary["impulse_water_N_s"]
    assert share == pytest.approx(2 / 3, abs=0.05)


def test_quasi_steady_ideal_model_has_nearly_the_same_impulse(ideal):
    steady = bench(jet="quasi-steady").summary["impulse_total_N_s"]
    assert steady == pytest.approx(ideal.summary["impulse_total_N_s"], rel=0.02)
