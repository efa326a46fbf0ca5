"""One rocket, one number: writing a default down changes nothing of the flight, to the last bit."""

from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from bottlewright.design import DesignError, complete, parse_design, read_design
from bottlewright.design.fields import Of
from bottlewright.design.written_out import written_out
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.fly import fire
from bottlewright.flight.parameters import parameters_of
from bottlewright.quantities import UNITS, Basis, Quantity
from strategies import designs, share, sparse_designs

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
    """The whole record of a flight, number of steps included, as bytes."""
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


@settings(max_examples=share(60))
@given(st.one_of(designs(), sparse_designs()))
def test_any_written_out_design_flies_and_scatters_the_same_to_the_last_bit(text):
    assert_one_number(completed(text))


def completed(text):
    try:
        return complete(parse_design(text))
    except DesignError:
        reject()


def test_a_written_out_firing_fires_the_same_to_the_last_bit():
    design = complete(read_design(EXAMPLES["stand"]))
    one, two = (fire(each) for each in (design, complete(parse_design(written_out(design)))))
    assert [(key, value.tobytes()) for key, value in one.series.items()] == [
        (key, value.tobytes()) for key, value in two.series.items()
    ]


# --- a default by its name alone -----------------------------------------------------------------------------------

EVIDENCE = {"vessel.wall"}
"""Keys that say more by being written than the same number left out: a wall that somebody measured is known to
stretch with the pressure, an assumed one is taken as stiff."""


def filled_in(written, completed, path=""):
    """Every value that completion put where the file has nothing: path, value, and the section as written."""
    for name, field in type(completed).model_fields.items():
        here, now = (getattr(node, name) if node is not None else None for node in (written, completed))
        if isinstance(now, BaseModel):
            yield from filled_in(here, now, f"{path}{name}.")
        elif here is None and now is not None:
            yield f"{path}{name}", now, field


def override(path, value, field):
    """Name a value as a builder would who measured it: without ± and without a mark, at full precision."""
    if not isinstance(value, Quantity):
        return f'{path}="{value}"' if isinstance(value, str) else f"{path}={value}"
    marks = [*field.metadata, *(mark for part in get_args(field.annotation) for mark in get_args(part))]
    dimension = next(mark.dimension for mark in marks if isinstance(mark, Of))
    return f'{path}="{value.value!r} {next(iter(UNITS[dimension]))}"'


def changed_by_naming(text):
    """Return which defaults change the flight when they are named alone, and how many were tried."""
    written, design = parse_design(text), complete(parse_design(text))
    plan, changed, tried = parameters_of(design).tobytes(), set(), 0
    new_nose = ["nose.shape=bottle"] if written.nose is None else []
    for path, value, field in filled_in(written, design):
        tried += 1
        besides = new_nose if path.startswith("nose.") else []
        again = complete(parse_design(text, [override(path, value, field), *besides]))
        if parameters_of(again).tobytes() != plan and flown(again) != flown(design):
            changed.add(path)
    return changed, tried


@pytest.mark.parametrize("name", TEXTS)
def test_naming_a_default_changes_nothing(name):
    changed, tried = changed_by_naming(TEXTS[name])
    assert changed == (EVIDENCE if name.startswith("by ") else set())
    assert tried >= 25


@settings(max_examples=share(40))
@given(sparse_designs())
def test_naming_a_default_of_any_design_changes_nothing(text):
    completed(text)
    assert changed_by_naming(text)[0] <= EVIDENCE


def test_a_wall_that_is_measured_stretches_and_one_marked_as_assumed_does_not():
    by_volume = complete(parse_design(BY_VOLUME))
    wall = by_volume.vessel.wall
    assert wall.basis is Basis.ASSUMED
    measured, marked = (
        complete(parse_design(BY_VOLUME, [f'vessel.wall="{wall.value!r} m{mark}"'])) for mark in ("", " (assumed)")
    )
    assert flown(marked) == flown(by_volume)
    assert flown(measured) != flown(by_volume)


def test_a_nose_table_says_that_there_is_a_nose():
    """Naming a size of the nose where the file has no [nose] puts one on: the table says more than its number."""
    bare = complete(parse_design(BARE))
    named = [f'nose.mass="{bare.nose.mass.value!r} kg"']
    assert complete(parse_design(BARE, named)).nose.shape == "ogive"
    assert flown(complete(parse_design(BARE, [*named, "nose.shape=bottle"]))) == flown(bare)


def test_an_estimated_mass_that_is_named_is_a_weighed_one():
    """Weighed parts can't weigh more than the whole; an estimate can, and may still say that it is one."""
    text = f'{BARE}[nose]\n[measured]\ndry_mass = "60 g ± 0 g"\n'
    design = complete(parse_design(text))
    empty = design.vessel.empty_mass.value
    nose = max(design.nose.mass.value, 0.061 - empty)
    with pytest.raises(DesignError, match=r"measured\.dry_mass"):
        parse_design(text, [f'vessel.empty_mass="{empty!r} kg ± 0 g"', f'nose.mass="{nose!r} kg ± 0 g"'])
    marked = [f'vessel.empty_mass="{empty!r} kg (table)"', f'nose.mass="{nose!r} kg (assumed)"']
    assert complete(parse_design(text, marked)).nose.mass.basis is Basis.ASSUMED
