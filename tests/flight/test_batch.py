"""Many flights: the same whatever the portions they are flown in, and no heavier than their summaries."""

from pathlib import Path

import numpy as np
import pytest

from bottlewright.design import complete, read_design
from bottlewright.design.document import Design
from bottlewright.flight import batch
from bottlewright.flight.batch import fly_batch, fly_many, sample_batch

CURLEW = Path(__file__).parents[2] / "examples/curlew/rocket.toml"


@pytest.fixture(scope="module")
def curlew() -> Design:
    return complete(read_design(CURLEW, ()))


@pytest.mark.parametrize("portion", [7, 20, 64])
def test_flights_are_the_same_to_the_last_bit_whatever_the_portion(
    curlew: Design, portion: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = fly_batch(sample_batch(curlew, 0, 20, seed=5))
    monkeypatch.setattr(batch, "_SAMPLES", portion)
    assert fly_many(curlew, 20, seed=5).tobytes() == whole.tobytes()


@pytest.mark.parametrize("portion", [4, 10])
def test_a_value_per_flight_stays_with_its_flight(
    curlew: Design, portion: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    water = np.linspace(200e-6, 600e-6, 10)
    monkeypatch.setattr(batch, "_SAMPLES", portion)
    flights = fly_many(curlew, 10, values={"charge.water": water}, vary=False)
    singly = [fly_many(curlew, 1, values={"charge.water": one}, vary=False)["apogee_m"][0] for one in water]
    assert flights["apogee_m"].tolist() == singly


def test_a_stopped_batch_hands_over_the_flights_of_every_portion(
    curlew: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = fly_many(curlew, 12, seed=5, threads=1)
    seen = 0

    def stop(done: int) -> None:
        nonlocal seen
        seen += done
        if seen == 8:
            raise KeyboardInterrupt

    monkeypatch.setattr(batch, "_SAMPLES", 4)
    with pytest.raises(KeyboardInterrupt) as stopped:
        fly_many(curlew, 12, seed=5, threads=1, progress=stop)
    assert stopped.value.args[0].tobytes() == whole[:8].tobytes()


def test_one_thread_and_two_fly_the_same(curlew: Design) -> None:
    assert fly_many(curlew, 150, threads=1).tobytes() == fly_many(curlew, 150, threads=2).tobytes()
