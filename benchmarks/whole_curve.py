"""What the whole curve of an altimeter would tell beside the four figures that are read from it.

    python benchmarks/whole_curve.py        print the table

Curlew's flight by slopes (one ± of each value of the design), 22 heights of coast and descent. Rows are off by 0.17 m
each, and together by what the instrument and the model do: port 0.3·v²/2g, lag 0.05 s, drift of 0.4 m, 3 % of the
height, 6 ms of the release, gusts, `MODEL_MISSES`, and a shape that the model misses, 1 % of the height over a second.
Takes about ten seconds.
"""

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design import complete, read_design
from bottlewright.flight.fly import fly_parameters
from bottlewright.learn.fit import MODEL_MISSES
from bottlewright.learn.unknowns import unknowns_of, varied

ROCKET = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"
FIGURES = {"apogee_m": ("height", 1.1), "apogee_time_s": ("time up", 0.07), "flight_time_s": ("time", 0.08),
           "sinking_speed_m_s": ("sinking", 0.35)}  # fmt: skip
NAMED = ("model.drag_factor", "charge.pressure", "recovery.drag_coefficient")
GRAVITY, GUSTS = 9.80665, 40

Floats = NDArray[np.float64]


def flown(parameters: Any, at: Floats) -> Floats:
    """Return the four figures and the heights at some times of one flight."""
    flight = fly_parameters(parameters, series=True)
    heights = np.interp(at, flight.series["time_s"], flight.series["height_m"])
    return np.concatenate([[flight.summary[name] for name in FIGURES], heights])


def main() -> None:
    """Print the table."""
    design = complete(read_design(ROCKET))
    every = unknowns_of([design])
    count = len(every)
    middle = fly_parameters(varied(design, 0, every, np.zeros((1, count)))[0], series=True)
    up, down = middle.summary["apogee_time_s"], middle.summary["flight_time_s"]
    at = np.concatenate([np.linspace(0.6, up, 10), np.linspace(up, down - 0.3, 13)[1:]])
    steps = np.concatenate([np.eye(count), -np.eye(count)])
    rows = np.array([flown(one, at) for one in varied(design, 0, every, steps)])
    slopes = np.nan_to_num(0.5 * (rows[:count] - rows[count:])).T
    gusts = varied(design, 0, (), np.zeros((GUSTS, 0)))
    gusts["index"] = np.arange(1, GUSTS + 1)
    blown = np.cov(np.array([flown(one, at) for one in gusts]).T)
    size = len(FIGURES)
    figures = np.array([middle.summary[name] for name in FIGURES])
    read = np.array([off for _, off in FIGURES.values()])
    missed = np.array([np.hypot(*MODEL_MISSES[what]) for what, _ in FIGURES.values()]) * figures
    noise = {"four figures": (slopes[:size], np.diag(read**2 + missed**2) + blown[:size, :size])}
    height = np.interp(at, middle.series["time_s"], middle.series["height_m"])
    speed = np.interp(at, middle.series["time_s"], middle.series["velocity_up_m_s"])
    alone = 0.17**2 * np.eye(len(at)) + blown[size:, size:]
    misses = {what: float(np.hypot(*each)) for what, each in MODEL_MISSES.items()}
    together = [0.3 * speed**2 / (2.0 * GRAVITY), 0.05 * speed, 0.4 * at / down, 0.03 * height, 0.006 * speed,
                misses["height"] * height, misses["time up"] * np.minimum(at, up) * speed,
                misses["time"] * np.maximum(at - up, 0.0) * speed]  # fmt: skip
    shape = (0.01 * height.max()) ** 2 * np.exp(-0.5 * (at[:, None] - at) ** 2)
    honest = alone + shape + sum(np.outer(one, one) for one in together)
    noise |= {"whole curve": (slopes[size:], honest), "whole curve, rows taken as if alone": (slopes[size:], alone)}
    own = np.array([one.launch is None for one in every])
    print(f"| learned from | {' | '.join(NAMED)} | next height |\n| --- | {'---: | ' * (len(NAMED) + 1)}")
    for name, (moved, off) in noise.items():
        left = np.linalg.inv(np.eye(count) + moved.T @ np.linalg.solve(off, moved))
        parts = [np.sqrt(left[n, n]) for path in NAMED
                 for n, one in enumerate(every) if one.path == path and one.launch is None]  # fmt: skip
        known = np.eye(count)
        known[np.ix_(own, own)] = left[np.ix_(own, own)]
        ahead = np.sqrt(slopes[0] @ known @ slopes[0] / (slopes[0] @ slopes[0]))
        print(f"| {name} | {' | '.join(f'{one:.2f}' for one in (*parts, ahead))} |")


if __name__ == "__main__":
    main()
