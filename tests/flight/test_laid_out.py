"""The rocket as the design, the drawings and the engine see it: one shape, one set of stations, one set of parts."""

import math

import numpy as np
import pytest

from bottlewright.design import DesignError, complete, parse_design
from bottlewright.design.shape import bottle_lengths, nose_radius, stations
from bottlewright.design.tables import bottles
from bottlewright.flight.layout import layout_of, vehicle_of
from bottlewright.physics import outer_shape
from bottlewright.physics.mass import shell_of_frusta

NECK = [(0, 10.9), (30, 10.9), (45, 14), (60, 25), (75, 38), (90, 44.5)]
BASE = [(290, 45), (302, 44), (316, 32), (320, 0)]
MEASURED = {
    "straight": [*NECK, (100, 45), (200, 45), *BASE],
    "one node too wide": [*NECK, (100, 45), (150, 45), (200, 45.5), (250, 45), *BASE],
    "one node mistyped": [*NECK, (100, 45), (150, 45), (200, 48), (250, 45), *BASE],
    "tapered": [*NECK, (100, 45), (290, 43.9), (302, 43), (316, 31.5), (320, 0)],
    "tapered the other way": [*NECK[:-1], (90, 43.5), (100, 43.9), *BASE],
    "waisted": [*NECK, (100, 45), (150, 45), (180, 40), (220, 40), (250, 45), *BASE],
    "bulged": [*NECK, (100, 45), (150, 46), (180, 48), (220, 48), (250, 46), *BASE],
}
PLAIN = 'schema = 1\nname = "Dabchick"\n[charge]\npressure = "4 bar"\n'


def built(text):
    return complete(parse_design(PLAIN + text))


def measured(points):
    profile = ", ".join(f'["{z} mm", "{r} mm"]' for z, r in points)
    return built(f'[vessel]\nprofile = [{profile}]\nwall = "0.3 mm"\nempty_mass = "40 g"\n'
                 '[nose]\nlength = "120 mm"\n[fins]\nroot = "70 mm"\n')  # fmt: skip


@pytest.mark.parametrize("points", MEASURED.values(), ids=MEASURED)
def test_the_cylinder_of_a_measured_bottle_ends_where_its_ends_begin_whatever_is_between(points):
    assert bottle_lengths(measured(points).vessel) == pytest.approx((0.030, 0.060, 0.200, 0.030))


@pytest.mark.parametrize("points", MEASURED.values(), ids=MEASURED)
def test_design_drawing_and_engine_agree_on_a_measured_bottle(points):
    design = measured(points)
    vehicle, layout, at = vehicle_of(design), layout_of(design), stations(design)
    assert (vehicle["length"], layout.exit) == pytest.approx((at.exit, at.exit))
    assert layout.nose_end == at.nose_end
    assert layout.cylinder_end == at.cylinder_end
    assert design.fins.position.value + design.fins.root.value == pytest.approx(at.cylinder_end)
    drawn = np.interp(at.exit - layout.inner_z[layout.inner_z < 0.28], layout.outer_x, layout.outer_r)
    assert drawn == pytest.approx(layout.inner_r[layout.inner_z < 0.28] + 0.0003)


def test_the_base_that_the_builder_measured_beats_the_profiles():
    points = ", ".join(f'["{z} mm", "{r} mm"]' for z, r in MEASURED["straight"])
    design = built(f'[vessel]\nprofile = [{points}]\nbase_length = "25 mm"\n')
    assert float(vehicle_of(design)["base_length"]) == pytest.approx(0.025)
    assert float(vehicle_of(design)["length"]) == pytest.approx(stations(design).exit)


def test_a_base_longer_than_the_profile_is_refused():
    points = ", ".join(f'["{z} mm", "{r} mm"]' for z, r in MEASURED["straight"])
    with pytest.raises(DesignError, match=r"320\.0 mm high, less than neck, shoulder and base together, 340\.0 mm"):
        built(f'[vessel]\nprofile = [{points}]\nbase_length = "250 mm"\n')


@pytest.mark.parametrize("bottle", bottles())
def test_design_and_engine_close_the_capacity_of_a_generic_bottle_alike(bottle):
    """The engine's bottle is of frusta and holds a hair less for its length than the smooth one of the design."""
    design = built(f'[vessel]\nbottle = "{bottle}"\n')
    assert float(vehicle_of(design)["length"]) == pytest.approx(stations(design).exit, abs=3e-4)


def test_a_bottle_too_short_for_its_base_has_as_short_a_nose():
    design = built('[vessel]\nvolume = "400 mL"\ndiameter = "108 mm"\nbase_length = "32 mm"\n'
                   'shoulder_length = "85 mm"\n')  # fmt: skip
    *_, cylinder, base = bottle_lengths(design.vessel)
    assert cylinder == 0.0
    assert base < 0.032
    assert design.nose.length.value == base
    assert float(vehicle_of(design)["base_length"]) == pytest.approx(base, rel=0.01)


@pytest.mark.parametrize("shape", ["ogive", "cone", "paraboloid", "ellipsoid", "flat"])
def test_a_nose_is_cut_as_it_is_flown(shape):
    code = getattr(outer_shape, shape.upper())
    for fineness in (0.2, 0.5, 1.0, 3.0):
        for part in np.linspace(0.0, 1.0, 12):
            flown = outer_shape.nose_radius(code, part, 2.0 * fineness, 1.0)
            assert flown == pytest.approx(nose_radius(shape, part, fineness), abs=1e-12)


@pytest.mark.parametrize("canopy", ["hexagon", "octagon", "round", "square", "cross", "hemisphere"])
def test_a_canopy_is_weighed_by_the_cloth_that_it_flies_by(canopy):
    design = built(f'[vessel]\nbottle = "still-1000"\n[recovery]\nkind = "parachute"\ncanopy = "{canopy}"\n'
                   'diameter = "500 mm"\ndrag_coefficient = 1\nspill_hole = "0 mm"\n')  # fmt: skip
    assert f"{1e4 * float(vehicle_of(design)['canopy_area']):.0f} cm2" in design.recovery.mass.source


FINS = '[vessel]\nbottle = "carbonated-1500"\n[nose]\n[fins]\nposition = "300 mm"\nmass = "30 g"\nthickness = "2 mm"\n'


def test_fins_weigh_alike_drawn_as_a_trapezoid_or_as_its_outline():
    drawn = vehicle_of(built(FINS + 'root = "100 mm"\ntip = "60 mm"\nspan = "90 mm"\nsweep = "70 mm"\n'))
    outline = '[["0 mm", "0 mm"], ["70 mm", "90 mm"], ["130 mm", "90 mm"], ["100 mm", "0 mm"]]'
    traced = vehicle_of(built(FINS + f"outline = {outline}\n"))
    for name in ("dry_mass", "dry_centre", "dry_axial", "dry_transverse", "pressure_centre", "normal_slope"):
        assert float(traced[name]) == pytest.approx(float(drawn[name]), rel=1e-9)


def test_fins_on_a_narrower_part_turn_more_easily():
    """The same fins at the neck: the ring is as wide as the body at their roots."""
    text = FINS + 'root = "20 mm"\ntip = "20 mm"\nspan = "60 mm"\nsweep = "0 mm"\n'
    wide, narrow = (float(vehicle_of(built(text.replace("300 mm", at)))["dry_axial"]) for at in ("230 mm", "405 mm"))
    root = 0.5 * 0.02174 + 0.0003
    mean = [(r * r + r * 0.06 + 0.0012) for r in (0.0455, root)]
    assert wide - narrow == pytest.approx(0.030 * (mean[0] - mean[1]), rel=1e-3)


@pytest.mark.parametrize("bottle", bottles())
def test_the_bottle_is_a_shell_as_thick_everywhere_with_its_base(bottle):
    vehicle = vehicle_of(built(f'[vessel]\nbottle = "{bottle}"\n'))  # nothing else: bare neck, no nose
    n = int(vehicle["vessel_count"])
    _, height, axial, transverse = shell_of_frusta(vehicle["vessel_z"], vehicle["vessel_r"], 0, n)
    mass = float(vehicle["dry_mass"])
    assert float(vehicle["dry_centre"]) == pytest.approx(float(vehicle["length"]) - height)
    assert float(vehicle["dry_axial"]) == pytest.approx(mass * axial)
    assert float(vehicle["dry_transverse"]) == pytest.approx(mass * transverse)


def test_a_profile_that_ends_open_is_closed_flat():
    text = '[vessel]\nprofile = [["0 mm", "40 mm"], ["200 mm", "40 mm"]]\nempty_mass = "60 g"\nwall = "0.3 mm"\n'
    vehicle = vehicle_of(built(text))
    side, end = 0.2 * 2 * math.pi * 0.04, math.pi * 0.04**2
    assert float(vehicle["dry_centre"]) == pytest.approx(0.1 * side / (side + end))
    axial = 0.04**2 * (side + 0.5 * end) / (side + end)
    assert float(vehicle["dry_axial"]) == pytest.approx(0.06 * axial)


def test_a_sleeve_over_the_bottle_leaves_the_bottle_where_it_is():
    bare, sleeved = (
        vehicle_of(built('[vessel]\nbottle = "carbonated-1500"\n' + sleeve))
        for sleeve in ("", '[sleeve]\nlength = "200 mm"\nposition = "150 mm"\nmass = "0 g"\n')
    )
    assert float(sleeved["dry_centre"]) == pytest.approx(float(bare["dry_centre"]))
