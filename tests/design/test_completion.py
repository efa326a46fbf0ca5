import math

import pytest
from hypothesis import given

from bottlewright.design import complete, parse_design, stood_on, uncertain
from bottlewright.design.shape import bottle_lengths, nose_volume, profile_volume, stations
from bottlewright.design.tables import bottles, canopy, default, defaults, materials, nozzle, terrain
from bottlewright.quantities import Basis, Dimension, states_spread
from strategies import designs

GOOD = """
[vessel]
bottle = "carbonated-1500"
[charge]
pressure = "4 bar"
"""


def completed(text: str = "", *sets: str):
    return complete(parse_design(GOOD + text, sets))


NEEDED = [
    "vessel.volume", "vessel.diameter", "vessel.wall", "vessel.empty_mass", "vessel.neck_bore", "nozzle.bore",
    "nozzle.length", "nozzle.contraction", "nozzle.velocity_coefficient", "nozzle.gas_coefficient", "nozzle.mass",
    "nose.length", "nose.diameter", "nose.mass", "launcher.guide_length", "launcher.tilt", "launcher.leans_towards",
    "launcher.tube_diameter", "launcher.tube_length", "launcher.seal_diameter", "launcher.stroke", "charge.water",
    "charge.pressure", "charge.temperature", "site.latitude", "site.height", "weather.temperature", "weather.pressure",
    "weather.humidity", "weather.wind_speed", "weather.wind_from", "weather.wind_height", "model.breakthrough",
    "model.slip", "model.spray_coefficient", "model.heat_transfer", "model.tail_efficiency", "model.roughness",
    "model.tolerance", "model.time_limit",
]


@given(designs())
def test_every_value_that_a_flight_needs_is_there_and_says_what_it_stands_on(text):
    written = parse_design(text)
    design = complete(written)
    values = dict(stood_on(design))
    assert set(NEEDED) <= set(values)
    for path, quantity in values.items():
        assert math.isfinite(quantity.value), path
        assert quantity.spread >= 0.0, path
        assert quantity.source, path
    for path, quantity in stood_on(written):
        assert (values[path].value, values[path].text) == (quantity.value, quantity.text), "what the builder gives wins"
        if states_spread(quantity.text):
            assert values[path] == quantity
    if design.fins:
        assert design.fins.mass.value > 0.0
        assert design.fins.position.value + design.fins.root.value <= stations(design).exit + 1e-3
    if design.recovery.kind != "none":
        assert design.recovery.mass.value > 0.0
        assert design.recovery.drag_coefficient.value > 0.0


@given(designs())
def test_completing_twice_changes_nothing(text):
    once = complete(parse_design(text))
    assert complete(once) == once


def test_a_bare_neck_is_the_nozzle_when_none_is_given():
    nozzle = completed().nozzle
    assert nozzle.bore.value == pytest.approx(0.02174)
    assert (nozzle.shape, nozzle.length.value, nozzle.mass.value) == ("neck", 0.0, 0.0)
    assert nozzle.contraction.value * nozzle.velocity_coefficient.value == pytest.approx(0.95)


def test_naming_the_bore_of_a_bare_neck_leaves_it_a_bare_neck():
    left_out, named = completed().nozzle, completed('[nozzle]\nbore = "21.74 mm"').nozzle
    for key in ("shape", "length", "mass", "contraction", "velocity_coefficient", "gas_coefficient"):
        assert getattr(named, key) == getattr(left_out, key), key


@pytest.mark.parametrize(("degrees", "coefficient"), [(20, 0.962), (30, 0.958), (45, 0.94), (60, 0.912), (80, 0.912)])
def test_a_measured_shoulder_gives_the_neck_its_coefficient(degrees, coefficient):
    rise = 34.0 / math.tan(math.radians(degrees))
    corners = [(0.0, 11.0), (20.0, 11.0), (20.0 + rise, 45.0), (280.0, 45.0)]
    profile = "vessel.profile=[" + ", ".join(f'["{z} mm", "{r} mm"]' for z, r in corners) + "]"
    nozzle = completed("", profile).nozzle
    assert nozzle.velocity_coefficient.value == pytest.approx(coefficient, abs=1e-3)
    assert nozzle.velocity_coefficient.basis is Basis.TABLE


def test_a_nozzle_of_its_own_is_taken_as_rounded():
    nozzle = completed('[nozzle]\nbore = "9 mm"').nozzle
    assert nozzle.shape == "rounded"
    assert nozzle.velocity_coefficient.value == pytest.approx(0.97)
    assert nozzle.bore.basis is Basis.MEASURED
    assert nozzle.velocity_coefficient.basis is Basis.TABLE


@pytest.mark.parametrize(("shape", "coefficient"), [("rounded", 0.97), ("square-edged", 0.62), ("tube", 0.82),
                                                    ("re-entrant", 0.52)])
def test_discharge_coefficients_are_those_of_unwins_hydraulics(shape, coefficient):
    # Unwin, "Hydraulics", Encyclopaedia Britannica, 11th ed., §§17-51.
    row = nozzle(shape)
    assert row["contraction"].value * row["velocity_coefficient"].value == pytest.approx(coefficient, abs=0.002)


def test_a_third_of_the_vessel_is_water_when_none_is_given():
    assert completed().charge.water.value == pytest.approx(1.555e-3 / 3, rel=1e-3)
    assert completed("", "vessel.count=2").charge.water.value == pytest.approx(2 * 1.555e-3 / 3, rel=1e-3)


def test_a_measured_profile_gives_volume_diameter_and_neck():
    # A cylinder of 40 mm radius and 250 mm, on a cone from 10 mm over 50 mm.
    profile = '[["0 mm", "10 mm"], ["50 mm", "40 mm"], ["300 mm", "40 mm"]]'
    vessel = completed("", f"vessel.profile={profile}", "vessel.wall=0.5 mm").vessel
    exact = math.pi * (0.05 / 3 * (0.01**2 + 0.01 * 0.04 + 0.04**2) + 0.25 * 0.04**2)
    assert vessel.volume.value == pytest.approx(exact, rel=1e-12)
    assert vessel.diameter.value == pytest.approx(0.081)
    assert vessel.neck_bore.value == pytest.approx(0.020)
    assert bottle_lengths(vessel) == pytest.approx((0.0, 0.05, 0.25, 0.0))


@pytest.mark.parametrize("name", list(bottles()))
def test_the_cylinder_closes_the_capacity(name):
    vessel = completed("", f"vessel.bottle={name}").vessel
    neck, shoulder, cylinder, base = bottle_lengths(vessel)
    assert cylinder > 0.0
    assert 0.15 < neck + shoulder + cylinder + base < 0.45, "the length of a real bottle"
    throat, radius, points = vessel.neck_bore.value / 2, vessel.diameter.value / 2 - vessel.wall.value, [(0.0, 0.0)]
    points = [(0.0, throat), (neck, throat)]
    for i in range(1, 2001):
        part = i / 2000
        points.append((neck + shoulder * part, throat + (radius - throat) * (1 - math.cos(math.pi * part)) / 2))
    top = neck + shoulder + cylinder
    for i in range(2001):
        angle = math.pi / 2 * i / 2000
        points.append((top + base * math.sin(angle), radius * math.cos(angle)))
    assert profile_volume(points) == pytest.approx(vessel.volume.value, rel=1e-6)


def test_a_bottle_known_by_its_volume_only_is_scaled_from_the_nearest_row_and_says_so():
    design = complete(parse_design('[vessel]\nvolume = "1800 mL"\n[charge]\npressure = "3 bar"'))
    assert 0.091 < design.vessel.diameter.value < 0.108
    assert design.vessel.diameter.basis is Basis.ASSUMED
    assert "scaled" in design.vessel.diameter.source
    assert design.vessel.kind == "unknown"


def test_fins_sit_with_their_rear_at_the_end_of_the_cylinder():
    design = completed('[nose]\nlength = "150 mm"\n[fins]\nroot = "80 mm"')
    assert design.fins.position.value + 0.080 == pytest.approx(stations(design).cylinder_end)


def test_masses_come_from_geometry_and_material():
    sizes = 'root = "100 mm"\ntip = "50 mm"\nspan = "80 mm"\nthickness = "3 mm ± 0"'
    text = f'[fins]\ncount = 3\n{sizes}\nmaterial = "balsa"'
    fins = completed(text).fins
    density = materials()["balsa"]["density"]
    assert fins.mass.value == pytest.approx(3 * 0.075 * 0.080 * 0.003 * density.value)
    assert fins.mass.spread / fins.mass.value == pytest.approx(density.spread / density.value)
    assert "balsa" in fins.mass.source


def test_an_outline_gives_root_span_and_mass():
    outline = 'outline = [["0 mm", "0 mm"], ["60 mm", "70 mm"], ["100 mm", "70 mm"], ["90 mm", "0 mm"]]'
    fins = completed(f'[fins]\nmaterial = "plywood"\nthickness = "1 mm"\n{outline}').fins
    assert (fins.root.value, fins.span.value) == pytest.approx((0.09, 0.07))
    assert fins.mass.value == pytest.approx(3 * 0.5 * (0.09 + 0.04) * 0.07 * 0.001 * 680)


@pytest.mark.parametrize(
    ("shape", "share"), [("cone", 1 / 3), ("paraboloid", 1 / 2), ("ellipsoid", 2 / 3), ("flat", 1.0)]
)
def test_nose_volumes_are_those_of_geometry(shape, share):
    nose = completed(f'[nose]\nshape = "{shape}"\nlength = "120 mm"\ndiameter = "90 mm"').nose
    assert nose_volume(nose) == pytest.approx(share * math.pi * 0.045**2 * 0.12, rel=2e-3)


def test_a_tangent_ogive_as_long_as_its_radius_is_a_hemisphere():
    nose = completed('[nose]\nshape = "ogive"\nlength = "45 mm"\ndiameter = "90 mm"').nose
    assert nose_volume(nose) == pytest.approx(2 / 3 * math.pi * 0.045**3, rel=2e-3)


def test_a_rocket_without_a_nose_leads_with_the_bottles_own_base():
    nose = completed().nose
    assert (nose.shape, nose.mass.value) == ("bottle", 0.0)
    assert nose.length.value == bottles()["carbonated-1500"]["base_length"].value


def test_a_canopy_weighs_its_cloth_and_its_rigging():
    recovery = completed('[recovery]\nkind = "parachute"\ndiameter = "600 mm"\nmaterial = "nylon-canopy"').recovery
    assert recovery.mass.value == pytest.approx(1.4 * math.sqrt(3) / 2 * 0.36 * 0.045)
    assert recovery.lines == 6
    assert recovery.drag_coefficient == canopy("hexagon")["drag_coefficient"]


def test_the_air_is_thinner_on_a_mountain():
    # ISO 2533: 89874.6 Pa at 1000 m geopotential.
    assert completed('[site]\nheight = "1000 m"').weather.pressure.value == pytest.approx(89874.6, abs=5.0)
    assert completed().weather.pressure.value == 101325.0


def test_water_and_air_in_the_bottle_are_as_warm_as_the_air_outside():
    assert completed('[weather]\ntemperature = "25 °C"').charge.temperature.value == pytest.approx(298.15)


def test_the_wind_grows_as_the_terrain_says():
    weather = completed('[weather]\nterrain = "suburb"').weather
    assert weather.roughness_length == terrain("suburb")["roughness_length"]
    assert weather.exponent == terrain("suburb")["exponent"]


def test_only_what_carries_a_spread_is_uncertain():
    paths = uncertain(completed('[nozzle]\nbore = "9 mm ± 0.1 mm"\nlength = "6 mm ± 0"'))
    assert "nozzle.bore" in paths
    assert "charge.pressure" in paths, "nobody wrote that it is exact"
    assert "nozzle.length" not in paths
    assert "model.tolerance" not in paths


def test_every_row_and_every_default_names_its_source():
    rows = [*bottles().values(), *materials().values()]
    rows += [nozzle(s) for s in ("rounded", "square-edged", "tube", "re-entrant", "cone")]
    rows += [canopy(s) for s in ("hexagon", "octagon", "round", "square", "cross", "hemisphere", "streamer")]
    rows += [terrain(s) for s in ("water", "grass", "crops", "hedges", "parkland", "suburb")]
    for row in rows:
        assert len(row.source) > len(row.name) + 20
        assert all(quantity.spread > 0.0 for name, quantity in row.values.items() if name != "thickness"), row.name
    for path in defaults():
        dimension = next(d for d in Dimension if _reads(path, d))
        assert len(default(path, dimension).source) > 5


def _reads(path: str, dimension: Dimension) -> bool:
    try:
        return bool(default(path, dimension))
    except ValueError:
        return False
