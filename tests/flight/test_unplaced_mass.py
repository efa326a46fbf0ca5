"""What the scale finds beyond the parts sits somewhere: at the tail it takes the margin that the program counts on."""

import re
from dataclasses import replace

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.findings import Finding, Level
from bottlewright.flight.fly import fly
from bottlewright.flight.results import findings_of

ROCKET = """
name = "Wagtail"
[vessel]
bottle = "carbonated-2000"
[nose]
shape = "ogive"
length = "6 in"
mass = "0.9 oz ± 0.1 oz"
[fins]
root = "4.5 in"
tip = "3 in"
span = "3.5 in"
mass = "0.6 oz ± 0.1 oz"
[[mass]]
name = "clay"
mass = "1.7 oz ± 0.1 oz"
position = "1 in"
[measured]
{measured}
[charge]
water = "600 mL"
pressure = "60 psi"
"""


def found(measured: str) -> list[Finding]:
    design = complete(parse_design(ROCKET.format(measured=measured)))
    return [finding for finding in findings_of(design, fly(design)) if finding.code == "unplaced-mass"]


def test_a_scale_that_agrees_with_the_parts_says_nothing():
    assert found("") == []
    assert found('dry_mass = "4.9 oz"') == []


def test_a_surplus_without_a_place_asks_for_the_string_and_says_the_margin_with_it_at_the_tail():
    look, = found('dry_mass = "8 oz"')
    assert look.level is Level.LOOK
    spread, tail = map(float, re.findall(r"(-?\d\.\d\d) (?:calibres|if all)", look.found))
    assert tail < 1.0
    assert tail < spread - 0.2
    assert "at the tail" in look.found
    assert 'measured.balance_point = "10.5 in ± 0.1 in"' in look.remedy


def test_the_margin_at_the_tail_is_that_of_a_weight_hung_there():
    look, = found('dry_mass = "8 oz"')
    design = complete(parse_design(ROCKET.format(measured="")))
    flight = fly(design)
    more = 8 * 0.028349523125 - float(flight.vehicle["estimated_mass"])
    hung = design.mass[0].model_copy(update={
        "mass": replace(design.mass[0].mass, value=more),
        "position": replace(design.mass[0].position, value=float(flight.vehicle["length"])),
    })
    flown = fly(design.model_copy(update={"mass": [*design.mass, hung]}))
    assert f"{flown.summary['static_margin_min_calibres']:.2f} if" in look.found


def test_a_balance_point_of_ones_own_settles_it():
    assert found('dry_mass = "8 oz"\nbalance_point = "9 in"') == []


def test_a_sum_that_weighs_more_than_the_rocket_is_looked_at_from_the_nose():
    light, = found('dry_mass = "3.6 oz"')
    spread, nose = map(float, re.findall(r"(-?\d\.\d\d) (?:calibres|if all)", light.found))
    assert "missing at the nose" in light.found
    assert nose < spread


@pytest.mark.parametrize("text", ["8 oz ± 2 oz"])
def test_a_scale_that_is_that_doubtful_explains_it(text):
    assert found(f'dry_mass = "{text}"') == []
