"""The first lines of the report say what the rocket is, in the units of its builder."""

import re

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.study import Study, page_of
from bottlewright.verdict import judge_alone

DESIGN = """
schema = 1
name = "Wheatear"
[vessel]
bottle = "carbonated-1500"
diameter = "{diameter}"
[nozzle]
bore = "{bore}"
[charge]
water = "400 mL ± 10 mL"
pressure = "{pressure}"
"""


def lead(**values: str) -> str:
    design = complete(parse_design(DESIGN.format(**values)))
    return re.search(r'<p class="lead">(.*?)</p>', page_of(Study(design, [], judge_alone(design)), "rocket.toml"))[1]


@pytest.mark.parametrize("bore", ["9 mm ± 0.1 mm", "9 mm"])
def test_the_lead_names_bottle_and_bore_and_leaves_the_load_to_the_first_page(bore):
    assert lead(diameter="90 mm", bore=bore, pressure="4.5 bar").endswith("bottle on a 9 mm nozzle.")


def test_inches_come_first_with_millimetres_beside_them():
    assert "on a 0.35 in (8.89 mm) nozzle" in lead(diameter="3.5 in", bore="0.35 in", pressure="65 psi")
