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
