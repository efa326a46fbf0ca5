"""The water jet: unsteady Bernoulli in the accelerating rocket, coupled with the rocket's own motion.

With u the jet speed relative to the rocket, A_j = C_c A_e the jet's area, h and A_s height and area of the free
surface, β = A_j/A_s, k = 1/C_v² − 1 the loss, f the axial specific force (acceleration less gravity), M the mass of
rocket, water and gas, F_x other axial force:

    Λ_e u̇ = (p − p_a)/ρ + f h − ½ u² (1 + k − β²)
    M f   = ρ A_j u² (1 − β) + ρ A_j h u̇ + F_x

Two linear equations; their determinant M − ρ A_j h²/Λ_e is positive because ρ h² ≤ ρ V_w ∫dz/A (Cauchy–Schwarz).
The effects are those of Gommes, Am. J. Phys. 78, 236 (2010); the equations are derived in docs/physics/water_jet.md.
"""

import math

from bottlewright.physics import inline_jit, jit

__all__ = [
    "effective_length",
    "end_correction",
    "jet_free",
    "jet_free_ahead",
    "jet_held",
    "jet_held_ahead",
    "steady_jet_free",
    "steady_jet_held",
]


@jit
def end_correction(bore: float, neck_bore: float) -> float:
    """Inner end correction of the opening's length, m.

    0.8 of the bore's radius for an opening in a wide wall (common practice, no source: Rayleigh's 8/(3π) = 0.85 for a
    flanged end), less where the neck is hardly wider: × (1 − 1.47 ξ + 0.47 ξ³), ξ = bore/neck (Ingard, J. Acoust. Soc.
    Am. 25, 1037, 1953; original not checked), zero for the bare neck.
    """
    ratio = min(bore / neck_bore, 1.0)
    return 0.4 * bore * max(1.0 - 1.47 * ratio + 0.47 * ratio**3, 0.0)


@jit
def effective_length(jet_area: float, bore_area: float, inertial: float, land: float, correction: float) -> float:
    """Λ_e, m: A_j ∫dz/A of the water, and the nozzle's land and inner end, both at bore area.

    Never less than a tenth of the bore's radius: the last of the water in a bare neck is a slug of vanishing length
    that the gas would push out without limit, u² growing as ln(1/h), did it not break through (our judgement; no effect
    on anything that is measured).
    """
    length = jet_area * inertial + (land + correction) * jet_area / bore_area
    return max(length, 0.1 * math.sqrt(bore_area / math.pi))


@inline_jit
def jet_free(
    excess: float, density: float, jet_area: float, loss: float, height: float, surface: float, length: float,
    speed: float, mass: float, other: float,
) -> tuple[float, float]:  # fmt: skip
    """Return (f, u̇) of a rocket that is free to move along its axis.

    Parameters
    ----------
    excess, density
        p − p_a in Pa, water density kg/m³.
    jet_area, loss
        A_j in m², k = 1/C_v² − 1.
    height, surface, length
        h in m, A_s in m², Λ_e in m.
    speed, mass, other
        u in m/s, M in kg, F_x in N.
    """
    beta = jet_area / surface
    drive = excess / density - 0.5 * speed * speed * (1.0 + loss - beta * beta)
    carried = density * jet_area * height
    steady = density * jet_area * speed * speed * (1.0 - beta) + other
    force = (steady + carried * drive / length) / (mass - carried * height / length)
    return force, (drive + force * height) / length


@jit
def jet_held(
    excess: float, density: float, jet_area: float, loss: float, height: float, surface: float, length: float,
    speed: float, force: float,
) -> tuple[float, float]:  # fmt: skip
    """Return (thrust, u̇) of a rocket whose axial specific force f is given, as on a thrust stand."""
    beta = jet_area / surface
    gain = (excess / density + force * height - 0.5 * speed * speed * (1.0 + loss - beta * beta)) / length
    return density * jet_area * (speed * speed * (1.0 - beta) + height * gain), gain


@inline_jit
def jet_free_ahead(
    excess: float, density: float, jet_area: float, loss: float, height: float, surface: float, length: float,
    speed: float, mass: float, other: float, more: float, lead: float,
) -> float:  # fmt: skip
    """Return the speed u, m/s, that is `speed` + lead · u̇(u), with the parameters of `jet_free`.

    What an implicit stage asks for that counts its own rate for a time `lead`, s. The force beside the jet's may grow
    with it, F_x = `other` + `more` · u² (N and kg/m), as it does while the opening opens. By the two equations above
    u̇ = a − b u², whatever the speed, so the answer is the root of a quadratic; not a number where there is none.
    """
    beta = jet_area / surface
    carried = density * jet_area * height
    share = height / (mass - carried * height / length)
    head, taken = excess / density, 0.5 * (1.0 + loss - beta * beta)
    gain = head + share * (other + carried * head / length)
    brake = taken - share * (density * jet_area * (1.0 - beta) + more - carried * taken / length)
    return _root(speed + lead * gain / length, lead * brake / length)


@inline_jit
def jet_held_ahead(
    excess: float, density: float, jet_area: float, loss: float, height: float, surface: float, length: float,
    speed: float, force: float, lead: float,
) -> float:  # fmt: skip
    """Do the same for a rocket whose axial specific force is given, with the parameters of `jet_held`."""
    beta = jet_area / surface
    brake = 0.5 * (1.0 + loss - beta * beta)
    return _root(speed + lead * (excess / density + force * height) / length, lead * brake / length)


@inline_jit
def _root(reached: float, brake: float) -> float:
    """Root of u = reached − brake · u² that goes to `reached` with the brake."""
    return 2.0 * reached / (1.0 + math.sqrt(1.0 + 4.0 * brake * reached))


@jit
def steady_jet_free(
    excess: float, density: float, jet_area: float, loss: float, height: float, mass: float, other: float
) -> tuple[float, float]:
    """Return (f, u) of a jet that is steady at every moment, with the head that the acceleration gives.

    Not a number where each metre of head that the push adds adds more push than it takes: a wide jet under little mass.

    What is left out is the motion of the contained water: its momentum, d(ρ A_j h u)/dt as a whole, which begins and
    ends at nothing, and the speed of its surface, without which the impulse of a charge does not depend on the bore.
    """
    head = excess / density + other * height / mass
    share = 0.5 * (1.0 + loss) - density * jet_area * height / mass
    if share <= 0.0:
        return math.nan, math.nan
    square = max(head, 0.0) / share
    return (density * jet_area * square + other) / mass, math.sqrt(square)


@jit
def steady_jet_held(
    excess: float, density: float, jet_area: float, loss: float, height: float, force: float
) -> tuple[float, float]:
    """Return (thrust, u) of a held rocket whose jet is steady at every moment; see `steady_jet_free`."""
    square = 2.0 * max(excess / density + force * height, 0.0) / (1.0 + loss)
    return density * jet_area * square, math.sqrt(square)
