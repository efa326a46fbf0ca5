"""A builder who writes ounces and inches reads them first on cards, parts list, tables and captions too."""

import datetime as dt
import math
import re
from itertools import pairwise

import pymupdf
import pytest
from workshop_designs import DABCHICK, design_of

from bottlewright.design.unit_habit import unit_habit
from bottlewright.make.build import Given, build
from bottlewright.make.chapters import make_chapter
from bottlewright.make.drawing import Arc, Dimension, Label, simple
from bottlewright.make.launcher.release_drawing import release_section
from bottlewright.make.launcher.stand_drawing import stand_views
from bottlewright.make.pack.elevation import fitting_scale, side_view
from bottlewright.make.parts import mass_unit, measured_words, parts_list, rocket_parts, totals
from bottlewright.make.patterns.canopy import line_table
from bottlewright.make.patterns.collection import all_patterns
from bottlewright.make.patterns.nesting import PAPERS, usual_paper
from bottlewright.make.patterns.paper import _check_bars
from bottlewright.make.plan.steps import build_steps
from bottlewright.make.sheets.cards import vessel_card
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values
from bottlewright.proof.parts import hole_sizes

NOW = dt.datetime(2027, 3, 1, 12, 0)
OWN = re.sub(r'"([\d.]+) mm"', lambda m: f'"{float(m[1]) / 25.4:.6g} in"', DABCHICK)
OWN = OWN.replace("spill_hole", 'mass = "0.4 oz ± 0.01 oz"\nspill_hole') + '[measured]\ndry_mass = "5 oz ± 0.02 oz"\n'
PROOF = '[[vessel.proof]]\npressure = "6 bar"\nhold = "60 s"\nmedium = "water"\npassed = true\n'
GROWN = 'diameter_before = "3.563 in"\ndiameter_after = "3.567 in"\n'


def test_masses_come_in_ounces_first_with_grams_beside_them():
    spec = specify(design_of(OWN))
    assert mass_unit(spec.habit) == "oz (g)"
    parachute = next(part for part in rocket_parts(spec) if part.code == "parachute")
    assert measured_words(parachute, spec.habit) == ("", "0.40\u00a0±\u00a00.01 (11.3\u00a0±\u00a00.3)")
    closing = dict(totals(parts_list(spec)[0], spec.habit))
    assert closing["The scale says"].startswith("5.00 oz (141.7 g), ")
    assert vessel_card(spec)["known"][4][1].endswith(" g)")
    assert " oz (" in vessel_card(spec)["known"][4][1]


def test_a_builder_who_writes_grams_reads_no_ounces(dabchick):
    spec = specify(dabchick)
    said = [mass_unit(spec.habit), *(text for line in totals(parts_list(spec)[0], spec.habit) for text in line)]
    said += [text for part in rocket_parts(spec) for text in measured_words(part, spec.habit)]
    assert mass_unit(spec.habit) == "g"
    assert not re.search(r"\boz\b|\(", " ".join(said))


def test_the_card_shows_a_tenth_of_a_millimetre_of_growth_in_inches_too():
    (test,) = vessel_card(specify(design_of(OWN + PROOF + GROWN)))["tests"]
    assert test[-1] == "3.563 / 3.567 in (90.5 / 90.6 mm)"


def test_line_table_and_captions_name_every_length_in_inches_or_feet_first():
    spec = specify(design_of(OWN))
    texts = [text for _, text in line_table(spec)]
    texts += [text for pattern in all_patterns(spec) for text in (pattern.material, *pattern.notes)]
    metric = [text for text in texts if re.search(r"\d m?m\b", text)]
    assert len(metric) >= 6
    for text in metric:
        assert not re.search(r"\d m?m\b", re.sub(r"(in|ft) \([^()]*\)", "", text)), text


def test_no_words_of_the_parts_list_run_into_each_other():
    text = OWN.replace('material = "card"', 'material = "expanded-polystyrene"')
    text += '[[mass]]\nname = "release and elastic"\nmass = "0.5 oz ± 0.04 oz"\nposition = "6.7 in"\n'
    made = build(design_of(text), Given(), NOW)
    pack = pymupdf.open(stream=made.files["pack-a4.pdf"])
    page = next(page for page in pack if page.get_text().startswith("Parts list"))
    boxes = [pymupdf.Rect(word[:4]) for word in page.get_text("words")]
    assert any("oz" in word[4] for word in page.get_text("words"))
    shared = [a & b for k, a in enumerate(boxes) for b in boxes[:k] if a.intersects(b)]
    assert not [both for both in shared if both.width > 0.5 and both.height > 2.0]  # rows may touch, words may not


SHOP = OWN + """[launcher.cord]
count = 2
diameter = "3/16 in"
[launcher.frame]
kind = "boards"
width = "15.75 in"
"""


def test_what_is_sawn_and_drilled_comes_in_fractions_of_an_inch_that_a_shop_has():
    design = design_of(SHOP)
    unchecked = [hole for hole in specify(design_of(OWN)).holes if "bar" not in hole[0]]
    assert [hole for hole in unchecked if abs(hole[2] / 25.4 * 32 - round(hole[2] / 25.4 * 32)) > 1e-6] == []
    spec = specify(design, {hole.name: hole.drill_m for hole in hole_sizes(design)})
    said = [spec.sawn(piece.length) for piece in spec.pieces] + [piece.section for piece in spec.pieces]
    said += [spec.drill(diameter) for what, _, diameter, _ in spec.holes if "bar" not in what]
    said += [spec.drill(step.diameter) for step in spec.boring[:-2]]
    assert "15 3/4 in (400 mm)" in said
    assert "1/8 in (3.2 mm)" in said
    for text in said:
        inches = re.match(r"(?:Ø )?([\d/ ×]+) in \(", text)
        assert inches, text
        parts = [part for part in inches[1].split() if "/" in part]
        assert all(int(part.split("/")[1]) in (2, 4, 8, 16, 32, 64) for part in parts), text


def test_a_drilled_hole_is_never_tighter_than_what_passes_it():
    for hole in hole_sizes(design_of(SHOP)):
        assert hole.drill_m >= hole.diameter_m + hole.clearance_m - 1e-9
        assert hole.drill_m / 0.0254 * 32 == pytest.approx(round(hole.drill_m / 0.0254 * 32))


@pytest.mark.parametrize("bore", ["0.2 in", "0.354 in", "7/16 in", "0.6 in", "0.13 in"])
def test_boring_in_inches_goes_up_and_ends_at_the_bore(bore):
    steps = specify(design_of(OWN, f'nozzle.bore="{bore}"')).boring
    sizes = [step.diameter for step in steps[:-1]]
    assert sizes == sorted(set(sizes))
    assert sizes[-1] == pytest.approx(1e3 * design_of(OWN, f'nozzle.bore="{bore}"').nozzle.bore.value)
    assert max(b - a for a, b in pairwise([0.0, *sizes])) < 3.4


def test_checks_in_the_steps_can_be_read_off_a_rule():
    spec = specify(design_of(OWN))
    checks = " ".join(step.check for step in build_steps(spec, template_values(spec)))
    assert "1/32 in (1 mm)" in checks
    assert not re.search(r"\b0\.0\d+ in", checks)


def drawings(spec):
    """Return every drawing of the pack by name, dimension lines taken apart."""
    parts = {pattern.name: pattern.shapes for pattern in all_patterns(spec)}
    parts |= {"cover": fitting_scale(side_view(spec), 178.0, 62.0)[1], "stand": stand_views(spec, 178.0, 105.0)[1]}
    parts |= {"release": release_section(spec)}
    return {name: list(simple(shapes)) for name, shapes in parts.items()}


BALANCED = '[measured]\nbalance_point = "7 in ± 0.1 in"\n'
INCHES = r"(?:(\d+(?:\.\d+)?)|(?:(\d+) )?(\d+)/(\d+)) in(?: \((\d+(?:\.\d+)?) mm\))?"


def test_every_length_on_a_drawing_is_in_inches_with_mm_in_brackets():
    spec = specify(design_of(OWN.replace("[measured]", BALANCED)))
    found = {}
    for name, shapes in drawings(spec).items():
        for label in (shape.text for shape in shapes if isinstance(shape, Label)):
            assert not re.search(r"\d", re.sub(rf"{INCHES}|fin \d|^\d$|[\d.]+°", "", label)), (name, label)
            for whole, before, part, of, metric in re.findall(INCHES, label):
                inches = float(whole) if whole else float(before or 0) + float(part) / float(of)
                found.setdefault(name, []).append(label)
                near = 0.8 if "/" in label else 0.51  # half a 16th of an inch; half a millimetre
                assert not metric or inches * 25.4 == pytest.approx(float(metric), abs=near), (name, label)
    assert set(found) >= {"fin", "wrap-strip", "nose-cone", "nose-gauge", "canopy", "canopy-wedge", "plate-template",
                          "cover", "stand", "release"}  # fmt: skip
    assert "balance point 7 in (178 mm)" in found["cover"]
    assert "3.15 in (80.0 mm)" in found["fin"], "the length on the line is that of the line"
    assert any(label.endswith(" mm)") for label in found["stand"])


def test_the_length_written_on_a_line_is_the_length_of_the_line():
    spec = specify(design_of(OWN))
    for pattern in all_patterns(spec):
        for shape in pattern.shapes:
            if isinstance(shape, Dimension):
                metric = float(re.search(r"([\d.]+) mm\)", shape.text)[1])
                assert metric == pytest.approx(math.dist(shape.start, shape.end), abs=0.051), (pattern.name, shape)


def test_inches_change_the_words_on_a_drawing_and_no_line_of_it():
    metric, inches = (drawings(specify(design_of(text))) for text in (DABCHICK, OWN))
    for name in set(metric) - {"stand", "release", "plate-template"}:  # whose boards and drills come in inches
        lines, other = ([s for s in shapes[name] if not isinstance(s, Label)] for shapes in (metric, inches))
        assert len(lines) == len(other), name
        for one, two in zip(lines, other, strict=True):
            points = [p for shape in (one, two) for p in ([shape.centre] if isinstance(shape, Arc) else shape.points)]
            half = len(points) // 2
            assert points[:half] == [pytest.approx(point, abs=0.01) for point in points[half:]], name


def test_mm_stay_away_from_a_line_that_has_no_room_for_them():
    long, short = (list(simple([Dimension((0.0, 0.0), (x, 0.0), 4.0, "1.1 in (28 mm)")])) for x in (60.0, 15.0))
    assert [label.text for label in long if isinstance(label, Label)] == ["1.1 in (28 mm)"]
    assert [label.text for label in short if isinstance(label, Label)] == ["1.1 in"]


def test_a_builder_in_mm_reads_bare_numbers_as_the_caption_says():
    drawn = drawings(specify(design_of(DABCHICK))).values()
    labels = [shape.text for shapes in drawn for shape in shapes if isinstance(shape, Label)]
    assert "80.0" in labels
    assert not [text for text in labels if re.search(r"\b(?:in|mm)\b(?! the)", text)]


def test_the_words_of_the_bars_lie_beside_the_parts_and_not_on_them():
    for inches in (True, False):
        bars = _check_bars(PAPERS["letter"], inches)
        words = [item for item in bars if item["k"] == "text" and item["a"]]
        assert all(item["x"] + 0.5 * item["h"] < PAPERS["letter"].left for item in words)
        assert min(x for item in bars if item["k"] == "path" for x, _ in item["p"]) >= 6.35, "printers reach no nearer"


def test_a_builder_in_inches_gets_letter_paper_and_a_bar_of_four_inches():
    made = build(design_of(OWN), Given(paper=usual_paper(unit_habit(design_of(OWN)).inches)), NOW)
    assert "pack-letter.pdf" in made.files
    pages = pymupdf.open(stream=made.files["patterns-letter.pdf"])
    assert "4 in below, 100 mm above: measure both bars before you cut" in pages[0].get_text()
    bar = [line for drawing in pages[0].get_drawings() for kind, *line in drawing["items"] if kind == "l"]
    assert any(abs(b.x - a.x - 4 * 72) < 0.05 and abs(b.y - a.y) < 0.01 for a, b in bar)
    assert usual_paper(unit_habit(design_of(DABCHICK)).inches) == "a4"


def test_tiles_are_counted_on_the_paper_of_the_builder():
    long = design_of(OWN, 'fins.root="14 in"', 'fins.position="0 in"')
    notes = [one.found for one in build(long, Given(), NOW).findings if one.code == "tiled-pattern"]
    assert notes
    assert notes[0].startswith("larger than a sheet of Letter: ")


def test_the_headline_says_what_the_scale_says():
    design = design_of(OWN)
    html = make_chapter(build(design, Given(), NOW), habit=specify(design).habit).section.html
    assert "5 oz (142 g) fly, on the scale" in re.sub(r"<[^>]*>", "", html)
