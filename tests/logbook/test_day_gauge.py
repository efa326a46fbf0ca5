"""What the gauge reads, and what follows from it."""

import pytest
from days import BAR, Field, gates, why


def test_pumper_and_watch_each_read_the_gauge():
    field = Field().to("pressurising")
    field.say("reading", "pump", rocket="Curlew", pressure="4.5 bar")
    assert gates(field.step("Curlew", "hold")) == {"readings missing"}
    assert "only pumper and field watch" in why(field.say("reading", "record", rocket="Curlew", pressure="4.5 bar"))


@pytest.mark.parametrize(("watch", "differ"), [("4.5 bar", False), ("4.3 bar", False), ("4.29 bar", True),
                                               ("4.71 bar", True), ("65.3 psi", False)])
def test_two_readings_further_apart_than_the_gauges_error_hold_the_launch(watch, differ):
    field = Field().to("pressurising")
    field.read("Curlew", "4.5 bar", watch)
    refusal = field.step("Curlew", "hold")
    assert (refusal is not None) == differ
    if differ:
        assert gates(refusal) == {"readings differ"}


@pytest.mark.parametrize("nought", ["0", "0.0", "0,0", "0 bar", "0 psi"])
def test_a_gauge_that_shows_nothing_is_read_as_nought_without_a_unit(nought):
    field = Field().to("venting")
    assert field.say("reading", "pump", rocket="Curlew", pressure=nought) is None
    assert field.day.rockets["Curlew"].readings == {"pump": 0.0}
    assert field.step("Curlew", "zero") is None


def test_a_number_alone_on_the_gauge_or_of_the_wind_is_asked_back_with_what_to_type():
    field = Field().to("pressurising")
    refusal = field.say("reading", "pump", rocket="Curlew", pressure="2.5")
    assert why(refusal) == "what was typed needs its unit: type 2.5 bar, or 2.5 psi"
    assert field.day.rockets["Curlew"].readings == {}
    assert why(field.wind("3")) == "what was typed needs its unit: type 3 m/s, or 3 km/h"
    refusal = field.say("wind", mean="3 m/s", gust="4 m/s", height="2")
    assert why(refusal) == "what was typed needs its unit: type 2 m, or 2 ft"


def test_more_than_is_allowed_on_the_gauge_is_vented():
    field = Field().to("pressurising")
    field.say("reading", "watch", rocket="Curlew", pressure="4.81 bar")
    assert field.state() == "stop"
    assert field.day.cycles[0].peak_Pa == pytest.approx(4.81 * BAR)
    assert field.step("Curlew", "vent") is None  # at once: it is no misfire


@pytest.mark.parametrize("state", ["holding", "ready"])
@pytest.mark.parametrize("role", ["pump", "watch"])
@pytest.mark.parametrize(("shown", "fell"), [("0 bar", True), ("4.29 bar", True), ("4.3 bar", False)])
def test_a_reading_below_what_was_pumped_by_more_than_the_gauges_error_stops_the_day(state, role, shown, fell):
    field = Field().to(state)
    assert field.say("reading", role, rocket="Curlew", pressure=shown) is None
    assert field.state() == ("stop" if fell else state)
    assert ("4.50 bar were pumped: it leaks, or the gauge can't be read" in field.day.stop) == fell


def test_a_gauge_on_which_both_read_nothing_before_the_release_bars_it_and_every_other_rocket():
    field = Field().to("ready")
    field.say("take", "pull", rocket="Curlew")
    field.read("Curlew", "0 bar")
    field.confirm("charge", "field", "sky", "lines")
    assert "Curlew is stop" in why(field.step("Curlew", "launch", "pull"))
    assert gates(field.step("Wren", "inspect")) == {"stop"}
    assert field.day.rockets["Curlew"].pumped == {"pump": pytest.approx(4.5 * BAR), "watch": pytest.approx(4.5 * BAR)}
    assert field.day.cycles[0].peak_Pa == pytest.approx(4.5 * BAR)
    assert field.step("Curlew", "vent") is None
    assert gates(field.step("Curlew", "zero")) == {"pressure left"}  # what was read before venting is no zero


def test_each_reader_is_held_to_what_they_read_themselves():
    field = Field().to("pressurising")
    field.read("Curlew", "4.5 bar", "4.3 bar")
    assert field.step("Curlew", "hold") is None
    field.read("Curlew", "4.4 bar", "4.2 bar")
    assert field.state() == "holding"
    field.say("reading", "watch", rocket="Curlew", pressure="4.09 bar")
    assert field.state() == "stop"


def test_a_gauge_that_falls_while_warm_air_cools_is_read_again_and_the_last_agreement_counts():
    field = Field().to("pressurising")
    field.read("Curlew", "4.5 bar", "4.5 bar")
    field.say("reading", "pump", rocket="Curlew", pressure="4.2 bar")
    assert field.state() == "pressurising"
    assert gates(field.step("Curlew", "hold")) == {"readings differ"}
    field.say("reading", "watch", rocket="Curlew", pressure="4.2 bar")
    assert field.step("Curlew", "hold") is None
    field.say("reading", "pump", rocket="Curlew", pressure="3.9 bar")
    assert field.state() == "stop"
    assert "4.20 bar were pumped" in field.day.stop


def test_no_pressure_on_the_gauge_after_pumping_is_no_agreement():
    field = Field().to("pressurising")
    field.read("Curlew", "0 bar")
    assert "both read no pressure" in why(field.step("Curlew", "hold"))
