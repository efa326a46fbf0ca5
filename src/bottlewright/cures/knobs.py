"""What a cure may turn, and how far: settings in round numbers of the builder's units, the mildest first."""

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from bottlewright.cures.acts import ACTS
from bottlewright.design.document import Design
from bottlewright.design.first_rocket import canopy_for, skirt_and_fins, tip_place_text
from bottlewright.design.rewriting import Changes
from bottlewright.design.shape import stations
from bottlewright.design.steadying import dry_balance
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.proof.allowed import allowed_pressure, first_plan
from bottlewright.proof.distances import governing_distance
from bottlewright.quantities import UNITS, Dimension, parse_quantity, value_of

__all__ = ["KNOBS", "Knob", "knob"]


@dataclass(frozen=True, slots=True)
class Knob:
    """A thing that may be turned, with its settings from the mildest to the strongest."""

    name: str
    settings: tuple[Changes, ...]

    @property
    def keys(self) -> int:
        """How many keys of the design file it changes."""
        return len(self.settings[0])


def knob(name: str, design: Design) -> Knob | None:
    """Return a knob of a completed design; None where it has none, or no room to turn it."""
    settings = tuple((KNOBS | ACTS)[name](design, unit_habit(design)))
    return Knob(name, settings) if settings else None


_CLAY = re.compile(r"\b(clay|ballast|weights?|putty|sand|lead|plasticine)\b", re.I)
_MOST_CLAY, _MOST_SPAN, _MOST_CHORD, _MOST_SWEEP = 0.25, 1.6, 1.6, 1.3
"""Clay added, kg, and no more than twice what the rocket weighs; span in body diameters; root and tip, as a share of
the present; sweep, as a share of the span."""
_TRAILS = 0.8
"""How far a fin may trail behind the nozzle, in body diameters: a launcher stands there."""
_FURTHEST, _FURTHEST_SPECTATORS = 60.0, 300.0
"""Where the crew, and where spectators may be sent, m."""


def _steps(start: float, stop: float, unit: str, step: float) -> list[str]:
    """Return the multiples of a step (in the unit) after the start up, or down, to the stop (SI), as text."""
    table = next(table for table in UNITS.values() if unit in table)
    size = step * table[unit]
    if stop >= start:
        counts = range(math.floor(start / size + 1e-6) + 1, math.floor(stop / size + 1e-6) + 1)
    else:
        counts = range(math.ceil(start / size - 1e-6) - 1, math.ceil(stop / size - 1e-6) - 1, -1)
    decimals = 0 if step >= 1.0 else 1
    return [f"{count * step:.{decimals}f} {unit}" for count in counts]


def _length(habit: UnitHabit) -> tuple[str, float]:
    return ("in", 0.2) if habit.inches else ("mm", 5.0)


def _one(key: str, texts: list[str]) -> Iterator[Changes]:
    return ((((key, text),)) for text in texts)


def _fin(key: str, most: Callable[[Design], float]) -> Callable[[Design, UnitHabit], Iterator[Changes]]:
    """Return a knob that makes a size of the fins larger."""

    def settings(design: Design, habit: UnitHabit) -> Iterator[Changes]:
        fins = design.fins
        if fins is not None and not fins.outline:
            present = value_of(getattr(fins, key))
            yield from _one(f"fins.{key}", _steps(present, max(most(design), present), *_length(habit)))

    return settings


def _across(design: Design) -> float:
    return value_of(design.vessel.diameter)


def _sweep_limit(design: Design) -> float:
    fins, end = design.fins, stations(design).exit + _TRAILS * _across(design)
    return min(end - value_of(fins.position) - value_of(fins.tip), _MOST_SWEEP * value_of(fins.span)) if fins else 0.0


def _shorter(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    if design.fins is not None and not design.fins.outline:
        span = value_of(design.fins.span)
        yield from _one("fins.span", _steps(span, 0.4 * span, *_length(habit)))


def _position(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Move the fins back, as far as what carries them goes."""
    fins = design.fins
    if fins is None:
        return
    at, front, root = stations(design), value_of(fins.position), value_of(fins.root)
    end = at.exit
    if design.sleeve:
        end = value_of(design.sleeve.position) + design.sleeve.length.value
    elif front + root <= at.cylinder_end + 1e-3:
        end = at.cylinder_end
    yield from _one("fins.position", _steps(front, max(end - root, front), *_length(habit)))


def _count(design: Design, _: UnitHabit) -> Iterator[Changes]:
    if design.fins is not None:
        yield from _one("fins.count", [str(count) for count in range(max(design.fins.count + 1, 3), 7)])


def _clay(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Put weight into the tip: more of what is there, or some that is not."""
    unit, step = ("oz", 0.2) if habit.pounds else ("g", 5.0)
    half = 0.5 * value_of(design.nose.length if design.nose else None)
    most = min(_MOST_CLAY, 2.0 * dry_balance(design)[0])
    for index, item in enumerate(design.mass):
        if _CLAY.search(item.name) and item.position.value <= max(half, 0.02):
            yield from _one(f"mass.{index}.mass", _steps(item.mass.value, item.mass.value + most, unit, step))
            return
    new, far = f"mass.{len(design.mass)}", tip_place_text(design, habit)
    for text in _steps(0.0, most, unit, step):
        yield ((f"{new}.name", "clay in the tip"), (f"{new}.mass", text), (f"{new}.position", far),
               (f"{new}.material", "modelling-clay"))  # fmt: skip


def _less_clay(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    unit, step = ("oz", 0.2) if habit.pounds else ("g", 5.0)
    for index, item in enumerate(design.mass):
        if _CLAY.search(item.name):
            yield from _one(f"mass.{index}.mass", _steps(item.mass.value, 0.0, unit, step))
            return


def _skirt(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Give it the fins and the skirt of a first rocket, in the place of what it has."""
    if design.vessel.profile is None and not (design.fins and design.fins.outline):
        count = () if design.fins and design.fins.count >= 3 else (("fins.count", "3"),)
        yield (*count, *skirt_and_fins(design, habit))


def _water(design: Design, _: UnitHabit) -> Iterator[Changes]:
    holds = value_of(design.vessel.volume) * design.vessel.count
    step = 10.0 if holds < 4e-3 else 50.0
    keys = (("charge.water_share", ""),) if design.charge.water_share else ()
    for text in _steps(value_of(design.charge.water), 0.08 * holds, "mL", step):
        yield (*keys, ("charge.water", text))


def _pressure_unit(habit: UnitHabit) -> tuple[str, float]:
    return ("psi", 1.0) if habit.psi else ("bar", 0.1)


def _pressure(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Plan for less; before its own test for no more than one passed test would allow, the pump's overshoot off."""
    unit, step = _pressure_unit(habit)
    first = first_plan(design, allowed_pressure(design))
    for text in _steps(value_of(design.charge.pressure), 1.0e5, unit, step):
        if first is None or parse_quantity(text, Dimension.PRESSURE).value <= first + 1.0:
            yield (("charge.pressure", text),)


def _more_pressure(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Plan for more, never for more than is allowed now: before the bottle's own test that is nothing."""
    present = value_of(design.charge.pressure)
    most = min(2.5 * present + 1e5, allowed_pressure(design).gauge_Pa or 0.0)
    if most > present:
        yield from _one("charge.pressure", _steps(present, most, *_pressure_unit(habit)))


def _guide(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    unit, step = ("ft", 1.0) if habit.inches else ("m", 0.5)
    yield from _one("launcher.guide_length", _steps(value_of(design.launcher.guide_length), 2.0, unit, step))


def _tilt(design: Design, _: UnitHabit) -> Iterator[Changes]:
    yield from _one("launcher.tilt", _steps(value_of(design.launcher.tilt), 0.0, "deg", 1.0))


def _parachute(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    """Give it a parachute, or a larger one."""
    unit, step = ("in", 1.0) if habit.inches else ("mm", 20.0)
    recovery = design.recovery
    there = recovery.kind == "parachute" and recovery.release != "never"
    usual = parse_quantity(canopy_for(dry_balance(design)[0], habit), Dimension.LENGTH).value
    present = value_of(recovery.diameter) if there else usual - 1e-3
    keys: Changes = () if there else (("recovery.kind", "parachute"),)
    if recovery.release == "never":
        keys = (*keys, ("recovery.release", "apogee"))
    for text in _steps(present, max(1.5, present), unit, step):
        yield (*keys, ("recovery.diameter", text))


def _smaller_parachute(design: Design, habit: UnitHabit) -> Iterator[Changes]:
    unit, step = ("in", 1.0) if habit.inches else ("mm", 20.0)
    if design.recovery.kind == "parachute":
        present = value_of(design.recovery.diameter)
        yield from _one("recovery.diameter", _steps(present, 0.4 * present, unit, step))


def _at_apogee(design: Design, _: UnitHabit) -> Iterator[Changes]:
    if design.recovery.release == "delay":
        yield (("recovery.release", "apogee"), ("recovery.delay", ""))


def _delay(longer: bool) -> Callable[[Design, UnitHabit], Iterator[Changes]]:
    def settings(design: Design, _: UnitHabit) -> Iterator[Changes]:
        recovery = design.recovery
        if recovery.kind != "none" and (recovery.release == "delay" or not longer):
            present = value_of(recovery.delay)
            yield from _one("recovery.delay", _steps(present, present + 5.0 if longer else 0.0, "s", 0.1))

    return settings


_LINES = {"operator": "cord", "pumper": "hose", "spectators": ""}
"""What keeps a person near: the cord in one hand, the hose at the pump."""


def _away(*roles: str) -> Callable[[Design, UnitHabit], Iterator[Changes]]:
    """Return a knob that sends people further away, and no nearer than the published distance.

    Cord or hose become longer where the one there is too short.
    """

    def settings(design: Design, habit: UnitHabit) -> Iterator[Changes]:
        unit, step = ("ft", 1.0) if habit.inches else ("m", 1.0)
        furthest = _FURTHEST_SPECTATORS if "spectators" in roles else _FURTHEST
        distances = governing_distance(design)
        asked = min(getattr(distances, role).asks_m for role in roles)
        nearest = max(min(min(filter(None, _stands(design, role)), default=0.0) for role in roles), asked - 1e-3)
        for text in _steps(nearest, furthest, unit, step):
            yield tuple(change for role in roles for change in _sent(design, role, text))

    return settings


def _stands(design: Design, role: str) -> tuple[float, float]:
    """Return where a person is said to stand, and how long the line there is, m; 0 where nothing is said."""
    part = getattr(design.launcher, _LINES[role]) if _LINES[role] else None
    said = getattr(design.launcher.crew, role) if design.launcher.crew else None
    return value_of(said), value_of(part.length) if part else 0.0


def _sent(design: Design, role: str, text: str) -> Changes:
    """Return the change that sends a person so far away, nobody nearer, with a line that reaches there."""
    (said, long), away = _stands(design, role), parse_quantity(text, Dimension.LENGTH).value
    place = ((f"launcher.crew.{role}", text),) if away > said + 1e-9 else ()
    longer = ((f"launcher.{_LINES[role]}.length", text),) if long and away > long + 1e-9 else ()
    return (*place, *longer)


def _water_of(last: int) -> Callable[[Design, UnitHabit], Iterator[Changes]]:
    """Return a knob that fills it with warmer or with cooler water, up or down to a temperature (°C)."""

    def settings(design: Design, habit: UnitHabit) -> Iterator[Changes]:
        present = value_of(design.charge.temperature) - 273.15
        up = range(math.floor(present + 1e-6) + 1, last + 1)
        for celsius in up if last >= 15 else range(math.ceil(present - 1e-6) - 1, last - 1, -1):
            yield (("charge.temperature", f"{celsius * 9 / 5 + 32:.0f} °F" if habit.fahrenheit else f"{celsius} °C"),)

    return settings


KNOBS: dict[str, Callable[[Design, UnitHabit], Iterator[Changes]]] = {
    "span": _fin("span", lambda design: _MOST_SPAN * _across(design)),
    "shorter span": _shorter,
    "root": _fin("root", lambda design: _MOST_CHORD * value_of(design.fins.root if design.fins else None)),
    "tip": _fin("tip", lambda design: _MOST_CHORD * value_of(design.fins.tip if design.fins else None)),
    "sweep": _fin("sweep", _sweep_limit),
    "position": _position,
    "count": _count,
    "clay": _clay,
    "less clay": _less_clay,
    "skirt": _skirt,
    "water": _water,
    "pressure": _pressure,
    "more pressure": _more_pressure,
    "guide": _guide,
    "tilt": _tilt,
    "parachute": _parachute,
    "smaller parachute": _smaller_parachute,
    "at apogee": _at_apogee,
    "shorter delay": _delay(longer=False),
    "longer delay": _delay(longer=True),
    "operator": _away("operator"),
    "pumper": _away("pumper"),
    "crew": _away("operator", "pumper"),
    "spectators": _away("spectators"),
    "warmer water": _water_of(20),
    "cooler water": _water_of(10),
}
"""What may be turned, by name. No key of what was measured, tested or done to the bottle stands here."""
