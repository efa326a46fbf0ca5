"""What flies along: it weighs where it sits, its mount holds and lets go, its cell is watched, its picture is sharp."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.design import complete, parse_design
from bottlewright.findings import Level
from bottlewright.flight.fly import fly
from bottlewright.flight.layout import layout_of
from bottlewright.flight.outcomes import armed
from bottlewright.flight.payload import carried, ground_seen, smear_of
from bottlewright.flight.results import findings_of, rested_on
from bottlewright.flight.summary_text import flight_words

ROCKET = """
[vessel]
bottle = "carbonated-1500"
[nozzle]
bore = "9 mm"
[nose]
mass = "15 g"
length = "240 mm"
[fins]
span = "140 mm"
{cant}
[[mass]]
name = "clay"
material = "modelling-clay"
mass = "50 g"
position = "40 mm"
{camera}
[launcher]
guide_length = "1.5 m"
[charge]
pressure = "3 bar"
[recovery]
kind = "parachute"
diameter = "500 mm"
"""
CAMERA = '[[mass]]\nname = "camera"\nmass = "25 g"\nposition = "{at}"\n'
TOLD = 'tethered = true\nwaterproof = true\ncell = "alkaline"\n'


def design_of(payload="", at="160 mm", cant=""):
    camera = CAMERA.format(at=at) + (f"[mass.payload]\n{payload}" if payload else "")
    return complete(parse_design(ROCKET.format(camera=camera, cant=cant)))


def found(payload, at="160 mm"):
    design = design_of(payload, at)
    return {one.code: one for one in findings_of(design, fly(design))}


def only(design):
    one, = carried(design, fly(design))
    return one


def test_a_camera_weighs_where_it_sits_and_being_called_one_changes_no_number_of_the_flight():
    without = complete(parse_design(ROCKET.format(camera="", cant="")))
    plain, told = layout_of(design_of()), layout_of(design_of(TOLD))
    assert told.estimated_mass == pytest.approx(layout_of(without).estimated_mass + 0.025, abs=1e-12)
    assert told.balance_empty == plain.balance_empty < layout_of(without).balance_empty
    assert layout_of(design_of(TOLD, at="60 mm")).margin_empty > told.margin_empty
    assert fly(design_of(TOLD)).summary == pytest.approx(fly(design_of()).summary, rel=0.0, abs=0.0, nan_ok=True)
    assert not any("payload" in path for path, _ in rested_on(design_of(TOLD + 'breaks_away = "10 N"\n')))


def test_it_feels_push_and_gravity_and_the_opening_with_its_overshoot():
    design = design_of(TOLD)
    flight, one = fly(design), only(design_of(TOLD))
    assert one.push == pytest.approx(flight.summary["max_acceleration_m_s2"] + 9.81, abs=0.05)
    hangs = layout_of(design).dry_mass + 1.5e-3 * 1.2  # the air in the bottle hangs from the canopy too
    assert one.opening == pytest.approx(1.7 * flight.summary["opening_load_N"] / hangs, rel=3e-3)
    assert one.load == pytest.approx(0.025 * max(one.push, one.opening))
    assert one.wanted == 1.5 * one.load


def test_a_shelf_bears_the_push_so_that_only_the_opening_pulls():
    side, shelf = only(design_of(TOLD)), only(design_of(TOLD + 'held = "on a shelf"\n'))
    assert shelf.load == pytest.approx(0.025 * shelf.opening)
    assert shelf.load < side.load
    assert not only(design_of(TOLD + 'held = "inside"\n')).on_mount


@pytest.mark.parametrize(
    ("pull", "code", "level"),
    [("1 N ± 0 N", "payload-comes-off", Level.STOP), ("{less} N ± 0 N", "payload-comes-off", Level.LOOK),
     ("16 N ± 0 N", "payload-holds-fast", Level.LOOK)],
)  # fmt: skip
def test_a_mount_holds_half_as_much_again_as_the_flight_asks_and_lets_go_under_15_n(pull, code, level):
    one = only(design_of(TOLD))
    assert one.load < one.wanted < 15.0
    pull = pull.format(less=0.5 * (one.load + one.wanted))
    held = found(f'{TOLD}breaks_away = "{pull}"\n')[code]
    assert held.level is level
    assert "our judgement" in held.source
    assert held.remedy


def test_between_the_two_nothing_stands_against_the_mount_and_inside_needs_none():
    wanted = only(design_of(TOLD)).wanted
    for payload in (f'breaks_away = "{0.5 * (wanted + 15.0)} N ± 0 N"\n', 'held = "inside"\n'):
        assert not {code for code in found(TOLD + payload) if code.startswith("payload")}


def test_a_camera_too_heavy_for_any_mount_is_told_so_with_its_way_out():
    design = design_of(TOLD)
    heavy = parse_design(design.written.text.replace('mass = "25 g"', 'mass = "90 g"'))
    codes = {one.code: one for one in findings_of(complete(heavy), fly(complete(heavy)))}
    assert "carry it inside" in codes["payload-too-heavy"].remedy
    assert "payload-holds-fast" not in codes


def test_what_nobody_has_said_is_unchecked_and_what_is_wrong_is_a_look():
    unsaid = found('held = "on the side"\n')["payload-unsaid"]
    assert unsaid.level is Level.UNCHECKED
    for word in ("draws it off", "cord", "cell", "water"):
        assert word in unsaid.found
    wrong = found('tethered = false\nwaterproof = false\ncell = "lithium"\n')
    assert wrong["payload-untied"].level is wrong["lithium-wet"].level is Level.LOOK


def test_a_lithium_cell_comes_with_its_cautions_and_stays_out_of_the_tip():
    back, tip = found('cell = "lithium"\n'), found('cell = "lithium"\n', at="60 mm")
    assert "lithium-in-the-tip" not in back
    assert tip["lithium-in-the-tip"].level is Level.LOOK
    for word in ("stays with it while it charges", "0 to 40 °C", "swollen, hot, bent or wet", "outdoors", "never"):
        assert word in back["lithium-care"].remedy
    assert "lithium-care" not in found('cell = "none"\n')


def test_whoever_may_be_filmed_is_asked_and_an_altimeter_films_nobody():
    assert "Parents have agreed" in found(TOLD + 'view = "70 deg"\n')["films-people"].limit.capitalize()
    assert "films-people" not in found(TOLD)


def test_the_ground_that_it_sees_from_the_top_is_in_the_words_of_the_flight():
    design = design_of(TOLD + 'view = "70 deg"\n')
    flight = fly(design)
    one, = carried(design, flight)
    top = flight.summary["apogee_m"]
    assert ground_seen(one, top) == pytest.approx(2.0 * top * math.tan(math.radians(35.0)))
    assert "camera sees" in flight_words(design, flight)
    assert "camera feels" in flight_words(design, flight)
    assert ground_seen(only(design_of(TOLD + 'view = "70 deg"\nlooks = "out"\n')), top) is None


PICTURE = TOLD + 'view = "70 deg"\npixels = 1920\nexposure = "{} ms"\n'


@settings(max_examples=8, deadline=None)
@given(st.floats(0.05, 20.0))
def test_the_smear_grows_with_the_exposure(exposure):
    long, short = (smear_of(design, design.mass[1].payload) for design in (
        design_of(PICTURE.format(2.0 * exposure)), design_of(PICTURE.format(exposure))))
    assert long.most == pytest.approx(2.0 * short.most, rel=1e-6)
    assert 0.0 <= short.share <= long.share <= 1.0


def test_crooked_fins_blur_the_picture_and_straight_ones_in_still_air_do_not():
    crooked, straight = (design_of(PICTURE.format(2), cant=f'cant = "{cant}"') for cant in ("3 deg", "0 deg ± 0 deg"))
    assert smear_of(crooked, crooked.mass[1].payload).most > 3.0
    assert smear_of(straight, straight.mass[1].payload).share < 0.2
    assert "picture-smears" in {one.code for one in findings_of(crooked, fly(crooked))}
    assert smear_of(crooked, design_of(TOLD).mass[1].payload) is None


@pytest.mark.parametrize(
    ("mechanism", "is_armed"),
    [('way = "loose nose"', False), ('way = "air flap"', False),
     ('way = "side door"\ntrip = "wind-up timer"\ntime = "3 s"', True),
     ('way = "sprung nose"\npush = "3 N"\npush_stroke = "40 mm"', True)],
)  # fmt: skip
def test_what_has_a_spring_drawn_or_waits_to_trip_is_armed(mechanism, is_armed):
    text = design_of().written.text + f"[recovery.mechanism]\n{mechanism}\n"
    assert armed(complete(parse_design(text))) is is_armed
