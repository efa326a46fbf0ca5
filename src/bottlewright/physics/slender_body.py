"""Side force and moment on a body of revolution, from its outer shape alone.

A slice of air that the body passes through is pushed aside like the flow about a cylinder: it takes up the sideways
momentum ρ S(x) V(x) per length, with S the body's cross-section and V its sideways velocity there. The slice drifts
aft at the axial speed U, so the body feels, with w = −V the cross velocity of the air,

    f(x) = ρ U d/dx [S w]        (Lighthill, J. Fluid Mech. 9, 305, 1960, elongated-body theory; original not checked)

less the inertia of the slice, ρ S ∂V/∂t, which is left out because the air that a rocket displaces weighs
one or two hundredths of the rocket. With w constant this is Munk's airship theory and Barrowman's body lift, S' alone;
with w = w₀ + w₁ x, as a turning body sees it, the same integral gives the damping.

Where the body narrows, the flow leaves the surface and the air does not get its momentum back: the outline that the
stream follows, S_e, narrows by only a part of S (the tail efficiency), and widens again only once S exceeds it.
"""

import math

from bottlewright.physics import FloatArray, jit

__all__ = ["cross_drag_coefficient", "cross_strips", "side_force_integrals", "widest"]


@jit
def _frustum(h: float, a: float, b: float) -> tuple[float, float]:
    """∫S dx, and ∫(x − x₀) S dx, over a frustum of length h between radii a and b: m³, m⁴."""
    zeroth = math.pi * h * (a * a + a * b + b * b) / 3.0
    first = math.pi * h * h * (a * a + 2.0 * a * b + 3.0 * b * b) / 12.0
    return zeroth, first


@jit
def side_force_integrals(
    x: FloatArray, r: FloatArray, n: int, tail_efficiency: float
) -> tuple[float, float, float, float]:
    """Return (J₀, J₁, M₀, M₁) in m², m³, m³, m⁴, for air that flows from station 0 to station n − 1.

    Side force = ρ U (J₀ w₀ + J₁ w₁) and its moment about x = 0, ∫x f dx = ρ U (M₀ w₀ + M₁ w₁).

    Parameters
    ----------
    x, r, n
        Stations from the nose tip and outer radii, m; the first n count. A flat face or a step is two stations at
        one place.
    tail_efficiency
        Part (0 to 1) of the narrowing that the stream follows: 1 is ideal flow, 0 a flow that stays wide.

    Notes
    -----
    By parts, J₀ = S_e(L), J₁ = L S_e(L), M₀ = L S_e(L) − ∫S_e dx, M₁ = L² S_e(L) − ∫x S_e dx, exact for frusta.
    """
    stream = math.pi * r[0] * r[0]
    zeroth, first = 0.0, 0.0
    for i in range(n - 1):
        h = x[i + 1] - x[i]
        here, there = math.pi * r[i] * r[i], math.pi * r[i + 1] * r[i + 1]
        own, own_first = _frustum(h, r[i], r[i + 1])
        if there <= here:
            after = stream + tail_efficiency * (there - here)
            inside = stream * h + tail_efficiency * (own - here * h)
            inside_first = 0.5 * stream * h * h + tail_efficiency * (own_first - 0.5 * h * h * here)
        elif stream < there:
            # Wide as the wake up to a place inside this frustum (0 without wake), its own width from there on.
            meet = math.sqrt(max(stream, here) / math.pi)
            run = h * (meet - r[i]) / (r[i + 1] - r[i])
            rest, rest_first = _frustum(h - run, meet, r[i + 1])
            after = there
            inside = stream * run + rest
            inside_first = 0.5 * stream * run * run + run * rest + rest_first
        else:
            after, inside, inside_first = stream, stream * h, 0.5 * stream * h * h
        zeroth += inside
        first += x[i] * inside + inside_first
        stream = after
    end = x[n - 1]
    return stream, stream * end, stream * end - zeroth, stream * end * end - first


@jit
def widest(r: FloatArray, n: int) -> float:
    """Largest outer radius, m."""
    largest = 0.0
    for i in range(n):
        largest = max(largest, r[i])
    return largest


@jit
def cross_drag_coefficient(fineness: float) -> float:
    """Drag coefficient of a cylinder across the stream, on length × diameter, by its length over diameter.

    0.64, 0.68, 0.72, 0.74, 0.82, 0.91, 0.98 at 1, 2, 3, 5, 10, 20, 40 and 1.20 without ends (White, Fluid Mechanics,
    table 7.3, laminar separation; original not checked; Matthews, Aeronautical Engineer's Data Book, p. 95, prints the
    same at 2, 5, 10, 40 and without ends, and 0.63 at 1), straight lines in ln λ between them. Galejs's factor for
    rockets, K = 1.1, is the one without ends.
    """
    log = math.log(max(fineness, 1.0))
    knots = (0.0, 0.693147, 1.098612, 1.609438, 2.302585, 2.995732, 3.688879, 6.0)
    values = (0.64, 0.68, 0.72, 0.74, 0.82, 0.91, 0.98, 1.20)
    for i in range(7):
        if log < knots[i + 1]:
            return values[i] + (values[i + 1] - values[i]) * (log - knots[i]) / (knots[i + 1] - knots[i])
    return 1.20


@jit
def cross_strips(x: FloatArray, r: FloatArray, n: int, count: int, area: FloatArray, centre: FloatArray) -> None:
    """Cut the side view into `count` strips of equal length; write their areas, m², and centres, m from the tip.

    The areas add up to the side view exactly, and so do their first moments.
    """
    length = x[n - 1]
    for k in range(count):
        area[k] = 0.0
        centre[k] = length * (k + 0.5) / count
    if length <= 1e-9:
        return
    width = length / count
    moment = 0.0
    k = 0
    for i in range(n - 1):
        h = x[i + 1] - x[i]
        if h <= 1e-12:
            continue
        slope = (r[i + 1] - r[i]) / h
        left = x[i]
        while left < x[i + 1]:
            right = x[i + 1] if k == count - 1 else min(x[i + 1], (k + 1) * width)
            a, b = r[i] + slope * (left - x[i]), r[i] + slope * (right - x[i])
            area[k] += (a + b) * (right - left)
            moment += (a + b) * (right - left) * left + (a + 2.0 * b) * (right - left) ** 2 / 3.0
            left = right
            if right < x[i + 1] or right >= (k + 1) * width:
                if area[k] > 0.0:
                    centre[k] = moment / area[k]
                moment = 0.0
                k = min(k + 1, count - 1)
    if moment > 0.0 and area[k] > 0.0:
        centre[k] = moment / area[k]
