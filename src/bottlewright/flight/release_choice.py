"""What the design file says once somebody takes a way of letting the canopy out: its starting values are guesses.

Each stands in the file with its ± and "(assumed)", until somebody measures it. What belongs to the way before goes out,
the tries that were counted of it among them; what was measured of the nose stays, and a guess of it only as long as
the way has a loose nose.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any

from bottlewright.data_file import data_file
from bottlewright.design import tables
from bottlewright.design.document import Design
from bottlewright.design.mechanism import NOSE_WAYS, GroundTests, Mechanism
from bottlewright.design.rewriting import Changes, writes
from bottlewright.design.unit_habit import unit_habit
from bottlewright.flight.fly import fly_parameters
from bottlewright.flight.parameters import parameters_of
from bottlewright.quantities import UNITS, Basis, Dimension, Quantity, parse_quantity, value_of

__all__ = ["CARRIED", "Row", "changes_to", "is_own", "rows_of", "ways_for"]

Row = Mapping[str, Any]
AT = "recovery.mechanism"
CARRIED = "what lets it out"
"""Name of the part that a way adds to the rocket."""

_LATER = 0.3
"""How long after the middle flight's top a timer is set here, s: nearly three of its ± (our judgement)."""
_STRONGER = 1.5
"""Push at the end of its stroke over what lifts the nose and overcomes its hold (our judgement)."""
_BY_HAND, _RUNS = 0.15, 0.07
"""± of a push that nobody weighed, and of a wind-up timer, as parts of the value (our judgement)."""
_OF_THE_NOSE = frozenset({
    "hold", "shoulder", "seat", "nose_mass", "nose_centre", "nose_drag", "cavity", "cavity_volume", "vents",
    "vent_bore", "suction", "lag", "port",
})  # fmt: skip
"""Keys that say something of nose, cavity and sensor, whatever lets it go."""
_WAYS: dict[str, tuple[str, str]] = {
    "loose-nose": ("loose nose", "none"), "sprung-nose-barometer": ("sprung nose", "barometer"),
    "air-flap": ("air flap", "none"), "wind-up-timer": ("side door", "wind-up timer"),
    "door-barometer": ("side door", "barometer"), "door-gyro": ("side door", "gyro"),
}  # fmt: skip


@cache
def rows_of() -> dict[str, Row]:
    """Return what each way adds to a rocket and asks of whoever builds it, by its name."""
    return data_file("flight", "release_ways")


def ways_for(design: Design) -> list[str]:
    """Return the names of the ways that fit a completed design; none comes down without a canopy or a streamer."""
    if design.recovery.kind not in ("parachute", "streamer"):
        return []
    nose = design.nose is not None and design.nose.shape != "bottle"
    return [name for name, (way, _) in _WAYS.items() if nose or "nose" not in way]


def is_own(design: Design, name: str) -> bool:
    """Say whether a way is the one that the design has."""
    own = design.recovery.mechanism
    return own is not None and (own.way, own.trip) == _WAYS[name]


def changes_to(design: Design, name: str) -> Changes:
    """Return what a completed design's file says otherwise once a way is taken; nothing for its own."""
    if is_own(design, name):
        return ()
    (way, trip), written = _WAYS[name], writes(design)
    changes = {f"{AT}.way": way} | ({f"{AT}.trip": trip} if trip != "none" else {})
    changes |= {f"{AT}.{key}": text for key, text in _starting(design, name, written).items()}
    guessed = () if way in NOSE_WAYS else _guessed(design)
    left = [key for key in Mechanism.model_fields
            if (key not in _OF_THE_NOSE or key in guessed) and key not in ("way", "tests")]  # fmt: skip
    tests = [f"tests.{key}" for key in GroundTests.model_fields]
    out = {f"{AT}.{key}": "" for key in (*left, *tests) if f"{AT}.{key}" in written}
    if "recovery.release" in written and design.recovery.release != "mechanism":
        changes["recovery.release"] = "by its mechanism"
    changes |= _carried(design, name)
    return tuple((changes | {key: text for key, text in out.items() if key not in changes}).items())


def _guessed(design: Design) -> list[str]:
    """Return the keys of the nose that nobody measured: a way without a loose nose leaves no guess of it behind."""
    own = design.recovery.mechanism
    values = {} if own is None else {key: getattr(own, key) for key in _OF_THE_NOSE}
    return [key for key, one in values.items() if isinstance(one, Quantity) and one.basis is Basis.ASSUMED]


def _starting(design: Design, name: str, written: frozenset[str]) -> dict[str, str]:
    """Return the starting values of a way, each a guess with its ±."""
    way, trip = _WAYS[name]
    found: dict[str, str] = {}
    if "nose" in way and f"{AT}.hold" not in written:
        found["hold"] = _default("hold", Dimension.FORCE, "N")
    if way == "sprung nose":
        found |= _pushed(design, written)
    if trip == "wind-up timer":
        top = _top_unopened(design) + _LATER
        found["time"] = f"{top:.1f} s ± {_RUNS * top:.2g} s (assumed)"
    if trip == "barometer":
        found["drop"] = _default("drop", Dimension.LENGTH, "m")
    if trip == "gyro":
        found["angle"] = _default("angle", Dimension.ANGLE, "deg")
    if way == "air flap":
        found["airspeed"] = _default("airspeed", Dimension.SPEED, "m/s")
    return found


def _default(key: str, dimension: Dimension, unit: str) -> str:
    value, one = tables.default(f"{AT}.{key}", dimension), UNITS[dimension][unit]
    return f"{value.value / one:.3g} {unit} ± {value.spread / one:.2g} {unit} (assumed)"


def _pushed(design: Design, written: frozenset[str]) -> dict[str, str]:
    """Return a rubber that lifts the nose and overcomes its hold at the end of its stroke."""
    from bottlewright.flight.release_ways import let_out_by

    own = design.recovery.mechanism
    hold = {"hold": own.hold} if own and own.hold and f"{AT}.hold" in written else {}
    loose = let_out_by(design, Mechanism(way="loose nose", **hold)).recovery.mechanism
    assert loose is not None, "filled in"
    held = value_of(loose.hold) + (loose.hold.spread if loose.hold else 0.0)
    end = _STRONGER * (value_of(loose.nose_mass) * 9.80665 + held)
    pushes = {"push": 2.0 * end, "push_end": end}
    return {key: f"{force:.2g} N ± {_BY_HAND * force:.2g} N (assumed)" for key, force in pushes.items()} | {
        "push_stroke": f"{1e3 * value_of(loose.shoulder) + 10.0:.0f} mm ± 3 mm (assumed)"}  # fmt: skip


def _top_unopened(design: Design) -> float:
    """Return when the middle flight reaches its top with nothing let out, s."""
    never = parameters_of(design)
    never["release"] = 2
    return float(fly_parameters(never[0]).summary["apogee_time_s"])


def _carried(design: Design, name: str) -> dict[str, str]:
    """Return the part that a way puts on board, in place of that of the way before.

    Where a way was described and no part bears this name, nobody but the builder knows which one it is: none is put in.
    """
    at = next((number for number, part in enumerate(design.mass) if part.name == CARRIED), len(design.mass))
    if at == len(design.mass) and design.recovery.mechanism is not None:
        return {}
    mass, habit = parse_quantity(rows_of()[name]["mass"], Dimension.MASS), unit_habit(design)
    place = value_of(design.recovery.position)
    if _WAYS[name][0] == "sprung nose" and design.nose is not None:
        place = value_of(design.nose.length) + 0.02  # behind the joint: latch and servo stay with the bottle

    def text(value: str, spread: str) -> str:
        return f"{value.partition(' (')[0]} ± {spread.partition(' (')[0]} (assumed)"

    return {f"mass.{at}.name": CARRIED,
            f"mass.{at}.mass": text(habit.mass(mass.value, 2), habit.mass(mass.spread, 1)),
            f"mass.{at}.position": text(habit.length(place), habit.length(0.02, 2))}  # fmt: skip
