"""Compile once what most tests fly with, before each of the workers would do it for itself.

Two processes share it (`bottlewright.flight.ahead`), and what they keep on disk is read by all tests after.
"""

from pathlib import Path

from bottlewright.design import complete, read_design
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.fly import fly

if __name__ == "__main__":
    curlew = complete(read_design(Path(__file__).parents[1] / "examples" / "curlew" / "rocket.toml"))
    fly(curlew)
    fly_batch(sample_batch(curlew, 0, 2, seed=1))
