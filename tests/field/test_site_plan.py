"""The plan of the site that is read first: everyone's place, landings, wind and every keep-out, at any width."""

import math
import re

import pytest
from shapely.geometry import Point, box

from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.site import Area, FieldSite
from bottlewright.field.site_plan import StandBack, Stands, left_out, site_plan

WIDTHS = [690.0, 358.0]
PEOPLE = [Stands("pumper 13 m", 13.0, math.radians(250.0)), Stands("operator 14 m", 14.0, math.radians(215.0)),
          Stands("spectators 25 m", 25.0, math.radians(235.0), many=True)]  # fmt: skip
LANDINGS = [(0.5, Point(30.0, 25.0).buffer(20.0)), (0.95, Point(34.0, 28.0).buffer(42.0))]


def area(name, kind, ground):
    return Area(name, kinds()[kind], ground, 0.01)


def site(*more):
    return FieldSite("Brambling Field", box(-60.0, -50.0, 120.0, 90.0), (
        area("Mill Lane", "road", box(125.0, -80.0, 131.0, 120.0)),
        area("the barn", "building", box(-40.0, 60.0, -30.0, 70.0)),
        area("the post", "other", box(80.0, -20.0, 80.2, -19.8)), *more,
    ), None)  # fmt: skip


def words(svg):
    """Return what is written with the box that each takes, by the letters' size."""
    found = re.findall(r'<text x="([\d.-]+)" y="([\d.-]+)" font-size="([\d.]+)"[^>]*>([^<]*)</text>', svg)
    return {text: (float(x), float(y) - float(size), float(x) + 0.5 * float(size) * len(text), float(y))
            for x, y, size, text in found}  # fmt: skip


def height(svg):
    return float(re.search(r'height="(\d+)"', svg)[1])


@pytest.mark.parametrize("width", WIDTHS)
def test_every_keep_out_and_everyone_is_named_on_the_sheet(width):
    svg = site_plan(site(), PEOPLE, LANDINGS, wind=(2.5, math.radians(240.0)), width=width)
    written = words(svg)
    wanted = ("Mill Lane", "the barn", "the post", "pumper 13 m", "operator 14 m", "spectators 25 m", "launcher",
              "wind 2.5 m/s from WSW", "comes down here")  # fmt: skip
    assert all(any(text.startswith(one) for text in written) for one in wanted)
    for left, top, right, bottom in written.values():
        assert left >= 0.0
        assert right <= width
        assert top >= 0.0
        assert bottom <= height(svg)


@pytest.mark.parametrize("width", WIDTHS)
def test_no_two_names_cover_each_other(width):
    boxes = [*words(site_plan(site(), PEOPLE, LANDINGS, wind=(2.5, 4.0), width=width)).values()]
    for number, one in enumerate(boxes):
        for other in boxes[:number]:
            wide, high = min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1])
            assert wide <= 0.5 or high <= 0.5


def test_letters_keep_their_size_on_a_telephone():
    sizes = {float(size) for width in WIDTHS for size in
             re.findall(r'font-size="([\d.]+)"', site_plan(site(), PEOPLE, width=width))}  # fmt: skip
    assert min(sizes) >= 12.0


def test_a_keep_out_too_far_off_for_the_plan_is_named_with_its_distance_and_side():
    away = area("the ridge road", "road", box(-900.0, 2000.0, 900.0, 2010.0))
    assert left_out(site(away), PEOPLE) == ["the ridge road, 2000 m N"]
    assert left_out(site(), PEOPLE) == []


def test_a_person_on_no_known_side_is_a_ring_and_two_at_one_distance_share_it():
    svg = site_plan(site(), [Stands("pumper 13 m", 13.0), Stands("operator 13 m", 13.0)])
    assert svg.count("<circle") == 1
    assert "pumper 13 m, operator 13 m" in words(svg)


def test_the_ground_that_spectators_keep_out_of_reaches_as_far_as_each_side_asks():
    sides = [StandBack(start, start + 30.0, 80.0 if start == 0.0 else 20.0) for start in range(0, 360, 30)]
    svg = site_plan(FieldSite("field", None, (), None), stand_back=sides, width=690.0)
    ring = re.search(r'<path d="(M[^"]*)"[^>]*stroke-dasharray="6 3"', svg)[1]
    spots = [tuple(map(float, spot.split())) for spot in re.findall(r"[\d.-]+ [\d.-]+", ring)]
    x0, y0 = (float(part) for part in re.search(r'<path d="M([\d.]+) ([\d.]+)h14', svg).groups())
    reach = sorted(math.hypot(x - x0 - 7.0, y - y0) for x, y in spots)
    assert reach[-1] / reach[0] == pytest.approx(4.0, rel=0.02)
    assert any(text.startswith("no spectators on this ground") for text in words(svg))


def test_ground_that_goes_on_beyond_the_plan_is_said_to():
    sides = [StandBack(start, start + 30.0, 900.0 if start == 0.0 else 20.0) for start in range(0, 360, 30)]
    written = words(site_plan(site(), PEOPLE, LANDINGS, sides))
    assert any("beyond the plan where it goes on" in text for text in written)


def test_a_name_like_a_tag_stays_text():
    svg = site_plan(site(area("<b>&", "other", box(10.0, 10.0, 14.0, 14.0))))
    assert "&lt;b&gt;&amp;" in svg
    assert "<b>" not in svg


def test_the_same_site_gives_the_same_plan():
    assert site_plan(site(), PEOPLE, LANDINGS) == site_plan(site(), PEOPLE, LANDINGS)
