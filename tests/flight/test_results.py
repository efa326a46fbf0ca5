"""What a flight hands on: documents, tables, words, the chapters of the report."""

import csv
import io
import math
import re
from pathlib import Path

import pytest

from bottlewright.design import complete, parse_design, read_design
from bottlewright.findings import Level
from bottlewright.flight.chapters import fly_chapter, sketch_chapter
from bottlewright.flight.fly import fire, fly
from bottlewright.flight.layout import layout_of
from bottlewright.flight.results import events, firing_document, flight_document, ledger, series_csv
from bottlewright.flight.summary_text import firing_words, flight_words
from bottlewright.report.html import State
from drawn import Drawn

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def curlew():
    return complete(read_design(EXAMPLES / "curlew" / "rocket.toml"))


@pytest.fixture(scope="module")
def flown(curlew):
    return fly(curlew, series=True)


@pytest.fixture(scope="module")
def stand():
    return complete(read_design(EXAMPLES / "stand" / "firing.toml"))


@pytest.fixture(scope="module")
def fired(stand):
    return fire(stand)


def test_the_mass_ledger_adds_up(flown):
    masses = ledger(flown)
    assert masses["dry_kg"] + masses["water_kg"] + masses["gas_kg"] == pytest.approx(masses["lift_off_kg"], rel=1e-9)
    left = masses["lift_off_kg"] + masses["gas_fed_kg"] - masses["water_out_kg"] - masses["gas_out_kg"]
    assert left == pytest.approx(masses["landing_kg"], rel=1e-9)


def test_the_moments_of_a_flight_come_in_their_order(flown):
    names = [name for _, name in events(flown.summary)]
    assert names[:2] == ["off the seal", "off the guide"]
    assert names[-3:] == ["apogee", "canopy out", "landing"]


def test_the_document_of_a_flight_carries_the_keys_that_others_rely_on(curlew, flown):
    document = flight_document(curlew, flown)
    wanted = {
        "apogee_m", "apogee_time_s", "water_out_time_s", "water_out_speed_m_s", "gas_out_time_s", "air_out_speed_m_s",
        "max_speed_m_s", "max_acceleration_m_s2", "guide_exit_speed_m_s", "static_margin_min_calibres",
        "static_margin_min_time_s", "flight_time_s", "landing_east_m", "landing_north_m", "landing_speed_m_s",
        "landing_energy_J", "mass_ledger", "series", "findings", "stood_on",
    }  # fmt: skip
    assert wanted <= document.keys()
    assert document["apogee_m"] == pytest.approx(max(document["series"]["height_m"]), rel=1e-6)
    assert document["stood_on"]["charge.pressure"]["basis"] == "measured or chosen by you"
    assert "vessel.proof.0.hold" not in document["stood_on"]


def test_the_document_of_a_firing_carries_the_keys_that_others_rely_on(stand, fired):
    document = firing_document(stand, fired)
    wanted = {
        "impulse_water_N_s", "impulse_tail_N_s", "impulse_total_N_s", "water_time_s", "tail_time_s", "thrust_peak_N",
        "water_out_pressure_Pa",
    }  # fmt: skip
    assert wanted <= document.keys()
    assert {"time_s", "thrust_N", "pressure_Pa", "water_kg", "gas_temperature_K"} <= document["series"].keys()
    whole = document["impulse_water_N_s"] + document["impulse_tail_N_s"]
    assert whole == pytest.approx(document["impulse_total_N_s"], rel=1e-9)


def test_the_table_holds_every_moment_and_leaves_out_what_is_no_number(flown):
    rows = list(csv.DictReader(io.StringIO(series_csv(flown.series))))
    assert len(rows) == len(flown.series["time_s"])
    assert float(rows[-1]["time_s"]) == pytest.approx(flown.summary["flight_time_s"], rel=1e-6)
    assert rows[-1]["static_margin_calibres"] == ""


def test_the_words_say_the_apogee_with_its_unit(curlew, flown):
    said = re.search(r"apogee \(highest point\) +([\d.]+) m +([\d.]+) s after release", flight_words(curlew, flown))
    assert float(said[1]) == pytest.approx(flown.summary["apogee_m"], rel=5e-3)
    assert float(said[2]) == pytest.approx(flown.summary["apogee_time_s"], abs=5e-3)
    assert "nan" not in flight_words(curlew, flown)


def test_the_words_of_the_trade_have_their_everyday_name_beside_them(curlew, flown):
    said = flight_words(curlew, flown)
    everyday = "apogee (highest point)", "static margin (steadiness)", "calibres (body widths)", "guide (rod or rail)"
    assert [words for words in everyday if words not in said] == []
    section = fly_chapter(curlew, flown).section
    assert "apogee (highest point)" in section.html
    assert "least static margin (steadiness), middle flight" in section.html


IMPERIAL = """
schema = 1
name = "Wheatear"
[vessel]
bottle = "carbonated-1500"
diameter = "3.5 in"
[nose]
length = "9 in"
mass = "2 oz"
[fins]
count = 3
material = "balsa"
thickness = "0.08 in"
position = "14 in"
root = "5.5 in"
tip = "3.5 in"
span = "5.5 in"
sweep = "5 in"
[recovery]
kind = "parachute"
diameter = "20 in"
mass = "0.5 oz"
[launcher]
guide_length = "5 ft"
[charge]
water = "400 mL"
pressure = "65 psi"
[weather]
wind_speed = "5 mph"
"""


@pytest.fixture(scope="module")
def imperial():
    return complete(parse_design(IMPERIAL))


@pytest.fixture(scope="module")
def imperial_flight(imperial):
    return fly(imperial, series=True)


@pytest.mark.parametrize(("name", "unit", "metric", "key", "factor"), [
    ("apogee (highest point)", "ft", "m", "apogee_m", 0.3048),
    ("greatest speed", "mph", "m/s", "max_speed_m_s", 0.44704),
    ("off the guide (rod or rail)", "mph", "m/s", "guide_exit_speed_m_s", 0.44704),
    ("parachute out", "ft", "m", "canopy_out_height_m", 0.3048),
    ("landing", "mph", "m/s", "landing_speed_m_s", 0.44704),
])  # fmt: skip
def test_the_words_give_the_builder_s_own_units_first(imperial, imperial_flight, name, unit, metric, key, factor):
    pattern = rf"  {re.escape(name)}  +([\d.]+) {unit} \(([\d.]+) {metric}\)"
    said = re.search(pattern, flight_words(imperial, imperial_flight))
    value = imperial_flight.summary[key]
    assert float(said[1]) == pytest.approx(value / factor, rel=0.03)
    assert float(said[2]) == pytest.approx(value, rel=0.03)


def test_the_report_gives_the_builder_s_own_units_first(imperial, imperial_flight):
    layout = layout_of(imperial)
    sketch, flown = sketch_chapter(imperial, layout, imperial_flight), fly_chapter(imperial, imperial_flight)
    length = layout.total_length
    assert sketch.section.title.startswith(f"{length / 0.0254:.1f} in ({length * 1e3:.0f} mm) long")
    way = r"\d+ ft \([\d.]+ m\)"
    assert re.fullmatch(rf"Climbs to {way} and lands {way} away after \d+ s", flown.section.title)
    assert re.search(r"apogee \(highest point\)<br>[\d.]+ m, .*</dt><dd>[\d.]+.ft</dd>", flown.section.html)
    assert "height, ft</th>" in flown.section.html
    assert flown.section.html.index("speed, mph</th>") < flown.section.html.index("speed, m/s</th>")
    scales = {picture.name: [word.text for word in Drawn(picture.figure).words if word.turned]
              for picture in flown.section.pictures}  # fmt: skip
    assert scales["height"] == ["m", "m/s"]
    assert scales["firing"] == ["N", "bar", "g"]


def test_a_firing_in_psi_is_reported_in_psi_first(stand):
    design = complete(read_design(EXAMPLES / "stand" / "firing.toml", ['charge.pressure="60 psi"']))
    firing = fire(design)
    gauge = (firing.summary["water_out_pressure_Pa"] - firing.vehicle["ambient"]) / 6894.757
    said = re.search(r"([\d.]+) psi \(([\d.]+) bar\) on the gauge", firing_words(design, firing))
    assert float(said[1]) == pytest.approx(gauge, rel=5e-3)
    assert "psi" not in firing_words(stand, fire(stand))


def test_the_words_of_a_firing_say_its_impulse(stand, fired):
    assert f"{fired.summary['impulse_total_N_s']:.2f} N s" in firing_words(stand, fired)


def test_the_sketch_says_the_length_and_places_the_drawing(curlew, flown):
    layout = layout_of(curlew)
    chapter = sketch_chapter(curlew, layout, flown)
    assert chapter.section.title.startswith(f"{layout.total_length * 1e3:.0f} mm long")
    assert [picture.name for picture in chapter.section.pictures] == ["rocket"]
    assert chapter.results["balance_empty_m"] == pytest.approx(curlew.measured.balance_point.value)


def test_the_sketch_says_which_margin_counts_and_when(curlew, flown):
    layout = layout_of(curlew)
    chapter = sketch_chapter(curlew, layout, flown)
    least = f"{flown.summary['static_margin_min_calibres']:.2f}"
    assert layout.margin_full < 1.0 < flown.summary["static_margin_min_calibres"]
    assert chapter.section.state is State.NONE
    assert f"{layout.margin_full:.2f}" in chapter.section.html
    assert f"counts from the end of the guide, {flown.summary['guide_exit_time_s']:.2f} s" in chapter.section.html
    counts = (f"least margin of the middle flight, {least} calibres, has to reach 1 (common practice, no source). "
              "It does.")
    assert counts in chapter.section.html
    assert f"{least} calibres" in fly_chapter(curlew, flown).section.html.replace("\u00a0", " ")


@pytest.mark.parametrize(("changes", "state", "verdict"), [
    ({"fins.span": "110 mm"}, State.LOOK, "It does not: see the findings of Fly."),
    ({"fins.span": "40 mm"}, State.STOP, "It does not: see the findings of Fly."),
])  # fmt: skip
def test_a_sketch_is_no_finer_than_the_margin_of_its_flight(changes, state, verdict):
    words = [f'{key}="{value}"' for key, value in changes.items()]
    design = complete(read_design(EXAMPLES / "curlew" / "rocket.toml", words))
    flight = fly(design, series=True)
    section = sketch_chapter(design, layout_of(design), flight).section
    assert section.state is state
    assert verdict in section.html
    chapter = fly_chapter(design, flight)
    assert {finding.level.value for finding in chapter.findings} >= {state.value}
    assert chapter.section.title.startswith("Turns over") == (state is State.STOP)


def test_the_figure_of_the_margin_says_the_least_that_the_table_says(flown, curlew):
    margin = next(one for one in fly_chapter(curlew, flown).section.pictures if one.name == "margin")
    assert f"least: {flown.summary['static_margin_min_calibres']:.2f}" in Drawn(margin.figure).texts


def test_the_flight_has_its_figures_and_its_table(curlew, flown):
    chapter = fly_chapter(curlew, flown)
    assert [picture.name for picture in chapter.section.pictures] == ["height", "firing", "margin", "path", "hold"]
    assert "flight.csv" in chapter.files
    assert "nan" not in chapter.section.html
    assert "series" not in chapter.results


def test_a_rocket_that_stays_on_the_launcher_is_reported_without_figures():
    design = complete(parse_design("""
        schema = 1
        [vessel]
        bottle = "carbonated-1500"
        [charge]
        water = "1400 mL"
        pressure = "0.1 bar"
    """))  # fmt: skip
    flight = fly(design, series=True)
    assert math.isnan(flight.summary["guide_exit_time_s"])
    chapter = fly_chapter(design, flight)
    assert chapter.section.state is State.STOP
    assert chapter.section.title == "No flight: the rocket does not leave the launcher"
    assert chapter.section.pictures == ()
    assert [finding.level for finding in chapter.findings] == [Level.STOP]
    sketch = sketch_chapter(design, layout_of(design), flight)
    assert sketch.section.state is State.LOOK
    assert "nan" not in sketch.section.html
