"""Many flights of one load, flown no further than it takes to know that it is beyond a limit."""

import numpy as np
import pytest

from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.flight.batch import sample_batch
from bottlewright.flight.summary import SUMMARY
from bottlewright.tune.aims import aim_of
from bottlewright.tune.search import merit
from bottlewright.tune.trials import Workbench, inside_the_field, limits_of, stability
from bottlewright.tune.variables import variables_of

FLIGHTS = 200


@pytest.fixture
def bench():
    """Return a bench whose margin falls with the water and with what each flight draws, and how many it has flown."""
    design = complete(Design.model_validate({
        "vessel": {"bottle": "carbonated-1500"}, "fins": {"count": 3},
        "charge": {"water": "300 mL ± 30 mL", "pressure": "3 bar"}, "tune": {"vary": ["water"]},
    }))  # fmt: skip

    def fly(batch):
        notes = np.zeros(len(batch), SUMMARY)
        notes["apogee_m"] = 50.0
        notes["static_margin_min_calibres"] = 2.0 - 2.5 * batch["water"] * 1e3
        notes["guide_exit_speed_m_s"] = 20.0
        notes["landing_east_m"] = 1e6 * batch["water"]
        return notes

    aim, variables = aim_of(design.tune), variables_of(design, 4e5)
    batch = sample_batch(design, 0, FLIGHTS, seed=3)
    return Workbench(batch, variables, aim, limits_of(design, aim, None), fly)


@pytest.mark.parametrize("field", [False, True])
def test_what_the_worst_flights_settle_is_what_all_of_them_say(bench, field):
    if field:
        bench.held = [inside_the_field(lambda rows: 400.0 - rows[:, 0], 0.05)]
    present = np.array([0.3e-3])
    order = bench.worst_first(bench.flights(present[None]))
    kept = dropped = 0
    for water in np.linspace(0.2e-3, 0.5e-3, 61):
        point = np.array([water])
        every = bench.flights(point[None])
        inside = bool((bench.judge(point[None], every).slacks >= 0.0).all())
        found = bench.kept(point, order)
        assert (found is not None) == inside
        if found is not None:
            assert found.tobytes() == every.tobytes()
        kept, dropped = kept + inside, dropped + (not inside)
    assert kept > 10
    assert dropped > 10


def test_a_load_that_is_clearly_beyond_a_limit_costs_the_flights_that_it_grants_and_a_few(bench):
    order = bench.worst_first(bench.flights(np.array([[0.3e-3]])))
    before = bench.flown
    assert bench.kept(np.array([0.42e-3]), order) is None
    assert FLIGHTS // 10 < bench.flown - before <= FLIGHTS // 8


def test_the_first_flights_are_those_nearest_to_trouble(bench):
    bench.held = [stability(0.9)]
    flights = bench.flights(np.array([[0.3e-3]]))
    margins = flights["static_margin_min_calibres"][0][bench.worst_first(flights)]
    assert (np.diff(margins) >= 0.0).all()
    assert margins[0] < margins[-1]


@pytest.mark.parametrize("reach", [0.5, 0.9])
@pytest.mark.parametrize("aim", ["height", "nearest height"])
def test_a_trial_that_beats_another_is_known_by_all_its_flights_and_one_that_does_not_by_few(bench, aim, reach):
    plain = bench.fly

    def fly(batch):
        notes = plain(batch)
        notes["apogee_m"] = 60.0 - 400.0 * np.abs(batch["water"] * 1e3 - 0.35) + 5.0 * np.sin(1e7 * batch["land"])
        return notes

    bench.batch["land"] = np.linspace(0.0, 1e-5, FLIGHTS) ** 2 * 1e5
    bench.fly, bench.aim = fly, bench.aim._replace(name=aim, wanted=45.0, reach=reach)
    points = np.linspace(0.2e-3, 0.5e-3, 61)[:, None]
    merits = merit(bench.evaluate(points))
    for top in (points[int(merits.argmax())], points[20]):
        best = float(merit(bench.evaluate(top[None]))[0])
        before = bench.flown
        weighed = bench.weighed(points, top, best)
        assert (weighed[merits > best] == merits[merits > best]).all()
        assert (weighed[merits <= best] <= best).all()
    assert (merits > best).any()
    assert bench.flown - before < points.size * FLIGHTS


def test_beside_a_load_that_is_beyond_a_limit_all_trials_are_flown_to_the_end(bench):
    points = np.array([[0.3e-3], [0.45e-3]])
    merits = merit(bench.evaluate(points))
    assert merits[1] < 0.0
    assert (bench.weighed(points, points[1], float(merits[1])) == merits).all()
