"""What the ± of the file leaves open is taken at the end that is worse for the bottle, and limits are held to it."""

import pytest
from test_allowed import TEST, TESTED, UNTESTED, number, wren

from bottlewright.design.document import Design
from bottlewright.findings import Level
from bottlewright.flight.findings import flight_findings
from bottlewright.proof.allowed import allowed_pressure
from bottlewright.proof.prove import prove
from bottlewright.proof.rating import rated_pressure
from bottlewright.proof.vessel import wall_by_mass

BAR = 1e5


def levels(design: Design, code: str) -> list[Level]:
    return [one.level for one in prove(design).findings if one.code == code]


# --- a test's pressure -----------------------------------------------------------------------------------------------


def test_a_test_earns_what_is_left_of_its_pressure_by_twice_its_spread() -> None:
    exact, doubtful = (wren(TEST.format(f"7.5 bar ± {out} bar", "2027-04-09")) for out in (0, 0.3))
    assert rated_pressure(exact).proof_limit_Pa == pytest.approx(5.0 * BAR, rel=2e-3)
    assert rated_pressure(doubtful).proof_limit_Pa == pytest.approx((7.5 - 0.6) / 1.5 * BAR, rel=2e-3)
    assert number(doubtful) < number(exact)
    assert rated_pressure(doubtful).burst_limit_Pa < rated_pressure(exact).burst_limit_Pa


def test_a_test_whose_pressure_may_have_been_nothing_earns_nothing() -> None:
    assert allowed_pressure(wren(TEST.format("3 bar ± 2 bar", "2027-04-09"))).gauge_Pa is None


def test_a_wide_spread_never_makes_an_impossible_test_believed() -> None:
    assert levels(wren(TEST.format("16.5 bar ± 4 bar", "2027-04-09")), "unlikely-pass") == [Level.LOOK]


# --- an age ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tests", [TESTED, UNTESTED, TEST.format("7.5 bar", "2025-05-01"),
                                   'vessel.proof=[{pressure="7.5 bar", hold="60 s", cycles=2}]'])
def test_an_age_with_a_wider_spread_is_never_allowed_more(tests: str) -> None:
    exact, doubtful = (wren(tests, f'vessel.age="1000 days ± {out} days"') for out in (0, 300))
    assert allowed_pressure(doubtful).most_Pa <= allowed_pressure(exact).most_Pa * (1.0 + 1e-9)
    assert rated_pressure(doubtful).burst_limit_Pa < rated_pressure(exact).burst_limit_Pa


def test_before_its_test_a_bottle_is_as_old_as_its_spread_leaves_open() -> None:
    spread = wren(UNTESTED, 'vessel.age="400 days ± 100 days"')
    old = wren(UNTESTED, 'vessel.age="600 days ± 0 days"')
    assert rated_pressure(spread).burst_limit_Pa == pytest.approx(rated_pressure(old).burst_limit_Pa)
    assert levels(wren('vessel.age="300 days ± 40 days"'), "old-bottle") == [Level.LOOK]
    assert levels(wren('vessel.age="300 days"'), "old-bottle") == []


def test_a_test_has_lost_most_on_the_youngest_bottle() -> None:
    then = TEST.format("7.5 bar", "2025-04-10")
    spread, young = (wren(then, f'vessel.age="{age}"') for age in ("1500 days ± 200 days", "1100 days ± 0 days"))
    assert rated_pressure(spread).proof_limit_Pa == pytest.approx(rated_pressure(young).proof_limit_Pa or 0.0)


def test_the_test_that_is_asked_for_does_allow_what_was_promised_at_an_age_with_a_spread() -> None:
    aged = 'vessel.age="400 days ± 100 days"'
    after = allowed_pressure(wren(UNTESTED, aged)).after_test
    assert after is not None
    made = wren(TEST.format(f"{after.test_gauge_Pa / BAR:.6f} bar", "2027-03-12"), aged)
    assert number(made) >= after.allowed_gauge_Pa * (1 - 1e-6)


# --- a measured wall -------------------------------------------------------------------------------------------------

ROUND, WEIGHED = 'vessel.diameter="91 mm ± 0.1 mm"', 'vessel.empty_mass="{} g ± 0.5 g"'


def burst_limit(*sets: str) -> float:
    return rated_pressure(wren(UNTESTED, *sets)).burst_limit_Pa


def test_a_thick_wall_lifts_by_no_more_than_what_is_sure_of_it() -> None:
    usual, heavy = burst_limit(), WEIGHED.format(50)
    sharp, blunt, vague = (burst_limit(f'vessel.wall="0.36 mm ± {out} mm"', ROUND, heavy) for out in (0.005, 0.02, 0.1))
    assert sharp == pytest.approx(usual * (0.35 / 91.2) / (0.3269 / 100), rel=0.03)
    assert usual < blunt < sharp
    assert vague == pytest.approx(usual, rel=0.01)


def test_a_thin_wall_counts_at_its_weak_end() -> None:
    assert burst_limit('vessel.wall="0.2 mm ± 0.03 mm"', ROUND) < burst_limit('vessel.wall="0.2 mm ± 0 mm"', ROUND)


def test_measuring_a_usual_wall_takes_nothing_off() -> None:
    assert burst_limit('vessel.wall="0.3 mm"', ROUND) == pytest.approx(burst_limit(), rel=0.01)


def test_a_thicker_wall_or_a_smaller_spread_never_lowers_it() -> None:
    at = [burst_limit(f'vessel.wall="{wall} mm"', ROUND, WEIGHED.format(50)) for wall in (0.15, 0.28, 0.3, 0.35, 0.45)]
    assert at == sorted(at)
    by = [burst_limit(f'vessel.wall="0.35 mm ± {out} mm"', ROUND) for out in (0.1, 0.05, 0.02, 0.01, 0)]
    assert by == sorted(by)


def test_no_wall_lifts_a_bottle_past_what_its_mass_allows() -> None:
    """40 g of PET less 4 g for the neck, over 0.08 m² of 1370 kg/m³, are 0.33 mm."""
    design = wren(UNTESTED, 'vessel.wall="0.6 mm ± 0.01 mm"', ROUND, WEIGHED.format(40))
    assert wall_by_mass(design.vessel, 0.0) == pytest.approx(0.036 / 1370 / 0.0795, rel=0.02)
    lifted = burst_limit('vessel.wall="0.6 mm ± 0.01 mm"', ROUND, WEIGHED.format(40))
    assert lifted < 1.1 * burst_limit()
    assert levels(design, "wall-against-mass") == [Level.LOOK]
    assert burst_limit('vessel.wall="0.6 mm ± 0.01 mm"', ROUND) == pytest.approx(burst_limit(), rel=0.01)
    assert levels(wren('vessel.wall="0.35 mm"', ROUND, WEIGHED.format(42)), "wall-against-mass") == []


# --- limits of warmth, frost and tilt --------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["charge.temperature", "weather.temperature"])
def test_what_may_be_too_warm_or_freeze_by_its_spread_is_a_look_and_beyond_the_limit_a_stop(key: str) -> None:
    assert levels(wren(f'{key}="33 °C ± 4 K"'), "warm-launch") == [Level.LOOK]
    assert levels(wren(f'{key}="41 °C ± 0 K"'), "too-warm") == [Level.STOP]
    assert levels(wren(f'{key}="5 °C ± 3 K"'), "near-freezing") == [Level.LOOK]
    assert levels(wren(f'{key}="0 °C ± 3 K"'), "freezing") == [Level.STOP]
    for plain in ("20 °C ± 2 K", "33 °C ± 1 K", "5 °C ± 1 K"):
        codes = {one.code for one in prove(wren(f'{key}="{plain}"')).findings}
        assert not codes & {"warm-launch", "too-warm", "near-freezing", "freezing"}


@pytest.mark.parametrize(("tilt", "limit", "level"), [
    ("28 deg ± 2 deg", "within 30°", Level.LOOK), ("31 deg ± 0 deg", "within 30°", Level.STOP),
    ("19 deg ± 2 deg", "", None), ("27 deg ± 1 deg", "within 20°", Level.LOOK),
    ("15 deg ± 2 deg", "", None),
])  # fmt: skip
def test_a_launcher_is_taken_to_lean_as_far_as_its_spread_leaves_open(
    tilt: str, limit: str, level: Level | None
) -> None:
    assert tilts_of(f'launcher.tilt="{tilt}"') == ([(level, limit)] if level else [])


def test_a_spread_never_hides_the_stop_of_a_rule_that_the_file_names() -> None:
    named = tilts_of('launcher.tilt="28 deg ± 2 deg"', 'site.rules=["section 1036"]')
    assert named == [(Level.STOP, "within 20°")]


def tilts_of(*sets: str) -> list[tuple[Level, str]]:
    found = flight_findings(wren(*sets), {"guide_exit_time_s": float("nan"), "apogee_m": 0.0,
                            "flight_time_s": 0.0}, "never left", complete=True, wind=0.0)  # fmt: skip
    return [(one.level, one.limit[:10]) for one in found if one.code.startswith("tilt")]
