"""A design that names its bottle stands on what the bottle's own file says, and never on anything better."""

import pickle
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.findings import Level
from bottlewright.logbook.files import FOLDER, vessel_file
from bottlewright.logbook.records import Happened, Heated, Inspection, Pressurised, VesselFile, VesselTest, WorkDone
from bottlewright.logbook.vessels import add_entries, new_vessel, read_vessel
from bottlewright.project import logbook
from bottlewright.project.day_answers import against_rocket
from bottlewright.project.logbook import Logbook
from bottlewright.project.proof_test import entered_test
from bottlewright.project.proof_test import test_into_its_file as into_its_file

DESIGN = """
schema = 1
name = "Wren"
[vessel]
bottle = "carbonated-1500"
{0}
[charge]
pressure = "3 bar"
temperature = "15 °C"
day = "2027-03-20"
[launcher.gauge]
range = "6 bar"
accuracy = "1 %"
"""
TEST = VesselTest.model_validate({"entry": "t1", "at": "2027-03-06T10:00:00", "pressure": "7.5 bar", "hold": "60 s",
                                  "medium": "water", "passed": True})
TODAY = "2027-03-01"  # of every test here


def launches(count: int, day: str = "2027-03-10") -> list[Pressurised]:
    return [Pressurised.model_validate({"entry": f"{day}-{number}", "at": f"{day}T10:{number:02d}:00", "peak": "4 bar",
                                        "ended": "launched"}) for number in range(count)]


@pytest.fixture
def book(tmp_path) -> Path:
    new_vessel(tmp_path / FOLDER, VesselFile(id="B07", opened="2027-02-18", earlier=0, test=[TEST]))
    return tmp_path / FOLDER


def design(book: Path, own: str = ""):
    return bw.parse(DESIGN.format(f'id = "B07"\n{own}'), book.parent / "rocket.toml")


def codes(project, level: Level | None = None) -> set[str]:
    return {one.code for one in project.proved.findings if level in (None, one.level)}


def allowed(project) -> float:
    return project.proved.allowed.gauge_Pa or 0.0


def test_age_count_and_tests_are_those_of_the_file(book):
    add_entries(book, "B07", launches(4))
    vessel = design(book).design.vessel
    assert vessel.age.value == pytest.approx(30 * 86400.0)  # 18 February to 20 March
    assert vessel.age.source == "logbook/vessels/B07.toml"
    assert vessel.cycles == 5
    assert [(test.pressure.value, test.date, test.cycles) for test in vessel.proof] == [(7.5e5, "2027-03-06", 1)]


def test_it_is_allowed_what_a_design_that_says_the_same_is_allowed(book):
    add_entries(book, "B07", launches(4))
    said = DESIGN.format('age = "30 days ± 0.5 day"\ncycles = 5\nproof = [{pressure = "7.5 bar", hold = "60 s", '
                         'date = "2027-03-06", cycles = 1}]')
    assert allowed(design(book)) == pytest.approx(allowed(bw.parse(said)))


def test_prove_says_that_it_rests_on_the_bottles_own_file(book):
    project = design(book)
    assert "(bottle B07, by logbook/vessels/B07.toml)" in project.proved.allowed.because
    (said,) = [one for one in project.proved.findings if one.code == "vessel-file"]
    assert said.found == ("bottle B07: 1 time under pressure, opened on 2027-02-18; last test on 2027-03-06, passed, "
                          "by logbook/vessels/B07.toml")


def test_each_time_under_pressure_counts_at_once_also_where_the_design_is_changed_meanwhile(book):
    before = design(book)
    around = before.around
    add_entries(book, "B07", launches(3))
    assert before.changed({"charge.water": "300 mL"}).design.vessel.cycles == 4
    assert design(book).around != around


def test_another_day_of_launch_makes_the_bottle_older(book):
    later = design(book).changed({"charge.day": "2027-03-28"})
    assert later.design.vessel.age.value == pytest.approx(38 * 86400.0)


def test_an_unknown_bottle_is_a_stop_and_its_tests_in_the_design_count_for_nothing(tmp_path):
    text = DESIGN.format('id = "B99"\nage = "30 days"\ncycles = 1\nproof = [{pressure = "7.5 bar", hold = "60 s", '
                         'date = "2027-03-06", cycles = 1}]')
    project = bw.parse(text, tmp_path / "rocket.toml")
    assert "vessel-unknown" in codes(project, Level.STOP)
    assert project.proved.allowed.gauge_Pa is None
    assert project.verdict().level == "stop"
    assert project.verdict().load is None


def test_nobody_gets_out_of_the_logbook_by_a_path(tmp_path):
    with pytest.raises(bw.BottlewrightError, match="letters a to z"):
        bw.parse(DESIGN.format('id = "../../B07"'), tmp_path / "rocket.toml")


def test_a_file_that_can_not_be_read_is_a_stop_with_its_line(book):
    path = vessel_file(book, "B07")
    path.write_text(path.read_text(encoding="utf-8").replace("earlier = 0", "earlier = none"), encoding="utf-8")
    (stop,) = [one for one in design(book).proved.findings if one.code == "vessel-unknown"]
    assert stop.level is Level.STOP
    assert "line 5" in stop.found


def test_a_retired_bottle_is_a_stop_wherever_one_looks(book):
    add_entries(book, "B07", [Pressurised.model_validate({"entry": "x", "at": "2027-03-10", "ended": "leak"})])
    project = design(book)
    assert "retired-vessel" in codes(project, Level.STOP)
    assert project.proved.allowed.retired
    assert project.verdict().level == project.fly().verdict.level == "stop"
    assert project.verdict().proof_gauge_Pa is None
    assert "it leaked on 2027-03-10" in project.proved.allowed.because


@pytest.mark.parametrize(("entries", "because"), [
    ([Happened(at="2027-03-10")], "it came down hard on 2027-03-10"),
    (launches(10), "it was under pressure 10 times"),
    ([Heated(at="2027-03-10", how="sun")], "in the sun"),
    ([WorkDone(at="2027-03-10", what="glued")], "its wall was glued"),
])
def test_a_test_ends_by_count_hard_landing_heat_and_work(book, entries, because):
    assert allowed(design(book)) > 3e5
    add_entries(book, "B07", entries)
    project = design(book)
    (expired,) = [one for one in project.proved.findings if one.code == "test-expired"]
    assert because in expired.found
    assert project.proved.allowed.gauge_Pa is None
    assert "own-test-missing" in codes(project, Level.HOLD)


def test_a_bottle_that_was_kept_cool_keeps_its_test(book):
    assert "test-expired" not in codes(design(book, 'storage = "cool"'))
    assert allowed(design(book, 'storage = "cool"')) == allowed(design(book)) > 0.0
    assert "test-expired" in codes(design(book, 'storage = "sun"'))


def test_a_test_ends_by_date_after_a_month(book):
    assert allowed(design(book).changed({"charge.day": "2027-04-05"})) > 0.0  # 30 days
    late = design(book).changed({"charge.day": "2027-04-06"})
    assert late.proved.allowed.gauge_Pa is None
    assert "31 days have passed" in next(one.found for one in late.proved.findings if one.code == "test-expired")


def test_a_test_after_all_that_counts_again(book):
    add_entries(book, "B07", [Happened(at="2027-03-10")])
    assert allowed(design(book)) == 0.0
    again = TEST.model_copy(update={"entry": "t2", "at": "2027-03-12T10:00:00"})
    add_entries(book, "B07", [again])
    assert allowed(design(book)) > 3e5


@pytest.mark.parametrize("what", ["sanded", "cut", "heated", "hot-glued"])
def test_heat_and_work_that_no_test_mends_end_the_bottle(book, what):
    add_entries(book, "B07", [WorkDone.model_validate({"at": "2027-02-20", "what": what})])
    assert design(book).proved.allowed.retired


def test_a_hot_car_ends_the_bottle(book):
    add_entries(book, "B07", [Heated(at="2027-02-20", how="hot car")])
    assert design(book).proved.allowed.retired


def test_at_ten_times_an_adult_looks_over_the_bottle(book):
    again = TEST.model_copy(update={"entry": "t2", "at": "2027-03-12T10:00:00"})
    add_entries(book, "B07", [*launches(8), again])
    assert "inspection-due" in codes(design(book), Level.HOLD)
    add_entries(book, "B07", [Inspection(at="2027-03-11", adult="M. Roe", fit=True)])
    assert "inspection-due" in codes(design(book), Level.HOLD), "it was looked over before the tenth time"
    add_entries(book, "B07", [Inspection(at="2027-03-13", adult="M. Roe", fit=True)])
    assert "inspection-due" not in codes(design(book))


def test_after_fifteen_times_nobody_pumps_it_again(book):
    add_entries(book, "B07", [*launches(13), TEST.model_copy(update={"entry": "t2", "at": "2027-03-12T10:00:00"})])
    looked = Inspection(at="2027-03-13", adult="M. Roe", fit=True)
    add_entries(book, "B07", [looked])
    assert design(book).design.vessel.cycles == 15
    assert "retire" in codes(design(book), Level.STOP)
    assert design(book).proved.allowed.retired


def test_a_bottle_whose_earlier_use_nobody_knows_gets_no_pressure(tmp_path):
    new_vessel(tmp_path / FOLDER, VesselFile(id="B07", opened="2027-02-18", test=[TEST]))
    project = design(tmp_path / FOLDER)
    assert "cycles-unknown" in codes(project, Level.HOLD)
    assert project.proved.allowed.gauge_Pa is None


def test_what_the_design_says_otherwise_is_said(book):
    project = design(book, 'age = "3 days"\ncycles = 0\nproof = [{pressure = "9 bar", hold = "60 s", '
                           'date = "2027-03-07", cycles = 2}]')
    told = [one.found for one in project.proved.findings if one.code == "vessel-file-differs"]
    assert len(told) == 2
    assert "test-not-in-its-file" in codes(project, Level.LOOK)
    assert project.design.vessel.cycles == 1
    assert [test.pressure.value for test in project.design.vessel.proof] == [7.5e5]
    assert project.design.vessel.age.value == pytest.approx(30 * 86400.0)


LONE = 'proof = [{pressure = "7.5 bar", hold = "60 s", medium = "water", date = "2027-03-07", cycles = 1}]'


@pytest.fixture
def untested(tmp_path, monkeypatch) -> Path:
    monkeypatch.setattr(logbook, "now", lambda: datetime(2027, 3, 15))
    new_vessel(tmp_path / FOLDER, VesselFile(id="B07", opened="2027-02-18", earlier=0))
    return tmp_path / FOLDER


def test_a_test_that_stands_only_in_the_design_is_told_wherever_the_pressure_is_missed(untested):
    project = design(untested, LONE)
    finding = next(one for one in project.proved.findings if one.code == "test-not-in-its-file")
    command = 'bottlewright log test B07 --pressure "7.5 bar" --hold "60 s" --filled "water" --at "2027-03-07" --held'
    assert command in finding.remedy
    assert project.proved.allowed.gauge_Pa is None
    assert "counts for nothing until logbook/vessels/B07.toml has it" in project.proved.allowed.because
    rocket = Logbook(untested.parent).rocket(project, "A")
    assert any("stands only in the design" in said for said in against_rocket(rocket))


def test_a_test_of_the_design_is_written_into_the_bottles_file_once_and_counts_then(untested):
    project = design(untested, LONE)
    words = project.design.written.history.only_in_the_design[0].design
    into_its_file(project, words)
    after = design(untested, LONE)
    assert allowed(after) > 4e5
    with pytest.raises(InputError, match="does not stand in the design alone"):
        into_its_file(after, words)
    assert len(read_vessel(untested, "B07").test) == 1


def test_what_speaks_against_the_bottle_in_the_design_counts(book):
    worse = design(book, 'age = "400 days"\ncycles = 12')
    assert worse.design.vessel.cycles == 12
    assert worse.design.vessel.age.value == pytest.approx(400 * 86400.0)
    failed = design(book, 'proof = [{pressure = "5 bar", hold = "10 s", passed = false, date = "2027-03-07"}]')
    assert failed.proved.allowed.retired


own_keys = st.fixed_dictionaries({}, optional={
    "age": st.integers(0, 2000).map(lambda days: f'"{days} days"'), "cycles": st.integers(0, 20).map(str),
    "proof": st.builds('[{{pressure = "{} bar", hold = "60 s", date = "2027-03-{:02d}", cycles = {}}}]'.format,
                       st.integers(3, 12), st.integers(1, 20), st.integers(0, 3)),
    "storage": st.sampled_from(['"cool"', '"sun"', '"hot car"']), "surface": st.sampled_from(['["glued"]', "[]"]),
    "inspected": st.integers(0, 20).map(str), "hard_landing": st.sampled_from(['"2027-03-01"', '"2027-03-09"']),
})  # fmt: skip


@given(own_keys, st.integers(0, 12))
@settings(max_examples=40)
def test_nothing_that_is_written_into_a_design_raises_what_the_file_allows(tmp_path_factory, own, used):
    folder = tmp_path_factory.mktemp("any") / FOLDER
    new_vessel(folder, VesselFile(id="B07", opened="2027-02-18", earlier=0, test=[TEST]))
    add_entries(folder, "B07", launches(used))
    plain = design(folder)
    written = design(folder, "\n".join(f"{key} = {value}" for key, value in own.items()))
    assert allowed(written) <= allowed(plain) * (1.0 + 1e-9)


entries = st.lists(st.one_of(
    st.sampled_from([*launches(3), *launches(3, "2027-03-02")]), st.just(Happened(entry="h", at="2027-03-09")),
    st.sampled_from([WorkDone(entry="w", at=day, what="glued") for day in ("2027-03-01", "2027-03-09")]),
    st.just(Heated(entry="s", at="2027-03-09", how="sun")),
    st.just(Inspection(entry="i", at="2027-03-09", adult="M. Roe", fit=True)),
    st.just(TEST.model_copy(update={"entry": "f", "passed": False})),
    st.just(TEST.model_copy(update={"entry": "a", "medium": "air", "pressure": TEST.pressure})),
), max_size=4)  # fmt: skip


@given(entries)
@settings(max_examples=40)
def test_nothing_that_is_entered_but_a_test_that_held_raises_what_is_allowed(tmp_path_factory, more):
    folder = tmp_path_factory.mktemp("any") / FOLDER
    new_vessel(folder, VesselFile(id="B07", opened="2027-02-18", earlier=0, test=[TEST]))
    before = allowed(design(folder))
    add_entries(folder, "B07", more)
    assert allowed(design(folder)) <= before * (1.0 + 1e-9)


def test_a_test_is_entered_in_the_bottles_file_and_not_in_the_design(book):
    with pytest.raises(InputError, match=r"own file, logbook/vessels/B07\.toml"):
        entered_test(design(book), {"pressure": "7.5 bar"})


def test_a_design_that_names_no_bottle_is_none_of_the_logbooks_business(book):
    project = bw.parse(DESIGN.format('age = "30 days"\ncycles = 1'), book.parent / "rocket.toml")
    assert project.design.written.history is None
    assert not codes(project) & {"vessel-file", "vessel-unknown"}
    assert read_vessel(book, "B07").id == "B07"


def test_a_design_is_sent_to_another_process_with_what_its_bottle_is_known_by(book):
    there = pickle.loads(pickle.dumps(design(book).design))
    assert there == design(book).design
    assert there.written.history.file == "logbook/vessels/B07.toml"
