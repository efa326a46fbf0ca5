"""Flat parts close up into what they are meant to become, and keep their sizes on paper, in SVG and in DXF."""

import io
import itertools
import math
from dataclasses import replace

import ezdxf
import pymupdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from svgpathtools import parse_path
from workshop_designs import DABCHICK, design_of

from bottlewright.make.dimensions import body_of, nose_profile, outer_profile
from bottlewright.make.drawing import (
    Arc,
    Dimension,
    Label,
    Path,
    Pattern,
    Style,
    bounds,
    circle,
    flattened,
    simple,
    turned,
)
from bottlewright.make.pack.typeset import typeset
from bottlewright.make.patterns.collection import all_patterns
from bottlewright.make.patterns.dxf import pattern_dxf
from bottlewright.make.patterns.fins import fin, fin_jig, wrap_strip
from bottlewright.make.patterns.nesting import PAPERS, nest, pieces_of
from bottlewright.make.patterns.nose import gore_outline, nose
from bottlewright.make.patterns.paper import pattern_sheets
from bottlewright.make.patterns.svg import pattern_svg
from bottlewright.make.patterns.wrap import LAP, sleeve, splice_band
from bottlewright.make.specification import specify

MM = 25.4 / 72.0


def paper_data(patterns, paper):
    return {
        "kind": "patterns",
        "title": "patterns",
        "name": "test",
        "hash": "0",
        "version": "0",
        "stopped": False,
        "scale": "true size",
        "paper": {"width": paper.width, "height": paper.height},
        "sheets": pattern_sheets(patterns, paper),
    }


def on_paper(patterns, paper="a4"):
    return pymupdf.open(stream=typeset(paper_data(patterns, PAPERS[paper])))


def sides(page):
    """Return the lengths, mm, of all straight strokes on a page."""
    items = [item for path in page.get_drawings() for item in path["items"]]
    strokes = [MM * abs(a - b) for kind, a, *rest in items if kind == "l" for b in rest]
    upright = [MM * side for kind, box, *_ in items if kind == "re" for side in (box.width, box.height)]
    return strokes + upright


def lengths(points, closed=False):
    points = [*points, points[0]] if closed else points
    return [math.dist(a, b) for a, b in itertools.pairwise(points)]


def test_both_check_bars_are_100_mm_on_every_page_of_both_papers(dabchick):
    for name in PAPERS:
        document = on_paper(all_patterns(specify(dabchick)), name)
        assert len(document) > 1
        for page in document:
            paper = PAPERS[name]
            assert page.rect.width * MM == pytest.approx(paper.width, abs=0.01)
            bars = [
                (a, b)
                for path in page.get_drawings()
                for kind, a, *rest in path["items"]
                if kind == "l"
                for b in rest
                if abs(MM * abs(a - b) - 100.0) < 0.05
            ]
            level = [b for b in bars if abs(b[0].y - b[1].y) < 1e-3 and MM * b[0].y > paper.height - 20]
            upright = [b for b in bars if abs(b[0].x - b[1].x) < 1e-3 and MM * b[0].x < 15]
            assert len(level) == 1
            assert len(upright) == 1
            assert "True size" in page.get_text() or "true size" in page.get_text()


def test_a_fin_measured_back_from_paper_svg_and_dxf_has_the_sizes_of_the_design(dabchick):
    pattern = fin(specify(dabchick))
    wanted = sorted([math.hypot(40, 60), 40.0, 60.0, 80.0])  # slanted leading edge, tip, straight trailing edge, root
    (page,) = on_paper([pattern])
    measured = sides(page)
    for length in wanted:
        assert min(abs(m - length) for m in measured) < 0.05
    tree = etree.fromstring(pattern_svg(pattern).encode())
    (polygon,) = tree.findall('.//{*}g[@id="cut"]/{*}polygon')
    corners = [tuple(map(float, pair.split(","))) for pair in polygon.get("points").split()]
    assert sorted(lengths(corners, closed=True)) == pytest.approx(wanted, abs=0.001)
    document = ezdxf.read(io.StringIO(pattern_dxf(pattern)))
    (outline,) = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    assert outline.closed
    assert sorted(lengths([p[:2] for p in outline.get_points()], closed=True)) == pytest.approx(wanted, abs=1e-6)


def test_svg_says_millimetres_with_a_matching_view_box_and_dxf_says_millimetres(dabchick):
    for pattern in all_patterns(specify(dabchick)):
        root = etree.fromstring(pattern_svg(pattern).encode())
        x, y, width, height = map(float, root.get("viewBox").split())
        assert root.get("width") == f"{width:.4f}mm"
        assert root.get("height") == f"{height:.4f}mm"
        left, bottom, right, top = bounds(pattern.shapes)
        assert x < left
        assert right < x + width
        assert y < -top
        assert -bottom < y + height
        document = ezdxf.read(io.StringIO(pattern_dxf(pattern)))
        assert document.header["$INSUNITS"] == 4
        assert not document.audit().errors


def test_an_arc_is_the_same_on_paper_in_svg_and_in_dxf():
    arc = Arc((10.0, 20.0), 50.0, 0.3, 4.9)
    pattern = Pattern("arc", "Arc", (arc,))
    (element,) = etree.fromstring(pattern_svg(pattern).encode()).findall('.//{*}g[@id="cut"]/{*}path')
    assert parse_path(element.get("d")).length() == pytest.approx(50.0 * 4.6, abs=0.01)
    (drawn,) = ezdxf.read(io.StringIO(pattern_dxf(pattern))).modelspace().query("ARC")
    assert drawn.dxf.radius == 50.0
    assert math.radians(drawn.dxf.end_angle - drawn.dxf.start_angle) == pytest.approx(4.6)
    (page,) = on_paper([pattern])
    curves = [item[1:] for path in page.get_drawings() for item in path["items"] if item[0] == "c"]
    (centre,) = {(round(x, 1), round(y, 1)) for x, y in [_centre(curves)]}
    for curve in curves:  # every point of every piece lies on the circle
        for t in (0.0, 0.25, 0.5, 0.75, 1.0):
            assert MM * math.dist(_on(curve, t), centre) == pytest.approx(50.0, abs=0.05)


def _on(curve, t):
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    return tuple(sum(w * p[k] for w, p in zip(weights, curve, strict=True)) for k in (0, 1))


def _centre(curves):
    """Return the centre of the circle through three points of the drawn curve, pt."""
    (ax, ay), (bx, by), (cx, cy) = _on(curves[0], 0.0), _on(curves[len(curves) // 2], 0.0), _on(curves[-1], 1.0)
    d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    a2, b2, c2 = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    return (a2 * (by - cy) + b2 * (cy - ay) + c2 * (ay - by)) / d, (
        a2 * (cx - bx) + b2 * (ax - cx) + c2 * (bx - ax)
    ) / d


def test_the_wrap_strip_closes_round_the_body_with_its_lines_evenly_spaced(dabchick):
    strip = wrap_strip(specify(dabchick))
    marks = sorted(s.points[0][0] for s in strip.shapes if isinstance(s, Path) and s.style is Style.MARK)
    end = next(s.points[0][0] for s in strip.shapes if isinstance(s, Path) and s.style is Style.FOLD)
    diameter = 1e3 * dabchick.vessel.diameter.value
    assert end == pytest.approx(math.pi * diameter)
    assert lengths([(x, 0) for x in [*marks, end]]) == pytest.approx([math.pi * diameter / 4] * 4)


def test_the_jig_holds_each_fin_at_its_angle_in_a_slot_as_wide_as_the_fin(dabchick):
    slots = [s.points for s in fin_jig(specify(dabchick)).shapes if isinstance(s, Path) and s.style is Style.CUT]
    middles = sorted(round(math.degrees(math.atan2(p[1][1] + p[2][1], p[1][0] + p[2][0])), 6) % 360 for p in slots)
    assert middles == pytest.approx([0, 90, 180, 270], abs=1e-6)
    thickness = 1e3 * dabchick.fins.thickness.value
    assert all(math.dist(p[1], p[2]) == pytest.approx(thickness + 0.2) for p in slots)


def test_a_cone_nose_rolls_up_to_the_diameter_and_length_of_the_design(dabchick):
    cone = next(p for p in nose(specify(dabchick)) if p.name == "nose-cone")
    arc = next(s for s in cone.shapes if isinstance(s, Arc))
    around = arc.radius * (arc.end - arc.start)
    assert around == pytest.approx(math.pi * 1e3 * dabchick.nose.diameter.value)
    assert math.sqrt(arc.radius**2 - (around / (2 * math.pi)) ** 2) == pytest.approx(120.0)


@pytest.mark.parametrize("shape", ["ogive", "ellipsoid", "paraboloid", "hemisphere"])
def test_gores_together_are_as_wide_as_the_nose_is_round_all_along(shape):
    design = design_of(DABCHICK.replace('shape = "cone"', f'shape = "{shape}"'))
    profile = nose_profile(design, 240)
    outline = gore_outline(profile, 8)
    assert [16 * w for _, w in outline] == pytest.approx([2 * math.pi * r for _, r in profile])


def test_a_sleeve_of_thick_card_is_cut_for_the_middle_of_its_wall():
    design = design_of(DABCHICK + '[sleeve]\nlength = "100 mm"\nthickness = "2 mm"\ndiameter = "90 mm"\n')
    (pattern, *_) = sleeve(specify(design))
    outline = pattern.shapes[0].points
    assert outline[1][0] - LAP == pytest.approx(math.pi * 88.0)
    assert outline[2][1] == pytest.approx(100.0)


def test_a_sleeve_wider_than_the_bottle_gets_rings_that_fill_the_gap():
    wide = design_of(DABCHICK + '[sleeve]\nlength = "100 mm"\nthickness = "1 mm"\ndiameter = "110 mm"\n')
    ring = next(p for p in sleeve(specify(wide)) if p.name == "spacing-ring")
    radii = sorted(s.radius for s in ring.shapes if isinstance(s, Arc))
    assert radii == pytest.approx([0.5 * 1e3 * wide.vessel.diameter.value, 54.0])


def test_the_splice_band_covers_both_overlaps():
    design = design_of(
        DABCHICK.replace(
            'bottle = "carbonated-1000"',
            'bottle = "carbonated-1000"\ncount = 2\njoint = "splice"\njoint_overlap = "30 mm"',
        )
    )
    band = splice_band(specify(design))
    assert band.shapes[0].points[2][1] == pytest.approx(60.0)
    assert "Proof-test" in " ".join(band.notes)


def test_a_fin_that_reaches_over_the_shoulder_follows_it(dabchick):
    end = body_of(dabchick).cylinder_end
    low = design_of(DABCHICK.replace("[recovery]", f'position = "{end - 30:.1f} mm"\n[recovery]'))
    outline = next(s for s in fin(specify(low)).shapes if isinstance(s, Path) and s.style is Style.CUT)
    deepest = min(y for _, y in outline.points)
    radius = min(
        r for x, r in outer_profile(body_of(low), [], 400) if end <= x <= end + 50
    )  # the root of 80 mm begins 30 mm before
    wanted = radius - 0.5 * 1e3 * low.vessel.diameter.value
    assert deepest == pytest.approx(wanted, abs=0.2)
    assert deepest < -1.0


def test_a_fin_larger_than_the_sheet_comes_in_tiles_that_join_at_the_same_crosses():
    design = design_of(DABCHICK, 'fins.root="400 mm"', 'fins.span="300 mm"', 'fins.position="0 mm"', "vessel.count=3")
    pattern = fin(specify(design))
    window = PAPERS["a4"].window
    tiles = [piece for piece in pieces_of(pattern, window) if piece.clipped]
    assert len(tiles) >= 4
    assert all(piece.size[0] <= window[0] + 1e-6 and piece.size[1] <= window[1] + 1e-6 for piece in tiles)
    crosses = {s.centre for s in tiles[0].shapes if isinstance(s, Arc) and s.style is Style.MARK and s.radius == 2.0}
    seen = [sum(t.box[0] <= x <= t.box[2] and t.box[1] <= y <= t.box[3] for t in tiles) for x, y in crosses]
    assert min(seen) >= 2 or len(tiles) < 4
    document = on_paper([pattern])
    assert len(document) >= 4
    wanted = math.hypot(40, 300)
    assert any(abs(m - wanted) < 0.05 for page in document for m in sides(page))


def test_tiles_cover_all_of_the_part():
    square = Pattern(
        "big", "Big", (Path(((0, 0), (500, 0), (500, 600), (0, 600)), closed=True), circle((250, 300), 300))
    )
    tiles = [p for p in pieces_of(square, PAPERS["a4"].window) if p.clipped]
    for point in [*flattened(Arc((250, 300), 150), 0.5), (0, 0), (500, 600), (123, 0), (500, 345)]:
        assert any(t.box[0] <= point[0] <= t.box[2] and t.box[1] <= point[1] <= t.box[3] for t in tiles)


@given(st.lists(st.tuples(st.floats(5, 180), st.floats(5, 250)), min_size=1, max_size=25))
def test_pieces_on_a_sheet_never_overlap_and_never_leave_it(sizes):
    window = PAPERS["letter"].window
    pieces = [
        p for w, h in sizes for p in pieces_of(Pattern("p", "p", (Path(((0, 0), (w, 0), (w, h), (0, h))),)), window)
    ]
    sheets = nest(pieces, window)
    assert sum(map(len, sheets)) == len(pieces)
    for sheet in sheets:
        boxes = [(p.x, p.y, p.x + p.piece.size[0], p.y + p.piece.size[1]) for p in sheet]
        for k, a in enumerate(boxes):
            assert a[0] >= 0
            assert a[1] >= 0
            assert a[2] <= window[0] + 1e-6
            assert a[3] <= window[1] + 1e-6
            for b in boxes[:k]:
                assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def test_a_dimension_line_says_the_length_it_spans():
    texts = [s.text for s in simple([Dimension((0.0, 0.0), (30.0, 40.0), 5.0)]) if isinstance(s, Label)]
    assert texts == ["50.0"]


def test_text_stays_inside_the_sheet(dabchick):
    for page in on_paper(all_patterns(specify(dabchick))):
        for x0, y0, x1, y1, *_ in page.get_text("words"):
            assert x0 >= 0
            assert y0 >= 0
            assert x1 * MM <= 210.0
            assert y1 * MM <= 297.0


@pytest.mark.parametrize("nose_shape", ["cone", "ogive"])
def test_every_line_of_every_part_is_found_on_paper_to_a_twentieth_of_a_millimetre(nose_shape):
    design = design_of(DABCHICK, f'nose.shape="{nose_shape}"', 'fins.material="card"', 'recovery.diameter="200 mm"')
    for pattern in all_patterns(specify(design)):
        if any(piece.clipped for piece in pieces_of(pattern, PAPERS["a4"].window)):
            continue
        measured = sorted(m for page in on_paper([replace(pattern, printed=True)]) for m in sides(page))
        for shape in simple(pattern.shapes):
            if isinstance(shape, Path):
                for length in lengths(shape.points, shape.closed):
                    assert min(abs(m - length) for m in measured) < 0.05, pattern.name


def test_a_fin_follows_a_measured_profile_where_there_is_one():
    profile = [[0, 11], [30, 11], [60, 30], [80, 41], [250, 41], [260, 20]]
    pairs = ", ".join(f'["{z} mm", "{r} mm"]' for z, r in profile)
    text = DABCHICK.replace('bottle = "carbonated-1000"', f'profile = [{pairs}]\nwall = "0.3 mm"')
    design = design_of(text)
    end = body_of(design).exit
    low = design_of(text, f'fins.position="{end - 110:.3f} mm"')  # the root of 80 mm ends 30 mm above the exit
    outline = next(s for s in fin(specify(low)).shapes if isinstance(s, Path) and s.style is Style.CUT)
    drop = {round(x, 3): y for x, y in outline.points if y < 0}
    assert min(drop.values()) == pytest.approx(11.0 - 41.0, abs=0.01)
    assert drop[50.0] == pytest.approx(30.0 - 41.0, abs=0.01)


def test_canted_fins_get_the_turn_between_the_two_jigs():
    canted = design_of(DABCHICK, 'fins.cant="2 deg"')
    radius = 0.5e3 * canted.vessel.diameter.value + 0.3
    turn = math.degrees(80.0 * math.tan(math.radians(2.0)) / radius)
    assert f"turn the rear one by {turn:.1f}°" in " ".join(fin_jig(specify(canted)).notes)
    assert "cant" not in " ".join(fin_jig(specify(design_of(DABCHICK))).notes)


def test_the_name_of_a_tile_stands_over_it_and_no_text_lies_across_a_join():
    design = design_of(DABCHICK, 'vessel.bottle="carbonated-2000"', 'recovery.diameter="520 mm"', "fins.count=6")
    for pattern in all_patterns(specify(design)):
        tiles = [p for p in pieces_of(pattern, PAPERS["a4"].window) if p.clipped]
        for tile in tiles:
            assert not any(isinstance(s, Label) and s.text == tile.head for s in tile.shapes)
            for label in (s for s in tile.shapes if isinstance(s, Label) and s.text != "join"):
                left, bottom, right, top = bounds([label])
                shown = left < tile.box[2] and right > tile.box[0] and bottom < tile.box[3] and top > tile.box[1]
                whole = tile.box[0] <= left + 0.5 and right - 0.5 <= tile.box[2]
                whole = whole and tile.box[1] <= bottom + 0.5 and top - 0.5 <= tile.box[3]
                assert whole or not shown, (pattern.name, label.text)
    for sheet in pattern_sheets(all_patterns(specify(design)), PAPERS["a4"]):
        for clip in (item for item in sheet["items"] if item["k"] == "clip"):
            heads = [i for i in sheet["items"] if i["k"] == "text" and ": tile " in i["t"] and i["x"] == clip["x"]]
            assert any(0.0 < clip["y"] - head["y"] < 6.0 for head in heads)


def test_the_jig_of_a_two_litre_bottle_fits_one_sheet():
    design = design_of(DABCHICK, 'vessel.bottle="carbonated-2000"', 'fins.span="150 mm"')
    assert not any(p.clipped for p in pieces_of(fin_jig(specify(design)), PAPERS["a4"].window))


def test_the_rear_edge_of_a_taped_fin_is_cut_and_only_what_touches_the_body_is_folded():
    low = design_of(DABCHICK, 'fins.material="card"', "fins.count=3")
    end = body_of(low).exit
    low = design_of(DABCHICK, 'fins.material="card"', f'fins.position="{end - 85:.1f} mm"')
    folds = [s for s in fin(specify(low)).shapes if isinstance(s, Path) and s.style is Style.FOLD]
    assert all(abs(b[0] - a[0]) > 1e-9 for s in folds for a, b in itertools.pairwise(s.points))
    outline = next(s for s in fin(specify(low)).shapes if isinstance(s, Path) and s.style is Style.CUT)
    assert outline.points[-1][0] == outline.points[-2][0] == 80.0
    assert outline.points[-1][1] < -10.0


@pytest.mark.parametrize(("shape", "folds"), [("hexagon", 12), ("octagon", 16), ("square", 8), ("cross", 8)])
def test_a_folded_canopy_opens_to_the_area_of_the_flat_one(shape, folds):
    from bottlewright.make.patterns.canopy import canopy, canopy_area, flat_canopy

    whole, wedge = canopy(specify(design_of(DABCHICK, f'recovery.canopy="{shape}"', 'recovery.spill_hole="0 mm"')))
    assert not whole.printed
    cut = next(s for s in wedge.shapes if isinstance(s, Path) and s.style is Style.CUT)
    assert folds * canopy_area([(0.0, 0.0), *cut.points]) == pytest.approx(canopy_area(flat_canopy(shape, 300.0)))


def test_turned_text_never_stands_on_its_head():
    label = Label((10.0, 5.0), "lap", 3.0, 0.5 * math.pi, anchor=0.0)
    (turned_label,) = turned([label], 0.5 * math.pi)
    assert turned_label.angle == pytest.approx(0.0)
    assert turned_label.anchor == 1.0


def test_the_drawing_on_the_cover_is_as_long_as_rocket_and_fins_together():
    from bottlewright.make.pack.elevation import side_view

    design = design_of(DABCHICK, 'fins.sweep="200 mm"')
    end = 1e3 * design.fins.position.value + 200.0 + 40.0
    assert end > body_of(design).exit
    texts = {s.text for s in side_view(specify(design)) if isinstance(s, Dimension)}
    assert {f"{end:.0f} overall", f"{body_of(design).exit:.0f} to the nozzle"} <= texts
