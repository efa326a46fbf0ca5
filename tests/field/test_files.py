import json
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from bottlewright.design.environment import Site
from bottlewright.field.files import geojson_text, kml_text
from bottlewright.field.outlines import dense_outlines
from bottlewright.field.projection import to_metres
from bottlewright.field.site import field_site

CURLEW = Path(__file__).parents[2] / "examples" / "curlew"
LANDINGS = np.random.default_rng(2).normal(size=(400, 2)) * 8.0 + (20.0, 10.0)


@pytest.fixture(scope="module")
def brambling():
    return field_site(Site(map="field.geojson", name="Brambling Field"), CURLEW)


def test_geojson_is_in_degrees_with_outer_rings_to_the_left_and_brings_back_the_landings(brambling):
    document = json.loads(geojson_text(brambling, {"under the parachute": LANDINGS}, dense_outlines(LANDINGS)))
    by_role = {feature["properties"]["role"]: feature["geometry"] for feature in document["features"]}
    assert set(by_role) == {"boundary", "launch point", "keep-out", "outline", "landings"}
    points = to_metres(brambling.origin, by_role["landings"]["coordinates"])
    np.testing.assert_allclose(points, LANDINGS, atol=0.01)
    for feature in document["features"]:
        ground = shapely.geometry.shape(feature["geometry"])
        for part in getattr(ground, "geoms", [ground]):
            if isinstance(part, shapely.Polygon):
                assert part.exterior.is_ccw
                assert part.exterior.is_ring


def test_what_is_written_reads_back_as_the_same_site(brambling, tmp_path):
    document = json.loads(geojson_text(brambling, {}, []))
    (tmp_path / "again.geojson").write_text(json.dumps(document))
    again = field_site(Site(map="again.geojson", name="Brambling Field"), tmp_path)
    assert again.boundary.symmetric_difference(brambling.boundary).area < 2.0
    assert [area.kind for area in again.keep_outs] == [area.kind for area in brambling.keep_outs]
    for first, second in zip(again.keep_outs, brambling.keep_outs, strict=True):
        assert first.ground.symmetric_difference(second.ground).area < 2.0
        assert first.allowed == pytest.approx(second.allowed)


def test_a_site_without_a_place_on_the_globe_is_written_in_metres_and_has_no_kml(tmp_path):
    site = field_site(Site.model_validate({"rectangle": {"length": "150 m", "width": "90 m"}}), tmp_path)
    document = json.loads(geojson_text(site, {}, []))
    assert document["units"] == "m"
    assert shapely.geometry.shape(document["features"][0]["geometry"]).area == pytest.approx(13_500.0)
    with pytest.raises(ValueError, match=r"site\.longitude"):
        kml_text(site, {}, [])


def test_kml_holds_every_thing_once_with_longitude_before_latitude(brambling):
    kml = ElementTree.fromstring(kml_text(brambling, {"under the parachute": LANDINGS}, dense_outlines(LANDINGS)))
    space = {"k": "http://www.opengis.net/kml/2.2"}
    names = [mark.findtext("k:name", namespaces=space) for mark in kml.findall(".//k:Placemark", space)]
    assert names[:2] == ["Brambling Field", "launch point"]
    assert {"Mill Lane", "95 % of landings", "under the parachute"} <= set(names)
    launch = kml.findall(".//k:Placemark", space)[1].findtext(".//k:coordinates", namespaces=space)
    assert launch == f"{brambling.origin.longitude:.7f},{brambling.origin.latitude:.7f}"
    assert launch.startswith("-30.0")
    styles = {f"#{style.get('id')}" for style in kml.findall(".//k:Style", space)}
    assert {mark.findtext("k:styleUrl", namespaces=space) for mark in kml.findall(".//k:Placemark", space)} <= styles
