"""Tune on the real engine: the optimum of Curlew's water and pressure against brute force."""

from pathlib import Path

import numpy as np
import pytest

from bottlewright.design import complete, read_design
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.fly import fly
from bottlewright.proof.prove import prove
from bottlewright.tune.advice import advise
from bottlewright.tune.aims import aim_of
from bottlewright.tune.pressure_limit import ceiling_of
from bottlewright.tune.search import grid_points
from bottlewright.tune.trials import Workbench, guide_speed, stability
from bottlewright.tune.variables import variables_of

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="module")
def design():
    return complete(read_design(CURLEW, ["tune.flights=8"]))


@pytest.fixture(scope="module")
def advice(design):
    return advise(design, ceiling_of(design))


def test_no_load_of_a_fine_grid_inside_the_limits_does_better(design, advice):
    variables = variables_of(design, advice.ceiling.pressure)
    held = [stability(0.9), guide_speed(design.weather.wind_speed.value, 0.9)]
    bench = Workbench(sample_batch(design, 0, 8, seed=1), variables, aim_of(design.tune), held, fly_batch)
    grid = grid_points([(variable.low, variable.high) for variable in variables], [41, 11])
    tried, found = bench.evaluate(grid), bench.evaluate(advice.point[None, :])
    inside = (tried.slacks >= 0.0).all(axis=1)
    assert inside.any()
    assert (found.slacks >= 0.0).all()
    assert found.worth[0] >= tried.worth[inside].max() - 0.1


def test_the_recommended_load_never_passes_the_rating(design, advice):
    pressure = dict(zip([variable.name for variable in advice.variables], advice.point, strict=True))["pressure"]
    assert pressure <= ceiling_of(design).pressure * (1 + 1e-9)


def test_the_recommended_load_leaves_room_for_gauge_and_pump(advice):
    """Prove looks at a plan whose ± reaches over the rating; what Tune recommends gets no such look."""
    pressure = dict(zip([variable.name for variable in advice.variables], advice.point, strict=True))["pressure"]
    charged = complete(read_design(CURLEW, [f'charge.pressure="{pressure / 1e5:.4f} bar ± 0.15 bar"']))
    assert "rating-within-error" not in {finding.code for finding in prove(charged).findings}


def test_the_seal_spreads_the_start_of_the_water_that_a_payload_bears():
    """Let go at once, 4.5 bar on the water's surface give over 400 m/s²; behind a gap that opens, two thirds of it."""
    greatest, jolt = (
        fly(complete(read_design(CURLEW, sets))).summary["max_acceleration_m_s2"]
        for sets in ([], ['launcher.stroke="0 mm"'])
    )
    assert jolt > 400.0
    assert 150.0 < greatest < 0.7 * jolt


def test_more_flights_move_the_promise_by_its_sampling_error_only(design, advice):
    """Common random numbers: the same flights again give the same spread; other flights one within a metre or two."""
    again = advise(design, ceiling_of(design))
    assert (again.point == advice.point).all()
    other = advise(complete(read_design(CURLEW, ["tune.flights=8", "tune.seed=2"])), ceiling_of(design))
    assert other.height.middle == pytest.approx(advice.height.middle, abs=3.0)
    assert np.isfinite(other.gain).all()
