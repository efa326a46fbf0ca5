"""Whatever stands in a map, it makes a site or is refused in words."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bottlewright.design.environment import Site
from bottlewright.design.errors import DesignError
from bottlewright.field.site import field_site
from strategies import share

numbers = st.one_of(st.integers(-200, 200), st.floats(-200.0, 200.0), st.just(1e308), st.just(0.0))
junk = st.one_of(st.none(), st.booleans(), numbers, st.text(max_size=5), st.lists(numbers, max_size=3))
position = st.lists(numbers, min_size=2, max_size=3)
ring = st.lists(position, min_size=1, max_size=6)
rings = st.lists(ring, max_size=2)
coordinates = st.one_of(position, ring, rings, st.lists(rings, max_size=2), junk)
types = st.sampled_from(["Point", "LineString", "Polygon", "MultiPolygon", "Circle", 3])
geometry = st.one_of(
    junk,
    st.fixed_dictionaries({"type": types, "coordinates": coordinates}),
)
properties = st.one_of(
    junk,
    st.fixed_dictionaries(
        {"role": st.sampled_from(["boundary", "launch point", "keep-out", "keep-out", 7, ["boundary"]])},
        optional={
            "name": junk, "kind": st.one_of(junk, st.sampled_from(["road", "trees"])),
            "width": st.one_of(junk, st.just("5 m"), st.just("-5 m")), "allowed": st.one_of(junk, st.just("3 %")),
        },
    ),
)  # fmt: skip
drawn_feature = {"type": st.just("Feature"), "properties": properties, "geometry": geometry}
feature = st.one_of(junk, st.fixed_dictionaries(drawn_feature))
features = st.one_of(st.lists(feature, max_size=4), junk)
document = st.one_of(
    junk,
    st.fixed_dictionaries(
        {"type": st.one_of(st.just("FeatureCollection"), junk), "features": features},
        optional={"units": st.one_of(st.just("m"), junk)},
    ),
)


@settings(max_examples=share(400), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=document)
def test_a_map_makes_a_site_or_is_refused_in_words(tmp_path, drawn):
    (tmp_path / "field.geojson").write_text(json.dumps(drawn))
    try:
        site = field_site(Site(map="field.geojson"), tmp_path)
    except DesignError:
        return
    assert site.boundary is None or site.boundary.is_valid


corners = st.tuples(st.floats(-300.0, 300.0), st.floats(-300.0, 300.0))


@settings(max_examples=share(200), deadline=None)
@given(rows=st.lists(corners, min_size=3, max_size=7), launch=corners)
def test_any_corners_in_metres_make_a_sound_field_or_are_refused(rows, launch):
    text = [[f"{x!r} m", f"{y!r} m"] for x, y in rows]
    site = Site.model_validate({"boundary": text, "launch_point": [f"{part!r} m" for part in launch]})
    try:
        field = field_site(site, None)
    except DesignError:
        return
    assert field.boundary.is_valid
    assert field.boundary.area >= 1.0


def test_a_drawing_of_too_many_positions_is_refused(tmp_path):
    line = {"type": "LineString", "coordinates": [[0.001 * k, 0.0] for k in range(20_001)]}
    feature = {"type": "Feature", "properties": {"role": "keep-out"}, "geometry": line}
    (tmp_path / "field.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "units": "m", "features": [feature]})
    )
    with pytest.raises(DesignError, match="more than 20000 positions"):
        field_site(Site(map="field.geojson"), tmp_path)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"name": 7}, "name is 7; it has to be text in quotes"),
        ({"kind": ["pond"]}, "kind is ['pond']; it has to be 'spectators', 'road'"),
        ({"width": [1, None]}, 'width has to be a length such as "14 mm", not [1, None]'),
    ],
)
def test_a_wrong_property_of_a_feature_is_told_in_words(tmp_path, words, said):
    spot = {"type": "Point", "coordinates": [1.0, 2.0]}
    feature = {"type": "Feature", "properties": {"role": "keep-out"} | words, "geometry": spot}
    (tmp_path / "field.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))
    with pytest.raises(DesignError) as caught:
        field_site(Site(map="field.geojson"), tmp_path)
    assert str(caught.value).startswith(f"site.map feature 1 {said}")
