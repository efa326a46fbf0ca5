"""The parameters of a flight: every number that it rests on, as one flat record that compiled code reads.

Each uncertain value of the design has one slot, named in `SLOTS`; a thousand flights are a thousand records that
differ in those slots. SI units, angles in rad, pressures absolute unless named gauge.
"""

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.mechanism import Mechanism
from bottlewright.design.once import once_per_design
from bottlewright.design.taught import gauge_error
from bottlewright.flight.state import TUMBLE, TWO_PARTS
from bottlewright.quantities import Basis, Quantity

__all__ = ["EXTRA_MASSES", "PARAMETERS", "SLOTS", "parameters_of", "slot_of"]

EXTRA_MASSES = 24
PROFILE_NODES = 48

SLOTS: dict[str, str] = {
    "vessel_volume": "vessel.volume",
    "vessel_diameter": "vessel.diameter",
    "vessel_wall": "vessel.wall",
    "vessel_mass": "vessel.empty_mass",
    "neck_bore": "vessel.neck_bore",
    "neck_length": "vessel.neck_length",
    "shoulder_length": "vessel.shoulder_length",
    "base_length": "vessel.base_length",
    "bore": "nozzle.bore",
    "land": "nozzle.length",
    "contraction": "nozzle.contraction",
    "velocity_coefficient": "nozzle.velocity_coefficient",
    "gas_coefficient": "nozzle.gas_coefficient",
    "nozzle_mass": "nozzle.mass",
    "nose_length": "nose.length",
    "nose_diameter": "nose.diameter",
    "nose_mass": "nose.mass",
    "fin_root": "fins.root",
    "fin_tip": "fins.tip",
    "fin_span": "fins.span",
    "fin_sweep": "fins.sweep",
    "fin_position": "fins.position",
    "fin_thickness": "fins.thickness",
    "fin_cant": "fins.cant",
    "fin_mass": "fins.mass",
    "sleeve_length": "sleeve.length",
    "sleeve_diameter": "sleeve.diameter",
    "sleeve_position": "sleeve.position",
    "sleeve_mass": "sleeve.mass",
    "canopy_diameter": "recovery.diameter",
    "canopy_spill_hole": "recovery.spill_hole",
    "streamer_length": "recovery.length",
    "streamer_width": "recovery.width",
    "canopy_drag": "recovery.drag_coefficient",
    "canopy_mass": "recovery.mass",
    "canopy_position": "recovery.position",
    "release_delay": "recovery.delay",
    "release_hold": "recovery.mechanism.hold",
    "release_shoulder": "recovery.mechanism.shoulder",
    "release_seat": "recovery.mechanism.seat",
    "release_nose_mass": "recovery.mechanism.nose_mass",
    "release_nose_centre": "recovery.mechanism.nose_centre",
    "release_nose_drag": "recovery.mechanism.nose_drag",
    "release_push": "recovery.mechanism.push",
    "release_push_end": "recovery.mechanism.push_end",
    "release_push_stroke": "recovery.mechanism.push_stroke",
    "release_cavity_volume": "recovery.mechanism.cavity_volume",
    "release_vent_bore": "recovery.mechanism.vent_bore",
    "release_suction": "recovery.mechanism.suction",
    "release_time": "recovery.mechanism.time",
    "release_start": "recovery.mechanism.start",
    "release_latch_level": "recovery.mechanism.latch_level",
    "release_latch_time": "recovery.mechanism.latch_time",
    "release_latch_travel": "recovery.mechanism.latch_travel",
    "release_drop": "recovery.mechanism.drop",
    "release_lag": "recovery.mechanism.lag",
    "release_locked": "recovery.mechanism.locked",
    "release_port": "recovery.mechanism.port",
    "release_angle": "recovery.mechanism.angle",
    "release_airspeed": "recovery.mechanism.airspeed",
    "release_felt": "recovery.mechanism.felt",
    "release_act": "recovery.mechanism.act",
    "filling": "recovery.filling",
    "shift": "recovery.shift",
    "cord_length": "recovery.cord_length",
    "cord_stiffness": "recovery.cord_stiffness",
    "measured_mass": "measured.dry_mass",
    "measured_balance": "measured.balance_point",
    "swing_period": "measured.swing.period",
    "swing_strings": "measured.swing.strings",
    "swing_apart": "measured.swing.apart",
    "guide_length": "launcher.guide_length",
    "tilt": "launcher.tilt",
    "leans_towards": "launcher.leans_towards",
    "seal_diameter": "launcher.seal_diameter",
    "stroke": "launcher.stroke",
    "tube_bore": "launcher.tube_bore",
    "tube_length": "launcher.tube_length",
    "hose_volume": "launcher.hose_volume",
    "restriction": "launcher.restriction",
    "flow_coefficient": "launcher.flow_coefficient",
    "water": "charge.water",
    "pressure_gauge": "charge.pressure",
    "charge_temperature": "charge.temperature",
    "latitude": "site.latitude",
    "site_height": "site.height",
    "air_temperature": "weather.temperature",
    "air_pressure": "weather.pressure",
    "humidity": "weather.humidity",
    "wind_speed": "weather.wind_speed",
    "wind_from": "weather.wind_from",
    "wind_height": "weather.wind_height",
    "wind_exponent": "weather.exponent",
    "roughness_length": "weather.roughness_length",
    "wind_shear": "weather.shear",
    "stand_tilt": "stand.tilt",
    "opening_time": "stand.opening_time",
    "breakthrough": "model.breakthrough",
    "slip": "model.slip",
    "spray_coefficient": "model.spray_coefficient",
    "heat_transfer": "model.heat_transfer",
    "fixed_drag": "model.drag_coefficient",
    "drag_factor": "model.drag_factor",
    "tail_efficiency": "model.tail_efficiency",
    "roughness": "model.roughness",
    "vessel_modulus": "vessel.modulus",
    "vessel_poisson": "vessel.poisson",
    "charging_kept": "model.charging_kept",
    "tolerance": "model.tolerance",
    "time_limit": "model.time_limit",
}
"""Slot of the record → path of the design's value."""

_SLOT_OF = {path: slot for slot, path in SLOTS.items()}

_CHOICES: dict[str, Callable[[Design], int]] = {
    "nose_shape": lambda d: _NOSE[d.nose.shape] if d.nose else _NOSE["bottle"],
    "nose_hollow": lambda d: int(d.nose is not None and d.nose.wall is not None),
    "fin_count": lambda d: d.fins.count if d.fins else 0,
    "fin_edge": lambda d: {"blunt": 0, "round": 1, "bevelled": 2}[d.fins.edge] if d.fins else 0,
    "vessel_count": lambda d: d.vessel.count,
    "gas": lambda d: {"moist": 0, "dry": 1}.get(str(d.model.gas), 2),
    "steady_jet": lambda d: int(d.model.jet == "quasi-steady"),
    "isothermal_vessel": lambda d: int(d.model.gas_vessel == "isothermal"),
    "stretch": lambda d: int(_stretches(d)),
    "pumped": lambda d: int(d.charge.air == "pumped"),
    "wind_law": lambda d: {"power": 0, "log": 1, "linear": 2}[d.weather.profile],
    "socket": lambda d: int(d.launcher.seal == "socket"),
    "supply": lambda d: {"none": 0, "hose": 1, "infinite": 2}[d.launcher.supply or "none"],
    "turbulence": lambda d: int(d.weather.turbulence),
    "recovery": lambda d: _DESCENTS[d.recovery.kind],
    "canopy": lambda d: _CANOPY[d.recovery.canopy],
    "release": lambda d: {"apogee": 0, "delay": 1, "never": 2, "mechanism": 3}[d.recovery.release],
    "mechanism": lambda d: _WAYS[d.recovery.mechanism.way] if d.recovery.mechanism else 0,
    "trip": lambda d: _trip(d.recovery.mechanism) if d.recovery.mechanism else 0,
    "cavity": lambda d: {"leaky": 0, "sealed": 1, "vented": 2}[_choice(d, "cavity", "leaky")],
    "starts": lambda d: int(_choice(d, "starts", "launch") == "end of push"),
    "vents": lambda d: _choice(d, "vents", None) or 0,
    "ballast": lambda d: next((i for i, one in enumerate(d.mass) if one.name == d.recovery.ballast), -1),
}

_NOSE: dict[str, int] = {
    "ogive": 0, "cone": 1, "paraboloid": 2, "ellipsoid": 3, "hemisphere": 3, "flat": 4, "bottle": 3,
}  # fmt: skip
_DESCENTS: dict[str, int] = {
    "none": 0, "parachute": 1, "streamer": 2, "rotor": 3, "two parts": TWO_PARTS, "tumble": TUMBLE,
}  # fmt: skip
_WAYS: dict[str, int] = {
    "loose nose": 1, "sprung nose": 2, "side door": 3, "air flap": 3, "two halves": 3,
    "latch": 3,
}  # fmt: skip
_TRIPS: dict[str, int] = {
    "none": 0, "wind-up timer": 1, "servo timer": 1, "barometer": 2, "gyro": 3, "low airspeed": 4, "free fall": 5,
    "tilt ball": 6,
}  # fmt: skip
_CANOPY: dict[str, int] = {"hexagon": 0, "octagon": 1, "round": 2, "square": 3, "cross": 4, "hemisphere": 5}

PARAMETERS = np.dtype(
    [(slot, np.float64) for slot in SLOTS]
    + [(choice, np.int64) for choice in _CHOICES]
    + [
        ("gas_exponent", np.float64),
        ("seed", np.int64),
        ("index", np.int64),
        ("profile_count", np.int64),
        ("profile_z", np.float64, (PROFILE_NODES,)),
        ("profile_r", np.float64, (PROFILE_NODES,)),
        ("outline_count", np.int64),
        ("outline_x", np.float64, (PROFILE_NODES,)),
        ("outline_y", np.float64, (PROFILE_NODES,)),
        ("extra_count", np.int64),
        ("extra_mass", np.float64, (EXTRA_MASSES,)),
        ("extra_position", np.float64, (EXTRA_MASSES,)),
        ("extra_length", np.float64, (EXTRA_MASSES,)),
    ],
    align=True,
)
"""The record of one flight."""

_LEFT_OUT = {
    "model.drag_coefficient": math.nan, "model.drag_factor": 1.0, "recovery.mechanism.nose_drag": math.nan,
}  # fmt: skip
"""What a left-out value counts as where that is not zero; no number means: use the build-up."""

_EXTRA = {"mass": "extra_mass", "position": "extra_position", "length": "extra_length"}


def _trip(mechanism: Mechanism) -> int:
    """Code of what trips a mechanism; a flap is its own switch of low airspeed."""
    return _TRIPS["low airspeed" if mechanism.way == "air flap" else mechanism.trip]


def _choice(design: Design, name: str, without: Any) -> Any:
    """Return a word or count of the mechanism, or what stands for none."""
    return getattr(design.recovery.mechanism, name, without)


def _stretches(design: Design) -> bool:
    """Wall stretch needs a wall that is known, and is part of what a fitted exponent stands for."""
    wall = design.vessel.wall
    known = wall is not None and wall.basis is not Basis.ASSUMED
    return design.model.stretch and known and design.model.gas in ("moist", "dry")


def _value(design: Design, path: str) -> float:
    quantity: Any = design
    for name in path.split("."):
        quantity = getattr(quantity, name, None)
    return quantity.value if isinstance(quantity, Quantity) else _LEFT_OUT.get(path, 0.0)


def parameters_of(design: Design, count: int = 1) -> Any:
    """Return `count` equal records of the parameters of a completed design, as a record array.

    Parameters
    ----------
    design
        Completed by `bottlewright.design.completion.complete`.
    count
        Number of records; `index` numbers them from 0.
    """
    batch = np.repeat(_record_of(design), count)
    batch["index"] = np.arange(count)
    return batch


@once_per_design
def _record_of(design: Design) -> Any:
    batch = np.zeros(1, dtype=PARAMETERS)
    for slot, path in SLOTS.items():
        batch[slot] = _value(design, path)
    for name, choose in _CHOICES.items():
        batch[name] = choose(design)
    batch["pressure_gauge"] += gauge_error(design)
    batch["vessel_volume"] *= design.vessel.count
    batch["vessel_mass"] *= design.vessel.count
    gas = design.model.gas
    batch["gas_exponent"] = gas if isinstance(gas, float) else 1.4
    batch["seed"] = design.weather.seed
    _write_pairs(batch, "profile", "z", "r", design.vessel.profile)
    _write_pairs(batch, "outline", "x", "y", design.fins.outline if design.fins else None)
    batch["extra_count"] = len(design.mass)
    for i, item in enumerate(design.mass):
        batch["extra_mass"][:, i] = item.mass.value
        batch["extra_position"][:, i] = item.position.value
        batch["extra_length"][:, i] = item.length.value if item.length else 0.0
    return batch


def _write_pairs(batch: Any, name: str, first: str, second: str, pairs: list[tuple[Quantity, Quantity]] | None) -> None:
    batch[f"{name}_count"] = len(pairs or [])
    for i, (a, b) in enumerate(pairs or []):
        batch[f"{name}_{first}"][:, i] = a.value
        batch[f"{name}_{second}"][:, i] = b.value


def slot_of(path: str) -> tuple[str, int | None]:
    """Return the slot of a design path, and its index for ``mass.N.key``, ``vessel.profile.N.0`` and the like.

    Raises
    ------
    KeyError
        When no slot of the flight depends on the path.
    """
    if path in _SLOT_OF:
        return _SLOT_OF[path], None
    parts = path.split(".")
    if len(parts) == 3 and parts[0] == "mass" and parts[2] in _EXTRA:
        return _EXTRA[parts[2]], int(parts[1])
    if len(parts) == 4 and parts[:2] == ["vessel", "profile"]:
        return ("profile_z", "profile_r")[int(parts[3])], int(parts[2])
    if len(parts) == 4 and parts[:2] == ["fins", "outline"]:
        return ("outline_x", "outline_y")[int(parts[3])], int(parts[2])
    raise KeyError(path)
