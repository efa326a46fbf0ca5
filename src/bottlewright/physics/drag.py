"""Axial drag from parts: friction, nose, base, fins, their edges and their roots. Everything as a drag area, m².

Source, unless a function names another: S. F. Hoerner, Fluid-Dynamic Drag, 1965; original not checked, docs/sources.md
says which of its relations were found quoted elsewhere. A water rocket stays well under half the speed of sound, so
nothing here depends on it.
"""

import math

from bottlewright.physics import FloatArray, jit
from bottlewright.physics.outer_shape import CONE, FLAT, OGIVE, PARABOLOID

__all__ = [
    "base_coefficient", "body_form_factor", "facing_area", "fin_edge_coefficient", "fin_form_factor",
    "junction_coefficient", "laminar_friction", "nose_coefficient", "rounded_face_coefficient", "separated_base_area",
    "skin_friction", "turbulent_friction", "wetted_area",
]  # fmt: skip

TRANSITION = 5e5
"""Reynolds number, on the length, at which the flow along a smooth surface turns turbulent."""
_FACE = 0.8  # pressure on a blunt face, over the dynamic pressure
_EDGE = -7.7 * math.log(10.0)
_LEVEL = math.tan(math.radians(5.0))
_BASE_MOST = 0.25


@jit
def laminar_friction(reynolds: float) -> float:
    """Mean friction coefficient of a plate in laminar flow: 1.328/√Re (Blasius)."""
    return 1.328 / math.sqrt(max(reynolds, 1.0))


@jit
def turbulent_friction(reynolds: float, relative_roughness: float) -> float:
    """Mean friction coefficient of a plate in turbulent flow from its front on; Re 5e5 and above.

    The larger of 0.455/(log₁₀ Re)^2.58 and, for a rough surface, (1.89 − 1.62 log₁₀(k/l))^−2.5 (both Schlichting,
    Boundary-Layer Theory, the second his eq. 21.38, as quoted; original not checked). `relative_roughness` is k/l: sand
    grain over length, 0 for smooth.
    """
    rough = 0.0
    if relative_roughness > 0.0:
        rough = (1.89 - 1.62 * math.log10(min(relative_roughness, 0.01))) ** -2.5
    return float(max(0.455 / math.log10(reynolds) ** 2.58, rough))


@jit
def skin_friction(reynolds: float, relative_roughness: float) -> float:
    """Mean friction coefficient of a plate, on its wetted area, by its Reynolds number V l/ν.

    Laminar up to Re 5e5. Above it the turbulent value less A/Re for the laminar run at the front, A such that the two
    meet at 5e5 (Prandtl's way), so it never falls below the laminar one.
    """
    if reynolds <= TRANSITION:
        return laminar_friction(reynolds)
    at_transition = turbulent_friction(TRANSITION, relative_roughness) - laminar_friction(TRANSITION)
    return turbulent_friction(reynolds, relative_roughness) - TRANSITION / reynolds * at_transition


@jit
def body_form_factor(fineness: float) -> float:
    """Hoerner's factor on the friction of a body of revolution: 1 + 1.5 (d/l)^1.5 + 7 (d/l)³; held below l/d = 2."""
    slender = 1.0 / max(fineness, 2.0)
    return 1.0 + 1.5 * slender * math.sqrt(slender) + 7.0 * slender**3


@jit
def fin_form_factor(thickness: float, chord: float) -> float:
    """Hoerner's factor on the friction of a fin: 1 + 2 t/c + 60 (t/c)⁴; held above t/c = 0.3."""
    ratio = min(thickness / chord, 0.3)
    return 1.0 + 2.0 * ratio + 60.0 * ratio**4


@jit
def wetted_area(x: FloatArray, r: FloatArray, n: int) -> float:
    """Side surface of the stack of frusta, m², without flat faces and steps."""
    area = 0.0
    for i in range(n - 1):
        h = x[i + 1] - x[i]
        if h > 0.0:
            area += math.pi * (r[i] + r[i + 1]) * math.hypot(h, r[i + 1] - r[i])
    return area


@jit
def _blend(angle: float, low: float, high: float) -> float:
    part = min(max((angle - low) / (high - low), 0.0), 1.0)
    return part * part * (3.0 - 2.0 * part)


@jit
def rounded_face_coefficient(edge: float) -> float:
    """Pressure drag of a blunt face on its own area, by the radius of its edge over its diameter: 0.8 · 10^(−7.7 r/d).

    The stream leaves a sharp edge, and the suction that would make up for the pressure on the face is lost: 0.8
    (Hoerner, blunt cylinders). A rounded edge holds the stream: next to nothing is left on a hemisphere, r/d = 0.5
    (0.01, Hoerner). The fall between the two is that of the loss at the rounded mouth of a pipe, 0.03 + 0.47 · 10^(−7.7
    r/d) (Idelchik, Handbook of Hydraulic Resistance; original not checked, but within 0.02 of a table quoted from
    Idelchik and Fried, Flow Resistance, 1989, p. 52, and others): borrowed, the same stream leaving the same lip.
    """
    return float(_FACE * math.exp(_EDGE * edge))


@jit
def nose_coefficient(shape: int, length: float, radius: float) -> float:
    """Pressure drag of a nose on the area of its seat, by its shape code, length and radius at the seat (m).

    From the formula of the shape and not from stations along it, so that it doesn't depend on how many there are.
    Ellipsoid and ogive meet the cylinder without a corner: `rounded_face_coefficient` with the radius of curvature
    at the seat, length²/radius and the radius of the arc. A cone and a paraboloid meet it at a sharp edge and at a
    slope θ: 0.8 sin²θ (Hoerner, cones). Such an edge counts by how far it turns: not at 5°, in full from 15° (common
    practice, no source).
    """
    if radius <= 0.0:
        return 0.0
    if shape in (CONE, PARABOLOID):
        slope = math.atan2(radius, length if shape == CONE else 2.0 * length)
        return float(_FACE * math.sin(slope) ** 2 * _blend(slope, math.radians(5.0), math.radians(15.0)))
    if shape == FLAT:
        return _FACE
    arc = length * length / radius
    if shape == OGIVE and length > radius:
        arc = 0.5 * (radius + arc)
    return rounded_face_coefficient(arc / (2.0 * radius))


@jit
def _climbs(x: FloatArray, r: FloatArray, i: int) -> bool:
    """Whether the outline rises by more than 5° from a station to the next, and not in a step."""
    return bool(x[i + 1] > x[i] and r[i + 1] - r[i] > _LEVEL * (x[i + 1] - x[i]))


@jit
def facing_area(x: FloatArray, r: FloatArray, n: int, nose_length: float, nose: float) -> float:
    """Pressure drag area of everything that faces the stream, m².

    The nose by its coefficient. Behind it a flat face or a step, such as the edge of a sleeve, with 0.8 on its own
    ring; a rise over a length h, such as the shoulder of a bottle that flies neck first, as a face whose edge has the
    radius h²/rise, which is the ellipse's. A part behind a wider one lies in its wake and does not count.

    Parameters
    ----------
    x, r, n
        Stations from the end that meets the stream and radii, m; the first n count.
    nose_length, nose
        Length of the nose, m, and its `nose_coefficient`; 0 for a stream that meets the tail.
    """
    reached = math.pi * r[0] * r[0]
    total = _FACE * reached
    i = 0
    while i < n - 1:
        j = i + 1
        coefficient = nose
        if x[j] == x[i] or x[j] > nose_length + 1e-9:
            while j < n - 1 and _climbs(x, r, j - 1) and _climbs(x, r, j):
                j += 1
            rise = r[j] - r[i]
            coefficient = 0.0
            if rise > 0.0:
                coefficient = rounded_face_coefficient((x[j] - x[i]) ** 2 / (rise * 2.0 * r[j]))
        area = math.pi * r[j] * r[j]
        if area > reached:
            total += coefficient * (area - reached)
            reached = area
        i = j
    return float(total)


@jit
def separated_base_area(x: FloatArray, r: FloatArray, n: int) -> float:
    """Area on which the base pressure acts, m²: the flat end, and every part that narrows too steeply.

    The stream follows a surface that narrows by 10° and leaves one that narrows by 25° (common practice, no source).
    """
    low, high = math.radians(10.0), math.radians(25.0)
    area = math.pi * r[n - 1] * r[n - 1]
    largest = 0.0
    for i in range(n - 1):
        largest = max(largest, r[i])
        if r[i + 1] < r[i]:
            angle = math.atan2(r[i] - r[i + 1], x[i + 1] - x[i])
            area += math.pi * (r[i] * r[i] - r[i + 1] * r[i + 1]) * _blend(angle, low, high)
    largest = max(largest, r[n - 1])
    return float(min(area, math.pi * largest * largest))


@jit
def base_coefficient(fore_area: float, base_area: float, side: float) -> float:
    """Drag of the base on its own area: 0.029/√C, C the drag area of all before it over the base area (Hoerner).

    The thicker the layer that arrives, the weaker the suction. Held at 0.25 where hardly any friction comes before it.
    A body shorter than its own wake is a bluff one: 0.39 exp(−2 (l/d)⁴) where that is more, `side` the l/d of what
    lies behind the shoulder of the nose. 0.39 is the most that keeps a disc within the 1.1 to 1.2 that is measured;
    docs/physics/aerodynamics.md has the bodies it was chosen on, with 0.37 and 0.40 beside it.
    """
    if base_area <= 0.0:
        return 0.0
    thick = min(0.029 / math.sqrt(max(fore_area, 1e-12) / base_area), _BASE_MOST)
    return max(thick, 0.39 * math.exp(-2.0 * side**4))


@jit
def fin_edge_coefficient(edge: float, friction: float, thickness: float, chord: float) -> float:
    """Pressure drag of both edges on thickness × span, by edge: 0 square, 1 rounded, 2 sharp.

    Square front 0.8 as a blunt face; a rounded or sharp one none. Square or rounded back: Hoerner's base drag of a
    plate, 0.135/∛(2 c_f c/t), held at 0.6; a sharp one none.
    """
    if edge == 2 or thickness <= 0.0:
        return 0.0
    back = min(0.135 / (2.0 * friction * chord / thickness) ** (1.0 / 3.0), 0.6)
    return float(back + (_FACE if edge == 0 else 0.0))


@jit
def junction_coefficient(thickness: float, chord: float) -> float:
    """Interference drag where a fin meets the body, on thickness squared: 17 (t/c)² − 0.05, not below 0 (Hoerner)."""
    return max(17.0 * (thickness / chord) ** 2 - 0.05, 0.0)
