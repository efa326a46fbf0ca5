"""A bottle's file, begun from its design: nothing that was tested is lost by it, and nothing gets better."""

from pathlib import Path

import pytest

import bottlewright as bw
from bottlewright.errors import FieldsError, InputError
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.vessels import counted, cycles_by, read_vessel
from bottlewright.project.bottle_file import _placed, begun_file
from bottlewright.project.logbook import Logbook
from bottlewright.project.proof_test import _of_the_design as check_place_of_tests
from bottlewright.project.proof_test import test_into_its_file as into_its_file
from bottlewright.proof.evidence import own_evidence

CURLEW = Path(__file__).parents[2] / "examples" / "curlew"



@pytest.fixture
def named(tmp_path):
    """Return what reads Curlew as given, before and after its bottle has a name, both from one folder."""
    def read(*changes):
        text = (CURLEW / "rocket.toml").read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1
            text = text.replace(old, new)
        (tmp_path / "rocket.toml").write_text(text, encoding="utf-8")
        before = bw.read(tmp_path / "rocket.toml")
        (tmp_path / "rocket.toml").write_text(text.replace("[vessel]\n", '[vessel]\nid = "B07"\n'), encoding="utf-8")
        return before, bw.read(tmp_path / "rocket.toml")

    return read


def begun(project):
    """Begin the file; return it, and the design that is left, which reads it."""
    changes = begun_file(project, {"this": "yes"})
    return read_vessel(project.folder / FOLDER, "B07"), project.changed(changes)


def test_a_name_without_a_file_stops_the_bottle_and_says_which_test_waits(named):
    before, project = named()
    assert before.verdict().allowed.gauge_Pa > 4e5
    verdict = project.verdict()
    assert verdict.allowed.gauge_Pa is None
    (found,) = [one for one in verdict.findings if one.code == "vessel-unknown"]
    assert "a test at 7.5 bar on 2027-03-31 in the design counts for nothing until then" in found.found
    assert "a button on Prove begins its file" in found.remedy


@pytest.mark.parametrize(("there", "said"), [
    (lambda folder: (folder / "logbook").write_text("", encoding="utf-8"),
     "logbook is a file, where the logbook has a folder"),
    (lambda folder: ((folder / "logbook" / "vessels").mkdir(parents=True),
                     (folder / "logbook" / "vessels" / "B07.toml").symlink_to("gone.toml")),
     "logbook/vessels/B07.toml is a link that leads nowhere"),
])  # fmt: skip
def test_where_no_file_can_be_begun_it_says_why_and_offers_no_button(named, there, said):
    _, project = named()
    there(project.folder)
    project = bw.read(project.file)
    history = project.design.written.history
    assert (history.begins, history.unknown.partition(";")[0]) == (False, said)
    (found,) = [one for one in project.verdict().findings if one.code == "vessel-unknown"]
    assert "button" not in found.remedy
    for does in (lambda: begun_file(project, {"this": "yes"}), lambda: check_place_of_tests(project)):
        with pytest.raises(InputError, match=said):
            does()


def test_the_file_takes_count_and_test_along_and_the_same_pressure_is_allowed(named):
    before, project = named()
    vessel, after = begun(project)
    assert (counted(vessel), vessel.earlier, [one.at for one in vessel.test]) == (4, 3, ["2027-03-31"])
    assert after.verdict().allowed.gauge_Pa == pytest.approx(before.verdict().allowed.gauge_Pa, abs=1.0)
    assert "cycles" not in after.design.written.tables["vessel"] or not after.design.written.tables["vessel"]["cycles"]
    assert {"vessel-unknown", "vessel-file-differs", "test-not-in-its-file"}.isdisjoint(
        one.code for one in after.verdict().findings)


@pytest.mark.parametrize(("count", "by_the_test"), [(4, 4), (6, 4), (9, 2), (9, 1)])
def test_times_under_pressure_after_a_test_stay_after_it(named, count, by_the_test):
    before, project = named(("cycles = 4\n", f"cycles = {count}\n"), ("cycles = 4  ", f"cycles = {by_the_test}  "))
    vessel, after = begun(project)
    assert counted(vessel) == count
    assert cycles_by(vessel, vessel.test[0].at) == by_the_test
    ((was,), (now,)) = (own_evidence(one.design) for one in (before, after))
    assert now.result.kept <= was.result.kept + 1e-12
    assert (after.verdict().allowed.gauge_Pa or 0.0) <= (before.verdict().allowed.gauge_Pa or 0.0) + 1.0


def test_what_nobody_counted_stays_unknown_and_a_failed_test_ends_the_bottle(named):
    vessel, _ = begun(named(("cycles = 4\n", "\n"), ("passed = true", "passed = false"))[1])
    assert counted(vessel) is None
    assert not vessel.test[0].passed


@pytest.mark.parametrize(("line", "missing"), [('date = "2027-03-31"', "day"), ("cycles = 4  ", "count of times")])
def test_a_test_of_which_nobody_knows_what_came_after_it_is_not_taken_along(named, line, missing):
    _, project = named((line, ""))
    with pytest.raises(InputError, match=rf"the test at 7\.5 bar has no {missing}"):
        begun(project)
    assert read_vessel(project.folder / FOLDER, "B07") is None


def test_between_two_tests_lie_as_many_times_as_were_counted():
    tests = [{"date": "2027-03-01", "cycles": 2}, {"date": "2027-03-20", "cycles": 6}]
    before, later = _placed(tests, 8)
    assert (before, [one["at"] for one in later]) == (1, ["2027-03-01"] * 3 + ["2027-03-20"] * 2)
    assert _placed(tests, None) == (None, [])
    assert _placed([], 5) == (5, [])
    before, later = _placed([{"date": "2027-03-01", "cycles": 1}], 5000)
    assert (before, later) == (4999, []), "far past its life: nobody needs them one by one"


def test_a_test_of_another_bottle_stays_in_the_design(named):
    vessel, after = begun(named(("passed = true", "passed = true\ncount = 2"))[1])
    assert vessel.test == []
    assert counted(vessel) == 4
    assert [one.code for one in after.verdict().findings if one.code == "test-not-in-its-file"]


def test_somebody_has_to_say_that_it_was_this_bottle_and_no_file_is_begun_twice(named):
    _, project = named()
    with pytest.raises(FieldsError, match="say that all of it was bottle B07"):
        begun_file(project, {})
    _, after = begun(project)
    with pytest.raises(InputError, match=r"it has one, logbook/vessels/B07\.toml"):
        begun_file(after, {"this": "yes"})
    with pytest.raises(InputError, match="nothing is written on this bottle"):
        begun_file(project.changed({"vessel.id": None}), {"this": "yes"})


def test_a_test_without_its_day_is_written_into_no_file_as_one_of_today(named):
    _, project = named(('date = "2027-03-31"', ""))
    Logbook(project.folder).begin_bottle("B07", {})
    _, project = named(('date = "2027-03-31"', ""))
    (lone,) = project.design.written.history.only_in_the_design
    with pytest.raises(InputError, match="that test has no day"):
        into_its_file(project, lone.design)
    assert read_vessel(project.folder / FOLDER, "B07").test == []
