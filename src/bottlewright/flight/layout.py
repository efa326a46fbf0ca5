"""The rocket laid out along its axis: shape, stations, parts, balance points and pressure centre, for drawings."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.shape import stations
from bottlewright.flight.balance import balance
from bottlewright.flight.parameters import SLOTS, parameters_of
from bottlewright.flight.vehicle import VEHICLE, prepare
from bottlewright.physics.vessel_shape import water_state
from bottlewright.quantities import Quantity

__all__ = ["Layout", "Part", "layout_of", "part_centres", "parts_alone", "vehicle_of"]


@dataclass(frozen=True, slots=True)
class Part:
    """One line of the mass ledger: name, mass (kg) with its basis, and the key it comes from."""

    name: str
    path: str
    mass: Quantity


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything is, m from the nose tip (aft positive) unless said otherwise.

    Attributes
    ----------
    outer_x, outer_r
        Outer shape: stations and radii, m.
    inner_z, inner_r
        Inner shape of the vessel: heights above the nozzle exit and radii, m.
    nose_end, cylinder_end, exit
        Seat of the nose, lower end of the cylinder, nozzle exit plane.
    total_length, diameter
        Overall length to the last thing that sticks out, largest body diameter, m.
    balance_empty, balance_full
        Centre of mass without water and gas, and as it stands loaded on the launcher.
    pressure_centre, normal_slope
        Centre of pressure at small incidence; slope of the normal force, 1/rad on the largest cross-section.
    dry_mass, loaded_mass, estimated_mass
        kg; the last is the sum of the parts before the scale's word.
    water_height
        Height of the water above the nozzle exit, m.
    fin_outline
        One fin: (aft of the nose tip, out from the axis), m, shape (n, 2); empty without fins.
    parts
        The mass ledger.
    """

    outer_x: NDArray[np.float64]
    outer_r: NDArray[np.float64]
    inner_z: NDArray[np.float64]
    inner_r: NDArray[np.float64]
    nose_end: float
    cylinder_end: float
    exit: float
    total_length: float
    diameter: float
    balance_empty: float
    balance_full: float
    pressure_centre: float
    normal_slope: float
    dry_mass: float
    loaded_mass: float
    estimated_mass: float
    water_height: float
    fin_outline: NDArray[np.float64]
    parts: tuple[Part, ...]

    @property
    def margin_empty(self) -> float:
        """Static margin without water, calibres."""
        return (self.pressure_centre - self.balance_empty) / self.diameter

    @property
    def margin_full(self) -> float:
        """Static margin as loaded, calibres."""
        return (self.pressure_centre - self.balance_full) / self.diameter


def vehicle_of(design: Design) -> Any:
    """Return the prepared vehicle of a completed design, one record of `bottlewright.flight.vehicle.VEHICLE`."""
    vehicle = np.zeros(1, VEHICLE)
    prepare(parameters_of(design)[0], False, vehicle[0])
    return vehicle[0]


def layout_of(design: Design) -> Layout:
    """Lay out a completed design."""
    vehicle = vehicle_of(design)
    n, m = int(vehicle["outer_count"]), int(vehicle["vessel_count"])
    x, r = vehicle["outer_x"][:n].copy(), vehicle["outer_r"][:n].copy()
    z, inner = vehicle["vessel_z"][:m].copy(), vehicle["vessel_r"][:m].copy()
    height, _, _, centre, moment = water_state(
        vehicle["water_volume"], vehicle["vessel_z"], vehicle["vessel_r"], m, vehicle["vessel_table"]
    )
    density = vehicle["water_density"]
    loaded, full, _ = balance(vehicle, density * vehicle["water_volume"], centre, density * moment, vehicle["gas_mass"])
    at = stations(design)
    outline = _fin_outline(design, float(np.interp(_fin_front(design), x, r)))
    return Layout(
        outer_x=x, outer_r=r, inner_z=z, inner_r=inner, nose_end=at.nose_end, cylinder_end=at.cylinder_end,
        exit=float(vehicle["length"]), total_length=float(max([x[-1], *outline[:, 0]])),
        diameter=float(vehicle["calibre"]), balance_empty=float(vehicle["dry_centre"]), balance_full=float(full),
        pressure_centre=float(vehicle["pressure_centre"]), normal_slope=float(vehicle["normal_slope"]),
        dry_mass=float(vehicle["dry_mass"]), loaded_mass=float(loaded), estimated_mass=float(vehicle["estimated_mass"]),
        water_height=float(height), fin_outline=outline, parts=_parts(design),
    )  # fmt: skip


def part_centres(design: Design, paths: Sequence[str]) -> dict[str, float]:
    """Return the centre (m from the nose tip) of each part of the ledger: that of a rocket of which it is all."""
    slots = {path: slot for slot, path in SLOTS.items() if slot in _PART_SLOTS}
    found, vehicle = {}, np.zeros(1, VEHICLE)
    for path, record in zip(paths, parameters_of(design, len(paths)), strict=True):
        extra = path.split(".")[1] if path.startswith("mass.") else ""
        for slot in _PART_SLOTS:
            if slot != slots.get(path):
                record[slot] = 0.0
        record["extra_mass"][:] = [float(str(n) == extra) for n in range(len(record["extra_mass"]))]
        prepare(record, False, vehicle[0])
        found[path] = float(vehicle[0]["dry_centre"])
    return found


def parts_alone(design: Design) -> tuple[float, float, float]:
    """Return mass (kg), centre (m from the nose tip) and transverse moment (kg m²) of the parts, as nobody measured."""
    record, vehicle = parameters_of(design)[0], np.zeros(1, VEHICLE)
    for slot in _MEASURED_SLOTS:
        record[slot] = 0.0
    prepare(record, False, vehicle[0])
    return tuple(float(vehicle[0][name]) for name in ("dry_mass", "dry_centre", "dry_transverse"))  # type: ignore[return-value]


_MEASURED_SLOTS = ("measured_mass", "measured_balance", "swing_period")
_PART_SLOTS = (
    "vessel_mass", "nose_mass", "fin_mass", "sleeve_mass", "nozzle_mass", "canopy_mass", *_MEASURED_SLOTS
)  # fmt: skip


def _fin_front(design: Design) -> float:
    return design.fins.position.value if design.fins and design.fins.position else 0.0


def _fin_outline(design: Design, radius: float) -> NDArray[np.float64]:
    fins = design.fins
    if fins is None or fins.count == 0:
        return np.empty((0, 2))
    if fins.outline:
        corners = [(a.value, b.value) for a, b in fins.outline]
    else:
        root, tip, span, sweep = (float(v) if v else 0.0 for v in (fins.root, fins.tip, fins.span, fins.sweep))
        corners = [(0.0, 0.0), (sweep, span), (sweep + tip, span), (root, 0.0)]
    outline: NDArray[np.float64] = np.array(corners) + np.array([_fin_front(design), radius])
    return outline


_PACKED = {"parachute": "packed canopy", "rotor": "rotor", "two parts": "cord"}


def _parts(design: Design) -> tuple[Part, ...]:
    """Return the mass ledger in flight order, nose first."""
    vessel, parts = design.vessel, []
    for name, path, section in (
        ("nose", "nose.mass", design.nose),
        (_PACKED.get(design.recovery.kind, "streamer"), "recovery.mass", design.recovery),
        ("fins", "fins.mass", design.fins),
        ("sleeve", "sleeve.mass", design.sleeve),
        ("nozzle", "nozzle.mass", design.nozzle),
    ):
        mass = getattr(section, "mass", None)
        if isinstance(mass, Quantity) and mass.value > 0.0:
            parts.append(Part(name, path, mass))
    if vessel.empty_mass:
        each = vessel.empty_mass
        whole = Quantity(each.value * vessel.count, each.spread * vessel.count, each.basis, each.source)
        parts.insert(1, Part("bottle" if vessel.count == 1 else f"{vessel.count} bottles", "vessel.empty_mass", whole))
    parts += [Part(item.name, f"mass.{i}.mass", item.mass) for i, item in enumerate(design.mass)]
    return tuple(parts)
