"""A day keeps the numbers with which it was prepared: where the design now allows less, the page of the day says so."""

import time
from dataclasses import replace

import pytest
from conftest_web import CURLEW
from launch_folder import Said, kept_day, plan, posted, rocket, served_day

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.findings import Level
from bottlewright.logbook.day_plan import ROLES
from bottlewright.project.day_against_design import asked_now, bars_now, worse
from bottlewright.project.launch_day import Speaker
from bottlewright.project.logbook import Logbook

BAR = 1e5


def test_no_pressure_now_stands_against_a_day_that_names_one():
    (told,) = worse(rocket("Curlew", "B07"), None, {})
    assert told.startswith("no pressure is allowed now, where this day says 4.8 bar")


def test_a_stop_found_since_then_is_told_and_one_known_before_is_not_told_again():
    known = rocket("Curlew", "B07", stops=("unstable",))
    told = worse(known, 4.8 * BAR, {"unstable": "it turns over", "torn": "the canopy tears"})
    assert told == ["stop: the canopy tears"]
    assert worse(known, 4.8 * BAR, {"pumper-near": "people stand too near", "crowd-near": "people stand too near"}) == [
        "stop: people stand too near"], "one sentence once, whichever findings say it"


@pytest.mark.parametrize("now", [4.8 * BAR, 5.0 * BAR])
def test_as_much_or_more_than_the_day_says_is_nothing_against_it(now):
    assert worse(rocket("Curlew", "B07"), now, {}) == []


def told_on_the_day(pages, devices, text):
    until = time.monotonic() + 60
    while text not in read(pages) and time.monotonic() < until:
        time.sleep(0.5)
    return all(text in read(device) for device in devices)


def read(device):
    return device.get("/launch").text.replace("\u00a0", " ")


def of_curlew(**given):
    return plan(rocket("Curlew", "B07", file="rocket.toml", **given))


def test_a_rocket_planned_for_more_than_its_design_now_allows_is_told_of_and_not_filled(tmp_path):
    known = of_curlew(allowed_Pa=6.0 * BAR, planned_Pa=5.5 * BAR)
    with served_day(tmp_path, known, ("pump",)) as (pages, phones):
        assert told_on_the_day(pages, (pages, phones["pump"][0]), "not over 4.83 bar (70 psi) is allowed now")
        assert "Nobody pumps it by the numbers of this day" in pages.get("/launch").text
        said = Said(pages.office.launch)
        said.to("inspected")
        refused = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="load", entry="late")
        assert refused.status_code == 422
        assert "not over 4.83 bar" in refused.text
        assert "prepare the day anew" in refused.text
        assert said.state() == "inspected"


def test_a_little_less_allowed_after_each_launch_is_told_and_hinders_nobody_while_the_plan_stays_below(tmp_path):
    known = of_curlew(allowed_Pa=4.9 * BAR, planned_Pa=4.5 * BAR)
    with served_day(tmp_path, known, ("pump",)) as (pages, phones):
        said = Said(pages.office.launch)
        said.to("inspected")
        assert told_on_the_day(pages, (pages, phones["pump"][0]), "The day was prepared with 4.9 bar")
        page = phones["pump"][0].get("/launch").text
        assert "4.83" in page.partition('id="step"')[0]
        assert "Nobody pumps it by the numbers of this day" not in page
        filled = posted(pages, "/do/day", phones["pump"], what="step", rocket="Curlew", event="load", entry="next")
        assert filled.status_code == 200
        assert said.state() == "loaded"


def test_whoever_asks_the_day_is_refused_what_the_design_bars(tmp_path):
    (tmp_path / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    kept = kept_day(tmp_path, of_curlew(allowed_Pa=6.0 * BAR, planned_Pa=5.5 * BAR))
    said = Said(kept).to("inspected")
    with pytest.raises(InputError, match=r"not over 4\.83 bar"):
        said.step("load")
    step = {"what": "step", "rocket": "Curlew", "event": "load", "entry": "own", "at": "2027-04-01T12:05:00",
            "by": "K", "role": "pump"}  # fmt: skip
    refusal = Logbook(tmp_path).day("2027-04-01").say(step)
    assert "not over 4.83 bar" in refusal.why
    kept.stop({"entry": "halt"}, Speaker("K", "pump", "phone-pump"))
    assert kept.day.stop, "a stop asks no design"


def test_an_overshoot_is_held_to_the_lesser_of_what_the_day_and_the_design_of_now_allow(tmp_path):
    (tmp_path / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    kept = kept_day(tmp_path, of_curlew(allowed_Pa=4.9 * BAR, planned_Pa=4.5 * BAR))  # the design allows 4.83 now
    said = Said(kept).to("pressurising")
    said.say("reading", "pump", rocket="Curlew", pressure="4.82 bar")
    assert said.state() == "pressurising"
    said.say("reading", "pump", rocket="Curlew", pressure="4.86 bar")
    assert said.state() == "stop"
    assert kept.day.stop == "overshoot: 4.86 bar on the gauge"
    assert kept.screen("pump", "phone-pump").rocket.now.less_Pa == pytest.approx(4.83 * BAR, abs=0.01 * BAR)
    again = Logbook(tmp_path).day("2027-04-01").day
    assert again == kept.day, "the limit stands in the journal"


def test_where_the_design_allows_as_much_as_the_day_says_the_day_s_own_limit_counts(tmp_path):
    (tmp_path / "rocket.toml").write_bytes((CURLEW / "rocket.toml").read_bytes())
    said = Said(kept_day(tmp_path, of_curlew(allowed_Pa=4.6 * BAR, planned_Pa=4.5 * BAR))).to("pressurising")
    said.say("reading", "pump", rocket="Curlew", pressure="4.55 bar")
    assert said.state() == "pressurising"
    said.say("reading", "pump", rocket="Curlew", pressure="4.7 bar")
    assert said.state() == "stop"


def test_a_design_that_is_gone_or_another_bars_its_rocket():
    def judge(_):
        raise InputError("there is no such file")

    gone = rocket("Curlew", "B07", file="gone.toml")
    assert asked_now(gone, "load", judge).against == ("gone.toml can't be judged now: there is no such file",)
    assert asked_now(gone, "vent", judge).against == (), "pressure comes off anyhow"
    project = bw.read(CURLEW / "rocket.toml")
    other = asked_now(rocket("Wren", "B07", file="rocket.toml"), "load", lambda _: (project, project.verdict()))
    assert other.against == ("rocket.toml is the design of Curlew now",)


def test_with_pressure_on_what_this_time_itself_brings_about_stops_nobody_and_anything_else_does():
    verdict = bw.read(CURLEW / "rocket.toml").verdict()
    finding = verdict.findings[0]
    counted = [replace(finding, level=Level.STOP, code=code) for code in ("over-rated-pressure", "retire")]
    known = rocket("Curlew", "B07", planned_Pa=4.9 * BAR)
    after = replace(verdict, findings=(*verdict.findings, *counted))
    assert bars_now(known, after, pressed=True) == []
    assert bars_now(known, after) != []
    softened = replace(finding, level=Level.STOP, code="stored-hot", hazard="it lost strength")
    assert bars_now(known, replace(after, findings=(*after.findings, softened)), pressed=True) == [
        "stop: It lost strength"]  # fmt: skip


def test_whoever_has_to_stand_further_off_now_than_the_day_says_is_told_and_nobody_goes_on():
    verdict = bw.read(CURLEW / "rocket.toml").verdict()
    asked = {role: verdict.distances.asked(role) for role in ROLES}
    known = rocket("Curlew", "B07", away_m=asked)
    assert bars_now(known, verdict) == []
    assert bars_now(replace(known, away_m={role: far + 1.0 for role, far in asked.items()}), verdict) == [], "nearer"
    near, far = replace(known, away_m={**asked, "pumper": asked["pumper"] - 1.0}), verdict.habit.stand_back
    for pressed in (False, True):
        (told,) = bars_now(near, verdict, pressed)
        assert told.startswith(f"whoever pumps: {far(asked['pumper'])} or more from the launcher now, where this day")
    nowhere = replace(verdict, distances=replace(verdict.distances, spectators=(), operator_m=None))
    (told,) = bars_now(replace(known, away_m={"operator": 9.0}), nowhere)
    assert told.startswith("whoever pulls the cord: has no place that will do now")


def test_with_several_designs_and_none_open_a_phone_saves_the_page_of_the_rocket_whose_turn_it_is(tmp_path):
    known = plan(rocket("Curlew", "B07", file="rocket.toml"))
    with served_day(tmp_path, known, ("pump",)) as (pages, phones):
        pages.office.job = None
        saved = phones["pump"][0].get("/day?save=yes")
        assert saved.status_code == 200
        assert "field-curlew.html" in saved.headers["content-disposition"]
