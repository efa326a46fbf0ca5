"""The command `launch`, as somebody types it on the evening before."""

import json
from datetime import datetime

import pytest
from commands import ran

from bottlewright.project.launch_day import LaunchDay

WREN = """schema = 1
name = "Wren"
[vessel]
id = "B07"
bottle = "carbonated-1500"
[charge]
pressure = "3 bar"
"""
PEOPLE = ("--charge", "M. Roe", "--pump", "K", "--pull", "7", "--watch", "L. Ash", "--record", "P", "--adult", "M. Roe",
          "--adult", "L. Ash")  # fmt: skip


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "wren.toml").write_text(WREN, encoding="utf-8")
    return tmp_path


def launch(*words):
    return ran("launch", *words, "--no-serve", "--no-landings")


def test_a_day_is_prepared_and_kept_in_the_logbook(folder):
    done = launch("--rocket", "wren.toml=3:Herons:B", *PEOPLE, "--emergency", "112")
    assert done.code == 1, "a finding says stop: nobody knows the bottle"
    day = LaunchDay(folder).day
    assert (day.plan.turns[0].launches, day.plan.turns[0].who, day.plan.rockets["Wren"].pad) == (3, "Herons", "B")
    assert {role: (one.name, one.adult) for role, one in day.roles.items()} == {
        "charge": ("M. Roe", True), "pump": ("K", False), "pull": ("7", False), "watch": ("L. Ash", True),
        "record": ("P", False)}  # fmt: skip
    assert day.plan.local["emergency number"] == "112"
    for words in ("3 launches are planned", "no pressure is allowed", "Against it: bottle B07",
                  "how much wind Wren bears", "lightning rule: NOT FILLED IN", "Chance that a bottle",
                  "Pump strokes together"):  # fmt: skip
        assert words in done.out, words


@pytest.mark.usefixtures("folder")
def test_its_json_holds_the_numbers_that_people_act_on():
    launch("--rocket", "wren.toml=2", *PEOPLE)
    told = json.loads(launch("--json").out)
    assert told["day"] == datetime.now().date().isoformat()
    (one,) = told["rockets"]
    assert (one["name"], one["file"], one["vessel"], one["state"]) == ("Wren", "wren.toml", "B07", "waiting")
    assert one["allowed_Pa"] is None
    assert one["planned_Pa"] == pytest.approx(3e5)
    assert one["against"]
    assert told["sums"]["launches"] == 2
    assert [line["code"] for line in told["needs"]["lines"]] == ["water", "strokes", "all-strokes", "each", "hours"]
    assert told["sums"]["strike"] is None


def test_a_design_that_changed_since_is_told_from_what_to_what_in_words_and_in_its_json(folder):
    launch("--rocket", "wren.toml=2", *PEOPLE)
    assert json.loads(launch("--json").out)["rockets"][0]["barred"] == []
    (folder / "wren.toml").write_text(WREN + 'water = "600 mL"\n', encoding="utf-8")
    (says,) = json.loads(launch("--json").out)["rockets"][0]["barred"]
    assert says.startswith("water: 600 mL now, ")
    assert says.endswith(" when the day was prepared")
    done = launch()
    assert done.code == 1
    assert "STOP: what was prepared does not hold any more" in done.out
    assert f"Since the day was prepared: {says}." in done.out


@pytest.mark.parametrize("text", ["[", None], ids=["half written", "gone"])
def test_the_day_is_served_and_told_whatever_became_of_a_design(folder, monkeypatch, text):
    launch("--rocket", "wren.toml=2", *PEOPLE)
    (folder / "wren.toml").unlink()
    if text is not None:
        (folder / "wren.toml").write_text(text, encoding="utf-8")
    served = []
    monkeypatch.setattr("bottlewright.cli.launch.serve_folder", lambda *given: served.append(given[-1]))
    done = ran("launch")
    assert (done.code, served) == (0, ["launch"]), "there is a stop on the page"
    assert "STOP: what was prepared does not hold any more" in done.out
    assert "wren.toml can't be judged now" in done.out
    assert launch().code == 1


@pytest.mark.usefixtures("folder")
def test_without_a_day_it_says_so():
    assert "No day is kept today" in launch().out
    assert json.loads(launch("--json").out) == {"kept": False}


@pytest.mark.parametrize(("more", "says"), [
    (("--rocket", "wren.toml=many", "--charge", "M. Roe"), "whole number"),
    (("--rocket", "wren.toml=1"), "an adult is in charge"),
    (("--rocket", "wren.toml=1", "--charge", "M. Roe", "--pump", "M. Roe"), "M. Roe can't be"),
    (("--rocket", "wren.toml=1", "--charge", "M. Roe", "--pump", "K", "--watch", "K"), "K can't be"),
])  # fmt: skip
def test_what_can_not_be_is_refused_and_nothing_is_written(folder, more, says):
    done = launch(*more)
    assert done.code == 2
    assert says in done.err
    assert not (folder / "logbook").exists()
