"""Stress and stretch of a thin pressure vessel, its joints and its cap: textbook relations on SI floats.

Pressures are gauge: a wall feels the difference between inside and outside. Radii may be outer or mean ones; at a
wall of a third of a millimetre the difference is below one per cent.
"""

import math

__all__ = [
    "axial_strain",
    "axial_stress",
    "dome_stress",
    "hoop_strain",
    "hoop_stress",
    "splice_shear",
    "thread_shear",
    "volkersen_peak",
    "volume_growth",
]


def hoop_stress(gauge: float, radius: float, wall: float) -> float:
    """Return the stress round a thin cylinder, p r/t, in Pa.

    Source: any strength-of-materials text, such as Case, Chilver and Ross, "Strength of Materials and Structures".
    """
    return gauge * radius / wall


def axial_stress(gauge: float, radius: float, wall: float) -> float:
    """Return the stress along a thin closed cylinder, p r/(2t), in Pa (same source)."""
    return 0.5 * hoop_stress(gauge, radius, wall)


def dome_stress(gauge: float, radius: float, wall: float) -> float:
    """Return the stress in a thin spherical dome of this radius of curvature, p r/(2t), in Pa (same source)."""
    return 0.5 * gauge * radius / wall


def hoop_strain(gauge: float, radius: float, wall: float, modulus: float, poisson: float) -> float:
    """Return the elastic strain round a closed thin cylinder, (p r/(E t))·(1 − ν/2) (same source)."""
    return gauge * radius / (modulus * wall) * (1.0 - 0.5 * poisson)


def axial_strain(gauge: float, radius: float, wall: float, modulus: float, poisson: float) -> float:
    """Return the elastic strain along a closed thin cylinder, (p r/(E t))·(1/2 − ν) (same source)."""
    return gauge * radius / (modulus * wall) * (0.5 - poisson)


def volume_growth(gauge: float, radius: float, wall: float, modulus: float, poisson: float) -> float:
    """Return ΔV/V of a closed thin cylinder, (p r/(E t))·(5/2 − 2ν): twice the hoop strain and the axial strain."""
    return gauge * radius / (modulus * wall) * (2.5 - 2.0 * poisson)


def splice_shear(gauge: float, radius: float, overlap: float) -> float:
    """Return the mean shear in the glue of a lap splice round a cylinder, p r/(2 L), in Pa.

    The end load p π r² is shared by the glued band 2 π r L.
    """
    return gauge * radius / (2.0 * overlap)


def volkersen_peak(
    overlap: float, modulus: float, wall_inner: float, wall_outer: float, shear_modulus: float, glue: float
) -> float:
    """Return the peak shear over the mean shear at the ends of a single lap joint, without bending.

    Source: O. Volkersen, Luftfahrtforschung 15 (1938) 41, in its usual form: with
    w² = G/(ta E)·(1/t1 + 1/t2), the shear along the lap is a sum of cosh and sinh of w x, greatest at the end of the
    thinner sheet.

    Parameters
    ----------
    overlap
        Length of the lap, m.
    modulus, wall_inner, wall_outer
        Young's modulus of the sheets, Pa, and their thicknesses, m.
    shear_modulus, glue
        Shear modulus of the glue, Pa, and its thickness, m.
    """
    w = math.sqrt(shear_modulus / (glue * modulus) * (1.0 / wall_inner + 1.0 / wall_outer))
    half = 0.5 * w * overlap
    uneven = abs(wall_inner - wall_outer) / (wall_inner + wall_outer)
    return half * (1.0 / math.tanh(half) + uneven * math.tanh(half))


def thread_shear(gauge: float, bore: float, thread: float, engaged: float) -> float:
    """Return the mean shear at the root of a cap's or adapter's thread, in Pa.

    The plug load p π d²/4 on the sealed bore is carried by a band of the thread's diameter and engaged length, half of
    which is root (the other half is the gap between turns): a first estimate, as in any machine-elements text.
    """
    return gauge * bore**2 / (2.0 * thread * engaged)
