"""Solids are watertight, in millimetres, and as large as exact forms say."""

import io
import math
import zipfile

import pytest
import trimesh
from workshop_designs import DABCHICK, design_of

from bottlewright.make.patterns.fins import fin_jig
from bottlewright.make.solids import nose_shell, printed_parts, revolved, three_mf
from bottlewright.make.specification import specify


def solids_of(design):
    spec = specify(design)
    return printed_parts(spec, fin_jig(spec))


@pytest.fixture(scope="module")
def solids():
    found, findings = solids_of(design_of(DABCHICK))
    return {solid.name: solid for solid in found}, findings


def mesh_of(solid):
    return trimesh.load(io.BytesIO(three_mf(solid)), file_type="3mf", force="mesh")


def test_every_solid_is_closed_and_its_file_says_millimetres(solids):
    for solid in solids[0].values():
        file = three_mf(solid)
        mesh = trimesh.load(io.BytesIO(file), file_type="3mf", force="mesh")
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(solid.body.volume(), rel=1e-6)
        assert mesh.volume > 0
        with zipfile.ZipFile(io.BytesIO(file)) as archive:
            assert b'unit="millimeter"' in archive.read("3D/3dmodel.model")


def test_the_nose_has_the_size_of_the_design(solids):
    low, high = mesh_of(solids[0]["nose"]).bounds
    assert high[2] - low[2] == pytest.approx(120.0, abs=1e-4)
    assert high[0] - low[0] == pytest.approx(1e3 * design_of(DABCHICK).nose.diameter.value, abs=0.1)


def test_a_turned_cylinder_has_the_volume_and_inertia_of_the_exact_form():
    r, h = 20.0, 50.0
    body = revolved([(0.0, 0.0), (r, 0.0), (r, h), (0.0, h)])
    mesh = body.to_mesh()
    solid = trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts)
    volume = math.pi * r * r * h
    polygon = math.sin(2 * math.pi / 120) / (2 * math.pi / 120)  # area of the inscribed polygon over the circle's
    assert solid.volume == pytest.approx(volume * polygon, rel=1e-5)
    assert solid.moment_inertia[2, 2] == pytest.approx(0.5 * volume * r * r, rel=2e-3)
    assert solid.moment_inertia[0, 0] == pytest.approx(volume * (3 * r * r + h * h) / 12, rel=2e-3)
    assert solid.center_mass == pytest.approx([0, 0, h / 2], abs=1e-4)


def test_a_conical_shell_is_the_difference_of_two_cones():
    length, radius, wall = 100.0, 50.0, 2.0
    shell = nose_shell([(length * k / 200, radius * k / 200) for k in range(201)], wall)
    # The hollow is the cone moved in and down by the wall: tip at 94 mm, radius 47 mm at the rear, the same slope.
    exact = math.pi / 3 * (radius**2 * length - 47.0**2 * 94.0)
    assert shell.volume() == pytest.approx(exact, rel=5e-3)
    assert shell.status().name == "NoError"


def test_the_jig_is_a_plate_with_its_hole_and_slots_cut_out(solids):
    radii = sorted(s.radius for s in fin_jig(specify(design_of(DABCHICK))).shapes if hasattr(s, "radius"))
    inner, outer = radii[0], radii[-1]
    slots = 4 * (outer - 8.0 - inner) * (1e3 * design_of(DABCHICK).fins.thickness.value + 0.2)
    exact = 3.0 * (math.pi * (outer**2 - inner**2) - slots)
    assert mesh_of(solids[0]["fin-jig"]).volume == pytest.approx(exact, rel=3e-3)


def test_a_printed_part_under_pressure_never_comes_without_its_finding(solids):
    found, findings = solids
    assert "nozzle-blank" in found
    assert [f.code for f in findings] == ["printed-pressure-part"]
    bare, none = solids_of(design_of(DABCHICK.replace('[nozzle]\nbore = "9 mm"\n', "")))
    assert "nozzle-blank" not in {solid.name for solid in bare}
    assert none == []


def test_the_same_solid_gives_the_same_file(solids):
    solid = solids[0]["drill-guide"]
    assert three_mf(solid) == three_mf(solid)


@pytest.mark.parametrize("shape", ["ogive", "cone", "paraboloid", "ellipsoid", "hemisphere"])
def test_noses_of_every_shape_close(shape):
    design = design_of(DABCHICK.replace('shape = "cone"', f'shape = "{shape}"'))
    nose = next(solid for solid in printed_parts(specify(design), None)[0] if solid.name == "nose")
    assert mesh_of(nose).is_watertight
