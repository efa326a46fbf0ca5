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


def test_a_new_table_stands_behind_its_own_with_a_blank_line_and_under_no_comment_of_the_next():
    recovery = '[recovery]\nkind = "parachute"\ndiameter = "500 mm"   # red\n\n# Ballast: one block for each.\n'
    text, at = TEXT.replace("[[mass]]", f"{recovery}[[mass]]"), "recovery.mechanism"
    new = {f"{at}.way": "latch", f"{at}.trip": "gyro", f"{at}.angle": "60 deg", f"{at}.hold": None,
           f"{at}.tests.tries": 4, f"{at}.tests.stuck": 0}  # fmt: skip
    for end in ("\n", "\r\n"):
        after = changed_text(text.replace("\n", end), new)
        assert after.replace("\r\n", "\n") == text.replace("# red\n", """# red

[recovery.mechanism]
way = "latch"
trip = "gyro"
angle = "60 deg"

[recovery.mechanism.tests]
tries = 4
stuck = 0
""")


def test_keys_written_with_dots_at_the_top_take_a_new_table_as_keys_with_dots():
    dotted = 'recovery.kind = "parachute"   # red\nrecovery.diameter = "500 mm"\n\n'
    at = "recovery.mechanism"
    new = {f"{at}.way": "latch", f"{at}.trip": "gyro", "recovery.delay": "0.2 s", f"{at}.tests.tries": 4,
           f"{at}.tests.stuck": 0}  # fmt: skip
    for end in ("\n", "\r\n"):
        after = changed_text((dotted + TEXT).replace("\n", end), new)
        design = parse_design(after)
        assert (design.recovery.diameter.value, design.recovery.delay.value) == pytest.approx((0.5, 0.2))
        assert (design.recovery.mechanism.trip, design.recovery.mechanism.tests.tries) == ("gyro", 4)
        assert after.replace("\r\n", "\n").startswith('recovery.kind = "parachute"   # red\nrecovery.')
        assert after.replace("\r\n", "\n").endswith(TEXT)
        assert "[recovery" not in after
    with_way = changed_text(dotted + TEXT, {f"{at}.way": "latch", f"{at}.trip": "gyro"})
    again = changed_text(with_way, {f"{at}.trip": "barometer"})
    assert 'recovery.mechanism.trip = "barometer"' in again


def test_a_table_written_on_one_line_takes_a_new_one_in():
    line = 'recovery = { kind = "parachute", diameter = "500 mm" }\n'
    after = changed_text(line + TEXT, {"recovery.mechanism.way": "latch", "recovery.mechanism.trip": "gyro"})
    assert parse_design(after).recovery.mechanism.trip == "gyro"


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


def test_the_number_after_a_lists_last_adds_a_table_and_none_takes_one_out():
    text = '[vessel]\nbottle = "carbonated-1500"\n\n[charge]\npressure = "3 bar"   # on the gauge\n'
    egg = {"mass.0.name": "egg", "mass.0.mass": "55 g", "mass.0.position": "120 mm"}
    one = changed_text(text, egg)
    assert '[[mass]]\nname = "egg"\nmass = "55 g"\nposition = "120 mm"\n' in one
    assert "# on the gauge" in one
    two = changed_text(one, {"mass.1.name": "clay", "mass.1.mass": "40 g", "mass.1.position": "20 mm"})
    assert [part.name for part in parse_design(two).mass] == ["egg", "clay"]
    assert [part.name for part in parse_design(changed_text(two, {"mass.0": None})).mass] == ["clay"]
    assert changed_text(one, {"mass.0": None}).strip() == text.strip()


@pytest.mark.parametrize("place", ["mass.2.name", "mass.-1.name", "mass.x.name"])
def test_no_table_is_added_elsewhere_in_a_list(place):
    with pytest.raises(DesignError, match="not a place"):
        changed_text(TEXT, {place: "clay"})
TESTED = """\
[vessel]
bottle = "carbonated-1500"

# the club's own log begins here
[[vessel.proof]]
pressure = "6 bar"           # by the club's gauge
hold = "60 s"
# it creaked a little at 5 bar

[[vessel.proof]]             # the second one
pressure = "7.5 bar"
hold = "60 s"

# turned from acetal
[nozzle]
bore = "9 mm"

[charge]
pressure = "4 bar"
"""
NEW = {"vessel.proof.2.pressure": "8 bar", "vessel.proof.2.hold": "60 s", "vessel.proof.2.passed": False}
ENTRY = '\n[[vessel.proof]]\npressure = "8 bar"\nhold = "60 s"\npassed = false\n'


def test_a_test_is_added_behind_the_last_one_and_what_is_said_of_the_next_part_stays_with_it():
    after = changed_text(TESTED, NEW)
    assert after == TESTED.replace('\n\n# turned', f"\n{ENTRY}\n# turned")
    assert [test.passed for test in parse_design(after).vessel.proof] == [True, True, False]


@pytest.mark.parametrize("number", [0, 1])
def test_a_test_is_taken_out_and_what_is_said_between_two_tables_stays(number):
    after = changed_text(TESTED, {f"vessel.proof.{number}": None})
    assert [test.pressure.text for test in parse_design(after).vessel.proof] == [["7.5 bar", "6 bar"][number]]
    assert "# the club's own log begins here" in after
    assert "# it creaked a little at 5 bar" in after
    assert "\n\n# turned from acetal\n[nozzle]" in after
    assert ("# by the club's gauge" in after, "# the second one" in after) == (number == 1, number == 0)


def test_the_first_test_of_a_bottle_stands_behind_its_table_and_the_last_one_can_go_again():
    first = {key.replace(".2.", ".0."): value for key, value in NEW.items()}
    after = changed_text(TEXT, first)
    assert after == TEXT.replace("\n\n[[mass]]", f"\n{ENTRY}\n[[mass]]")
    assert changed_text(after, {"vessel.proof.0": None}) == TEXT


def test_a_list_in_one_pair_of_brackets_grows_and_shrinks_as_well():
    text = ('[vessel]\nbottle = "carbonated-1500"\nproof = [{ pressure = "6 bar", hold = "60 s" }]\n'
            '[charge]\npressure = "4 bar"\n')  # fmt: skip
    after = changed_text(text, {key.replace(".2.", ".1."): value for key, value in NEW.items()})
    assert [test.passed for test in parse_design(after).vessel.proof] == [True, False]
    assert not parse_design(changed_text(text, {"vessel.proof.0": None})).vessel.proof


def test_a_new_test_keeps_windows_line_ends():
    text = TESTED.replace("\n", "\r\n")
    assert changed_text(text, NEW) == changed_text(TESTED, NEW).replace("\n", "\r\n")


def test_a_test_that_is_no_test_is_refused_with_its_key():
    with pytest.raises(DesignError) as refused:
        changed_text(TESTED, {"vessel.proof.2.pressure": "8 parsec", "vessel.proof.2.hold": "60 s"})
    assert [problem.path for problem in refused.value.problems] == ["vessel.proof.2.pressure"]
    with pytest.raises(DesignError, match="is not a place"):
        changed_text(TESTED, {"vessel.proof.4": None})


def test_what_the_command_line_takes_out_of_a_list_is_out():
    assert len(parse_design(TESTED, ["vessel.proof.0="]).vessel.proof) == 1


def test_a_new_entry_may_have_a_table_inside_and_is_changed_and_taken_out_like_any_other():
    new = {"name": "camera", "mass": "25 g", "position": "160 mm", "payload.view": "70 deg", "payload.pixels": 1920}
    added = changed_text(TEXT, {f"mass.1.{key}": value for key, value in new.items()})
    assert added.startswith(TEXT.partition("[charge]")[0])
    assert parse_design(added).mass[1].payload.pixels == 1920
    wider = changed_text(added, {"mass.1.payload.view": "90 deg", "mass.1.payload.tethered": True})
    assert parse_design(wider).mass[1].payload.view.value == pytest.approx(math.radians(90.0))
    assert parse_design(wider).mass[1].payload.tethered is True
    assert changed_text(wider, {"mass.1": None}) == TEXT
