"""A design with some values changed is the design that its text makes with them, whatever stands in the change."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.design import Design, DesignError, complete, parse_design, read_design, stood_on
from bottlewright.design import rewriting as module
from bottlewright.design.document import Written
from bottlewright.design.rewriting import Changes, as_overrides, rewritten
from bottlewright.project.project import Project
from strategies import designs, share

CURLEW = Path(__file__).parents[2] / "examples/curlew/rocket.toml"
HABITS = CURLEW.read_text(encoding="utf-8").replace('wind_speed = "', 'wind_speed = " ', 1)
VALUES = [
    "", "5 bar", "4,5 bar", "5 bar ± 0.1 bar", "70 psi", "a third", "400 mL", "40 %", "5 kg", "30 mm", "0 mm", "1 m",
    "12.5 mm (table)", "3 m/s", "NE", "20 °C", "3", "-1", "0.7", "true", "cone", "parachute", "carbonated-1000",
    "1.5 litre fizzy", "still", '"a name"', "[1, 2]", "{ mass = '5 g' }", "nonsense", "2026-05-09", "[[", "\x07",
]
ODD = ["", "charge", "rocket.bore", "vessel.bore", "mass.9.mass", "mass.00.mass", "mass.4.mass", "mass.4", "schema",
       "schema_", "vessel.tests.0.pressure", "a.b.c.d.e.f.g.h.i.j.k.l", " charge . pressure ", "name", "nose", "fins",
       "fins.outline", "vessel.profile", "tune.aim", "stand.tilt", "launcher.tube_length"]  # fmt: skip


def slowly(design: Design, changes: Changes) -> Design:
    written = design.written
    return complete(parse_design(written.text, [*written.overrides, *as_overrides(changes)], written.notes))


def told(make: object) -> object:
    """Return all that there is to a completed design, or all that is wrong with it."""
    try:
        design = make()  # type: ignore[operator]
    except DesignError as error:
        return error.problems
    written = design.written
    return (design, design.model_dump_json(), stood_on(design), design.reading_notes, written.text, written.overrides,
            written.tables, written.read, written.notes)  # fmt: skip


def changes_of(design: Design) -> st.SearchStrategy[Changes]:
    keys = st.sampled_from([*(path for path, _ in stood_on(design)), *ODD])
    return st.lists(st.tuples(keys, st.sampled_from(VALUES)), min_size=1, max_size=4).map(tuple)


@settings(max_examples=share(150), deadline=None)
@given(st.data())
def test_changing_values_at_hand_gives_what_reading_the_text_again_gives(data):
    text = data.draw(st.sampled_from([CURLEW.read_text(encoding="utf-8"), HABITS]) | designs(), "text")
    one = two = complete(parse_design(text, (), ["the file was saved as UTF-16"]))
    for _ in range(data.draw(st.integers(1, 3))):
        changes = data.draw(changes_of(one), "changes")
        expected = told(lambda: slowly(two, changes))  # noqa: B023
        assert told(lambda: rewritten(one, changes)) == expected  # noqa: B023
        if isinstance(expected[0], Design):
            one, two = rewritten(one, changes), slowly(two, changes)


def test_a_sound_change_reads_no_text(monkeypatch):
    design = complete(read_design(CURLEW))
    monkeypatch.delattr(module, "parse_design")
    changed = rewritten(design, [("charge.pressure", "5 bar"), ("nose.shape", "cone"), ("charge.water", "")])
    assert changed.charge.pressure.value == 5e5
    assert changed.written.overrides == ("charge.pressure=5 bar", "nose.shape=cone", "charge.water=")


def test_a_changed_design_leaves_the_former_as_it_was():
    design = complete(read_design(CURLEW))
    before, tables = design.model_dump_json(), str(design.written.tables)
    rewritten(design, [("mass.0.name", "camera"), ("launcher.crew.operator", "30 m"), ("stand.tilt", "0 deg")])
    assert (design.model_dump_json(), str(design.written.tables)) == (before, tables)


def test_a_change_keeps_what_was_said_about_the_file():
    text = CURLEW.read_text(encoding="utf-8")
    project = Project(complete(parse_design(text, (), ["it was saved as UTF-16"])), CURLEW)
    changed = project.changed({"charge.pressure": "5 bar ± 0.1 bar"})
    assert [note.code for note in changed.notes] == [note.code for note in project.notes]
    assert "it was saved as UTF-16" in changed.notes[0].found


def test_a_design_without_a_text_can_not_be_changed():
    design = complete(read_design(CURLEW)).with_written(Written())
    with pytest.raises(DesignError, match="is empty"):
        rewritten(design, [("charge.pressure", "5 bar")])
