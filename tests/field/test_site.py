import json
import math
import os
from pathlib import Path

import numpy as np
import pytest
import shapely

from bottlewright.design.environment import Site
from bottlewright.design.errors import DesignError
from bottlewright.field.projection import LonLat, from_metres
from bottlewright.field.site import field_site, moved

ORIGIN = LonLat(-30.0, 52.0)
CORNERS = [(-70.0, -40.0), (80.0, -40.0), (80.0, 50.0), (-70.0, 50.0)]


def feature(role, shape, coordinates, **words):
    return {
        "type": "Feature",
        "properties": {"role": role, **words},
        "geometry": {"type": shape, "coordinates": coordinates},
    }


def degrees(rows):
    return [[float(x), float(y)] for x, y in from_metres(ORIGIN, rows)]


def field(rows=CORNERS, launch=(0.0, 0.0), *more):
    ring, pad = [degrees(rows)], degrees([launch])[0]
    return [feature("boundary", "Polygon", ring), feature("launch point", "Point", pad), *more]


def read(tmp_path, features, units=None, **site):
    document = {"type": "FeatureCollection", "features": features} | ({"units": units} if units else {})
    (tmp_path / "field.geojson").write_text(json.dumps(document))
    return field_site(Site.model_validate({"map": "field.geojson"} | site), tmp_path)


def problems(call):
    with pytest.raises(DesignError) as caught:
        call()
    return str(caught.value)


def test_a_field_in_degrees_has_its_true_area_about_the_launch_point(tmp_path):
    site = read(tmp_path, field())
    assert site.boundary.area == pytest.approx(150.0 * 90.0, rel=1e-6)
    assert site.boundary.bounds == pytest.approx((-70.0, -40.0, 80.0, 50.0), abs=1e-3)
    assert site.origin == pytest.approx(ORIGIN)


def test_a_field_in_metres_is_moved_so_that_the_launch_point_is_the_zero_point(tmp_path):
    features = [
        feature("boundary", "Polygon", [[[0, 0], [150, 0], [150, 90], [0, 90]]]),
        feature("launch point", "Point", [50, 30]),
        feature("keep-out", "LineString", [[0, 100], [150, 100]], kind="road", name="Mill Lane", width="8 m"),
    ]
    site = read(tmp_path, features, units="m")
    assert site.boundary.bounds == pytest.approx((-50.0, -30.0, 100.0, 60.0))
    assert site.keep_outs[0].ground.bounds[1] == pytest.approx(66.0)
    assert site.origin is None


def test_a_field_in_metres_with_longitude_and_latitude_finds_its_place_on_the_globe(tmp_path):
    features = [feature("boundary", "Polygon", [[[0, 0], [150, 0], [150, 90], [0, 90]]]),
                feature("launch point", "Point", [50, 30])]
    site = read(tmp_path, features, units="m", longitude="-30 deg", latitude="52 deg")
    assert site.origin == pytest.approx(LonLat(*from_metres(ORIGIN, (50.0, 30.0))[0]), abs=1e-9)


def test_inline_metres_and_inline_degrees_draw_the_same_field():
    metres = [[f"{x} m", f"{y} m"] for x, y in CORNERS]
    angles = [[f"{x!r} deg", f"{y!r} deg"] for x, y in degrees(CORNERS)]
    launch = [f"{part!r} deg" for part in degrees([(0.0, 0.0)])[0]]
    first = field_site(Site.model_validate({"boundary": metres, "launch_point": ["0 m", "0 m"]}), Path())
    second = field_site(Site.model_validate({"boundary": angles, "launch_point": launch}), Path())
    assert first.boundary.symmetric_difference(second.boundary).area < 1e-2


def test_the_rectangle_lies_along_its_bearing_with_the_launch_point_in_its_middle():
    plain = {"length": "150 m", "width": "60 m", "bearing": "30 deg"}
    site = field_site(Site.model_validate({"rectangle": plain}), Path())
    assert site.boundary.area == pytest.approx(9000.0)
    end = 74.0 * np.array([math.sin(math.radians(30)), math.cos(math.radians(30))])
    assert site.boundary.contains(shapely.Point(end))
    assert not site.launch_given


def test_keep_outs_take_the_width_and_chance_of_their_kind_unless_told(tmp_path):
    tree = feature("keep-out", "Point", degrees([(10.0, 10.0)])[0], kind="trees", name="the oak")
    site = read(tmp_path, field(CORNERS, (0.0, 0.0), tree))
    assert site.keep_outs[0].ground.area == pytest.approx(math.pi * 9.0, rel=0.01)
    assert site.keep_outs[0].allowed == pytest.approx(0.10)


def test_moving_the_launch_point_moves_the_field_the_other_way_and_keeps_its_place_on_the_globe(tmp_path):
    site = read(tmp_path, field())
    there = moved(site, 20.0, -5.0)
    assert there.boundary.bounds == pytest.approx((-90.0, -35.0, 60.0, 55.0), abs=1e-3)
    again = read(tmp_path, field(CORNERS, (20.0, -5.0)))
    assert again.origin == pytest.approx(there.origin, abs=1e-9)
    # north turns by 20 m · tan 52° / 6378 km = 4e-6 rad between the two points: 0.4 mm at 100 m
    assert again.boundary.hausdorff_distance(there.boundary) < 5e-4


def test_no_boundary_is_a_site_too(tmp_path):
    assert field_site(Site(), tmp_path).boundary is None


def test_a_boundary_that_crosses_itself_is_refused_with_the_place(tmp_path):
    bowtie = [CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3]]
    text = problems(lambda: read(tmp_path, field(bowtie, (60.0, 0.0))))
    assert "crosses itself" in text
    assert "in order" in text
    assert "crosses itself" in problems(lambda: read(tmp_path, field(bowtie)[:1]))


def test_a_launch_point_outside_is_refused_with_how_far(tmp_path):
    assert "is 20 m outside the field" in problems(lambda: read(tmp_path, field(CORNERS, (100.0, 0.0))))


def test_swapped_coordinates_are_named_as_such(tmp_path):
    swapped = [feature("boundary", "Polygon", [[pair[::-1] for pair in degrees(CORNERS)]])]
    assert "swapped" in problems(lambda: read(tmp_path, swapped, latitude="52 deg"))
    one = [field()[0], feature("launch point", "Point", degrees([(0.0, 0.0)])[0][::-1])]
    assert "swapped" in problems(lambda: read(tmp_path, one))
    east = [feature("boundary", "Polygon", [[[52.0, 120.0], [52.001, 120.0], [52.0, 120.001]]])]
    assert "swapped" in problems(lambda: read(tmp_path, east))


def test_metres_read_as_degrees_are_named_as_such(tmp_path):
    metres = [feature("boundary", "Polygon", [[[0, 0], [80, 0], [80, 60], [0, 60]]])]
    assert '"units": "m"' in problems(lambda: read(tmp_path, metres))
    metres = [feature("boundary", "Polygon", [[[0, 0], [380, 0], [380, 160], [0, 160]]])]
    assert '"units": "m"' in problems(lambda: read(tmp_path, metres))


def test_a_map_elsewhere_than_the_latitude_says_is_refused(tmp_path):
    assert "site.latitude says 40" in problems(lambda: read(tmp_path, field(), latitude="40 deg"))


def test_a_site_drawn_twice_or_in_two_units_is_refused(tmp_path):
    plain = {"length": "150 m", "width": "60 m"}
    assert "drawn twice" in problems(lambda: read(tmp_path, field(), rectangle=plain))
    assert "mixes metres with degrees" in problems(lambda: read(tmp_path, field(), launch_point=["1 m", "2 m"]))
    mixed = Site.model_validate({"rectangle": plain, "launch_point": ["-30 deg", "52 deg"]})
    assert "mixes metres with degrees" in problems(lambda: field_site(mixed, tmp_path))


@pytest.mark.parametrize(
    ("features", "words"),
    [
        ([{"type": "Feature", "properties": None, "geometry": None}], "says no role"),
        ([feature("playground", "Point", [0, 0])], "has the role 'playground'; write one of boundary"),
        ([feature("boundary", "Polygon", [[[0, 0], [1, 1]]])], "make no Polygon; give at least 3"),
        ([feature("boundary", "Polygon", [[[0, 0], [1, "x"], [1, 1]]])], "make no Polygon"),
        ([feature("boundary", "Polygon", [])], "make no Polygon"),
        ([feature("boundary", "LineString", [[0, 0], [1, 1]])], "boundary drawn as a LineString"),
        ([feature("boundary", "Circle", [0, 0])], "Circle"),
        ([feature("launch point", "LineString", [[0, 0], [1, 1]])], "launch point drawn as a LineString"),
        ([feature("launch point", "Point", [0, 0])] * 2, "second launch point"),
        ([feature("keep-out", "Point", [0, 0], kind="rode")], "did you mean 'road'?"),
        ([feature("keep-out", "Point", [0, 0], width="wide")], "can't be read"),
        ([feature("keep-out", "Point", [0, 0], width="-3 m")], "has to be from 0.1 m"),
        ([feature("keep-out", "Point", [float("nan"), 0])], "make no Point"),
    ],
)
def test_a_broken_drawing_is_refused_in_words(tmp_path, features, words):
    assert words in problems(lambda: read(tmp_path, features, units="m"))


@pytest.mark.parametrize(
    "text", ["{", "[]", "3", '{"type": "Polygon"}', "[" * 5000, '{"type":"FeatureCollection","features":[1]}']
)
def test_a_file_that_is_no_geojson_is_refused(tmp_path, text):
    (tmp_path / "field.geojson").write_text(text)
    assert "GeoJSON" in problems(lambda: field_site(Site(map="field.geojson"), tmp_path))


def test_a_missing_map_is_refused_by_its_name(tmp_path):
    said = problems(lambda: field_site(Site(map="hedge.geojson"), tmp_path))
    assert "hedge.geojson does not exist; give the file's name" in said


def test_the_example_field_is_sound():
    site = field_site(Site(map="field.geojson"), Path(__file__).parents[2] / "examples" / "curlew")
    assert site.boundary.area > 15_000.0
    assert {area.kind.name for area in site.keep_outs} >= {"road", "power line", "trees", "building", "spectators"}


# --- maps as people save them --------------------------------------------------------------------------------------


def saved(tmp_path, content):
    (tmp_path / "field.geojson").write_bytes(content)
    return lambda: field_site(Site(map="field.geojson"), tmp_path)


def collection(*features, name="field"):
    return json.dumps({"type": "FeatureCollection", "name": name, "features": list(features)}, ensure_ascii=False)


@pytest.mark.parametrize(
    ("encoding", "said"),
    [("utf-8-sig", "byte order mark"), ("utf-16", "UTF-16"), ("cp1252", "Windows-1252")],
)
def test_a_map_in_another_encoding_draws_the_same_field_and_says_so(tmp_path, encoding, said):
    text = collection(*field(), name="Gänsewiese")
    site = saved(tmp_path, text.encode(encoding))()
    assert site.boundary.equals(saved(tmp_path, text.encode())().boundary)
    [note] = saved(tmp_path, text.encode(encoding))().notes
    assert said in note.found
    assert note.stage == "Field"
    assert not saved(tmp_path, text.encode())().notes


def test_a_decimal_comma_in_a_map_is_read_as_a_point_and_said(tmp_path):
    road = feature("keep-out", "LineString", degrees([(-60.0, 60.0), (60.0, 60.0)]), kind="road", width="7,5 m")
    site = saved(tmp_path, collection(*field(), road).encode())()
    assert site.keep_outs[0].ground.bounds[1] == pytest.approx(60.0 - 3.75, abs=0.01)
    assert "feature 3 width: '7,5 m'" in site.notes[0].found


def test_a_map_is_an_ordinary_file_of_bounded_size(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "zero").symlink_to("/dev/zero")
    with (tmp_path / "sparse").open("wb") as file:
        file.truncate(2_000_000_000)
    for name, words in [("pipe", "not an ordinary file"), ("zero", "not an ordinary file"), ("sparse", "2000.0 MB")]:
        assert words in problems(lambda name=name: field_site(Site(map=name), tmp_path))


def test_a_map_has_no_more_positions_and_features_than_a_field_needs(tmp_path):
    far = feature("boundary", "Polygon", [[[0, 0]] * 20_001])
    assert "more than 20000 positions" in problems(saved(tmp_path, collection(far).encode()))
    many = collection(*[feature("keep-out", "Point", [0, 0])] * 1001)
    assert "1001 features, more than 1000" in problems(saved(tmp_path, many.encode()))


@pytest.mark.parametrize(
    ("coordinates", "words"),
    [
        ([[[0, 0], [1, 0, 7], [1, 1], [0, 0]]], "positions of two and of three numbers"),
        ([[["-30,001", 1], [1, 0], [1, 1]]], "make no Polygon"),
        ([[[-30, 1, 52, 2], [-29, 1, 52, 2], [-29, 1, 52, 3]]], "position of 4 numbers; a decimal comma"),
        ([[[10**400, 0], [1, 0], [1, 1]]], "make no Polygon"),
        ([[[1e300, 0], [1, 0], [1, 1]]], "make no Polygon"),
    ],
)
def test_positions_that_are_none_are_refused_with_the_feature(tmp_path, coordinates, words):
    said = problems(saved(tmp_path, collection(feature("boundary", "Polygon", coordinates)).encode()))
    assert "site.map feature 1" in said
    assert words in said


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ('{"type": "FeatureCollection",\n “features”: []}', "line 2 has curly quotes; write straight quotes"),
        ('{"type": "FeatureCollection",\n\n "features": [}', "line 3 can't be read"),
        ("", "field.geojson is empty"),
        ('{"type": 3,\n', "line 2 can't be read"),
        ("[" * 100_000, "lists lie too deep"),
        ('{"type": "FeatureCollection", "features": [' + "9" * 5000 + "]}", "a number is too long"),
    ],
)
def test_a_map_that_is_no_json_names_the_line(tmp_path, content, words):
    assert words in problems(saved(tmp_path, content.encode()))


@pytest.mark.parametrize("name", ["a\nb", "a\x07", "a\ud800", "a\ufffe"])
def test_no_name_of_a_map_spoils_the_files_that_it_is_written_to(tmp_path, name):
    text = json.dumps(
        {"type": "FeatureCollection", "features": [*field(), feature("keep-out", "Point", [-30, 52], name=name)]}
    )
    assert "feature 3 name" in problems(saved(tmp_path, text.encode()))


def test_a_height_on_every_position_changes_nothing(tmp_path):
    flat = saved(tmp_path, collection(*field()).encode())()
    raised = [[[*position, 12.0] for position in degrees(CORNERS)]]
    pad = [*degrees([(0.0, 0.0)])[0], 12.0]
    high = collection(feature("boundary", "Polygon", raised), feature("launch point", "Point", pad))
    assert saved(tmp_path, high.encode())().boundary.equals(flat.boundary)
