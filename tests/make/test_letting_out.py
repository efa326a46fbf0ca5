"""What lets the canopy out, on the printed pages: every measurement and step of the seat and of the door is there."""

import datetime as dt
import math

import pymupdf
import pytest
from workshop_designs import design_of

from bottlewright.flight.hold_window import HoldWindow, window_words
from bottlewright.make.build import Given, workshop_of
from bottlewright.make.letting_out import flown
from bottlewright.make.letting_out.flown import flown_words
from bottlewright.make.letting_out.sizes import letting_out_of, streamer_folds
from bottlewright.make.pack.content import Sheets, pack_data
from bottlewright.make.pack.typeset import typeset
from bottlewright.make.patterns.nesting import PAPERS
from bottlewright.make.plan.steps import build_steps
from bottlewright.make.sheets.matrix import usual_matrix
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values
from bottlewright.physics.release_switches import flap_pressure

ROCKET = """
schema = 1
name = "Plover"
[vessel]
bottle = "carbonated-1500"
[nose]
length = "240 mm"
mass = "15 g"
[fins]
material = "balsa"
[recovery]
kind = "parachute"
diameter = "500 mm"
material = "polyethylene-film"
[charge]
pressure = "3 bar"
[recovery.mechanism]
"""
SEAT = ROCKET + 'way = "loose nose"\nhold = "0.06 N"\nshoulder = "30 mm"\ncavity = "vented"\nvent_bore = "3 mm"\n'
DOOR = ROCKET + 'way = "side door"\ntrip = "wind-up timer"\ntime = "2.9 s ± 0.15 s"\n'
FLAP = ROCKET + 'way = "air flap"\nairspeed = "8 m/s"\n'
SPRUNG = ROCKET + 'way = "sprung nose"\ntrip = "barometer"\npush = "2.4 N"\npush_end = "1.2 N"\npush_stroke = "40 mm"\n'
HALVES = ROCKET + 'way = "two halves"\ntrip = "gyro"\n'
PARTS = HALVES.replace('kind = "parachute"\ndiameter = "500 mm"\nmaterial = "polyethylene-film"', 'kind = "two parts"')
NOW = dt.datetime(2027, 3, 1, 12)


def found(text):
    return letting_out_of(design_of(text))


def printed(text, **words):
    """Return the text of steps, patterns, folding and card, in one string with single spaces, and page by page."""
    made = workshop_of(design_of(text), Given(), NOW)
    values = template_values(made.spec, words)
    sheets = Sheets(made.spec, {}, (), "", PAPERS["a4"])
    steps = build_steps(made.spec, values)
    data = pack_data(sheets, values, steps, made.listed, made.plan, made.patterns, usual_matrix())
    wanted = ["building", "packing", "ground", *(f"pattern-{k + 1}" for k in range(len(data["sheets"])))]
    pages = [" ".join(page.get_text().split()) for page in pymupdf.open(stream=typeset({**data, "only": wanted}))]
    return " ".join(pages), pages


# --- every measurement and every step is printed ---------------------------------------------------------------------

BOTH = {
    "the pack's length and thickness": "83 mm long, 29 mm thick",
    "the lines, equal within 5 mm": "500 mm, equal within 5 mm",
    "the jig for the lines": "Jig for the lines",
    "cord of three lengths of the rocket": "1.7 m long or more (3 lengths of the rocket; common practice, no source)",
    "talc": "talc between the folds",
    "the folds, first to last": "6 Lines.",
    "out again": "8 Out again.",
    "never packed overnight": "Never leave it packed overnight",
    "goggles": "Goggles on",
    "step: fold and pack": "Fold and pack, to learn it",
    "step: ground tests": "Try the release on the ground",
    "test: drop from a window": "Drop from a window",
    "test: hang at twice the opening load": "Hang at twice the opening load",
    "where it is filed": "File it on the page Make",
}
OF_THE_SEAT = {
    "no face over the nose": "No face over the nose",
    "shoulder of 0.35 d where nothing is said": "0.35 of the width, unless you give it: common practice, no source",
    "shoulder": "so that 30 mm stand out behind",
    "seat and skirt": "91.8 mm on a seat of 91 mm",
    "play": "0.8 mm of play; 0.5 mm to 1 mm is common practice, no source",
    "play, felt with paper": "takes 5 sheets of that paper and not 10",
    "or a half angle of 20°": "needs a half angle of 20° or more",
    "two vents of 3 mm": "Make 2 vents of 3 mm through skirt and nose",
    "where the vents lie": "10 mm ahead of the nose's rear edge",
    "the rear edge stays clear": "its rear edge stays 3 mm clear",
    "pull tab": "Pull tab · make 1",
    "skirt at true size": "Skirt of the seat · make 1",
    "hold": "0.06 N, 6.1 g on a scale",
    "where a pull jams: half the shoulder over the friction": "more than 50 mm off the axis jams",
    "step: seat": "Make the seat",
    "step: vents and tab": "Make the vents and the pull tab",
    "test: pull, straight and oblique": "ten times straight along the axis, ten times oblique",
}
OF_THE_DOOR = {
    "no face before the door": "No face and no hand in front of the door",
    "arming pin in first, out last": "goes in first and comes out last",
    "rubber never left stretched": "Rubber is never left stretched",
    "opening: the pack and 20 mm": "103.3 mm the pack and 20 mm",
    "opening round, under 90°": "not over 90°",
    "opening round": "51.7 mm, 65°",
    "lap": "6 mm all round",
    "hinge aft or at the side": "aft, or at a side; never in front",
    "why not in front": "the air blows a hinge in front shut",
    "band slot": "band slot",
    "notches for the band": "The band lies in the two notches",
    "pin hole": "the pin's hole",
    "bay at true size": "Bay with its opening · make 1",
    "door at true size": "Door · make 1",
    "bay on the bottle": "Tape its rear 30 mm onto the straight part",
    "step: bay": "Make the bay",
    "step: door": "Hinge the door, and fit band and arming pin",
    "step: timer": "Fit what lets it go: wind-up timer",
    "timer setting": "Set it to 2.9 s ± 0.15 s",
    "test: door ten of ten": "Door, 10 of 10",
    "test: timer ten runs": "Timer, 10 runs with the band on",
}  # fmt: skip


@pytest.fixture(scope="module")
def seat():
    return printed(SEAT)


@pytest.fixture(scope="module")
def door():
    return printed(DOOR)


@pytest.mark.parametrize("what", [*BOTH, *OF_THE_SEAT])
def test_what_the_seat_of_a_nose_needs_is_on_the_printed_pages(seat, what):
    assert {**BOTH, **OF_THE_SEAT}[what] in seat[0]


@pytest.mark.parametrize("what", [*BOTH, *OF_THE_DOOR])
def test_what_a_door_needs_is_on_the_printed_pages(door, what):
    assert {**BOTH, **OF_THE_DOOR}[what] in door[0]


def test_the_tests_on_the_ground_stand_in_their_order_on_one_page(door, seat):
    for (_, pages), order in (
        (door, ("Door, 10 of 10", "Timer, 10 runs", "Drop from a window", "Hang at twice")),
        (seat, ("Pull test", "Drop from a window", "Hang at twice")),
    ):
        card = [page for page in pages if page.startswith("Ground-test card")]
        assert len(card) == 1
        places = [card[0].index(title) for title in order]
        assert places == sorted(places)
        assert "Goggles on" in card[0]


@pytest.mark.parametrize(("text", "wanted"), [
    (FLAP, ("Fit the flap", "once and a quarter round a smooth skewer", "Pull test of the flap", "Flap on its lever")),
    (SPRUNG, ("Fit rubber or spring, latch and arming pin", "lifts clear, 10 of 10", "servo with barometer board")),
    (PARTS, ("Make the seat", "Apart, 10 of 10", "Hang at twice the load", "Skirt of the seat")),
    (HALVES, ("band, latch, arming pin and the cord between the halves", "Apart, 10 of 10", "servo with gyro board")),
], ids=["air flap", "sprung nose", "two parts on a cord", "two halves"])  # fmt: skip
def test_the_other_ways_have_their_steps_patterns_and_tests(text, wanted):
    said, _ = printed(text)
    assert [words for words in wanted if words not in said] == []


# --- the numbers -----------------------------------------------------------------------------------------------------


def test_a_pack_is_the_folded_strip_and_as_thick_as_its_mass_makes_it():
    design = design_of(DOOR)
    pack = letting_out_of(design).pack
    assert pack.length * pack.folds == pytest.approx(250.0)
    assert math.pi / 4 * pack.across**2 * pack.length == pytest.approx(1e9 * design.recovery.mass.value / 200.0)
    assert streamer_folds(1000.0) == 20


def test_a_shoulder_is_a_third_of_the_width_unless_it_is_given():
    assert found(SEAT).seat.shoulder == 30.0
    assert found(SPRUNG).seat.shoulder == pytest.approx(0.35 * 91.0)


def test_a_skirt_leaves_between_half_a_millimetre_and_one_of_play():
    seat = found(SEAT).seat
    assert 0.5 <= seat.inner - seat.diameter <= 1.0
    assert seat.around / math.pi == pytest.approx(seat.inner + 0.5)  # the middle of the sheet keeps its length


def test_an_opening_passes_the_pack_and_takes_no_more_than_a_quarter_of_the_tube():
    bay = found(DOOR).bay
    pack = found(DOOR).pack
    assert bay.opening == pack.length + 20.0
    assert 92.0 * math.sin(0.5 * bay.arc) == pytest.approx(pack.across + 20.0)
    thick = found(DOOR.replace('"500 mm"', '"1200 mm"')).bay
    assert thick.arc == math.radians(90.0) < thick.asked_arc


def test_bay_and_shaped_nose_together_are_as_long_as_the_nose_of_the_design():
    parts = found(DOOR)
    assert parts.nose + parts.bay.ahead == pytest.approx(240.0)
    assert parts.nose_asked == 0.0
    assert found(SEAT).nose == 240.0
    assert max(x for x, _ in specify(design_of(DOOR)).nose_profile) == pytest.approx(parts.nose)


def test_a_nose_too_short_for_its_bay_and_a_pack_too_thick_for_its_door_are_told():
    short = DOOR.replace('length = "240 mm"', 'length = "150 mm"').replace('"500 mm"', '"1200 mm"')
    codes = {one.code for one in workshop_of(design_of(short), Given(), NOW).findings}
    assert {"no-room-for-bay", "pack-wider-than-door"} <= codes


def test_a_flap_of_its_area_opens_at_the_airspeed_of_the_design():
    flap = found(FLAP).flap
    q = flap_pressure(flap.band, flap.band_arm, flap.normal.value, flap.area, flap.arm)  # N/mm²
    air = 2e6 * q / flap.airspeed**2
    assert flap.airspeed == 8.0
    assert 1.1 < air < 1.3  # kg/m³
    assert flap.at_plate == pytest.approx(0.1 * 10.0 / 40.0)


# --- what the flights want -------------------------------------------------------------------------------------------


class Flown:
    def __init__(self):
        self.summary = {"opening_load_N": 10.0}


def test_the_printed_window_of_the_hold_is_the_one_of_its_owner(monkeypatch):
    window = HoldWindow(0.05, 0.12, 0.08, 0.95, (0.04, 0.15), None, None, 120)
    monkeypatch.setattr(flown, "hold_window", lambda _: window)
    design = design_of(SEAT)
    words = flown_words(design, Flown(), specify(design).habit)
    assert words["hold_window"] == window_words(window, specify(design).habit)
    said, pages = printed(SEAT, **words)
    assert said.count(words["hold_window"]) == 2  # where it is folded, and on the card
    assert "0.05 N" in next(page for page in pages if page.startswith("Ground-test card"))


def test_where_no_hold_will_do_the_card_says_that_none_passes(monkeypatch):
    window = HoldWindow(None, None, 0.024, 0.67, (0.02, 0.03), None, None, 120)
    monkeypatch.setattr(flown, "hold_window", lambda _: window)
    words = flown_words(design_of(SEAT), Flown(), specify(design_of(SEAT)).habit)
    assert words["hold_window"].startswith("No hold lets nine of ten flights open in time.")
    assert words["hold_window"].endswith("So no hold passes: choose another way to let it out.")


def test_what_is_hung_weighs_twice_the_opening_load(monkeypatch):
    monkeypatch.setattr(flown, "hold_window", lambda _: None)
    words = flown_words(design_of(SEAT), Flown(), specify(design_of(SEAT)).habit)
    assert words["opening_load"] == "10 N"
    assert words["hang"] == "2040 g"  # 20 N over 9.80665 m/s², up to the next 10 g


def test_a_design_that_describes_no_way_has_no_card_and_is_folded_all_the_same():
    said, pages = printed(ROCKET.replace("[recovery.mechanism]\n", ""))
    assert not any(page.startswith("Ground-test card") for page in pages)
    assert any(page.startswith("Fold and pack") for page in pages)
    assert "that alone does not show that it comes out at the top of a flight" in said
