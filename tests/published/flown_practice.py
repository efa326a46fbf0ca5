"""What builders say, and one table of ranges, against ordinary rockets of the examples flown by the engine."""

from pathlib import Path
from typing import NamedTuple

import numpy as np
from comparison import Row
from numpy.typing import NDArray

from bottlewright.design.completion import complete
from bottlewright.design.reading import read_design
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.parameters import parameters_of

EXAMPLES = Path(__file__).parents[2] / "examples"
STILL = 'weather.wind_speed="0 m/s"'
ROCKETS = (("dabchick", "4 bar"), ("dabchick", "5.5 bar"), ("curlew", "4 bar"), ("curlew", "5.5 bar"))
PSI, NASA_M = (20, 40, 60, 80), (26.0, 51.0, 77.0, 102.0)
NASA = "NASA's range table by pressure; rocket, water and angle not stated"
TOO_FAR = "another rocket: Dabchick, with a smooth wide neck, flies farther than the table's"
MISSES_M = {30: (5.74, 13.68, 11.21, None), 45: (12.12, 27.48, 31.16, 29.22)}
"""How much farther Dabchick flies than the table, m, where it is more than 10 %."""


class Fill(NamedTuple):
    """Apogee of one rocket by the share of its vessel that is filled."""

    rocket: str
    pressure: str
    share: NDArray[np.float64]
    apogee_m: NDArray[np.float64]

    @property
    def best(self) -> float:
        return float(self.share[np.argmax(self.apogee_m)])

    @property
    def third(self) -> float:
        """Apogee at a third, as a part of the greatest."""
        return float(np.interp(1 / 3, self.share, self.apogee_m) / self.apogee_m.max())


def fills() -> list[Fill]:
    """Fly each rocket straight up in still air with 10 to 70 % of water."""
    found = []
    for name, pressure in ROCKETS:
        sets = [STILL, 'launcher.tilt="0 deg"', f'charge.pressure="{pressure}"']
        batch = parameters_of(complete(read_design(EXAMPLES / name / "rocket.toml", sets)), 61)
        share = np.linspace(0.10, 0.70, 61)
        batch["water"] = share * batch["vessel_volume"]
        found.append(Fill(name.capitalize(), pressure, share, fly_batch(batch)["apogee_m"]))
    return found


def ranges(tilt_deg: float, psi: tuple[float, ...] = PSI) -> NDArray[np.float64]:
    """Range of Dabchick, a third full, in still air, by gauge pressure, m."""
    found = []
    for pressure in psi:
        sets = [STILL, f'launcher.tilt="{tilt_deg} deg"', f'charge.pressure="{pressure} psi"', 'charge.water="667 mL"']
        note = fly_batch(parameters_of(complete(read_design(EXAMPLES / "dabchick" / "rocket.toml", sets))))[0]
        found.append(float(np.hypot(note["landing_east_m"], note["landing_north_m"])))
    return np.array(found)


def third_full() -> list[Row]:
    practice = "common practice, no source"
    rows = []
    for fill in fills():
        name = f"{fill.rocket} at {fill.pressure}: "
        rows += [
            Row(name + "fill with the greatest height", practice, "of the vessel", 1 / 3, fill.best, 0.08),
            Row("— height at a third, of the greatest", practice, "", 1.0, fill.third, 0.02),
        ]
    return rows


def range_by_pressure() -> list[Row]:
    """A plausibility check; 10 % is what published models miss measured flights by."""
    return [
        Row(f"Range at {psi} psi, tilt {tilt}°", NASA, "m", theirs, float(ours), 0.1 * theirs,
            TOO_FAR if miss else "", miss)
        for tilt, misses in MISSES_M.items()
        for psi, theirs, ours, miss in zip(PSI, NASA_M, ranges(tilt), misses, strict=True)
    ]  # fmt: skip
