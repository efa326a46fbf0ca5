"""Where a plain rocket balances and where the air takes hold of it, from its drawing alone: for a sizing rule.

The flight works out both again, for any rocket and at every moment; what is told to a builder comes from there. This
rule needs no compiled code, so that a new design file has its sizes at once.
"""

import math
from itertools import pairwise

from bottlewright.design import tables
from bottlewright.design.document import Design
from bottlewright.design.rocket import Fins
from bottlewright.design.shape import bottle_lengths, nose_outline, profile_volume, stations
from bottlewright.quantities import Dimension, value_of

__all__ = ["bottle_outline", "dry_balance", "outer_outline", "pressure_centre", "tip_weight"]

Points = list[tuple[float, float]]
"""Stations from the nose tip and radii, m."""


def bottle_outline(design: Design) -> Points:
    """Return the inner shape of a completed design's generic bottle, from its base to the neck's mouth."""
    neck, shoulder, cylinder, base = bottle_lengths(design.vessel)
    inner, throat = 0.5 * value_of(design.vessel.diameter) - value_of(design.vessel.wall), _throat(design)
    seat = stations(design).nose_end
    end = seat + cylinder
    turns = [k / 12.0 for k in range(13)]
    points = [(seat - base * math.cos(0.5 * math.pi * t), inner * math.sin(0.5 * math.pi * t)) for t in turns]
    wave = [(end + shoulder * t, throat + (inner - throat) * 0.5 * (1.0 + math.cos(math.pi * t))) for t in turns]
    return [*points, *wave, (end + shoulder + neck, throat)]


def outer_outline(design: Design) -> Points:
    """Return the outer shape of a completed design from its nose tip to its nozzle; a sleeve covers what it spans."""
    wall = value_of(design.vessel.wall)
    nose = nose_outline(design.nose) if design.nose else []
    seat = stations(design).nose_end
    body = [(seat, 0.5 * value_of(design.vessel.diameter))]
    body += [(x, r + wall) for x, r in bottle_outline(design) if x > seat]
    if design.sleeve is None:
        return [*nose, *body]
    front = value_of(design.sleeve.position)
    back, radius = front + design.sleeve.length.value, 0.5 * value_of(design.sleeve.diameter)
    before = [point for point in body if point[0] < front]
    after = [(back, _radius_at(back, body)), *(point for point in body if point[0] > back)]
    return [*nose, *before, (front, _radius_at(front, body)), (front, radius), (back, radius), *after]


def dry_balance(design: Design) -> tuple[float, float]:
    """Return mass (kg) and balance point (m from the nose tip) of a completed design without water, by its parts."""
    parts = [(value_of(design.vessel.empty_mass), _shell_centre(bottle_outline(design)))]
    if design.nose:
        parts.append((value_of(design.nose.mass), _solid_centre(nose_outline(design.nose))))
    if design.fins:
        parts.append((value_of(design.fins.mass), value_of(design.fins.position) + _fin_centre(design.fins)))
    if design.sleeve:
        middle = value_of(design.sleeve.position) + 0.5 * design.sleeve.length.value
        parts.append((value_of(design.sleeve.mass), middle))
    parts.append((value_of(design.nozzle.mass), stations(design).exit))
    parts.append((value_of(design.recovery.mass), value_of(design.recovery.position)))
    parts += [(item.mass.value, item.position.value) for item in design.mass]
    mass = sum(m for m, _ in parts)
    return mass, sum(m * x for m, x in parts) / mass


def pressure_centre(design: Design) -> float:
    """Return the centre of pressure of a completed design at small incidence, m from the nose tip.

    Slender-body lift of the outline, of which a part goes on behind the widest place (`model.tail_efficiency`), and
    Barrowman's fins (thesis, 1967; original not checked).
    """
    outline = outer_outline(design)
    kept = 1.0 - (design.model.tail_efficiency or tables.default("model.tail_efficiency", Dimension.NUMBER)).value
    widest = max(range(len(outline)), key=lambda k: outline[k][1])
    area, (end, last) = math.pi * outline[widest][1] ** 2, outline[-1]
    stream = kept * area + (1.0 - kept) * math.pi * last**2
    behind = end - outline[widest][0]
    inside = profile_volume(outline[: widest + 1]) + kept * area * behind
    inside += (1.0 - kept) * profile_volume(outline[widest:])
    force, moment = 2.0 * stream, 2.0 * (stream * end - inside)
    if design.fins and design.fins.count > 2:
        slope, place = _fin_lift(design.fins, outline)
        force, moment = force + slope, moment + slope * place
    return moment / force


def tip_weight(design: Design, place: float, calibres: float) -> float:
    """Return the weight (kg) that gives a completed design without water a static margin, in body diameters.

    Parameters
    ----------
    place
        Of the weight, m from the nose tip.
    """
    mass, balance = dry_balance(design)
    wanted = pressure_centre(design) - calibres * value_of(design.vessel.diameter)
    return max(mass * (balance - wanted) / (wanted - place), 0.0) if wanted > place else math.inf


def _throat(design: Design) -> float:
    return 0.5 * value_of(design.vessel.neck_bore)


def _radius_at(place: float, points: Points) -> float:
    for (x0, r0), (x1, r1) in pairwise(points):
        if x0 <= place <= x1 and x1 > x0:
            return r0 + (r1 - r0) * (place - x0) / (x1 - x0)
    return points[-1][1]


def _shell_centre(points: Points) -> float:
    rings = [(math.hypot(x1 - x0, r1 - r0) * (r0 + r1), 0.5 * (x0 + x1)) for (x0, r0), (x1, r1) in pairwise(points)]
    return sum(a * x for a, x in rings) / sum(a for a, _ in rings)


def _solid_centre(points: Points) -> float:
    discs = [((x1 - x0) * (r0 * r0 + r0 * r1 + r1 * r1), 0.5 * (x0 + x1)) for (x0, r0), (x1, r1) in pairwise(points)]
    return sum(v * x for v, x in discs) / sum(v for v, _ in discs)


def _trapezoid(fins: Fins) -> tuple[float, float, float, float]:
    return value_of(fins.root), value_of(fins.tip), value_of(fins.span), value_of(fins.sweep)


def _fin_centre(fins: Fins) -> float:
    root, tip, _, sweep = _trapezoid(fins)
    back = sweep + tip
    return (root * root + root * back + back * back - sweep * sweep) / (3.0 * (root + tip))


def _fin_lift(fins: Fins, outline: Points) -> tuple[float, float]:
    """Return the slope of the fins' normal force (m², 1/rad) and where it acts, m from the nose tip."""
    root, tip, span, sweep = _trapezoid(fins)
    both = root + tip
    middle = math.hypot(span, sweep + 0.5 * (tip - root))
    radius = _radius_at(value_of(fins.position) + 0.5 * root, outline)
    one = 2.0 * math.pi * span * span / (1.0 + math.sqrt(1.0 + (2.0 * middle / both) ** 2))
    crowded = {5: 0.948, 6: 0.913, 7: 0.854, 8: 0.81}.get(fins.count, 1.0 if fins.count < 5 else 0.75)
    slope = 0.5 * min(fins.count, 8) * one * crowded * (1.0 + radius / (span + radius))
    chord = 2.0 / 3.0 * (both - root * tip / both)
    return slope, value_of(fins.position) + sweep / 3.0 * (root + 2.0 * tip) / both + 0.25 * chord
