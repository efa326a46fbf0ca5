"""Values that are possible one by one and impossible together."""

import math
from collections.abc import Iterator
from itertools import pairwise

from bottlewright.design.document import Design
from bottlewright.design.errors import Problem
from bottlewright.design.shape import Stations, bottle_lengths, stations
from bottlewright.quantities import Basis, Quantity, show

__all__ = ["contradictions", "profile_problems", "stands_without"]

_SLACK = 1e-9  # m; "the bore is as wide as the neck" is allowed


def contradictions(written: Design, design: Design) -> list[Problem]:
    """List what can't be true together.

    Parameters
    ----------
    written, design
        As the builder wrote it, and completed.
    """
    problems = [*profile_problems(design), *_vessel(written, design)]
    if problems:
        return problems  # the lengths below would mean nothing
    at = stations(design)
    return [*_openings(design), *_fill(design), *_weights(design), *_places(design, at), *_outline(design)]


_RESTS_ON = {
    "vessel": set(), "charge": {"vessel"}, "nozzle": {"vessel"}, "launcher": {"vessel", "nozzle"},
    "mass": {"vessel", "nose"}, "recovery": {"vessel", "nose"}, "sleeve": {"vessel", "nose"},
    "fins": {"vessel", "nose", "sleeve"},
    "measured": {"vessel", "nozzle", "nose", "fins", "sleeve", "mass", "recovery"},
}  # fmt: skip


def stands_without(problem: Problem, wrong: set[str]) -> bool:
    """Tell whether a problem is one even though the values at the paths `wrong` could not be read.

    What the tool fills in for those must not make trouble that the builder does not have.
    """
    if problem.path == "charge.pressure":
        return not wrong & {"charge", "charge.pressure"}
    table = problem.path.partition(".")[0]
    broken = {path.partition(".")[0] for path in wrong}
    rests_on = set() if problem.why.startswith("is missing") else _RESTS_ON.get(table, broken)
    return not broken & ({table} | rests_on)


def _mm(value: float) -> str:
    return show(value, "mm", 4)


def _number(quantity: Quantity | None) -> float:
    return 0.0 if quantity is None else quantity.value


def profile_problems(design: Design) -> Iterator[Problem]:
    """Yield what is wrong with a profile of the vessel, whatever else is missing."""
    points = [(z.value, r.value) for z, r in design.vessel.profile or []]
    for index, ((z0, _), (z1, _)) in enumerate(pairwise(points), 1):
        if z1 <= z0:
            yield Problem(f"vessel.profile.{index}", f"folds back: height {_mm(z1)} after {_mm(z0)}",
                          "each height has to lie above the one before")
    if points and abs(points[0][0]) > _SLACK:
        yield Problem("vessel.profile.0", f"starts at {_mm(points[0][0])}",
                      "the first height has to be 0 mm, the nozzle exit")
    for index, (_, radius) in enumerate(points):
        if radius <= 0.0 and index < len(points) - 1:
            yield Problem(f"vessel.profile.{index}", "closes the vessel: radius 0 before its end",
                          "only the last radius can be 0")


def _vessel(written: Design, design: Design) -> Iterator[Problem]:
    vessel = design.vessel
    if written.vessel.profile and written.vessel.volume is not None:
        inside, said = _number(vessel.volume), written.vessel.volume
        if abs(inside - said.value) > max(0.05 * inside, 3.0 * said.spread):
            yield Problem("vessel.volume", f"is {said.text}, and the profile encloses {show(inside, 'mL', 4)}",
                          "leave one of them out, or measure again")
    inner = 0.5 * _number(vessel.diameter) - _number(vessel.wall)
    throat = 0.5 * _number(vessel.neck_bore)
    if inner <= 0.0:
        yield Problem("vessel.wall", f"is {_mm(_number(vessel.wall))}: it leaves nothing inside the diameter")
    elif throat > inner + _SLACK and not vessel.profile:
        yield Problem("vessel.neck_bore", f"is {_mm(2 * throat)}, wider than the bottle, {_mm(2 * inner)} inside")
    elif vessel.profile:
        widest = max(r.value for _, r in vessel.profile)
        if widest > 0.5 * _number(vessel.diameter) + _SLACK:
            yield Problem("vessel.diameter", f"is {_mm(_number(vessel.diameter))}, narrower than the profile's widest, "
                          f"{_mm(2 * widest)} inside")
    elif _number(vessel.volume) * vessel.count <= math.pi * throat**2 * _number(vessel.neck_length):
        yield Problem("vessel.volume", "is less than the neck alone holds")
    elif sum(bottle_lengths(vessel)) > 60.0 * _number(vessel.diameter):
        yield Problem("vessel.diameter", f"is {_mm(_number(vessel.diameter))}: a bottle of that volume would be "
                      f"{sum(bottle_lengths(vessel)):.1f} m long", "check volume, diameter and count")


def _openings(design: Design) -> Iterator[Problem]:
    neck, bore = _number(design.vessel.neck_bore), _number(design.nozzle.bore)
    if bore > neck + _SLACK:
        yield Problem("nozzle.bore", f"is {_mm(bore)}, wider than the neck, {_mm(neck)}",
                      "a nozzle sits in the neck: make it narrower, or correct vessel.neck_bore")
    launcher = design.launcher
    tube = _number(launcher.tube_diameter)
    if tube > min(bore, neck) + _SLACK:
        yield Problem("launcher.tube_diameter",
                      f"is {_mm(tube)}, wider than the hole it passes, {_mm(min(bore, neck))}")
    if _number(launcher.tube_length) > 0.0:
        if tube <= 0.0:
            yield Problem("launcher.tube_diameter", "is 0 mm, and the tube has a length")
        inside = sum(bottle_lengths(design.vessel))
        if _number(launcher.tube_length) > inside:
            yield Problem("launcher.tube_length", f"is {_mm(_number(launcher.tube_length))}, longer than the vessel, "
                          f"{_mm(inside)}")


def _fill(design: Design) -> Iterator[Problem]:
    capacity = _number(design.vessel.volume) * design.vessel.count
    water = _number(design.charge.water)
    if water >= capacity:
        yield Problem("charge.water",
                      f"is {show(water, 'mL', 4)}, and the vessel holds {show(capacity, 'mL', 4)} brim-full",
                      "a third of the vessel is usual; the rest is for the air")


def _weights(design: Design) -> Iterator[Problem]:
    dry = design.measured.dry_mass
    if dry is None:
        return
    empty = design.vessel.empty_mass
    weighed = [(f"mass.{i}.mass", part.mass) for i, part in enumerate(design.mass)]
    tables = ("nozzle", "nose", "fins", "sleeve", "recovery")
    parts = [(f"{name}.mass", getattr(getattr(design, name), "mass", None)) for name in tables]
    weighed += [(path, mass) for path, mass in parts if mass is not None and mass.basis is Basis.MEASURED]
    if empty is not None and empty.basis is Basis.MEASURED:
        weighed.append(("vessel.empty_mass", empty.at(empty.value * design.vessel.count)))
    total = sum(mass.value for _, mass in weighed)
    spread = math.hypot(dry.spread, *(mass.spread for _, mass in weighed))
    if total > dry.value + 3.0 * spread + 1e-9:
        yield Problem("measured.dry_mass", f"is {dry.text or show(dry.value, 'g')}, less than the parts you weighed, "
                      f"{show(total, 'g', 4)} together ({', '.join(path for path, _ in weighed)})")


def _places(design: Design, at: Stations) -> Iterator[Problem]:
    length = f"the rocket is {_mm(at.exit)} long from nose tip to nozzle"
    inside = [(f"mass.{i}.position", part.position) for i, part in enumerate(design.mass)]
    inside += [("measured.balance_point", design.measured.balance_point)] if design.measured.balance_point else []
    inside += [("recovery.position", design.recovery.position)] if design.recovery.position else []
    for path, position in inside:
        if position.value > at.exit + _SLACK:
            yield Problem(path, f"is {_mm(position.value)}, off the rocket", length)
    end = at.exit
    if design.sleeve:
        front = _number(design.sleeve.position)
        if front > at.exit:
            yield Problem("sleeve.position", f"is {_mm(front)}, off the rocket", length)
        end = max(end, front + design.sleeve.length.value)
    if design.fins:
        front, root = _number(design.fins.position), _number(design.fins.root)
        if front > end or front + root > end + 1e-3:
            yield Problem("fins.position", f"is {_mm(front)}: the root of {_mm(root)} ends at {_mm(front + root)}, "
                          "off the rocket", length)


def _outline(design: Design) -> Iterator[Problem]:
    fins = design.fins
    if fins is None:
        return
    if not fins.outline:
        if _number(fins.span) <= 0.0 or _number(fins.root) <= 0.0:
            yield Problem("fins.span" if _number(fins.root) else "fins.root", "is 0 mm: a fin without area",
                          "leave [fins] out for a rocket without fins")
        return
    points = [(x.value, y.value) for x, y in fins.outline]
    if max(y for _, y in points) <= 0.0 or min(y for _, y in points) > 1e-3:
        yield Problem("fins.outline", "has to start on the body (0 mm out) and lead outwards")
    elif _crosses(points):
        yield Problem("fins.outline", "crosses itself", "list the corners in order along the edge")


def _crosses(points: list[tuple[float, float]]) -> bool:
    edges = list(zip(points, [*points[1:], points[0]], strict=True))
    return any(
        _meet(*edges[i], *edges[j])
        for i in range(len(edges))
        for j in range(i + 2, len(edges))
        if not (i == 0 and j == len(edges) - 1)
    )


def _meet(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    def side(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0.0 and side(c, d, a) * side(c, d, b) < 0.0
