"""Values that are possible one by one and impossible together.

Every check stands alone: it is made whenever the values that it compares could be read. What could not is `UNREAD`, not
a number, and so is all that is worked out from it; since no comparison with that is true, a check stays silent of its
own accord when one of its values is broken. So write ``if value > limit``, never ``if not value <= limit``, and take
the largest of several by `_largest`.
"""

import math
from collections.abc import Iterator
from itertools import pairwise

from bottlewright.design import tables
from bottlewright.design.completion import filled, lacking
from bottlewright.design.document import Design
from bottlewright.design.errors import Problem
from bottlewright.design.fields import UNREAD, Of, quantity_bounds
from bottlewright.design.launcher import Launcher
from bottlewright.design.rocket import Vessel
from bottlewright.design.shape import Stations, bottle_lengths, profile_volume, stations
from bottlewright.quantities import Basis, Quantity, show, value_of

__all__ = ["contradictions", "sound"]

_SLACK = 1e-9  # m; "the bore is as wide as the neck" is allowed


def contradictions(written: Design) -> list[Problem]:
    """List what is missing and what can't be true together in a design as the builder wrote it."""
    wrong = [*lacking(written), *_profile(written)]
    return [*wrong, *_together(written, filled(_set_aside(written, wrong)))]


def sound(written: Design) -> Design | None:
    """Return a design completed, None where something is missing in it or can't be true together."""
    if lacking(written) or _profile(written):
        return None
    design = filled(written)
    return None if _together(written, design) else design


def _together(written: Design, design: Design) -> list[Problem]:
    """List what can't be true together in a design as written and as filled in."""
    vessel = [*_vessel(written.vessel, design.vessel)]
    lost = bool(vessel)  # sizes that contradict each other give no lengths to hold anything against
    at = Stations(*[math.nan] * 4) if lost else stations(design)
    inside = math.nan if lost else sum(bottle_lengths(design.vessel))
    return [
        *vessel, *_openings(design, inside), *_fill(written, design), *_weights(design),
        *_places(design, at), *_outline(design),
    ]  # fmt: skip


def _set_aside(design: Design, wrong: list[Problem]) -> Design:
    """Put `UNREAD` in the place of what is wrong by itself, so that nothing is judged by it."""
    update: dict[str, object] = {}
    paths = {problem.path for problem in wrong}
    for problem in wrong:
        table, _, key = problem.path.partition(".")
        if key == "material":  # decides nothing that is checked here
            update[table] = getattr(design, table).model_copy(update={"material": None})
        elif key.startswith("profile"):  # the heights at least; a radius only where it is wrong itself
            radii = enumerate(r for _, r in design.vessel.profile or [])
            points = [(UNREAD, UNREAD if f"vessel.profile.{i}.1" in paths else r) for i, r in radii]
            update[table] = design.vessel.model_copy(update={"profile": points})
    return design.model_copy(update=update)


def _mm(value: float) -> str:
    return show(value, "mm", 4)


def _largest(*values: float) -> float:
    """Return the largest, or not a number where one of them is none (`max` would depend on their order)."""
    return math.nan if any(map(math.isnan, values)) else max(values)


def _profile(design: Design) -> list[Problem]:
    points = [(z.value, r.value) for z, r in design.vessel.profile or []]
    problems = [*_heights(points), *_radii([r for _, r in points], design.nozzle.bore)]
    inside, volumes = profile_volume(points) / design.vessel.count, _bounds("volume")
    if points and not problems and _outside(volumes, inside):
        problems.append(Problem("vessel.profile", f"encloses {show(inside, 'mL')} a bottle",
                                f"it has to be from {volumes.low.text} to {volumes.high.text}"))
    return problems


def _heights(points: list[tuple[float, float]]) -> Iterator[Problem]:
    read = [(index, z) for index, (z, _) in enumerate(points) if not math.isnan(z)]
    for (_, before), (index, height) in pairwise(read):
        if height <= before:
            yield Problem(f"vessel.profile.{index}", f"folds back: height {_mm(height)} after {_mm(before)}",
                          "each height has to lie above the one before")
    if points and abs(points[0][0]) > _SLACK:
        yield Problem("vessel.profile.0", f"starts at {_mm(points[0][0])}",
                      "the first height has to be 0 mm, the nozzle exit")


def _radii(radii: list[float], nozzle: Quantity | None) -> Iterator[Problem]:
    necks, neck = _bounds("neck_bore"), 2.0 * radii[0] if radii else math.nan
    bore = neck if nozzle is None else nozzle.value
    for index, radius in enumerate(radii[:-1]):
        path = f"vessel.profile.{index}.1"
        if radius <= 0.0:
            yield Problem(path, "closes the vessel: radius 0 before its end", "only the last radius can be 0")
        elif index == 0 and _outside(necks, neck):
            yield Problem(path, f"makes the neck {_mm(neck)} wide",
                          f"it has to be from {necks.low.text} to {necks.high.text}")
        elif 2.0 * radius < bore - _SLACK and not bore > neck and any(above > radius for above in radii[index + 1 :]):
            yield Problem(path, f"makes a waist {_mm(2.0 * radius)} wide, narrower than the nozzle, {_mm(bore)}",
                          "the nozzle has to be the narrowest place on the way out")


def _bounds(key: str) -> Of:
    bounds = quantity_bounds(Vessel.model_fields[key])
    assert bounds is not None
    return bounds


def _outside(bounds: Of, value: float) -> bool:
    return value < bounds.low.value or value > bounds.high.value


def _vessel(written: Vessel, vessel: Vessel) -> Iterator[Problem]:
    outer, wall, throat = value_of(vessel.diameter), value_of(vessel.wall), 0.5 * value_of(vessel.neck_bore)
    inner = 0.5 * outer - wall
    if inner <= 0.0:
        yield Problem("vessel.wall", f"is {_mm(wall)}: it leaves nothing inside the diameter")
    if vessel.profile:
        yield from _profiled(written, vessel)
    elif throat > inner + _SLACK and inner > 0.0:
        yield Problem("vessel.neck_bore", f"is {_mm(2 * throat)}, wider than the bottle, {_mm(2 * inner)} inside")
    elif value_of(vessel.volume) * vessel.count <= math.pi * throat**2 * value_of(vessel.neck_length):
        yield Problem("vessel.volume", "is less than the neck alone holds")
    elif sum(bottle_lengths(vessel)) > 60.0 * outer:
        yield Problem("vessel.diameter", f"is {_mm(outer)}: a bottle of that volume would be "
                      f"{sum(bottle_lengths(vessel)):.1f} m long", "check volume, diameter and count")


def _profiled(written: Vessel, vessel: Vessel) -> Iterator[Problem]:
    inside = value_of(vessel.volume)
    if written.volume and _differ(written.volume, inside):
        yield Problem("vessel.volume", f"is {written.volume.text}, and the profile encloses {show(inside, 'mL', 4)}",
                      "leave one of them out, or measure again")
    neck, shoulder, cylinder, base = bottle_lengths(vessel)
    if cylinder < -_SLACK:
        yield Problem("vessel.profile", f"is {_mm(neck + shoulder + cylinder + base)} high, less than neck, shoulder "
                      f"and base together, {_mm(neck + shoulder + base)}", "leave their lengths out, or measure again")
    widest = max((r.value for _, r in vessel.profile or [] if not math.isnan(r.value)), default=math.nan)
    if widest > 0.5 * value_of(vessel.diameter) + _SLACK:
        yield Problem("vessel.diameter", f"is {_mm(value_of(vessel.diameter))}, narrower than the profile's widest, "
                      f"{_mm(2 * widest)} inside")


def _differ(said: Quantity, enclosed: float) -> bool:
    return abs(enclosed - said.value) > max(0.05 * enclosed, 3.0 * said.spread)


def _openings(design: Design, inside: float) -> Iterator[Problem]:
    neck, bore = value_of(design.vessel.neck_bore), value_of(design.nozzle.bore)
    if bore > neck + _SLACK:
        yield Problem("nozzle.bore", f"is {_mm(bore)}, wider than the neck, {_mm(neck)}",
                      "a nozzle sits in the neck: make it narrower, or correct vessel.neck_bore")
    launcher = design.launcher
    tube, length = value_of(launcher.tube_diameter), value_of(launcher.tube_length)
    hole = min((width for width in (bore, neck) if not math.isnan(width)), default=math.nan)
    if tube > hole + _SLACK:
        yield Problem("launcher.tube_diameter", f"is {_mm(tube)}, wider than the hole it passes, {_mm(hole)}")
    if length > 0.0 and tube <= 0.0 and launcher.tube_diameter and launcher.tube_diameter.basis is Basis.MEASURED:
        yield Problem("launcher.tube_diameter", "is 0 mm, and the tube has a length")
    elif length > 0.0 and 0.0 < tube < _THINNEST_TUBE and _said(launcher.tube_diameter):
        yield Problem("launcher.tube_diameter", f"is {_mm(tube)}, and a tube that seals has to be at least "
                      f"{_mm(_THINNEST_TUBE)} wide", "write the outer diameter")
    if length > inside:
        yield Problem("launcher.tube_length", f"is {_mm(length)}, longer than the vessel, {_mm(inside)}")
    yield from _seal(launcher, hole, inside)


_THINNEST_TUBE = 1e-3
"""Outer diameter of a launch tube, m: the least that `launcher.seal_diameter` may be, which it stands for."""


def _seal(launcher: Launcher, hole: float, inside: float) -> Iterator[Problem]:
    """Find fault with what the builder says of the seal: a spigot has to fit its hole, and a tube's bore its tube."""
    seal, bore = value_of(launcher.seal_diameter), value_of(launcher.tube_bore)
    if launcher.seal == "spigot" and seal > hole + _SLACK and _said(launcher.seal_diameter):
        yield Problem("launcher.seal_diameter", f"is {_mm(seal)}, wider than the hole that it fills, {_mm(hole)}",
                      'a nozzle that sits in its launcher has seal = "socket"')
    if launcher.seal == "spigot" and value_of(launcher.stroke) > inside and _said(launcher.stroke):
        yield Problem("launcher.stroke", f"is {_mm(value_of(launcher.stroke))}, longer than the vessel, {_mm(inside)}")
    if bore > seal + _SLACK and _said(launcher.tube_bore):
        yield Problem("launcher.tube_bore", f"is {_mm(bore)}, wider than the tube, {_mm(seal)}")


def _said(quantity: Quantity | None) -> bool:
    return quantity is not None and quantity.basis is Basis.MEASURED


def _fill(written: Design, design: Design) -> Iterator[Problem]:
    vessel, water, said = design.vessel, value_of(design.charge.water), written.vessel.volume
    holds = value_of(vessel.volume)
    if said and _differ(said, holds):  # who knows which of the two is right
        holds = _largest(holds, said.value)
    holds *= vessel.count
    usual = "a third of the vessel is usual; the rest is for the air"
    if written.charge.water is not None and written.charge.water_share is not None:
        yield Problem("charge.water_share", "says again how much water, besides charge.water", "keep one of the two")
    if water >= holds:
        why = f"is {show(water, 'mL', 4)}, and the vessel holds {show(holds, 'mL', 4)} brim-full"
        yield Problem("charge.water", why, usual)
    elif math.isnan(holds) and water > _at_most(written.vessel):
        yield Problem("charge.water", f"is {show(water, 'mL', 4)}, far more than such a vessel holds", usual)


def _at_most(vessel: Vessel) -> float:
    """Return more than a vessel can hold (m³) whose volume can't be told, by the bottle and the profile it names.

    No bottle holds half as much again as its row of the table, and no profile more than a drum as wide and tall.
    """
    row = tables.bottles().get(vessel.bottle or "")
    heights, radii = zip(*((z.value, r.value) for z, r in vessel.profile or [(UNREAD, UNREAD)]), strict=True)
    limits = [
        1.5 * row["volume"].value * vessel.count if row else math.nan,
        math.pi * _largest(*radii) ** 2 * (_largest(*heights) - min(heights)),
    ]
    return max((limit for limit in limits if limit > _bounds("volume").low.value), default=math.nan)


def _weights(design: Design) -> Iterator[Problem]:
    dry = design.measured.dry_mass
    if dry is None:
        return
    empty = design.vessel.empty_mass
    weighed = [(f"mass.{i}.mass", part.mass) for i, part in enumerate(design.mass)]
    names = ("nozzle", "nose", "fins", "sleeve", "recovery")
    parts = [(f"{name}.mass", getattr(getattr(design, name), "mass", None)) for name in names]
    weighed += [(path, mass) for path, mass in parts if mass is not None and mass.basis is Basis.MEASURED]
    if empty is not None and empty.basis is Basis.MEASURED:
        weighed.append(("vessel.empty_mass", empty.at(empty.value * design.vessel.count)))
    weighed = [(path, mass) for path, mass in weighed if not math.isnan(mass.value)]
    total = sum(mass.value for _, mass in weighed)
    spread = math.hypot(dry.spread, *(mass.spread for _, mass in weighed))
    if total > dry.value + 3.0 * spread + 1e-9:
        yield Problem("measured.dry_mass", f"is {dry.text or show(dry.value, 'g')}, less than the parts you weighed, "
                      f"{show(total, 'g', 4)} together ({', '.join(path for path, _ in weighed)})",
                      "if the rocket was changed since, weigh it again, or take this weight out until then")


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
        front = value_of(design.sleeve.position)
        if front > at.exit:
            yield Problem("sleeve.position", f"is {_mm(front)}, off the rocket", length)
        end = _largest(end, front + design.sleeve.length.value)
    if design.fins:
        front, root = value_of(design.fins.position), value_of(design.fins.root)
        if front > end:
            yield Problem("fins.position", f"is {_mm(front)}, off the rocket", length)
        elif front + root > end + 1e-3:
            yield Problem("fins.position", f"is {_mm(front)}: the root of {_mm(root)} ends at {_mm(front + root)}, "
                          "off the rocket", length)


def _outline(design: Design) -> Iterator[Problem]:
    fins = design.fins
    if fins is None:
        return
    if not fins.outline:
        for key in ("root", "span"):
            if getattr(fins, key).value <= 0.0:
                yield Problem(f"fins.{key}", "is 0 mm: a fin without area",
                              "leave [fins] out for a rocket without fins")
        return
    points = [(x.value, y.value) for x, y in fins.outline]
    out = [y for _, y in points]
    if not math.isnan(sum(out)) and (max(out) <= 0.0 or min(out) > 1e-3):
        yield Problem("fins.outline", "has to start on the body (0 mm out) and lead outwards")
    if _crosses(points):
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
