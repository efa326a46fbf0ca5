"""The ± that is assumed where none is written moves no nominal flight, and every drawn one."""

import re
from pathlib import Path

import numpy as np

from bottlewright.design import complete, parse_design
from bottlewright.flight.batch import sample_batch
from bottlewright.flight.parameters import parameters_of

DABCHICK = (Path(__file__).parents[2] / "examples" / "dabchick" / "rocket.toml").read_text(encoding="utf-8")


def test_assumed_spreads_move_the_draws_and_not_the_nominal_flight():
    exact = re.sub(r'= "(\d[^"±]*)"', r'= "\1 ± 0"', DABCHICK)
    assert exact.count("± 0") > DABCHICK.count("± 0")
    silent, sure = complete(parse_design(DABCHICK)), complete(parse_design(exact))
    assert parameters_of(silent).tobytes() == parameters_of(sure).tobytes()
    drawn = [sample_batch(design, 0, 500, seed=1)["water"] for design in (silent, sure)]
    assert np.std(drawn[0]) > 0.02 * 6e-4
    assert np.ptp(drawn[1]) == 0.0
