"""The chain from pump to rocket as a list of ratings, its weakest link, and the holes that the stand needs."""

import math
from dataclasses import dataclass

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.launcher_parts import Hose
from bottlewright.design.unit_habit import unit_habit
from bottlewright.proof.defaults import launcher_table, taken
from bottlewright.proof.vessel import need
from bottlewright.quantities import Basis, Dimension, Quantity, parse_quantity

__all__ = ["Hole", "HoseHeat", "PartRating", "hole_sizes", "hose_heat", "launcher_parts", "weakest"]


@dataclass(frozen=True, slots=True)
class PartRating:
    """One part under pressure: its rating (Pa gauge) or None when nobody has given it, and where that comes from."""

    name: str
    rating_Pa: float | None
    basis: str


@dataclass(frozen=True, slots=True)
class HoseHeat:
    """A hose's temperature and the part of its rating that is left there."""

    temperature_K: float
    part: float
    beyond_table: bool
    basis: str
    source: str


def hose_heat(hose: Hose, air_temperature: float) -> HoseHeat:
    """Return how warm the hose is taken to be and what that leaves of its rating.

    Above the standard's last temperature nothing is extrapolated: its last part is kept and the result says so.
    """
    table = launcher_table()["hose_temperature"]
    temperatures = [parse_quantity(text, Dimension.TEMPERATURE).value for text in table["temperature"]]
    if hose.temperature is not None:
        warm, basis = hose.temperature.value, "as you gave it"
    elif hose.sun:
        rise = taken(None, "hose.sun_rise")
        warm, basis = air_temperature + rise.value, f"the air and {rise.value:.0f} °C more: {rise.source}"
    else:
        warm, basis = air_temperature, "as warm as the air"
    part = float(np.interp(warm, temperatures, table["part"]))
    return HoseHeat(warm, part, warm > temperatures[-1] + 1e-9, basis, table["source"])


def _part(name: str, rating: Quantity | None, where: str) -> PartRating:
    if rating is None:
        return PartRating(name, None, "no rating given")
    assumed = rating.basis is not Basis.MEASURED
    return PartRating(name, rating.value, rating.source if assumed else f"{where} as you gave it")


def launcher_parts(design: Design) -> list[PartRating]:
    """Return the launcher's parts under pressure that the design describes; a missing table is a missing part."""
    launcher = design.launcher
    parts, habit = [], unit_habit(design)
    if launcher.hose is not None:
        heat = hose_heat(launcher.hose, need(design.weather.temperature))
        cold = launcher.hose.rating
        if cold is None:
            parts.append(PartRating("hose", None, "no rating given"))
        else:
            basis = (f"{habit.pressure(cold.value)} printed on it, times {heat.part:.2f} at "
                     f"{habit.temperature(heat.temperature_K)} ({heat.source})")
            parts.append(PartRating("hose", cold.value * heat.part, basis))
    if launcher.valve is not None:
        rating = launcher.valve.rating
        if rating is None and launcher.valve.kind == "snap-in":
            rating = taken(None, "valve.rating.snap-in")
        parts.append(_part("valve", rating, "rating"))
    if launcher.clamp is not None and launcher.clamp.kind != "none":
        parts.append(_part("hose clamp", launcher.clamp.rating, "rating"))
    if launcher.coupling is not None:
        parts.append(_part("coupling", launcher.coupling.rating, "rating"))
    if launcher.pump is not None:
        name = "compressor" if launcher.pump.kind == "compressor" else "pump"
        parts.append(_part(name, launcher.pump.rating, "rating"))
    return parts


def weakest(parts: list[PartRating]) -> PartRating | None:
    """Return the part with the lowest known rating."""
    known = [part for part in parts if part.rating_Pa is not None]
    return min(known, key=lambda part: part.rating_Pa or 0.0) if known else None


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole to drill in the stand: what passes it, its measured diameter, the clearance and the drill, m."""

    name: str
    diameter_m: float
    clearance_m: float
    drill_m: float
    count: int
    basis: str


def hole_sizes(design: Design) -> list[Hole]:
    """Return the holes that the stand of a completed design needs.

    Diameter, its own ± and the clearance, rounded up to the next half millimetre of a drill set, or to the next 32nd of
    an inch for a builder who writes inches.
    """
    launcher = design.launcher
    wanted: list[tuple[str, Quantity, int]] = []
    if launcher.hose is not None:
        wanted.append(("hose", taken(launcher.hose.outer, "hose.outer"), 1))
    if launcher.coupling is not None and launcher.coupling.diameter is not None:
        wanted.append(("coupling", launcher.coupling.diameter, 1))
    if launcher.cord is not None:
        wanted.append(("cord", taken(launcher.cord.diameter, "cord.diameter"), launcher.cord.count))
    if launcher.stakes is not None and launcher.stakes.count:
        wanted.append(("stake", taken(launcher.stakes.diameter, "stakes.diameter"), launcher.stakes.count))
    step = 0.0254 / 32.0 if unit_habit(design).inches else 0.5e-3
    return [_hole(name, diameter, count, step) for name, diameter, count in wanted]


def _hole(name: str, diameter: Quantity, count: int, step: float) -> Hole:
    entry = next(entry for entry in launcher_table()["clearance"] if entry["name"] == name)
    clearance = parse_quantity(entry["value"], Dimension.LENGTH).value
    drill = math.ceil((diameter.value + diameter.spread + clearance) / step - 1e-6) * step
    known = "measured" if diameter.basis is Basis.MEASURED else f"assumed ({diameter.source})"
    return Hole(name, diameter.value, clearance, drill, count, f"diameter {known}; clearance: {entry['source']}")
