"""A study works out the best load beside the landings."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from bottlewright.design import complete, read_design
from bottlewright.flight.batch import fly_batch
from bottlewright.project.watch import watching
from bottlewright.study import tuning
from bottlewright.tune.advice import advise
from bottlewright.tune.pressure_limit import ceiling_of

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="module")
def design():
    return complete(read_design(CURLEW, ["tune.flights=8", 'tune.vary=["water"]']))


def test_the_best_load_beside_other_work_is_that_without(design):
    alone = advise(design, ceiling_of(design))
    with tuning(design, CURLEW, fly_batch) as advised:
        beside = advised.result()
    assert beside.point.tobytes() == alone.point.tobytes()
    assert (beside.worth, beside.flown) == (alone.worth, alone.flown)


def test_where_the_other_work_fails_the_search_flies_no_further(design):
    begun, flown = threading.Event(), []

    def fly(batch):
        flown.append(len(batch))
        begun.set()
        return fly_batch(batch)

    def fail():
        begun.wait(10.0)
        raise ValueError("no field")

    with pytest.raises(ValueError, match="no field"), tuning(design, CURLEW, fly) as advised:
        fail()
    assert isinstance(advised.exception(), KeyboardInterrupt)
    assert len(flown) <= 2


def test_an_engine_that_somebody_gives_never_has_two_batches_at_once():
    inside, most = [], []

    def fly(batch):
        inside.append(batch)
        most.append(len(inside))
        time.sleep(0.01)
        inside.remove(batch)
        return batch

    with watching(None, None, fly) as watch, ThreadPoolExecutor(4) as pool:
        assert list(pool.map(watch.fly, range(8))) == list(range(8))
    assert set(most) == {1}
