"""The wind without an instrument, and brought to another height.

What it does to a field in words, how far a strip of cloth leans, the drift of grass that somebody lets fall.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from bottlewright.data_file import data_file, each
from bottlewright.errors import InputError
from bottlewright.field.wind_heights import Growth
from bottlewright.logbook.gum import propagated
from bottlewright.logbook.timing import GRAVITY, HAND, mean_time
from bottlewright.physics.wind import wind_at

__all__ = [
    "AIR_DENSITY", "HEIGHT_OFF", "STRIP_FORCE", "Force", "WindRead", "brought_to", "drift_of_grass", "forces",
    "wind_of_force", "wind_of_strip",
]  # fmt: skip

HEIGHT_OFF = 0.1
"""Share of a height above the ground by which a wind in the hand is off: one standard deviation; our judgement."""

STRIP_FORCE = (1.5, 0.35)
"""Force across a strip of cloth over dynamic pressure and area, and its standard deviation: a long flat plate has 1.98
broadside on (original not checked), a strip that flutters and bellies less; our judgement."""

AIR_DENSITY = 1.2
"""kg/m³, of the air that a strip hangs in: within 5 % of any launch day's."""


@dataclass(frozen=True, slots=True)
class Force:
    """One row of the table: number, speeds (m/s) and what one sees."""

    force: int
    low: float
    high: float
    sees: str


@dataclass(frozen=True, slots=True)
class WindRead:
    """A wind speed, m/s, with its standard deviation, the height that it is for (m), and how it was come by."""

    speed: float
    u_speed: float
    height: float
    how: str


@cache
def forces() -> tuple[Force, ...]:
    """Return the table."""
    rows = data_file("logbook", "wind")["force"]
    return tuple(each(rows, lambda row: Force(row["force"], row["from"], row["to"], row["sees"])))


def wind_of_force(force: int) -> WindRead:
    """Return the wind that a force of the table stands for.

    Raises
    ------
    InputError
        When the table has no such force: in more wind nobody launches.
    """
    row = next((one for one in forces() if one.force == force), None)
    if row is None:
        raise InputError(f"the table knows the forces 0 to {forces()[-1].force}; in more wind nobody launches")
    return WindRead(0.5 * (row.low + row.high), 0.5 * (row.high - row.low) / math.sqrt(3.0), 10.0,
                    f"force {force}: {row.sees}")  # fmt: skip


def wind_of_strip(lean: float, u_lean: float, area_mass: float, u_area_mass: float, height: float) -> WindRead:
    """Return the wind in which a strip of cloth leans so far from hanging straight down.

    The wind's force across the strip holds that part of its weight which would turn it back, everywhere along it, so
    that it hangs straight: ½ ρ C (U cos θ)² = m g sin θ, m its mass by area. Its length counts for nothing.

    Parameters
    ----------
    lean, u_lean
        Angle from straight down, and its standard deviation, rad.
    area_mass, u_area_mass
        Mass of the cloth by area, kg/m².
    height
        Of the strip above the ground, m.

    Raises
    ------
    InputError
        Where it hangs down, or stands so far out that it tells nothing more, or the cloth weighs nothing.
    """
    if not math.radians(5.0) <= lean <= math.radians(80.0):
        raise InputError("a strip tells the wind from 5° to 80° of lean: take a heavier or a lighter cloth")
    if area_mass <= 0.0 or u_lean <= 0.0:
        raise InputError("weigh the cloth: grams for a square metre; and say how well the lean was read")

    def speed(angle: float, mass: float, force: float) -> list[float]:
        return [math.sqrt(2.0 * mass * GRAVITY * math.sin(angle) / (AIR_DENSITY * force)) / math.cos(angle)]

    read = (lean, u_lean), (area_mass, u_area_mass), STRIP_FORCE
    found, spread = propagated(speed, [one[0] for one in read], _square([one[1] for one in read]))
    return WindRead(float(found[0]), math.sqrt(float(spread[0, 0])), height,
                    f"a strip of {1e3 * area_mass:.0f} g/m² leant {math.degrees(lean):.0f}°")  # fmt: skip


def _square(spreads: Sequence[float]) -> list[list[float]]:
    return [[one**2 if row == column else 0.0 for column in range(len(spreads))] for row, one in enumerate(spreads)]


def brought_to(read: WindRead, growth: Growth) -> WindRead:
    """Return a wind as it is at the height that limits are meant for: by the law that the flights are flown with.

    Its ± carries that of the reading, of its height (`HEIGHT_OFF`) and of the law.
    """
    def speed(read_speed: float, read_height: float, exponent: float, roughness: float, shear: float) -> list[float]:
        return [wind_at(growth.height, max(read_speed, 0.0), read_height, growth.law, exponent, max(roughness, 1e-6),
                        shear)]  # fmt: skip

    given = ((read.speed, read.u_speed), (read.height, HEIGHT_OFF * read.height), growth.exponent, growth.roughness,
             growth.shear)  # fmt: skip
    found, spread = propagated(speed, [one[0] for one in given], _square([one[1] for one in given]))
    return replace(read, speed=float(found[0]), u_speed=math.sqrt(float(spread[0, 0])), height=growth.height)


def drift_of_grass(distance: float, u_distance: float, seconds: Sequence[float], drop: float = 1.5) -> WindRead:
    """Return the wind by how far something light drifts while it falls, or past two marks.

    Parameters
    ----------
    distance, u_distance
        How far it drifted, m, and its standard deviation.
    seconds
        How long it took, by one or more stopwatches.
    drop
        Height from which it fell, m: the wind is that of the middle of it.

    Raises
    ------
    InputError
        Where distance or time is none.
    """
    took = mean_time(seconds)
    if distance < 0.0 or took.seconds <= HAND:
        raise InputError("write how far it drifted, and a time that a hand can take")
    speed = distance / took.seconds
    return WindRead(speed, math.hypot(u_distance / took.seconds, speed * took.u_seconds / took.seconds), 0.5 * drop,
                    f"drifted {distance:.1f} m in {took.seconds:.1f} s")  # fmt: skip
