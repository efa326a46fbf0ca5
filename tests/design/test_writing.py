import math
import re

import pytest
from hypothesis import given

from bottlewright.design import DesignError, complete, parse_design, read_design
from bottlewright.design.tables import bottles
from bottlewright.design.template import Answers, new_design
from bottlewright.design.writing import changed_text, write_design, write_new
from bottlewright.quantities import show
from strategies import designs

TEXT = """\
# my rocket
[vessel]
bottle = "carbonated-1500"   # from the party

[[mass]]
name = "clay"
mass = "20 g"                # weighed
position = "30 mm"

[charge]
pressure = "4 bar"           # careful
"""


def test_a_change_keeps_comments_and_layout(tmp_path):
    path = tmp_path / "rocket.toml"
    path.write_text(TEXT, encoding="utf-8")
    write_design(path, {"charge.pressure": "5 bar", "mass.0.mass": "25 g", "nozzle.bore": "9 mm"})
    after = path.read_text(encoding="utf-8")
    assert after.startswith(TEXT.replace("4 bar", "5 bar").replace("20 g", "25 g").rstrip())
    assert read_design(path).nozzle.bore.value == pytest.approx(0.009)
    assert [entry.name for entry in tmp_path.iterdir()] == ["rocket.toml"]


def test_a_copy_never_takes_the_place_of_a_file(tmp_path):
    path, other = tmp_path / "rocket.toml", tmp_path / "other.toml"
    path.write_text(TEXT, encoding="utf-8")
    write_design(path, {"charge.pressure": "5 bar"}, other)
    assert read_design(other).charge.pressure.value == 5e5
    with pytest.raises(FileExistsError):
        write_design(path, {"charge.pressure": "6 bar"}, other)
    assert read_design(other).charge.pressure.value == 5e5
    assert path.read_text(encoding="utf-8") == TEXT
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize(
    "changes", [{"charge.water": "9 L"}, {"charge.presure": "4 bar"}, {"mass.5.mass": "1 g"}, {"charge.pressure": 4}]
)
def test_a_change_that_would_be_refused_writes_nothing(tmp_path, changes):
    path = tmp_path / "rocket.toml"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(DesignError):
        write_design(path, changes)
    assert path.read_text(encoding="utf-8") == TEXT


def test_windows_line_ends_stay(tmp_path):
    path = tmp_path / "rocket.toml"
    path.write_bytes(TEXT.replace("\n", "\r\n").encode())
    write_design(path, {"charge.pressure": "5 bar"})
    assert path.read_bytes() == TEXT.replace("4 bar", "5 bar").replace("\n", "\r\n").encode()


def test_a_new_file_brings_its_folder_and_leaves_nothing_else(tmp_path):
    write_new(tmp_path / "new" / "rocket.toml", TEXT)
    assert [entry.name for entry in (tmp_path / "new").iterdir()] == ["rocket.toml"]


@given(designs())
def test_writing_without_a_change_changes_nothing(text):
    assert changed_text(text, {}) == text


@given(designs())
def test_a_written_change_reads_back(text):
    after = parse_design(changed_text(text, {"charge.pressure": "1.25 bar ± 0.1 bar"}))
    before = parse_design(text)
    assert after.charge.pressure.value == 1.25e5
    same = {"charge": before.charge}
    assert after.model_copy(update=same) == before


def test_a_new_design_names_what_was_answered():
    name = 'Grey "G" \\ ünïcode'
    design = parse_design(new_design(Answers(name, "still-1500", "3 bar", "400 mL", "8 mm", "cone", 4, "40 cm")))
    assert design.name == name
    assert (design.nose.shape, design.fins.count, design.recovery.kind) == ("cone", 4, "parachute")
    assert (design.recovery.diameter.value, design.charge.water.value) == pytest.approx((0.4, 0.4e-3))
    bare = parse_design(new_design(Answers("Bare", "still-1500", "3 bar", nose="bottle", parachute="none")))
    assert (bare.nose, bare.fins.count, bare.recovery.kind, bare.nozzle.bore) == (None, 3, "none", None)


def test_the_age_of_the_bottle_stands_in_a_new_design_only_where_it_was_told():
    told = parse_design(new_design(Answers("Bare", "carbonated-1500", "2 bar", age="20 days")))
    assert told.vessel.age.value == pytest.approx(20 * 86400.0)
    assert parse_design(new_design(Answers("Bare", "carbonated-1500", "2 bar"))).vessel.age is None


@pytest.mark.parametrize("bottle", list(bottles()))
@pytest.mark.parametrize(("nose", "fins", "parachute"), [("ogive", 3, "450 mm"), ("bottle", 4, "none")])
def test_every_commented_line_of_a_new_design_works_when_it_is_uncommented(bottle, nose, fins, parachute):
    text = new_design(Answers("Curlew", bottle, "3 bar", nose=nose, fins=fins, parachute=parachute))
    head, _, body = text.partition("schema = 1")
    open_lines = [line[2:] if re.match(r"# (\[|\w+ = )", line) else line for line in body.splitlines()]
    design = parse_design(f"{head}schema = 1\n" + "\n".join(open_lines))
    assert [item.name for item in design.mass] == ["clay in the tip", "altimeter"]
    assert design.measured.balance_point.spread == pytest.approx(3e-3)
    assert design.weather.wind_speed.spread == 1.0
    assert design.launcher.crew.spectators.value == 100.0
    assert (design.site.keep_out[0].kind, design.weather.hours[0].at) == ("road", "14:00")
    assert (design.tune.aim, design.workshop.people, design.vessel.proof[0].passed) == ("height", 2, True)
    assert complete(design).charge.pressure.value == 3e5


def test_a_new_design_has_a_section_for_each_table_that_a_builder_fills():
    text = new_design(Answers("Curlew", "still-1500", "3 bar"))
    tables = ("vessel", "nozzle", "nose", "fins", "sleeve", "recovery", "measured", "charge", "launcher",
              "launcher.crew", "site", "weather", "tune", "workshop")
    assert [table for table in tables if f"[{table}]" not in text] == []
    row = bottles()["still-1500"]
    assert f'# volume = "{show(row["volume"].value, "mL", 4, row["volume"].spread)}"' in text, "this bottle's own size"


def test_the_way_round_gives_the_diameter():
    design = parse_design(new_design(Answers("Curlew", "still-1500", "3 bar", round="280 mm ± 1 mm")))
    assert design.vessel.diameter.value == pytest.approx(0.280 / math.pi, rel=1e-3)
    assert design.vessel.diameter.spread == pytest.approx(1e-3 / math.pi, rel=0.02)
