import math
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from bottlewright.design.environment import Site
from bottlewright.design.unit_habit import METRIC
from bottlewright.design.unit_text import percent
from bottlewright.field.outlines import dense_outlines
from bottlewright.field.pictures import field_map, wind_rose
from bottlewright.field.site import FieldSite, field_site
from bottlewright.field.wind_limit import WindLimit
from drawn import MM, Drawn

LANDINGS = np.random.default_rng(2).normal(size=(400, 2)) * 8.0 + (20.0, 10.0)


def words(figure):
    return " | ".join(Drawn(figure).texts)


def test_the_map_names_keep_outs_north_scale_wind_outlines_and_every_kind_of_return():
    site = field_site(Site(map="field.geojson"), Path(__file__).parents[2] / "examples" / "curlew")
    kinds = {"under the parachute": LANDINGS, "ballistic": LANDINGS[:9]}
    figure = field_map(site, kinds, dense_outlines(LANDINGS), (3.0, math.radians(240.0)))
    text = words(figure)
    for name in ("Mill Lane", "(road)", "50 m", "N", "wind 3 m/s", "from WSW", "95 % of landings",
                 "under the parachute (400)", "ballistic (9)", "launch point", "edge of the field"):
        assert name in text
    drawn = Drawn(figure)
    (across,), (up,) = drawn.x_scales(), drawn.y_scales()
    assert across.deriv()(0.0) == pytest.approx(-up.deriv()(0.0), rel=1e-3), "one scale both ways"
    narrow = Drawn(field_map(site, kinds, dense_outlines(LANDINGS), (3.0, 4.2), METRIC, 92.0))
    for one in (drawn, narrow):
        assert one.overlaps() == []
        assert one.outside() == []


def test_the_field_its_outlines_and_its_landings_are_drawn_where_they_lie():
    site = field_site(Site(map="field.geojson"), Path(__file__).parents[2] / "examples" / "curlew")
    ((level, ground),) = dense_outlines(LANDINGS, (0.9,))
    drawn = Drawn(field_map(site, {"under the parachute": LANDINGS}, [(level, ground)]))
    (across,), (up,) = drawn.x_scales(), drawn.y_scales()

    def metres(rows):
        return np.column_stack([across(rows[:, 0]), up(rows[:, 1])])

    metre = 1.0 / across.deriv()(0.0)
    tenth_mm = 0.1 * MM / metre
    corners = np.array(site.boundary.exterior.coords)
    assert metres(drawn.parts["edge of the field"][0]) == pytest.approx(corners, abs=tenth_mm)
    for barn in (area for area in site.keep_outs if area.kind.name == "building"):
        off = Polygon(metres(drawn.parts[barn.name][0])).symmetric_difference(barn.ground)
        assert off.area < tenth_mm * barn.ground.length
    drawn_ground = unary_union([Polygon(metres(piece)) for piece in drawn.parts[f"{percent(level)} of landings"]])
    assert drawn_ground.symmetric_difference(ground).area < tenth_mm * ground.length
    spots = metres(np.array([piece[0] for piece in drawn.parts["under the parachute"]]))
    nearest = [np.hypot(*(spots - landing).T).min() for landing in LANDINGS]
    assert len(spots) == len(LANDINGS)
    assert max(nearest) < tenth_mm
    assert metres(drawn.middle("launch point")[None])[0] == pytest.approx([0.0, 0.0], abs=tenth_mm)


def test_a_map_without_a_field_or_landings_still_draws():
    figure = field_map(FieldSite("the field", None, (), None), {"under the parachute": np.empty((0, 2))})
    assert "launch point" in words(figure)


def test_the_rose_writes_each_limit_and_marks_those_never_reached():
    limits = [WindLimit(math.radians(30 * k), 4.0 + 0.1 * k, k != 3) for k in range(12)]
    text = words(wind_rose(limits))
    assert "4.0" in text
    assert "4.3+" in text


def test_a_bar_of_the_rose_is_as_long_as_its_limit_and_points_where_the_wind_comes_from():
    limits = [WindLimit(math.radians(30 * k), 2.0 + 0.5 * k, k != 3) for k in range(12)]
    drawn = Drawn(wind_rose(limits))
    reach = []
    for k, limit in enumerate(limits):
        middle, first, last = drawn.parts[f"from {30 * k}"][0]
        way = 0.5 * (first + last) - middle
        assert math.degrees(math.atan2(way[0], -way[1])) % 360.0 == pytest.approx(30.0 * k, abs=0.1)
        reach.append(math.dist(first, middle) / limit.speed)
    assert reach == pytest.approx([reach[0]] * 12, rel=1e-3)
    assert drawn.outside() == []
