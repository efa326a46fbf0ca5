"""The whole airframe as one array of coefficients, made once a flight, and the air's force on it.

Axes: stations x run aft from the nose tip. Vectors are in body axes, e1 along the axis toward the nose, e2 and e3
across, right-handed. A point of the axis at station x moves sideways with (v2 − x r, v3 + x q), so that every part
meets the air with its own velocity and the damping of pitch, yaw and roll needs no coefficient of its own.
"""

import math

import numpy as np

from bottlewright.physics import FloatArray, inline_jit, jit
from bottlewright.physics.drag import (
    base_coefficient,
    body_form_factor,
    facing_area,
    fin_edge_coefficient,
    fin_form_factor,
    junction_coefficient,
    separated_base_area,
    skin_friction,
    wetted_area,
)
from bottlewright.physics.fins import fin_slope, gang_factor, mean_chord, roll_radii, wing_factor
from bottlewright.physics.outer_shape import radius_at
from bottlewright.physics.slender_body import cross_drag_coefficient, cross_strips, side_force_integrals, widest

__all__ = [
    "AIRFRAME_SIZE", "REFERENCE_AREA", "air_loads", "axial_drag_areas", "drag_area", "linear_centre_of_pressure",
    "prepare_airframe",
]  # fmt: skip

STRIPS = 6
MAX_FINS = 8
"""More fins than this fly as this many, with the area of all."""
LANES, TOGETHER = 8, 4
"""Numbers that a processor works out at once: of strips, and of fins. Each is worked out apart and summed after that,
in turn, so that the sums are the same on every machine; what belongs to no strip and no fin is left out of them."""
TABLE_NODES = 41
TABLE_START, TABLE_STEP = 8.0, 0.25
"""Natural logarithm of V/ν (1/m) at the first node of the drag tables, and between nodes: 3e3 to 6.6e7 1/m."""

# Layout of the coefficient array.
REFERENCE_AREA = 0  # largest cross-section of the body, m²
LENGTH = 1  # of the body, m
SIDE = 2  # four integrals of the side force for air from the nose, then four for air from the tail
ROUGHNESS = 10  # m
WET = 11  # wetted area of the body times its form factor, m²
NOSE = 12  # pressure drag area of what faces the air, m²: from the nose, from the tail
BASE = 14  # area on which the base pressure acts, m²: from the nose, from the tail
DRAG_FACTOR = 16  # on the whole build-up
FIXED_DRAG = 17  # drag coefficient on the largest cross-section that replaces the build-up, NaN for none
FIN_COUNT = 18
FIN_AREA = 19  # of one fin, one side, m²
FIN_SLOPE = 20  # normal-force slope of one fin on its own area, 1/rad, crowding included
FIN_FACTOR = 21  # raise of the incidence by the body's upwash
FIN_MIDDLE = 22  # station of the middle of the mean chord, m
FIN_QUARTER = 23  # a quarter of the mean chord, m
FIN_ARM = 24  # where a twist acts, m from the axis
FIN_REACH = 25  # where a roll rate is felt, m from the axis
CANT_COSINE = 26
CANT_SINE = 27
FIN_WET = 28  # both sides of all fins times their form factor, m²
FIN_EDGES = 29  # thickness times span times cosine squared of the front edge's sweep, of all fins, m²
FIN_JUNCTIONS = 30  # interference drag area of all fins, m²
FIN_THICKNESS = 31  # m
FIN_EDGE = 32  # code of the edge's shape
STRIP_AREA = 33  # half the cross drag coefficient times the area of each strip of the side view, m²
STRIP_PLACE = STRIP_AREA + LANES  # station of each strip's centre, m
FIN_ACROSS = STRIP_PLACE + LANES  # cosines of the fins' roll angles, then sines; the first stands along e2
BEHIND_NOSE = FIN_ACROSS + 2 * MAX_FINS  # length behind the shoulder of the nose, in diameters: from the nose, the tail
TABLE = BEHIND_NOSE + 2  # rows: drag areas, m², from the nose less base, base, from the tail; their bends
SCRATCH = TABLE + 6 * TABLE_NODES  # rows of `LANES`, written and read by `air_loads` alone
AIRFRAME_SIZE = SCRATCH + 3 * LANES

_STALL_SINE_SQUARED = math.sin(math.radians(15.0)) ** 2
_PLATE_NORMAL = 1.17
_PLATE_SHARE = 0.56
_CROSS_ONSET = math.sin(math.radians(5.0)) ** 2


@jit
def _prepare_body(
    x: FloatArray, r: FloatArray, n: int, nose_length: float, nose: float, tail_efficiency: float, back: FloatArray,
    coef: FloatArray,
) -> None:  # fmt: skip
    length, radius = x[n - 1], widest(r, n)
    coef[LENGTH] = length
    coef[REFERENCE_AREA] = math.pi * radius * radius
    back_x, back_r = back[0], back[1]
    for i in range(n):
        back_x[i], back_r[i] = length - x[n - 1 - i], r[n - 1 - i]
    j0, j1, m0, m1 = side_force_integrals(x, r, n, tail_efficiency)
    coef[SIDE], coef[SIDE + 1], coef[SIDE + 2], coef[SIDE + 3] = j0, j1, m0, m1
    # The same about the nose tip and with U counted forward: x' = L − x, w = (w0 + L w1) − x' w1.
    j0, j1, m0, m1 = side_force_integrals(back_x, back_r, n, tail_efficiency)
    coef[SIDE + 4], coef[SIDE + 5] = -j0, j1 - length * j0
    coef[SIDE + 6], coef[SIDE + 7] = m0 - length * j0, length * (m0 - length * j0 + j1) - m1
    fineness = length / (2.0 * radius)
    coef[WET] = wetted_area(x, r, n) * body_form_factor(fineness)
    # A nose counts up to its shoulder: a hemisphere's length or its own.
    coef[BEHIND_NOSE], coef[BEHIND_NOSE + 1] = fineness - min(nose_length / (2.0 * radius), 0.5), fineness
    coef[NOSE] = facing_area(x, r, n, nose_length, nose)
    coef[NOSE + 1] = facing_area(back_x, back_r, n, 0.0, 0.0)
    coef[BASE], coef[BASE + 1] = separated_base_area(x, r, n), separated_base_area(back_x, back_r, n)
    cross_strips(x, r, n, STRIPS, coef[STRIP_AREA:STRIP_PLACE], coef[STRIP_PLACE:FIN_ACROSS])
    half = 0.5 * cross_drag_coefficient(fineness)
    for k in range(STRIPS):
        coef[STRIP_AREA + k] *= half
    for k in range(STRIPS, LANES):
        coef[STRIP_AREA + k], coef[STRIP_PLACE + k] = 0.0, 0.0


@jit
def _prepare_fins(
    x: FloatArray, r: FloatArray, n: int, count: int, root: float, tip: float, span: float, sweep: float,
    position: float, thickness: float, edge: int, cant: float, coef: FloatArray,
) -> None:  # fmt: skip
    for i in range(FIN_COUNT, STRIP_AREA):
        coef[i] = 0.0
    coef[CANT_COSINE] = 1.0
    if count <= 0 or span <= 0.0 or root + tip <= 0.0:
        return
    kept = min(count, MAX_FINS)
    share = count / kept
    radius = radius_at(position + 0.5 * root, x, r, n)
    chord, front, _ = mean_chord(root, tip, span, sweep)
    area = 0.5 * (root + tip) * span
    arm, reach = roll_radii(root, tip, span, radius)
    coef[FIN_COUNT] = kept
    coef[FIN_AREA] = area * share
    coef[FIN_SLOPE] = fin_slope(root, tip, span, sweep) * gang_factor(count)
    coef[FIN_FACTOR] = wing_factor(radius, span)
    coef[FIN_MIDDLE] = position + front + 0.5 * chord
    coef[FIN_QUARTER] = 0.25 * chord
    coef[FIN_ARM], coef[FIN_REACH] = arm, reach
    coef[CANT_COSINE], coef[CANT_SINE] = math.cos(cant), math.sin(cant)
    coef[FIN_WET] = 2.0 * count * area * fin_form_factor(thickness, chord)
    coef[FIN_EDGES] = count * thickness * span * span * span / (span * span + sweep * sweep)
    coef[FIN_JUNCTIONS] = count * thickness * thickness * junction_coefficient(thickness, max(root, 1e-9))
    coef[FIN_THICKNESS], coef[FIN_EDGE] = thickness, edge
    for i in range(kept):
        angle = 2.0 * math.pi * i / kept
        coef[FIN_ACROSS + i], coef[FIN_ACROSS + MAX_FINS + i] = math.cos(angle), math.sin(angle)


@jit
def _surface_drag(coef: FloatArray, reynolds_per_length: float) -> tuple[float, float, float]:
    """Return drag areas in m², without factor: body friction, fin friction, fin edges."""
    length, chord = coef[LENGTH], 4.0 * coef[FIN_QUARTER]
    friction, fins, edges = 0.0, 0.0, 0.0
    if length > 0.0:
        friction = coef[WET] * skin_friction(reynolds_per_length * length, coef[ROUGHNESS] / length)
    if coef[FIN_COUNT] > 0.0:
        plate = skin_friction(reynolds_per_length * chord, coef[ROUGHNESS] / chord)
        fins = plate * coef[FIN_WET]
        edges = coef[FIN_EDGES] * fin_edge_coefficient(coef[FIN_EDGE], plate, coef[FIN_THICKNESS], chord)
    return friction, fins, edges


@jit
def _base_drag(coef: FloatArray, friction: float, jet_area: float, from_tail: int) -> float:
    area = coef[BASE + from_tail]
    base = base_coefficient(friction + coef[NOSE + from_tail], area, coef[BEHIND_NOSE + from_tail])
    return float(base * max(area - jet_area, 0.0))


@jit
def axial_drag_areas(
    coef: FloatArray, reynolds_per_length: float, jet_area: float, from_tail: int
) -> tuple[float, float, float, float, float, float]:
    """Return drag areas in m², part by part: body friction, nose, base, fin friction, fin edges, fin junctions.

    Over the reference area they are drag coefficients. The build-up itself, not the table that the flight reads, with
    the drag factor, and as if no coefficient were fixed.

    Parameters
    ----------
    coef
        From `prepare_airframe`.
    reynolds_per_length
        V/ν, 1/m.
    jet_area
        Part of the base that the jet fills, m².
    from_tail
        1 for air that comes from the tail, 0 from the nose.
    """
    factor = coef[DRAG_FACTOR]
    friction, fins, edges = _surface_drag(coef, reynolds_per_length)
    base = _base_drag(coef, friction, jet_area, from_tail)
    nose, junctions = coef[NOSE + from_tail], coef[FIN_JUNCTIONS]
    return factor * friction, factor * nose, factor * base, factor * fins, factor * edges, factor * junctions


@jit
def _tabulate_drag(coef: FloatArray) -> None:
    fixed, factor = coef[FIXED_DRAG] * coef[REFERENCE_AREA], coef[DRAG_FACTOR]
    for i in range(TABLE_NODES):
        row = TABLE + 6 * i
        if not math.isnan(fixed):
            coef[row], coef[row + 1], coef[row + 2] = fixed, 0.0, fixed
            continue
        friction, fins, edges = _surface_drag(coef, math.exp(TABLE_START + TABLE_STEP * i))
        surface = friction + fins + edges + coef[FIN_JUNCTIONS]
        coef[row] = factor * (surface + coef[NOSE])
        coef[row + 1] = factor * _base_drag(coef, friction, 0.0, 0)
        coef[row + 2] = factor * (surface + coef[NOSE + 1] + _base_drag(coef, friction, 0.0, 1))
    for column in range(3):
        _bend_spline(coef, TABLE + column)


def _upper_factor() -> FloatArray:
    """Return the upper factor of the spline's equations, which hang on the number of nodes alone."""
    upper = np.empty(TABLE_NODES)
    upper[0] = 0.5
    for i in range(1, TABLE_NODES):
        upper[i] = 1.0 / ((2.0 if i == TABLE_NODES - 1 else 4.0) - upper[i - 1])
    return upper


_UPPER = _upper_factor()


@jit
def _bend_spline(coef: FloatArray, first: int) -> None:
    """Fill in the bends b of a cubic spline that leaves both ends level: bᵢ₋₁ + 4 bᵢ + bᵢ₊₁ = yᵢ₋₁ − 2 yᵢ + yᵢ₊₁."""
    last = first + 6 * (TABLE_NODES - 1)
    coef[first + 3] = 0.5 * (coef[first + 6] - coef[first])
    for i in range(1, TABLE_NODES):
        at = first + 6 * i
        right = coef[at - 6] - coef[at]
        if at != last:
            right = coef[at - 6] - 2.0 * coef[at] + coef[at + 6]
        coef[at + 3] = (right - coef[at - 3]) * _UPPER[i]
    for i in range(TABLE_NODES - 2, -1, -1):
        coef[first + 6 * i + 3] -= _UPPER[i] * coef[first + 6 * i + 9]


@jit
def prepare_airframe(
    x: FloatArray, r: FloatArray, n: int, nose_length: float, nose: float, fin_count: int, root: float, tip: float,
    span: float, sweep: float, position: float, thickness: float, edge: int, cant: float, roughness: float,
    tail_efficiency: float, drag_factor: float, fixed_drag: float, back: FloatArray, coef: FloatArray,
) -> None:  # fmt: skip
    """Write the coefficients of an airframe; once a flight.

    Parameters
    ----------
    x, r, n
        Outer shape: stations from the nose tip and radii, m; the first n count. Flat faces and steps are two
        stations at one place.
    nose_length, nose
        Length of the nose, m, and its coefficient, as in `facing_area`.
    fin_count, root, tip, span, sweep, position, thickness, edge, cant
        A ring of fins: number, chords, span from the body out, front of the tip aft of the front of the root, front
        of the root from the nose tip, thickness (m), edge code (0 square, 1 rounded, 2 sharp), cant in rad, positive
        when it turns the rocket clockwise seen from behind.
    roughness
        Equivalent sand grain, m.
    tail_efficiency
        As in `side_force_integrals`.
    drag_factor, fixed_drag
        Factor on the axial build-up; coefficient on the largest cross-section that replaces it, NaN for none.
    back
        Scratch of two rows, each as long as `x`: the shape as air from the tail meets it.
    coef
        Array of `AIRFRAME_SIZE`, written in place.
    """
    coef[ROUGHNESS], coef[DRAG_FACTOR], coef[FIXED_DRAG] = roughness, drag_factor, fixed_drag
    _prepare_body(x, r, n, nose_length, nose, tail_efficiency, back, coef)
    _prepare_fins(x, r, n, fin_count, root, tip, span, sweep, position, thickness, edge, cant, coef)
    _tabulate_drag(coef)


@inline_jit
def _table_drag(coef: FloatArray, reynolds_per_length: float, jet_area: float, nose_first: float) -> float:
    """Drag area in m² from the cubic spline: no jump in its slope nor in its bend, and level beyond both ends."""
    place = (math.log(max(reynolds_per_length, 1.0)) - TABLE_START) / TABLE_STEP
    place = min(max(place, 0.0), TABLE_NODES - 1.0)
    i = min(int(place), TABLE_NODES - 2)
    u = place - i
    v = 1.0 - u
    a, b = v * v * v - v, u * u * u - u
    row = TABLE + 6 * i
    front = v * coef[row] + u * coef[row + 6] + a * coef[row + 3] + b * coef[row + 9]
    base = v * coef[row + 1] + u * coef[row + 7] + a * coef[row + 4] + b * coef[row + 10]
    back = v * coef[row + 2] + u * coef[row + 8] + a * coef[row + 5] + b * coef[row + 11]
    if jet_area > 0.0:
        base *= max(1.0 - jet_area / max(coef[BASE], 1e-12), 0.0)
    return float(nose_first * (front + base) + (1.0 - nose_first) * back)


@jit
def drag_area(coef: FloatArray, reynolds_per_length: float, jet_area: float) -> float:
    """Drag area in m² of air straight from the nose: of a rocket on its guide, which takes whatever acts across it."""
    return _table_drag(coef, reynolds_per_length, jet_area, 1.0)


@inline_jit
def air_loads(
    coef: FloatArray, density: float, viscosity: float, va1: float, va2: float, va3: float, p: float, q: float,
    r: float, jet_area: float,
) -> tuple[float, float, float, float, float, float]:  # fmt: skip
    """Return force (N) and moment about the nose tip (N m) in body axes: (F1, F2, F3, L, M, N).

    Parameters
    ----------
    coef
        From `prepare_airframe`; its last numbers are scratch.
    density, viscosity
        Of the air, kg/m³ and Pa s.
    va1, va2, va3
        Velocity of the nose tip relative to the air, m/s; va1 is positive when it flies nose first.
    p, q, r
        Body rates, rad/s.
    jet_area
        Area of the base that the jet fills, m²; 0 without jet.

    Notes
    -----
    Body: `side_force_integrals` with U = va1, and the drag of each strip across the stream, ½ ρ C_dc d |w| w
    (Jorgensen, NASA TR R-474, 1977; Galejs; original not checked), × |w|/√(w² + (va1 sin 5°)²) because the flow across
    does not separate at once (the 5° is common practice, no source). Axial: −½ ρ va1 |va1| × drag area, Jorgensen's
    cos²α. The share of nose-first values is ½ + ¾ c − ¼ c³, c the cosine of the incidence at mid-length: no jump
    anywhere, and within 0.3 % of 1 up to 20°. Fins: see `_fin_loads`.
    """
    half_length = 0.5 * coef[LENGTH]
    middle2, middle3 = va2 - half_length * r, va3 + half_length * q
    speed = math.sqrt(va1 * va1 + middle2 * middle2 + middle3 * middle3 + 1e-18)
    cosine = va1 / speed
    nose_first = 0.5 + cosine * (0.75 - 0.25 * cosine * cosine)
    tail_first = 1.0 - nose_first
    f1 = -0.5 * density * va1 * abs(va1) * _table_drag(coef, speed * density / viscosity, jet_area, nose_first)

    # Cross velocity of the air at station x: (−va2 + x r, −va3 − x q).
    j0 = nose_first * coef[SIDE] + tail_first * coef[SIDE + 4]
    j1 = nose_first * coef[SIDE + 1] + tail_first * coef[SIDE + 5]
    m0 = nose_first * coef[SIDE + 2] + tail_first * coef[SIDE + 6]
    m1 = nose_first * coef[SIDE + 3] + tail_first * coef[SIDE + 7]
    f2 = va1 * (j1 * r - j0 * va2)
    f3 = va1 * (-j1 * q - j0 * va3)
    x2 = va1 * (m1 * r - m0 * va2)
    x3 = va1 * (-m1 * q - m0 * va3)
    onset = _CROSS_ONSET * va1 * va1 + 1e-18
    for k in range(LANES):
        place = coef[STRIP_PLACE + k]
        w2, w3 = place * r - va2, -place * q - va3
        square = w2 * w2 + w3 * w3
        pull = coef[STRIP_AREA + k] * square / math.sqrt(square + onset)
        coef[SCRATCH + k] = pull * w2
        coef[SCRATCH + LANES + k] = pull * w3
    for k in range(STRIPS):
        place = coef[STRIP_PLACE + k]
        f2 += coef[SCRATCH + k]
        f3 += coef[SCRATCH + LANES + k]
        x2 += coef[SCRATCH + k] * place
        x3 += coef[SCRATCH + LANES + k] * place
    g1, g2, g3, gl, gm, gn = _fin_loads(coef, va1, va2, va3, p, q, r, cosine)
    return (
        f1 + density * g1, density * (f2 + g2), density * (f3 + g3),
        density * gl, density * (x3 + gm), density * (gn - x2),
    )  # fmt: skip


@inline_jit
def _fin_loads(
    coef: FloatArray, va1: float, va2: float, va3: float, p: float, q: float, r: float, cosine: float
) -> tuple[float, float, float, float, float, float]:
    """Loads of the fins over the density of the air, about the nose tip.

    Each fin feels the speed along its chord and across its face, u and v. Attached, its normal force is ½ ρ A a V v',
    with v' the speed across raised by the body's upwash; separated it is a flat plate's, ½ ρ A 1.17 V² s/(0.56 + 0.44
    |s|), s = v/V (1.17 broadside, Hoerner; the form, Lindenburg, ECN-C--03-025, 2003; both as quoted, original not
    checked). The share of attached flow is 1/(1 + (s/sin 15°)⁶): half at 15°. The force of attached flow acts a quarter
    of the mean chord from whichever edge leads, the plate's in the middle. The speed across is taken three quarters
    back (Pistolesi).
    """
    middle, shift = coef[FIN_MIDDLE], coef[FIN_QUARTER] * cosine
    felt = middle + shift
    v2, v3 = va2 - felt * r, va3 + felt * q
    count, turn = int(coef[FIN_COUNT]), p * coef[FIN_REACH]
    _feel_fins(coef, 0, va1, v2, v3, turn, shift)
    if count > TOGETHER:
        _feel_fins(coef, TOGETHER, va1, v2, v3, turn, shift)
    arm = coef[FIN_ARM]
    f1, f2, f3, roll, m2, m3 = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(count):
        c, s = coef[FIN_ACROSS + i], coef[FIN_ACROSS + MAX_FINS + i]
        forward, sideways, lever = coef[SCRATCH + i], coef[SCRATCH + LANES + i], coef[SCRATCH + 2 * LANES + i]
        f1 += forward
        f2 -= s * sideways
        f3 += c * sideways
        roll += arm * sideways
        m2 += c * lever + arm * s * forward
        m3 += s * lever - arm * c * forward
    return f1, f2, f3, roll, m2, m3


@inline_jit
def _feel_fins(coef: FloatArray, first: int, va1: float, v2: float, v3: float, turn: float, shift: float) -> None:
    """Write what each of `TOGETHER` fins feels, there or not, to the scratch: forward, sideways, moment of that."""
    cant_c, cant_s, factor = coef[CANT_COSINE], coef[CANT_SINE], coef[FIN_FACTOR]
    middle, half_area = coef[FIN_MIDDLE], 0.5 * coef[FIN_AREA]
    for i in range(first, first + TOGETHER):
        side = coef[FIN_ACROSS + i] * v3 - coef[FIN_ACROSS + MAX_FINS + i] * v2
        along = va1 * cant_c + (side + turn) * cant_s
        across = (side + turn) * cant_c - va1 * cant_s
        raised = (factor * side + turn) * cant_c - va1 * cant_s
        square = along * along + across * across + 1e-18
        speed = math.sqrt(square)
        keep = square * _STALL_SINE_SQUARED
        lose = across * across
        keep, lose = keep * keep * keep, lose * lose * lose
        attached_share = keep / (keep + lose)
        attached = attached_share * coef[FIN_SLOPE] * speed * raised
        plate = (1.0 - attached_share) * _PLATE_NORMAL * square * across
        plate /= _PLATE_SHARE * speed + (1.0 - _PLATE_SHARE) * abs(across)
        normal = -half_area * (attached + plate)
        sideways = normal * cant_c
        coef[SCRATCH + i] = -normal * cant_s
        coef[SCRATCH + LANES + i] = sideways
        coef[SCRATCH + 2 * LANES + i] = middle * sideways + half_area * shift * attached * cant_c


@jit
def linear_centre_of_pressure(coef: FloatArray) -> tuple[float, float]:
    """Return (normal-force slope in 1/rad on the reference area, centre of pressure in m from the nose tip).

    At the limit of small incidence, nose first: where a static margin is measured. One or two fins leave a plane
    without any; the values are those of that plane.
    """
    fins = 0.5 * coef[FIN_COUNT] if coef[FIN_COUNT] > 2.0 else 0.0
    fin_force = fins * coef[FIN_AREA] * coef[FIN_SLOPE] * coef[FIN_FACTOR]
    force = 2.0 * coef[SIDE] + fin_force
    moment = 2.0 * coef[SIDE + 2] + fin_force * (coef[FIN_MIDDLE] - coef[FIN_QUARTER])
    if force == 0.0:
        return 0.0, 0.0
    return force / coef[REFERENCE_AREA], moment / force
