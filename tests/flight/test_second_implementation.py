"""The engine against the flight written a second time (second_implementation.py)."""

import math
from pathlib import Path

import numpy as np
import pytest
from second_implementation import fly_again

from bottlewright.design.completion import complete
from bottlewright.design.reading import read_design
from bottlewright.flight.craft import CRAFT, prepare
from bottlewright.flight.fly import fly_plan
from bottlewright.flight.plan import plan_of

EXAMPLES = Path(__file__).parents[2] / "examples"

CASES = {
    "curlew, tilted, in wind": ("curlew", []),
    "dabchick from a launch tube, cross wind": (
        "dabchick",
        ['launcher.tube_length="0.2 m"', 'launcher.tube_diameter="20 mm"', 'launcher.tilt="6 deg"',
         'launcher.heading="130 deg"', 'weather.wind_speed="3 m/s"', 'weather.wind_from="300 deg"'],
    ),
    "curlew, canted fins, dry gas, ballistic": (
        "curlew",
        ['fins.cant="1.5 deg"', 'model.gas="dry"', 'recovery.kind="none"'],
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_a_flight_written_twice_is_the_same_flight(case):
    name, overrides = CASES[case]
    plan = plan_of(complete(read_design(EXAMPLES / name / "rocket.toml", overrides)))
    plan["turbulence"], plan["tolerance"] = 0, 1e-12
    ours = fly_plan(plan[0]).summary
    craft = np.zeros(1, CRAFT)
    assert prepare(plan[0], False, craft[0])
    second = fly_again(craft[0])
    assert len(second) > 15
    off = {key: ours[key] / value - 1.0 for key, value in second.items() if abs(value) > 1e-3}
    worst = max(off, key=lambda key: abs(off[key]))
    assert not math.isnan(off[worst])
    assert abs(off[worst]) < 1e-7, (worst, off)
