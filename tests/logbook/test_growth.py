"""The growth of a bottle over its tests, as a line with its ±."""

import numpy as np
import pytest

from bottlewright.logbook.growth import growth_of
from bottlewright.logbook.records import VesselFile


def bottle(*diameters, spread=0.1):
    """A bottle that was tested once a day, its diameter read after each test, mm."""
    tests = [{"at": f"2027-03-{day:02d}", "pressure": "7 bar", "hold": "60 s", "medium": "water", "passed": True,
              "diameter_after": f"{one} mm ± {spread} mm"} for day, one in enumerate(diameters, 1)]  # fmt: skip
    return VesselFile.model_validate({"id": "B01", "earlier": 0, "test": tests})


def test_a_bottle_that_grows_evenly_is_said_to_grow_by_that_much():
    found = growth_of(bottle(88.0, 88.3, 88.6, 88.9))
    assert found.each == pytest.approx(0.3e-3)
    assert found.says.startswith("its diameter grows: +3.00 mm")


def test_its_plus_minus_is_that_of_least_squares():
    # closed form of a straight line through n equally known points: u² = σ² / Σ (x − x̄)²
    assert growth_of(bottle(88.0, 88.1, 87.9, 88.2)).u_each == pytest.approx(0.1e-3 / np.sqrt(5.0))


def test_a_change_within_twice_its_plus_minus_is_not_claimed():
    assert "can't be told yet" in growth_of(bottle(88.0, 88.1)).says


def test_one_diameter_says_nothing():
    assert growth_of(bottle(88.0)) is None
