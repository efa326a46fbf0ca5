"""Fill in what a builder leaves out of the mechanism, and tell what can't be filled in."""

from typing import TYPE_CHECKING

from bottlewright.design import tables
from bottlewright.design.air_flap import flap_lacking, with_flap
from bottlewright.design.errors import Problem
from bottlewright.design.mechanism import NOSE_WAYS, TIMERS, Mechanism
from bottlewright.design.rocket import Recovery
from bottlewright.quantities import Basis, Dimension, Quantity, value_of

if TYPE_CHECKING:
    from bottlewright.design.document import Design

__all__ = ["mechanism_lacking", "with_mechanism"]

D = Dimension
_DEFAULTS = {
    "hold": D.FORCE, "push_end": D.FORCE, "vent_bore": D.LENGTH, "start": D.TIME, "drop": D.LENGTH, "lag": D.TIME,
    "locked": D.TIME, "port": D.NUMBER, "angle": D.ANGLE, "airspeed": D.SPEED, "felt": D.NUMBER,
    "latch_level": D.NUMBER, "latch_time": D.TIME, "latch_travel": D.LENGTH,
}  # fmt: skip
_TRIPS: dict[str, tuple[str, ...]] = {
    "wind-up timer": ("start",), "servo timer": ("start",), "barometer": ("drop", "lag", "locked", "port"),
    "gyro": ("angle",), "low airspeed": ("airspeed",), "free fall": ("felt",),
}  # fmt: skip
_GAS_CONSTANT = 287.05
"""Of dry air, J/kg/K: ISO 2533."""
_BY_ITSELF = (*NOSE_WAYS, "air flap")


def with_mechanism(recovery: Recovery, design: "Design") -> Recovery:
    """Return the recovery with its mechanism filled in, and let out by it unless the file says otherwise.

    Parameters
    ----------
    recovery
        Filled in but for its mechanism.
    design
        With its nose and its weather filled in.
    """
    mechanism = recovery.mechanism
    if mechanism is None or recovery.kind == "none":
        return recovery
    update: dict[str, object] = {"mechanism": _filled(mechanism, recovery, design)}
    if "release" not in recovery.model_fields_set:
        update["release"] = "mechanism"
    if recovery.line_strength is None:
        name = "rule.blade_strength" if recovery.kind == "rotor" else "recovery.line_strength"
        update["line_strength"] = tables.default(name, D.FORCE)
    return recovery.model_copy(update=update)


def _filled(mechanism: Mechanism, recovery: Recovery, design: "Design") -> Mechanism:
    nose = design.nose
    assert nose is not None, "a filled design has a nose"
    assert nose.diameter is not None
    mechanism = with_flap(mechanism, _air_density(design))
    mass, centre = _nose_piece(recovery, design)
    share = tables.default("rule.shoulder_in_diameters", D.NUMBER)
    electric = mechanism.trip not in ("none", "wind-up timer")
    suction = "rule.suction_vented" if mechanism.cavity == "vented" else "rule.suction_leaky"
    values = {
        **{name: tables.default(f"recovery.mechanism.{name}", dimension) for name, dimension in _DEFAULTS.items()},
        "seat": Quantity(nose.diameter.value, nose.diameter.spread, Basis.ASSUMED, "the nose's at its seat"),
        "shoulder": Quantity(share.value * nose.diameter.value, share.spread * nose.diameter.value, share.basis,
                             share.source),
        "nose_mass": mass, "nose_centre": centre,
        "suction": tables.default(suction, D.NUMBER),
        "cavity_volume": Quantity(0.5e-3, 0.2e-3, Basis.ASSUMED, "half a litre under a nose; our judgement"),
        "vents": 2 if mechanism.cavity == "vented" else None,
        "act": tables.default(f"rule.mechanism_act_{'electric' if electric else 'plain'}", D.TIME),
    }  # fmt: skip
    felt = _felt_by(mechanism)
    return mechanism.model_copy(update={key: to for key, to in values.items()
                                        if key in felt and getattr(mechanism, key) is None})  # fmt: skip


def _felt_by(mechanism: Mechanism) -> frozenset[str]:
    """Return the keys that say something of this way: of a gyro's angle a loose nose knows nothing."""
    keys = {"seat", "shoulder", "nose_mass", "nose_centre", *_TRIPS.get(mechanism.trip, ())}
    if mechanism.way in NOSE_WAYS:
        keys |= {"hold", "suction"}
    if mechanism.way in NOSE_WAYS and mechanism.cavity == "vented":
        keys |= {"vents", "vent_bore", "cavity_volume"}
    if mechanism.way == "sprung nose":
        keys.add("push_end")
    if mechanism.trip in TIMERS and mechanism.starts == "end of push":
        keys |= {"latch_level", "latch_time", "latch_travel"}
    if mechanism.trip != "none" or mechanism.way == "air flap":
        keys.add("act")
    return frozenset(keys)


def _air_density(design: "Design") -> float:
    """Return that of dry air at the launcher, kg/m³; moisture takes a hundredth off at most, the flap's ± is wider."""
    return value_of(design.weather.pressure) / (_GAS_CONSTANT * value_of(design.weather.temperature))


def _nose_piece(recovery: Recovery, design: "Design") -> tuple[Quantity, Quantity]:
    """Return mass and balance point of all that lies ahead of the seat: in coast what is loose in there rests on it."""
    nose = design.nose
    assert nose is not None, "a filled design has a nose"
    end = value_of(nose.length)
    inside = [(part.mass, part.position.value) for part in design.mass if part.position.value < end]
    if nose.mass is not None:
        inside.append((nose.mass, 2.0 / 3.0 * end))
    if recovery.mass is not None and recovery.position is not None and recovery.position.value < end:
        inside.append((recovery.mass, recovery.position.value))
    mass = sum(value_of(each) for each, _ in inside)
    centre = sum(value_of(each) * at for each, at in inside) / mass if mass > 0.0 else 0.5 * end
    said = "all that lies ahead of the nose's seat"
    return (Quantity(mass, 0.1 * mass, Basis.ASSUMED, f"{said}; the ± of 10 % is ours"),
            Quantity(centre, 0.1 * end, Basis.ASSUMED, f"{said}; the ± of a tenth of the nose is ours"))  # fmt: skip


def mechanism_lacking(design: "Design") -> list[Problem]:
    """List what a mechanism has no default for and what can't go together in it."""
    recovery = design.recovery
    mechanism, path = recovery.mechanism, "recovery.mechanism"
    if recovery.kind == "none":
        return []
    if mechanism is None:
        if recovery.release == "mechanism":
            return [Problem(path, 'is missing: release = "by its mechanism" needs to know which one',
                            'add [recovery.mechanism] with way = "side door" and trip = "servo timer", or the like')]
        return []
    problems = []
    if mechanism.trip == "none" and mechanism.way not in _BY_ITSELF:
        problems.append(Problem(f"{path}.trip", f"is missing: a {mechanism.way} does not open by itself",
                                'such as trip = "wind-up timer"'))
    if mechanism.trip != "none" and mechanism.way in ("loose nose", "air flap"):
        problems.append(Problem(f"{path}.trip", f'is "{mechanism.trip}", and a {mechanism.way} lets go by itself',
                                'take it out, or name another way, such as way = "sprung nose"'))
    if mechanism.way in NOSE_WAYS and (design.nose is None or design.nose.shape == "bottle"):
        problems.append(Problem(f"{path}.way", f'is "{mechanism.way}", and this rocket has no nose to come off',
                                "describe it in [nose], or name another way"))
    if mechanism.way == "sprung nose" and (mechanism.push is None or mechanism.push_stroke is None):
        problems.append(Problem(f"{path}.push", "is missing: a sprung nose needs force and stroke of what pushes it",
                                'such as push = "3 N" and push_stroke = "40 mm"'))
    if mechanism.trip in TIMERS and mechanism.time is None:
        problems.append(Problem(f"{path}.time", f"is missing: a {mechanism.trip} runs for a set time",
                                'such as time = "3.6 s ± 0.25 s"'))
    problems += flap_lacking(mechanism, path)
    tests = mechanism.tests
    if tests.stuck + tests.early > tests.tries:
        problems.append(Problem(f"{path}.tests.tries", f"is {tests.tries}, fewer than went wrong",
                                "count every try, good or bad"))
    return problems
