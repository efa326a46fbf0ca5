"""Launcher values from outside: seal forces, hands, hoses, valves, cords, stakes."""

import math

import pytest

from bottlewright.design.launcher_parts import Hose
from bottlewright.proof import release
from bottlewright.proof.defaults import human_pull, taken
from bottlewright.proof.parts import hose_heat
from bottlewright.proof.stand_stability import Loads, footing, stake_sideways
from bottlewright.quantities import Dimension, parse_quantity

FIVE_BAR = 5e5


@pytest.mark.parametrize(("seal", "force"), [(9e-3, 31.8), (13e-3, 66.4), (21.74e-3, 185.6)])
def test_separation_force_at_five_bar(seal: float, force: float) -> None:
    """p times area, worked by hand; 21.74 mm is the bore of the PCO 1810 and 1881 necks (drawings)."""
    assert release.separation_force(FIVE_BAR, seal) == pytest.approx(force, abs=0.05)


def test_what_hands_can_pull() -> None:
    """FAA Human Factors Design Standard (read in a copy): grip 200 N, fingertip 48 N; a child's has no source."""
    assert human_pull("adult").value == 200.0
    assert human_pull("fingertip").value == 48.0
    assert human_pull("child").value == pytest.approx(0.5 * human_pull("adult").value)


def _hose(temperature: str) -> Hose:
    return Hose(temperature=parse_quantity(temperature, Dimension.TEMPERATURE))


def test_a_water_hose_at_55_degrees_keeps_half_its_rating() -> None:
    """ISO 8029 (read in a copy): the rating at 55 °C is 0.50 to 0.51 of that at 23 °C."""
    assert hose_heat(_hose("23 °C"), 290.0).part == 1.0
    assert 0.50 <= hose_heat(_hose("55 °C"), 290.0).part <= 0.51
    assert hose_heat(_hose("56 °C"), 290.0).beyond_table
    assert not hose_heat(_hose("55 °C"), 290.0).beyond_table


def test_a_snap_in_tyre_valve_is_rated_65_psi() -> None:
    """TR 413, 414, 418 snap-in valves: 65 psi (Tire and Rim Association, read)."""
    assert taken(None, "valve.rating.snap-in").value == pytest.approx(65 * 6894.757293168)


def test_a_cord_once_round_a_post_multiplies_the_pull() -> None:
    """Euler and Eytelwein: one turn at a friction of 0.3 holds 6.59 times (Capstan equation, e^(μφ), read)."""
    assert release.capstan(0.3, 2 * math.pi) == pytest.approx(6.59, abs=0.005)


def test_a_collar_pulled_off_axis_sticks_where_the_friction_cone_says() -> None:
    """A guide of length l pulled at e: two edge forces N = F e/l rub with μ N each; it sticks at 2 μ e = l."""
    friction, length = 0.2, 0.02
    for offset in (0.0, 0.01, 0.04):
        pull = release.tilt_drag(friction, offset, length)
        edge = pull * offset / length
        assert pull - 2 * friction * edge == pytest.approx(1.0)
    assert release.tilt_drag(friction, 0.05, length) == math.inf


def test_a_short_stake_overturns_where_its_force_and_moment_balance() -> None:
    """Broms's short pile in clay (Fundamentals of Foundation Engineering, §6.24.1), solved here by bisection."""
    length, d, c = 0.25, 6e-3, 40e3
    low, high = 0.0, 9 * c * d * length
    for _ in range(200):
        h = 0.5 * (low + high)
        f = h / (9 * c * d)
        g = length - 1.5 * d - f
        if h * (1.5 * d + 0.5 * f) < 2.25 * d * g * g * c and g > 0:
            low = h
        else:
            high = h
    assert stake_sideways(length, d, c) == pytest.approx(low, rel=1e-9)


def test_a_stand_on_the_point_of_tipping_has_a_factor_of_one() -> None:
    """Moment balance about the edge: 4 kg, 0.4 m wide, pulled at 0.1 m by m g·0.2/0.1 = 78.5 N."""
    loads = Loads(4 * 9.80665 * 0.2 / 0.1, 0.1, 0.0, 0.5, 0.0, 0.1)
    assert footing(loads, 4.0, 0.4, 0.4, 0, 0.0, 0.0).tip_factor == pytest.approx(1.0)
