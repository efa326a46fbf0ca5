"""A cure in words: a plan for the file with its arguments, no order to pump, and called tried only when it was."""

import re

import pytest
from ill import curlew

from bottlewright.cures import Cure, cured, find_cures, level_of
from bottlewright.cures.knobs import KNOBS, knob
from bottlewright.cures.words import cure_words
from bottlewright.design import complete, parse_design
from bottlewright.design.rewriting import rewritten
from bottlewright.findings import Finding, Level, Stage
from bottlewright.proof.allowed import allowed_pressure
from bottlewright.quantities import Dimension, parse_quantity
from bottlewright.verdict import judge_alone
from habits import curlew_text


def said(changes):
    design = curlew()
    return cure_words(design, rewritten(design, changes), changes, "", {}, 1.2)


def test_a_pressure_is_planned_in_the_file_and_not_pumped():
    assert said((("charge.pressure", "3.2 bar"),)) == "plan 3.2 bar in the file instead of 4.5 bar"


def test_fins_are_said_by_span_and_root():
    assert said((("fins.span", "140 mm"), ("fins.root", "120 mm"))).startswith("fins with span 140 mm, root 120 mm")


@pytest.mark.parametrize("name", sorted(KNOBS))
def test_whatever_is_turned_for_a_builder_in_inches_no_mm_are_asked_for(name):
    design = complete(parse_design(curlew_text(inch_pound=True)))
    found = knob(name, design)
    texts = [text for changes in (found.settings if found else ()) for _, text in changes]
    assert [text for text in texts if re.search(r"\d m?m$|\d k?g$|\d bar$", text)] == []


def remedy_of(code, changes):
    verdict = judge_alone(curlew(), more=[Finding(Level.STOP, Stage.PROVE, code, "h", "f", "l", "s", "do it")])
    return next(one.remedy for one in cured(verdict, [Cure(code, "do this", changes)]).findings if one.code == code)


def test_the_remedy_prints_the_arguments_to_try_it_with():
    assert "--set 'charge.pressure=3.2 bar'" in remedy_of("over-rated-pressure", (("charge.pressure", "3.2 bar"),))


def test_a_distance_is_not_called_tried_while_landings_are_not_worked_out():
    remedy = remedy_of("too-near-operator", (("launcher.crew.operator", "7 m"),))
    assert "landings are not worked out" in remedy
    assert "tried" not in remedy


def test_tune_does_not_count_the_stop_of_prove_a_second_time():
    again = Finding(Level.STOP, Stage.TUNE, "present-pressure-over-limit", "h", "f", "l", "s", "r")
    stops = [one.code for one in judge_alone(curlew("charge.pressure=12 bar"), more=[again]).at(Level.STOP)]
    assert "over-rated-pressure" in stops
    assert again.code not in stops


def test_fins_that_are_too_small_are_made_larger_before_the_tip_is_filled_with_ballast():
    design = curlew("fins.span=60 mm")
    cure = next(one for one in find_cures(design, level_of(design)) if one.code in ("unstable", "margin-small"))
    assert "fins.span" in dict(cure.changes)
    assert cure.mass_kg < 0.5 * 0.17


def test_a_cure_that_asks_for_more_pressure_says_so_and_stays_within_what_is_allowed_now():
    assert "which is more pressure, within what is allowed now" in said((("charge.pressure", "4.6 bar"),))
    allowed = allowed_pressure(curlew()).gauge_Pa
    turned = knob("more pressure", curlew())
    assert allowed is not None
    assert turned is not None
    asked = [parse_quantity(text, Dimension.PRESSURE).value for one in turned.settings for _, text in one]
    assert 4.5e5 < max(asked) <= allowed
    untested = curlew("vessel.proof=[]")
    found = knob("more pressure", untested)
    assert found is None or not found.settings  # nothing is allowed yet
