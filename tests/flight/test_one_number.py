"""One rocket, one number: writing a default down changes nothing of the flight, to the last bit."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings

from bottlewright.design import complete, parse_design, read_design, stood_on
from bottlewright.design.written_out import written_out
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.fly import fire
from bottlewright.flight.parameters import parameters_of
from bottlewright.quantities import Basis
from strategies import designs

EXAMPLES = {path.parent.name: path for path in sorted((Path(__file__).parents[2] / "examples").glob("*/*.toml"))}
BARE = '[vessel]\nbottle = "carbonated-2000"\n[charge]\npressure = "5 bar"\n'
BY_VOLUME = """
[vessel]
volume = "1 L"
[nose]
[fins]
[sleeve]
length = "100 mm"
[recovery]
kind = "parachute"
diameter = "500 mm"
[launcher.hose]
length = "10 m"
bore = "8 mm"
[charge]
pressure = "4 bar"
air = "pumped"
[stand]
"""
BY_PROFILE = """
[vessel]
profile = [["0 mm", "10.5 mm"], ["30 mm", "10.5 mm"], ["100 mm", "44 mm"], ["270 mm", "44 mm"], ["300 mm", "20 mm"]]
[nose]
shape = "hemisphere"
wall = "1 mm"
[fins]
outline = [["0 mm", "0 mm"], ["80 mm", "90 mm"], ["120 mm", "90 mm"], ["110 mm", "0 mm"]]
[recovery]
kind = "streamer"
length = "2 m"
width = "80 mm"
[launcher]
tube_diameter = "18 mm"
tube_length = "200 mm"
[launcher.valve]
[charge]
pressure = "4 bar"
"""
TEXTS = {
    **{name: path.read_text(encoding="utf-8") for name, path in EXAMPLES.items()},
    "bare": BARE, "by volume": BY_VOLUME, "by profile": BY_PROFILE,
}  # fmt: skip


def flown(design):
    """Everything that a flight and a few sampled ones tell, as bytes."""
    return fly_batch(parameters_of(design), threads=1).tobytes()


def assert_one_number(design):
    again = complete(parse_design(written_out(design)))
    assert parameters_of(again).tobytes() == parameters_of(design).tobytes()
    assert flown(again) == flown(design)
    drawn = [sample_batch(each, 5, 20, seed=7) for each in (design, again)]
    assert drawn[0].tobytes() == drawn[1].tobytes()
    return drawn[0]


@pytest.mark.parametrize("name", TEXTS)
def test_a_written_out_design_flies_and_scatters_the_same_to_the_last_bit(name):
    design = complete(parse_design(TEXTS[name]))
    drawn = assert_one_number(design)
    assert np.std(drawn["pressure_gauge"]) > 0.0 or design.charge.pressure.spread == 0.0
    assert np.std(drawn["drag_factor"]) > 0.0, "an assumed value keeps its ±"


@settings(max_examples=40)
@given(designs())
def test_any_written_out_design_flies_and_scatters_the_same_to_the_last_bit(text):
    assert_one_number(complete(parse_design(text)))


def test_a_written_out_firing_fires_the_same_to_the_last_bit():
    design = complete(read_design(EXAMPLES["stand"]))
    one, two = (fire(each) for each in (design, complete(parse_design(written_out(design)))))
    assert [(key, value.tobytes()) for key, value in one.series.items()] == [
        (key, value.tobytes()) for key, value in two.series.items()
    ]


