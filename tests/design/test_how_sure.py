"""Whoever says how they know a value says its ± with it, in the value's own unit."""

import pytest

from bottlewright.design.how_sure import sure_by, ways_of
from bottlewright.quantities import Dimension, parse_quantity


def ways(text, dimension):
    return {words: spread for words, spread, _ in ways_of(parse_quantity(text, dimension), text)}


def test_a_ruler_is_good_to_a_millimetre_in_any_unit():
    assert ways("140 mm", Dimension.LENGTH)["with a ruler"] == "1 mm"
    assert ways("5 1/2 in", Dimension.LENGTH)["with a ruler"] == "0.039 in"


def test_how_far_people_stand_is_paced_out_or_taped_and_never_cut_or_placed_by_eye():
    far = ways("15 m", Dimension.LENGTH)
    assert far["paced out"] == "1.5 m"
    assert far["with a long tape"] == "0.15 m"
    assert not {"cut or placed by eye", "with a ruler", "with callipers"} & set(far)


@pytest.mark.parametrize("text", ["0.3 mm", "140 mm", "1.5 m", "4 m", "30 ft", "100 m"])
def test_nobody_is_offered_a_hand_tool_for_a_field_or_a_pace_for_a_bottle(text):
    offered, size = set(ways(text, Dimension.LENGTH)), parse_quantity(text, Dimension.LENGTH).value
    assert offered - {"off a label or plan"}
    assert ("paced out" in offered) == (size >= 3.0)
    assert ("with a ruler" in offered) <= (size <= 1.0)


def test_bathroom_scales_say_nothing_of_an_altimeter():
    assert "on bathroom scales" not in ways("9 g", Dimension.MASS)
    assert ways("2 kg", Dimension.MASS)["on bathroom scales"] == "0.2 kg"


def test_a_gauge_in_psi_is_off_in_psi():
    assert ways("80 psi", Dimension.PRESSURE)["on a pump's gauge"] == "3.9 psi"


def test_a_difference_of_temperatures_has_no_zero_point():
    assert ways("60 °F", Dimension.TEMPERATURE)["with a thermometer"] == "1.8 °F"


def test_calm_air_can_still_be_guessed():
    assert "by leaves and grass" in ways("0 m/s", Dimension.SPEED)


def test_a_share_of_the_bottle_is_no_length_that_a_tool_measures():
    assert ways_of(parse_quantity("33 %", Dimension.NUMBER), "33 %") == []


@pytest.mark.parametrize(("text", "sure"), [("140 mm ± 1 mm", "with a ruler"), ("140 mm ± 2 mm", "")])
def test_the_way_is_known_again_by_its_spread(text, sure):
    assert sure_by(parse_quantity(text, Dimension.LENGTH), text.partition(" ±")[0]) == sure
