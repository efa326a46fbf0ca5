"""Cure times against the data sheets that the table names."""

import itertools

import pytest

from bottlewright.make.plan.glues import cure, glues, structural_wait

HOUR = 3600.0


@pytest.mark.parametrize(("celsius", "hold"), [(20, 12), (25, 7), (40, 2)])
def test_epoxy_holds_as_its_data_sheet_says(celsius, hold):
    # One maker's data sheet: handling 12 h at 20 °C, 7 h at 25 °C, 2 h at 40 °C.
    assert cure(glues()["epoxy"], celsius + 273.15).hold == pytest.approx(hold * HOUR)


def test_epoxy_is_never_counted_on_before_the_three_days_of_the_handbook():
    # Petrie, Handbook of Adhesives and Sealants: hardware-store epoxy reaches full strength after 3 to 7 days.
    assert all(cure(glues()["epoxy"], t + 273.15).full >= 72 * HOUR for t in (20, 25, 40))


@pytest.mark.parametrize(("celsius", "hours"), [(10, 60), (15, 15), (23, 8)])
def test_polyurethane_reaches_10_mpa_as_its_data_sheet_says(celsius, hours):
    assert cure(glues()["polyurethane"], celsius + 273.15).full == pytest.approx(hours * HOUR)


def test_foam_tape_is_not_counted_on_before_the_three_days_of_its_maker():
    # Applying Acrylic Foam Tapes, a tape maker's page: adhesion builds over 72 hours.
    assert cure(glues()["double-sided-tape"], 294.15).full == 72 * HOUR


def test_nothing_is_extrapolated_to_cold():
    for glue in glues().values():
        coldest = min(row[0] for row in glue.at)
        answer = cure(glue, coldest - 0.5)
        assert answer.full is None
        assert answer.hold is None
        assert "warm" in answer.why


def test_a_joint_under_pressure_waits_two_days():
    # Common practice, no source.
    assert structural_wait() == 48 * HOUR


def test_warmer_is_never_slower_and_above_the_sheet_nothing_is_gained():
    for glue in glues().values():
        if glue.name == "hot-melt":  # it sets by cooling
            continue
        low, high = min(r[0] for r in glue.at), max(r[0] for r in glue.at)
        times = [cure(glue, low + (high - low) * k / 20).full for k in range(21)]
        assert all(b <= a + 1e-6 for a, b in itertools.pairwise(times))
        assert cure(glue, high + 30).full == times[-1]
