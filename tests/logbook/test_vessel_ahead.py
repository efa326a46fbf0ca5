"""What comes next for a bottle: looked over, tested again, retired, by its own file."""

from datetime import date

import pytest

from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessel_ahead import ahead_of
from bottlewright.proof.expiry import TEST_CYCLES
from bottlewright.proof.vessel import INSPECT_CYCLES, MOST_CYCLES

DAY = date(2027, 3, 10)


def bottle(pumped=0, earlier=0, tested="2027-03-01", **more):
    """A bottle that was tested with water, then pumped some times."""
    test = {"at": tested, "pressure": "7 bar", "hold": "60 s", "medium": "water", "passed": True}
    times = [{"entry": f"p{number}", "at": f"2027-03-02T10:{number:02d}:00", "ended": "launched"}
             for number in range(pumped)]  # fmt: skip
    return VesselFile.model_validate({"id": "B01", "earlier": earlier, "test": [test] if tested else [],
                                      "pressurised": times, **more})  # fmt: skip


def said(*given, **more):
    return " ".join(ahead_of(bottle(*given, **more), DAY))


def test_a_bottle_with_a_test_knows_how_many_times_are_left():
    words = said(3)
    assert f"Retire it after {MOST_CYCLES - 4} more times under pressure, at {MOST_CYCLES} in all." in words
    assert f"looks over the whole bottle after {INSPECT_CYCLES - 4} more times" in words
    assert f"Test it again after {TEST_CYCLES - 3} more times under pressure, or after 2027-03-31" in words


def test_at_ten_times_an_adult_looks_and_once_it_was_looked_over_nothing_is_asked():
    assert "looks over the whole bottle before it is pumped again" in said(INSPECT_CYCLES - 1)
    looked = [{"entry": "look", "at": "2027-03-03", "adult": "MR", "fit": True}]
    assert "looks over" not in said(INSPECT_CYCLES - 1, inspection=looked)


def test_a_spent_bottle_is_retired_and_nothing_else_is_asked():
    assert ahead_of(bottle(MOST_CYCLES), DAY) == (
        f"Retire it: it was under pressure {MOST_CYCLES + 1} times, and {MOST_CYCLES} are the most.",)  # fmt: skip


@pytest.mark.parametrize(("more", "why"), [
    ({"tested": "2027-01-01"}, "a test lasts"),
    ({"tested": ""}, "it has held no such test"),
    ({"pumped": TEST_CYCLES}, f"it was under pressure {TEST_CYCLES} times since"),
    ({"hard_landing": [{"entry": "h", "at": "2027-03-04"}]}, "it came down hard on 2027-03-04"),
    ({"heat": [{"entry": "w", "at": "2027-03-05", "how": "sun"}]}, "in the sun or warm on 2027-03-05"),
])  # fmt: skip
def test_a_test_that_ended_is_asked_for_again_with_the_reason(more, why):
    words = said(**more)
    assert "before it is pumped" in words
    assert why in words


def test_nobody_knows_is_said_and_a_retired_bottle_has_nothing_ahead():
    assert "counts as spent" in said(earlier=None)
    assert ahead_of(bottle(retired="cracked"), DAY) == ()


@pytest.mark.parametrize("spoiled", [
    {"heat": [{"entry": "w", "at": "2027-03-05", "how": "hot car"}]},
    {"work": [{"entry": "w", "at": "2027-03-05", "what": "sanded"}]},
])
def test_what_the_verdict_stops_at_for_good_retires_it(spoiled):
    (words,) = ahead_of(bottle(3, **spoiled), DAY)
    assert words.startswith("Retire it: it")


def test_growth_is_carried_on_only_where_it_can_be_told():
    tests = [{"at": f"2027-03-0{day}", "pressure": "7 bar", "hold": "60 s", "medium": "water", "passed": True,
              "diameter_after": f"{88 + 0.3 * day:.1f} mm ± 0.1 mm"} for day in range(1, 5)]  # fmt: skip
    grown = VesselFile.model_validate({"id": "B01", "earlier": 0, "test": tests})
    assert "it would be 3.3 mm ± 0.5 mm wider by then" in " ".join(ahead_of(grown, DAY))
    assert "wider by then" not in said(3)
