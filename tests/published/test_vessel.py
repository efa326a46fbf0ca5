"""Thin vessels, splices and necks against textbook examples and published drawings."""

import math

import pytest

from bottlewright.proof import strength


def test_closed_cylinder_grows_as_in_the_textbook() -> None:
    """D 0.8 m, L 3 m, t 10 mm, 2.5 MPa, 200 GPa, ν 0.25 (strength-of-materials text, read in a copy)."""
    arguments = (2.5e6, 0.4, 0.010, 200e9, 0.25)
    assert 0.8 * strength.hoop_strain(*arguments) == pytest.approx(0.35e-3, rel=1e-9)
    volume = math.pi * 0.4**2 * 3.0
    assert volume * strength.volume_growth(*arguments) == pytest.approx(1507.96e-6, rel=1e-5)


def test_hoop_strain_of_case_chilver_and_ross() -> None:
    """Case, Chilver and Ross, Strength of Materials and Structures, p. 161: hoop 70 MPa, 200 GPa, ν 0.3."""
    pressure = 70e6 * 0.001 / 0.1
    assert strength.hoop_stress(pressure, 0.1, 0.001) == pytest.approx(70e6)
    assert strength.hoop_strain(pressure, 0.1, 0.001, 200e9, 0.3) == pytest.approx(0.2975e-3, rel=1e-12)


def test_mean_shear_of_a_lap_splice() -> None:
    """0.5 MPa, radius 55 mm, 30 mm of overlap: 0.458 MPa (end load over glued band, worked by hand)."""
    assert strength.splice_shear(0.5e6, 0.055, 0.030) == pytest.approx(0.4583e6, rel=1e-3)
    end_load, band = 0.5e6 * math.pi * 0.055**2, 2.0 * math.pi * 0.055 * 0.030
    assert strength.splice_shear(0.5e6, 0.055, 0.030) == pytest.approx(end_load / band)


def test_volkersen_peak_of_a_single_lap_joint() -> None:
    """E 70 GPa, t 1.6 mm, G 1 GPa, glue 0.2 mm, lap 12.5 mm: peak over mean 1.959 (Volkersen 1938, worked by hand)."""
    assert strength.volkersen_peak(12.5e-3, 70e9, 1.6e-3, 1.6e-3, 1e9, 0.2e-3) == pytest.approx(1.959, abs=5e-4)


def test_volkersen_tends_to_an_even_shear_for_a_soft_glue() -> None:
    assert strength.volkersen_peak(12.5e-3, 70e9, 1.6e-3, 1.6e-3, 1e3, 0.2e-3) == pytest.approx(1.0, abs=1e-5)


def test_volkersen_agrees_with_the_shear_lag_equation_solved_numerically() -> None:
    """Unequal sheets: integrate τ'' = w² τ with the end slopes that the sheets' strains set, by finite differences."""
    import numpy as np
    from scipy.linalg import solve_banded

    length, modulus, t1, t2, g, ta, load = 0.03, 4e9, 0.3e-3, 0.4e-3, 0.2e9, 0.2e-3, 1000.0
    n = 4001
    h = length / (n - 1)
    w2 = g / (ta * modulus) * (1 / t1 + 1 / t2)
    above, on, below = np.ones(n), np.full(n, -2.0 - w2 * h * h), np.ones(n)  # the three diagonals of the matrix
    right = np.zeros(n)
    above[1] = below[-2] = 2.0
    right[0] = 2 * h * (-g * load / (ta * modulus * t1))  # all load in sheet 1 at x = 0
    right[-1] = -2 * h * (g * load / (ta * modulus * t2))  # all load in sheet 2 at x = L
    shear = solve_banded((1, 1), [above, on, below], right)
    peak = shear.max() / (load / length)
    assert strength.volkersen_peak(length, modulus, t1, t2, g, ta) == pytest.approx(peak, rel=2e-4)


def test_film_strength_bounds_the_burst_pressure_of_a_bottle() -> None:
    """Oriented PET film 200 MPa (maker's table): hoop at the 2 L bottles' 11.45 bar (Air Command log) is near it."""
    hoop = strength.hoop_stress(11.45e5, 0.108 / 2, 0.30e-3)
    assert 0.5 * 200e6 < hoop < 1.1 * 200e6


def test_end_load_on_the_thread_of_a_28_mm_neck() -> None:
    """PCO 1881 drawing (read in a copy): bore 21.74 mm, thread 27.4 mm. At 5 bar the cap feels 185.6 N."""
    load = 5e5 * math.pi / 4 * 21.74e-3**2
    assert load == pytest.approx(185.6, abs=0.05)
    shear = strength.thread_shear(5e5, 21.74e-3, 27.4e-3, 6e-3)
    assert shear * (0.5 * math.pi * 27.4e-3 * 6e-3) == pytest.approx(load)


def test_volume_growth_is_twice_the_hoop_strain_and_the_axial_strain() -> None:
    arguments = (5e5, 0.045, 0.3e-3, 3e9, 0.4)
    growth = 2.0 * strength.hoop_strain(*arguments) + strength.axial_strain(*arguments)
    assert strength.volume_growth(*arguments) == pytest.approx(growth, rel=1e-12)
