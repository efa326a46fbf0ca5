"""What flies along: what a camera or an altimeter feels in the flight, and what picture a camera brings home.

docs/physics/recovery.md §6.
"""

import math
from typing import NamedTuple

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.payload import Payload
from bottlewright.design.rocket import Mass
from bottlewright.flight.findings import limit
from bottlewright.flight.fly import Flight, fly_parameters
from bottlewright.flight.parameters import parameters_of
from bottlewright.physics.canopy_load import OVERSHOOT
from bottlewright.physics.onboard_camera import seen_width, smear, swept

__all__ = ["CROOKED", "Carried", "Smear", "carried", "films", "ground_seen", "smear_of"]

CROOKED = 2.0
"""How many times their ± the fins of a picture's flight are turned: nobody glues them straight (our judgement)."""


class Carried(NamedTuple):
    """One thing that flies along, and what the flight asks of its mount.

    Parameters
    ----------
    number, part, payload
        Which entry of the file it is, what it weighs, and how it is held.
    push, opening
        Greatest specific force as the rocket is driven, and as its canopy opens with the overshoot of the cloth, m/s².
    """

    number: int
    part: Mass
    payload: Payload
    push: float
    opening: float

    @property
    def peak(self) -> float:
        """Greatest specific force that it feels, m/s²."""
        return max(self.push, self.opening)

    @property
    def load(self) -> float:
        """Greatest pull on what draws it off its mount, N: a shelf bears the push, so that only the opening is left."""
        felt = self.opening if self.payload.held == "on a shelf" else self.peak
        return self.part.mass.value * felt

    @property
    def opened(self) -> float:
        """Pull of the opening canopy on it, N."""
        return self.part.mass.value * self.opening

    @property
    def wanted(self) -> float:
        """Pull that its mount has to hold, N."""
        return limit("mount_times").value * self.load

    @property
    def on_mount(self) -> bool:
        """Whether a mount holds it that can let go."""
        return self.payload.held != "inside"


class Smear(NamedTuple):
    """How far a picture moves while it is taken: greatest on the climb, pixels, and the share of the climb over it."""

    most: float
    share: float


def carried(design: Design, flight: Flight) -> list[Carried]:
    """Return what flies along, in the order of the file.

    Its push is the greatest acceleration of the flight with gravity added, as if the rocket were upright then. What it
    feels as the rocket turns over, and as it lands, is left out.
    """
    summary, hanging = flight.summary, float(flight.vehicle["hanging_mass"])
    push = summary["max_acceleration_m_s2"] + float(flight.vehicle["gravity"])
    pull = summary["opening_load_N"]
    opening = OVERSHOOT * pull / hanging if pull > 0.0 and hanging > 0.0 else 0.0
    return [Carried(number, part, part.payload, push if push > 0.0 else 0.0, opening)
            for number, part in enumerate(design.mass) if part.payload is not None]  # fmt: skip


def films(design: Design) -> bool:
    """Say whether a camera flies along."""
    return any(part.payload is not None and part.payload.view is not None for part in design.mass)


def ground_seen(one: Carried, height: float) -> float | None:
    """Return the width of ground in its picture from a height, m; None where it looks out or is no camera."""
    view = one.payload.view
    if view is None or one.payload.looks != "down" or not height > 0.0:
        return None
    return seen_width(height, view.value)


def smear_of(design: Design, payload: Payload) -> Smear | None:
    """Return how far the edge of a picture moves on the climb, with the fins as crooked as may be; None if not known.

    The moments from the end of the guide to the top count. That the ground comes nearer or passes by is left out: at
    20 m and 20 m/s a picture of 1/500 s moves by a pixel or two.
    """
    view, exposure, pixels = payload.view, payload.exposure, payload.pixels
    if view is None or exposure is None or pixels is None:
        return None
    record = parameters_of(design)[0]
    if design.fins is not None and design.fins.cant is not None:
        cant = design.fins.cant
        record["fin_cant"] = cant.value + math.copysign(CROOKED * cant.spread, cant.value)
    flight = fly_parameters(record, series=True)
    series, summary = flight.series, flight.summary
    time = series.get("time_s", np.empty(0))
    climb = (time >= summary["guide_exit_time_s"]) & (time <= summary["apogee_time_s"])
    if np.count_nonzero(climb) < 2:
        return None
    roll, pitch = (np.abs(np.nan_to_num(series[f"{name}_rate_rad_s"][climb])) for name in ("roll", "pitch"))
    # Of what turns the line of sight the picture moves as a whole; about the line of sight its edge moves.
    about, across = (roll, pitch) if payload.looks == "down" else (0.0 * roll, np.hypot(roll, pitch))
    moved = (smear(1.0, exposure.value, pixels) / (2.0 * math.pi) * about
             + swept(1.0, exposure.value, view.value, pixels) * across)  # fmt: skip
    over = 0.5 * ((moved[1:] > limit("smear_pixels").value) * 1.0 + (moved[:-1] > limit("smear_pixels").value))
    spans = np.diff(time[climb])
    return Smear(float(moved.max()), float(np.sum(over * spans) / np.sum(spans)))
