"""A design with its verdict as a rocket of the day: every number is the verdict's, nothing is worked out again."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

import bottlewright as bw
from bottlewright.field.numbers import LimitAt
from bottlewright.logbook.day_plan import DayPlan, plan_json, plan_of, rocket_of
from bottlewright.logbook.day_wind import wind_limit_words
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.records import Pressurised, VesselFile, VesselTest
from bottlewright.logbook.vessels import add_entries, new_vessel
from bottlewright.make.template_values import words_of
from bottlewright.project.logbook import Logbook
from bottlewright.proof.gauge_error import true_at_most
from bottlewright.report.act_on import people_rows
from bottlewright.verdict import act_on, verdict_lines

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
TEST = VesselTest.model_validate({"entry": "t1", "at": "2027-03-06T10:00:00", "pressure": "7.5 bar", "hold": "60 s",
                                  "medium": "water", "passed": True})


@pytest.fixture
def named(tmp_path):
    """Return what reads Curlew on a bottle with a file of its own, of which the design says nothing any more."""
    new_vessel(tmp_path / FOLDER, VesselFile(id="B07", opened="2027-02-18", earlier=0, test=[TEST]))
    for name in CURLEW.parent.iterdir():
        if name.is_file():
            (tmp_path / name.name).write_bytes(name.read_bytes())
    own = dict.fromkeys(("vessel.age", "vessel.cycles", "vessel.surface", "vessel.proof", "vessel.storage"))
    return lambda: bw.read(tmp_path / "rocket.toml").changed({"vessel.id": "B07", "charge.day": "2027-03-20", **own})


def test_its_numbers_are_those_of_the_verdict(named):
    project = named()
    verdict, rocket = project.verdict(), Logbook(named().folder).rocket(project, "A")
    assert (rocket.allowed_Pa, rocket.basis) == (verdict.allowed.gauge_Pa, verdict.allowed.because)
    assert rocket.planned_Pa == verdict.planned.gauge_Pa
    assert rocket.gauge_error_Pa == true_at_most(project.design, rocket.planned_Pa) - rocket.planned_Pa > 0.0
    assert (rocket.vessel, rocket.unknown, rocket.retired, rocket.tested, rocket.cycles) == ("B07", "", "", True, 1)
    assert rocket.looks == tuple(one.code for one in verdict.findings if one.level == "look")
    assert rocket.wind_limit_m_s is None  # nobody has worked out its landings


def test_the_paper_and_the_day_say_the_same_limits_of_the_wind(named):
    project = named()
    limits = tuple(LimitAt(30.0 * k, 3.0 if k == 2 else 6.8, 10.0) for k in range(12))
    verdict = replace(project.verdict(), wind_limits=limits)
    rocket = rocket_of(project.design, verdict, "A")
    assert (rocket.wind_limit_m_s, rocket.wind_from) == (6.8, pytest.approx((240.0, 20.0)))
    said = wind_limit_words(rocket)
    assert re.match(r"[\d.]+ m/s while it comes from WSW \(240° ± 20°\); from any other direction down to [\d.]+ m/s "
                    r"\(ENE\); in the hand, 1.5 m up; that is 6.8 m/s and 3 m/s at 10 m$", said)
    act = act_on(verdict)
    assert words_of(act)["wind_limit"] == said, "checklist and card"
    assert f"{act.wind}; {act.wind_because}".startswith(said), "first page of the pack"
    assert said in " ".join(verdict_lines(verdict)), "each command"
    unknown = rocket_of(project.design, replace(verdict, coming=None), "A")
    assert (unknown.wind_limit_m_s, unknown.wind_from) == (3.0, ())


def test_who_stands_where_is_what_paper_and_field_say_and_outlives_the_journal(named):
    project = named()
    rocket, act = Logbook(named().folder).rocket(project, "A"), act_on(project.verdict())
    assert rocket.water == act.water == "365 mL", "the page of the day says what card and checklist say"
    assert rocket.stand == tuple(people_rows(act))
    assert rocket.stand[0][:2] == ("whoever pumps", act.pumper)
    assert rocket.away_m["operator"] == project.verdict().distances.rule_operator_m > 0.0
    told = json.loads(json.dumps(plan_json(DayPlan({rocket.name: rocket}, {}))))
    assert plan_of(told).rockets[rocket.name] == rocket


def test_a_test_lasts_ten_times_and_each_launch_takes_one(named):
    book = Logbook(named().folder)
    assert book.rocket(named(), "A").test_left == 10
    add_entries(book.folder, "B07", [Pressurised.model_validate({"entry": f"p{number}", "at": f"2027-03-1{number}",
                                                                 "ended": "launched"}) for number in range(4)])
    rocket = book.rocket(named(), "A")
    assert (rocket.test_left, rocket.cycles, rocket.cycles_left) == (6, 5, 10)


def test_a_design_without_a_named_bottle_is_not_loaded():
    rocket = Logbook(CURLEW.parent).rocket(bw.read(CURLEW), "A")
    assert rocket.unknown.startswith("nothing is written on it: ")
    assert "vessel.id" in rocket.unknown


def test_a_retired_bottle_and_an_untested_one_are_told_apart(named):
    book = Logbook(named().folder)
    add_entries(book.folder, "B07", [TEST.model_copy(update={"entry": "t2", "passed": False})])
    assert "failed a test" in book.rocket(named(), "A").retired
    (book.folder / "vessels" / "B07.toml").write_text('schema = 1\nid = "B07"\nearlier = 0\n', encoding="utf-8")
    rocket = book.rocket(named(), "A")
    assert (rocket.retired, rocket.tested, rocket.allowed_Pa, rocket.test_left) == ("", False, None, 0)


def test_a_day_is_kept_beside_the_designs(named):
    book = Logbook(named().folder)
    day = book.day("2027-03-20")
    assert day.folder == book.folder
    assert day.day.rockets == {}
