"""A class and its contest: teams, rounds and results in the files of the logbook."""

import json

import pytest

from bottlewright.cli import main
from bottlewright.design.errors import DesignError
from bottlewright.errors import FieldsError
from bottlewright.logbook.book import merge_folders, read_book
from bottlewright.logbook.files import write_record
from bottlewright.logbook.forgetting import forget
from bottlewright.logbook.records import FlightFile
from bottlewright.project.contest import Contest, said_near, said_score

DAY = "2027-03-20"


def launched(folder, number: int, team: str | None, height: str, **more) -> None:
    tables = {"entry": f"f{number}", "day": DAY, "number": number, "rocket": "Curlew", "team": team,
              "measured": [{"what": "height", "value": height, "how": "two stations"}], **more}  # fmt: skip
    flight = FlightFile.model_validate({key: value for key, value in tables.items() if value is not None})
    write_record(folder / "logbook" / "flights" / f"{DAY}-{number:02d}-curlew.toml", flight)


@pytest.fixture
def contest(tmp_path):
    (tmp_path / "logbook" / "flights").mkdir(parents=True)
    found = Contest(tmp_path, DAY)
    found.plan({"rule": "highest", "rounds": "2"})
    found.enter_team("Kites", "K, 7", "Curlew")
    found.enter_team("3", "AB")
    launched(tmp_path, 1, "Kites", "48 m ± 2 m")
    launched(tmp_path, 2, "3", "50 m ± 2 m")
    launched(tmp_path, 3, None, "90 m")
    return found


def test_results_come_from_the_launches_of_the_day(contest):
    results = contest.results()
    assert [(one.team, one.placed.place, one.members) for one in results.standings] == [
        ("3", 1, ("AB",)), ("Kites", 1, ("K", "7"))]  # fmt: skip
    assert said_score(results.rule, results.standings[0]) == "50.0 ± 2.0 m"
    assert said_near(results.standings[0]) == "within the ± of Kites: they share the place"
    assert results.nobodys == (f"{DAY}-03",)


def test_turns_go_round_by_round_and_a_launch_that_does_not_count_is_flown_again(contest):
    assert contest.results().next == (("Kites", 2), ("3", 2))
    launched(contest.beside, 4, "3", "10 m", counts=False)
    assert contest.results().next == (("Kites", 2), ("3", 2))
    launched(contest.beside, 5, "3", "10 m")
    assert contest.results().next == (("Kites", 2),)


def test_a_team_entered_anew_keeps_its_place_in_the_row_and_may_leave(contest):
    contest.enter_team("Kites", "K")
    assert [one.members for one in contest.results().standings if one.team == "Kites"] == [("K",)]
    contest.enter_team("Terns")
    assert contest.results().next[-1] == ("Terns", 2)
    contest.enter_team("Terns", flies=False)
    assert all(team != "Terns" for team, _ in contest.results().next)


@pytest.mark.parametrize(("given", "field"), [
    ({"rule": "hihgest"}, "rule"), ({"rounds": "0"}, "rounds"), ({"rounds": "many"}, "rounds"),
    ({"rules": "../cup.toml"}, "rules"), ({"rules": "nothing.toml"}, "rules"),
])
def test_a_wrong_answer_is_said_of_its_field_and_changes_nothing(contest, given, field):
    before = contest.file
    with pytest.raises(FieldsError) as refused:
        contest.plan(given)
    assert list(refused.value.fields) == [field]
    assert contest.file == before


def test_whole_names_of_children_are_not_taken(contest):
    with pytest.raises(FieldsError, match="at most three letters"):
        contest.enter_team("Kites", "Katherine")


def test_a_school_has_its_own_rule_file_and_its_mistake_is_told_with_the_line(contest):
    file = contest.beside / "cup.toml"
    file.write_text('schema = 1\n[[rule]]\nname = "our cup"\nsays = "x"\nmeasure = "height"\nof = "mean"\n', "utf-8")
    contest.plan({"rule": "our cup", "rules": "cup.toml"})
    assert contest.results().rule.name == "our cup"
    file.write_text('schema = 1\n[[rule]]\nname = "our cup"\nsays = "x"\nmeasure = "hight"\n', "utf-8")
    with pytest.raises(DesignError, match="line 5"):
        contest.results()


def test_two_copies_of_a_contest_become_one(contest, tmp_path_factory):
    other = Contest(tmp_path_factory.mktemp("other"), DAY)
    other.plan({"rule": "highest", "rounds": "2"})
    other.enter_team("Terns", "Z")
    assert merge_folders(contest.folder, other.folder) == []
    merge_folders(other.folder, contest.folder)
    assert {one.team for one in contest.results().standings} == {"Kites", "3", "Terns"}
    assert read_book(other.folder) == read_book(contest.folder)


def test_one_command_takes_a_child_out_of_the_teams_too(contest):
    found = forget(contest.beside, "7")
    assert [one.file for one in found.done] == [f"logbook/contests/{DAY}.toml"]
    assert ("K", "somebody") in [one.members for one in contest.results().standings]
    left = forget(contest.beside, "3").left  # a number may be the team's
    assert any("contests" in file and "team is called that" in why for file, why in left)


def ran(*words: str) -> None:
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert not ended.value.code


def test_the_command_prints_places_and_one_document(contest, capsys):
    asked = ["log", "results", DAY, "--beside", str(contest.beside)]
    ran(*asked, "--json")
    told = json.loads(capsys.readouterr().out)
    assert [(one["team"], one["place"], one["within_the_spread_of"]) for one in told["teams"]] == [
        ("3", 1, ["Kites"]), ("Kites", 1, ["3"])]  # fmt: skip
    ran(*asked)
    assert "they share the place" in capsys.readouterr().out
