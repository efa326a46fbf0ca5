"""One name for all that a design says."""

from pathlib import Path

import pytest

from bottlewright.design import complete, read_design
from bottlewright.design.digest import design_digest

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


def digest(*sets):
    return design_digest(complete(read_design(CURLEW, list(sets))))


def test_the_same_design_has_the_same_digest_every_time():
    assert digest() == digest()
    assert len(digest()) == 32


@pytest.mark.parametrize("change", [
    'charge.pressure="4.4 bar ± 0.15 bar"', 'charge.pressure="4.5 bar ± 0.16 bar"', 'weather.wind_from="241 deg"',
    "scatter.seed=2", "scatter.flights=500", 'launcher.crew.operator="12 m"', "fins.count=4", 'site.name="Elsewhere"',
    'vessel.storage="hot car"', "mass=[]", 'recovery.release="never"',
])  # fmt: skip
def test_any_change_of_rocket_launcher_people_site_or_air_changes_it(change):
    assert digest(change) != digest()


@pytest.mark.parametrize("change", ['notes="Another word."', 'workshop.start="2028-01-01"', 'prices.currency="shells"'])
def test_words_beside_the_rocket_do_not(change):
    assert digest(change) == digest()


def test_a_value_written_in_another_unit_is_the_same_value():
    assert digest('launcher.cord.length="15 m"') == digest('launcher.cord.length="15000 mm"')
