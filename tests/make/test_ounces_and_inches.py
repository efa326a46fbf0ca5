"""A builder who writes ounces and inches reads them first on cards, parts list, tables and captions too."""

import datetime as dt
import re

import pymupdf
from workshop_designs import DABCHICK, design_of

from bottlewright.make.build import Given, build
from bottlewright.make.parts import mass_unit, measured_words, parts_list, rocket_parts, totals
from bottlewright.make.patterns.canopy import line_table
from bottlewright.make.patterns.collection import all_patterns
from bottlewright.make.sheets.cards import vessel_card
from bottlewright.make.specification import specify

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
