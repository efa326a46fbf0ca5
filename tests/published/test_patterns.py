"""Developed shapes against exact forms, and paper sizes."""

import math

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.make.dimensions import nose_profile
from bottlewright.make.patterns.canopy import canopy_area, flat_canopy, hemisphere_gore, regular_polygon
from bottlewright.make.patterns.fins import line_spacing
from bottlewright.make.patterns.nesting import PAPERS
from bottlewright.make.patterns.nose import cone_sector, meridian


def test_fin_lines_round_a_body_of_110_mm():
    # Exact: π·110/3 and π·110/4.
    assert line_spacing(110.0, 3) == pytest.approx(115.19, abs=0.005)
    assert line_spacing(110.0, 4) == pytest.approx(86.39, abs=0.005)


def test_a_cone_of_90_degrees_apex_opens_to_254_56_degrees():
    # Sheet-metal development tables: full cone, 90° apex, sector 254.56° (360°·sin 45°); read in a copy.
    _, angle = cone_sector(50.0, 50.0)
    assert math.degrees(angle) == pytest.approx(254.56, abs=0.005)


def test_a_gore_of_a_hemisphere_of_300_mm_in_eight():
    # Exact: length π·R/2 = 471.24, full width 2·π·R/8 = 235.62 at the skirt and 166.61 at half length.
    gore = hemisphere_gore(300.0, 8)
    assert gore[-1][0] == pytest.approx(471.24, abs=0.005)
    assert 2 * gore[-1][1] == pytest.approx(235.62, abs=0.005)
    half = next(w for s, w in gore if abs(s - gore[-1][0] / 2) < 1e-9)
    assert 2 * half == pytest.approx(166.61, abs=0.005)


@pytest.mark.parametrize(("sides", "ratio"), [(6, 0.8660), (8, 0.8284)])
def test_area_of_a_flat_polygon_over_its_width_squared(sides, ratio):
    # Exact: √3/2 and 2·(√2 − 1), flat to flat.
    assert canopy_area(regular_polygon(sides, 1.0)) == pytest.approx(ratio, abs=5e-5)


def test_a_cross_with_arms_a_third_wide_covers_five_ninths():
    assert canopy_area(flat_canopy("cross", 900.0)) == pytest.approx(5 / 9 * 900.0**2)


def test_an_ogive_is_as_long_along_its_skin_as_its_circular_arc():
    # Exact: arc radius ρ = (R² + L²)/2R, length ρ·asin(L/ρ).
    design = complete(
        parse_design(
            'schema=1\n[vessel]\nbottle="carbonated-1500"\n[nose]\nshape="ogive"\n'
            'length="200 mm"\ndiameter="90 mm"\nwall="1 mm"\n'
            '[charge]\npressure="4 bar"'
        )
    )
    rho = (45.0**2 + 200.0**2) / 90.0
    assert meridian(nose_profile(design, 240))[-1] == pytest.approx(rho * math.asin(200.0 / rho), abs=0.02)


def test_a_hemisphere_is_a_quarter_circle_along_its_skin():
    design = complete(
        parse_design(
            'schema=1\n[vessel]\nbottle="carbonated-1500"\n[nose]\nshape="hemisphere"\ndiameter="90 mm"\nwall="1 mm"\n'
            '[charge]\npressure="4 bar"'
        )
    )
    assert meridian(nose_profile(design, 240))[-1] == pytest.approx(0.5 * math.pi * 45.0, abs=0.02)


def test_paper_sizes_and_what_fit_to_page_would_do():
    # ISO 216 A4 is 595.276 × 841.890 pt; 100 mm is 283.465 pt; A4 shrunk onto Letter is 0.9407 of its size.
    a4, letter = PAPERS["a4"], PAPERS["letter"]
    assert a4.width / 25.4 * 72 == pytest.approx(595.276, abs=0.001)
    assert a4.height / 25.4 * 72 == pytest.approx(841.890, abs=0.001)
    assert pytest.approx(283.465, abs=0.001) == 100 / 25.4 * 72
    assert min(letter.width / a4.width, letter.height / a4.height) == pytest.approx(0.9407, abs=5e-5)
