"""What was measured of the whole beats the parts, and a change made since says so."""

import math

import pytest

from bottlewright.design import complete, parse_design, with_values
from bottlewright.flight.fly import fly
from bottlewright.flight.layout import layout_of, part_centres, parts_alone, vehicle_of
from bottlewright.flight.measured_before import measured_before, parts_now
from bottlewright.flight.results import findings_of
from bottlewright.physics.mass import moment_by_swing

PLOVER = """
[vessel]
bottle = "carbonated-1500"
[nose]
length = "150 mm"
[fins]
root = "100 mm"
tip = "60 mm"
span = "120 mm"
sweep = "90 mm"
[[mass]]
name = "clay"
material = "modelling-clay"
mass = "60 g ± 1 g"
position = "40 mm"
[charge]
pressure = "3 bar"
water = "450 mL"
"""


def plover(measured=""):
    return complete(parse_design(f"{PLOVER}\n[measured]\n{measured}"))


def swung(mass, gravity, moment, strings, apart):
    """Return the period of a body on two strings, stepped along its exact course from a turn of a twentieth.

    Where it hangs turned by an angle, its strings lean and it has risen: energy ½ I ω² + m g rise, rise from the
    strings' length alone. No formula of a period is used.
    """

    def rise(angle):
        aside = apart * math.sin(angle / 2.0)
        return strings - math.sqrt(strings**2 - aside**2)

    angle, speed, time, step = 0.05, 0.0, 0.0, 1e-4
    while angle > 0.0:
        slope = (rise(angle + 1e-6) - rise(angle - 1e-6)) / 2e-6
        speed -= mass * gravity * slope / moment * step
        angle += speed * step
        time += step
    return 4.0 * time


def test_a_body_on_two_strings_swings_as_the_formula_says():
    period = swung(0.2, 9.81, 6e-3, 1.0, 0.3)
    assert moment_by_swing(0.2, 9.81, period, 1.0, 0.3) == pytest.approx(6e-3, rel=2e-3)


def test_a_swing_takes_the_place_of_the_parts_moment():
    mass, _, moment = parts_alone(plover())
    period = math.sqrt(moment * 16.0 * math.pi**2 * 1.0 / (mass * 9.81 * 0.09))
    text = f'swing = {{ period = "{1.1 * period:.4f} s", strings = "1 m", apart = "300 mm" }}'
    assert vehicle_of(plover(text))["dry_transverse"] == pytest.approx(1.21 * moment, rel=2e-3)
    assert parts_alone(plover(text))[2] == pytest.approx(moment)


def test_the_ledgers_centres_add_up_to_the_balance_point():
    layout = layout_of(plover())
    centres = part_centres(plover(), [part.path for part in layout.parts])
    summed = sum(part.mass.value * centres[part.path] for part in layout.parts)
    assert summed / sum(part.mass.value for part in layout.parts) == pytest.approx(layout.balance_empty, abs=1e-6)


def memory(design):
    now = parts_now(design)
    return "\n".join(f'{name} = "{1e3 * now[name]:.1f} {unit}"' for name, unit in
                     (("parts_mass", "g"), ("parts_balance", "mm"), ("parts_radius", "mm")))  # fmt: skip


def built():
    mass, centre, _ = parts_alone(plover())
    return plover(f'dry_mass = "{1e3 * mass + 3.0:.1f} g ± 1 g"\nbalance_point = "{1e3 * centre:.1f} mm ± 2 mm"\n'
                  + memory(plover()))  # fmt: skip


def test_a_rocket_as_it_was_measured_is_no_finding():
    assert list(measured_before(built())) == []


@pytest.mark.parametrize(("changes", "done", "not_done"), [
    ({"mass.0.mass": 0.062}, "weighed", ""),
    ({"mass.0.position": 0.080}, "balanced", "weighed"),
])  # fmt: skip
def test_a_change_past_the_plus_or_minus_says_which_measurement_it_makes_untrue(changes, done, not_done):
    changed = with_values(built(), changes)
    found = [one for one in findings_of(changed, fly(changed)) if one.code == "measured-before"]
    assert [str(one.level) for one in found] == ["look"]
    assert f"when the rocket was {done}" in found[0].found
    assert not not_done or not_done not in found[0].found


def test_a_change_that_no_scale_would_notice_says_nothing():
    assert list(measured_before(with_values(built(), {"mass.0.mass": 0.0605, "launcher.guide_length": 1.2}))) == []


def test_a_measurement_without_memory_is_taken_as_it_is():
    design = plover('dry_mass = "250 g"')
    assert list(measured_before(with_values(design, {"mass.0.mass": 0.08}))) == []
