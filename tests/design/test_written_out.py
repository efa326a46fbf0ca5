import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design import DesignError, complete, parse_design, read_design, stood_on, value_at, with_values
from bottlewright.design.written_out import written_out
from bottlewright.quantities import Basis, Dimension, QuantityError, parse_quantity
from strategies import designs

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/*.toml"))
PROFILE = '[["0 mm", "10.5 mm"], ["30 mm", "10.5 mm"], ["100 mm", "44 mm"], ["270 mm", "44 mm"], ["300 mm", "20 mm"]]'
PROFILED = f"""
name = 'One "quoted" \\\\ name'
notes = "two\\nlines # and a number sign"
[vessel]
profile = {PROFILE}
surface = ["glued", "sanded"]
[[vessel.proof]]
pressure = "7 bar"
hold = "1 min"
date = 2026-05-09
[nozzle]
bore = "9 mm"
[fins]
outline = [["0 mm", "0 mm"], ["80 mm", "90 mm"], ["120 mm", "90 mm"], ["110 mm", "0 mm"]]
[sleeve]
length = "100 mm"
[charge]
pressure = "65 psi ± 2 psi"
[launcher.gauge]
[site]
boundary = [["-30.001 deg", "52 deg"], ["-30 deg", "52 deg"], ["-30 deg", "52.001 deg"]]
launch_point = ["-30.0003 deg", "52.0003 deg"]
latitude = "52 deg"
longitude = "-30 deg"
[site.rectangle]
length = "90 m"
width = "60 m"
[[site.keep_out]]
name = "road"
line = [["0 m", "73 m"], ["90 m", "73 m"]]
width = "7 m"
[tune]
vary = []
pressure = ["2 bar", "5 bar"]
[prices.each]
bottle = 1.2
"a part with blanks" = 14
[stock.have]
bottle = 1
[stand]
[model]
gas = 1.2
"""


def said(design):
    return [(path, q.value, q.spread, q.basis) for path, q in stood_on(design)]


def words(node):
    """Everything of a design that is no quantity."""
    if isinstance(node, dict):
        return {key: words(value) for key, value in node.items()}
    if isinstance(node, list | tuple):
        return [words(entry) for entry in node]
    if hasattr(type(node), "model_fields"):
        return {name: words(getattr(node, name)) for name in type(node).model_fields}
    return None if hasattr(node, "spread") else node


def assert_reads_back(design):
    text = written_out(design)
    again = complete(parse_design(text))
    assert said(again) == said(design)
    assert words(again) == words(design)
    return text


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_a_written_out_example_reads_back_to_the_last_bit(path):
    design = complete(read_design(path))
    text = assert_reads_back(design)
    given = [q.text for _, q in stood_on(design) if q.text]
    assert given
    assert [own for own in given if f'"{own}' not in text] == []


def test_every_kind_of_value_is_written_out():
    assert_reads_back(complete(parse_design(PROFILED)))


@given(designs())
def test_a_written_out_design_reads_back_to_the_last_bit(text):
    assert_reads_back(complete(parse_design(text)))


def test_written_out_twice_is_written_out_once():
    design = complete(parse_design(PROFILED))
    lines = [line.partition(" #")[0] for line in written_out(design).splitlines()]
    again = written_out(complete(parse_design(written_out(design))))
    assert [line.partition(" #")[0] for line in again.splitlines()] == lines


def test_each_filled_in_value_says_what_it_rests_on():
    design = complete(parse_design('[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "4 bar"\n'))
    lines = written_out(design).splitlines()
    filled = [q for _, q in stood_on(design) if q.basis is not Basis.MEASURED]
    marked = [line for line in lines if '(assumed)" # ' in line or '(table)" # ' in line]
    assert len(marked) == len(filled) > 50
    assert [q.source for q in filled if not any(line.endswith(f" # {q.source}") for line in marked)] == []


def test_a_value_written_with_another_spread_keeps_the_builders_number():
    design = complete(parse_design('[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "65 psi"\n'))
    pressure = replace(design.charge.pressure, spread=13789.5)
    design = design.model_copy(update={"charge": design.charge.model_copy(update={"pressure": pressure})})
    assert 'pressure = "65 psi ± ' in assert_reads_back(design)


@pytest.mark.parametrize(("key", "value", "written"), [
    ("recovery.diameter", "18 in", "18 in ± 0.36 in"), ("charge.pressure", "50 psi", "50 psi ± 1.5 psi"),
    ("charge.water", "400 mL", "400 mL ± 12 mL"), ("weather.temperature", "68 °F", "68 °F ± 3.6 °F"),
    ("recovery.diameter", "457 mm", "457 mm ± 9.14 mm"),
])  # fmt: skip
def test_the_usual_spread_stands_in_the_unit_of_its_value_and_is_short(key, value, written):
    keys = {"vessel.bottle": "carbonated-1500", "charge.pressure": "4 bar", "recovery.kind": "parachute",
            "recovery.diameter": "450 mm", key: value}  # fmt: skip
    design = complete(parse_design("".join(f'{path} = "{text}"\n' for path, text in keys.items())))
    assert f'{key.partition(".")[2]} = "{written}"' in assert_reads_back(design)


def test_a_value_with_two_different_spreads_is_written_afresh():
    design = complete(parse_design('[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "4 bar +- 0.1 bar"\n'))
    pressure = replace(design.charge.pressure, spread=20000.0)
    design = design.model_copy(update={"charge": design.charge.model_copy(update={"pressure": pressure})})
    assert 'pressure = "4 bar ± 0.2 bar"' in assert_reads_back(design)


def test_a_value_set_in_python_is_written_to_the_last_digit():
    design = complete(parse_design('[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "4 bar"\n'))
    design = with_values(design, {"charge.pressure": 412345.678901234, "weather.temperature": 288.1500000000001})
    text = assert_reads_back(design)
    assert 'pressure = "4.12345678901234 bar ± ' in text
    assert "288.1500000000001 K ± " in text or "15.0000000000001 °C ± " in text


def test_a_place_on_the_field_without_text_is_refused():
    design = with_values(complete(parse_design(PROFILED)), {"site.launch_point.0": 0.5})
    with pytest.raises(DesignError, match=r"site\.launch_point\.0"):
        written_out(design)


# --- the mark ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mark", "basis"),
    [("(assumed)", Basis.ASSUMED), (" (table)", Basis.TABLE), ("  ( From  a Table ) ", Basis.TABLE),
     ("(ASSUMED)", Basis.ASSUMED)],
)
def test_a_mark_says_what_a_value_rests_on(mark, basis):
    marked, plain = (parse_quantity(f"21.74 mm ± 0.1 mm{end}", Dimension.LENGTH) for end in (mark, ""))
    assert (marked.value, marked.spread, marked.basis) == (plain.value, plain.spread, basis)
    assert (marked.source, marked.text) == ("marked so in the design file", "")
    assert plain.basis is Basis.MEASURED


@pytest.mark.parametrize(
    "text", ["(assumed)", "3 mm (guessed)", "3 mm (assumed) (table)", "3 mm (table", "3 (table) mm"]
)
def test_another_mark_is_refused(text):
    with pytest.raises(QuantityError):
        parse_quantity(text, Dimension.LENGTH)


def test_a_marked_value_out_of_bounds_is_told_as_written():
    with pytest.raises(DesignError, match=r"is '?7 km \(assumed\)"):
        parse_design('[nozzle]\nbore = "7 km (assumed)"\n')


@given(st.floats(1e-6, 1e6), st.floats(0.0, 1e3))
def test_a_marked_number_of_full_length_is_short_enough_to_be_read(value, spread):
    text = f"{math.pi * value!r} W/m2/K ± {math.pi * spread!r} W/m2/K (assumed)"
    assert parse_quantity(text, Dimension.HEAT_TRANSFER).value == math.pi * value


def test_a_marked_wall_is_no_measured_wall():
    base = '[vessel]\nbottle = "carbonated-1500"\nwall = "0.3 mm{}"\n[charge]\npressure = "4 bar"\n'
    bases = [value_at(parse_design(base.format(mark)), "vessel.wall").basis for mark in ("", " (assumed)")]
    assert bases == [Basis.MEASURED, Basis.ASSUMED]


@pytest.mark.parametrize("share", ['water = "a third"', 'water_share = "33 % ± 1 %"'])
def test_water_given_as_a_share_is_written_out_as_its_volume(share):
    text = f'schema = 1\nname = "Share"\n[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "3 bar"\n{share}\n'
    design = complete(parse_design(text))
    again = complete(parse_design(written_out(design)))
    assert again.charge.water_share is None
    assert again.charge.water.value == design.charge.water.value
    assert again.charge.water.spread == design.charge.water.spread
