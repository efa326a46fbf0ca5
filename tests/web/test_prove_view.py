"""The page Prove by what it posts and shows: the chain, a test entered and taken out, the sheet."""

import json
import re
import shutil
from datetime import datetime

import pytest
from conftest_web import CURLEW, TOKEN, served

import bottlewright as bw
from bottlewright.design.entries import without_entry
from bottlewright.project.content_policy import own_policy
from bottlewright.project.fields import in_words
from bottlewright.project.logbook import Logbook
from bottlewright.web.views.prove import prove

DABCHICK = CURLEW.parent / "dabchick"
HELD = {"pressure": "3.7 bar", "hold": "60 s", "medium": "water", "passed": "true", "date": "2027-03-01", "cycles": "1",
        "diameter_before": "", "diameter_after": ""}  # fmt: skip


@pytest.fixture
def dabchick(tmp_path):
    shutil.copy(DABCHICK / "rocket.toml", tmp_path)
    with served(tmp_path) as pages:
        yield pages


def file_of(pages):
    return (pages.office.folder / "rocket.toml").read_text(encoding="utf-8")


def allowed(pages):
    return pages.office.desk().proved.verdict.allowed.gauge_Pa


def wrong_fields(answer):
    assert answer.status_code == 422
    return set(json.loads(answer.headers["x-fields"]))


# --- the chain ------------------------------------------------------------------------------------------


def test_the_boxed_link_is_the_verdicts_number_and_the_page_has_no_other(curlew):
    desk = curlew.office.desk()
    page = prove(desk, "wide")
    (holder,) = (link for link in page.chain if link.holds)
    assert holder.reading_Pa == page.chain[-1].reading_Pa == desk.proved.verdict.allowed.gauge_Pa
    assert page.answer == desk.frame.verdict[1].bold == f"Not over {holder.value} on the gauge"
    shown = curlew.get("/prove").text
    assert shown.count('<li class="test holds">') == 1
    assert holder.value in shown


def test_the_strip_rounds_the_allowed_pressure_down_as_the_verdict_does(curlew):
    curlew.do("do/change", key="charge.pressure", value="65 psi")
    desk = curlew.office.desk()
    assert desk.proved.verdict.allowed.gauge_Pa / 6894.757 == pytest.approx(70.06, abs=0.01)
    assert desk.number("prove") == "70 psi"
    assert desk.frame.verdict[1].bold == "Not over 70 psi (4.83 bar) on the gauge"


def test_what_has_to_be_met_before_anyone_pumps_stands_before_the_chain(dabchick):
    shown = dabchick.get("/prove").text
    assert shown.index("Before anyone pumps") < shown.index("finding-eye-protection-unsaid")
    assert shown.index("finding-eye-protection-unsaid") < shown.index('class="chain"')
    assert shown.index('class="chain"') < shown.index("Published rules that apply")


@pytest.mark.parametrize("word", [r"\bsafe\b", r"\bOK\b", r"\bfine\b", r"\bgo\b(?! (on|in|near|together|at once))"])
def test_nothing_reassures(curlew, word):
    text = re.sub(r"<[^>]*>", " ", curlew.get("/prove").text)
    assert not re.search(word, text.replace("before you go on", ""))


# --- entering a test ------------------------------------------------------------------------------------


def test_a_test_that_held_makes_an_allowed_pressure_on_every_page(dabchick):
    assert allowed(dabchick) is None
    before = file_of(dabchick)
    assert dabchick.do("do/test", **HELD).status_code == 200
    assert allowed(dabchick) == pytest.approx(2.33e5, rel=0.01)
    for stage in ("sketch", "prove", "fly", "make"):
        assert "No pressure is allowed yet" not in dabchick.get(f"/{stage}").text
    kept = [line for line in before.splitlines() if line.strip()]
    after = [line for line in without_entry(file_of(dabchick), "vessel.proof", 0).splitlines() if line.strip()]
    assert [line for line in after if line in kept] == kept
    assert "[[vessel.proof]]" in file_of(dabchick).splitlines()
    assert dabchick.do("do/undo").status_code == 200
    assert file_of(dabchick) == before


def test_a_test_that_failed_ends_the_bottle(dabchick):
    assert dabchick.do("do/test", **{**HELD, "passed": "false"}).status_code == 200
    assert dabchick.office.desk().proved.verdict.level == "stop"
    assert allowed(dabchick) == 0.0
    assert "No test for this bottle" in dabchick.get("/prove").text
    assert "No proof test for this bottle" in dabchick.get("/sheet/proof-test.html").text


@pytest.mark.parametrize(
    ("given", "wrong"),
    [({"pressure": "5.6"}, {"pressure"}), ({"pressure": "5.6 parsec", "hold": "long"}, {"pressure", "hold"}),
     ({"pressure": "", "passed": ""}, {"pressure", "passed"}), ({"medium": ""}, {"medium"}),
     ({"date": "31.3.27"}, {"date"}), ({"cycles": "a few"}, {"cycles"}),
     ({"diameter_after": "9 kg"}, {"diameter_after"}),
     ({"medium": "milk"}, {"medium"}), ({"passed": "perhaps"}, {"passed"}), ({"pressure": "900 bar"}, {"pressure"})],
)  # fmt: skip
def test_what_is_wrong_with_a_test_is_said_by_its_field_and_nothing_is_written(dabchick, given, wrong):
    before = file_of(dabchick)
    answer = dabchick.do("do/test", **{**HELD, **given})
    assert wrong_fields(answer) == wrong
    assert file_of(dabchick) == before
    assert allowed(dabchick) is None


def test_a_key_of_ones_own_making_writes_nothing(dabchick):
    dabchick.do("do/test", **HELD, **{"hold = 1\n[site]\nname": "x"})
    assert "[site]\nname = \"x\"" not in file_of(dabchick)


def test_the_count_of_the_bottle_rises_to_that_of_its_test(curlew):
    assert curlew.do("do/test", **{**HELD, "cycles": "6", "date": "2027-04-01"}).status_code == 200
    assert curlew.office.job.project.value("vessel.cycles") == 6
    assert "cycles = 4                          # this test was the fourth time" in file_of(curlew)


def test_pressing_twice_enters_one_test_after_the_other_as_it_was_asked(dabchick):
    for _ in range(2):
        dabchick.do("do/test", **HELD)
    assert file_of(dabchick).count("[[vessel.proof]]") == 2


# --- taking one out -------------------------------------------------------------------------------------


def test_a_test_entered_wrongly_is_taken_out_and_nothing_else(curlew):
    before = file_of(curlew)
    words = curlew.office.desk().proved.tests()[0][0]
    assert words in curlew.get("/prove").text
    assert curlew.do("do/take-out-test", number="0", words=words).status_code == 200
    assert allowed(curlew) is None
    after = file_of(curlew)
    assert "[[vessel.proof]]" not in after
    assert after == re.sub(r"\[\[vessel.proof\]\]\n(\S.*\n)*\n", "", before)


@pytest.mark.parametrize("given", [{"number": "1"}, {"number": "-1"}, {"number": "x"}, {}])
def test_a_test_that_is_not_there_is_not_taken_out(curlew, given):
    before, words = file_of(curlew), curlew.office.desk().proved.tests()[0][0]
    assert curlew.do("do/take-out-test", **{"words": words, **given}).status_code == 422
    assert file_of(curlew) == before


def test_another_test_in_its_place_is_not_taken_out(curlew):
    words = curlew.office.desk().proved.tests()[0][0]
    curlew.do("do/change", key="vessel.proof.0.pressure", value="8 bar")
    assert curlew.do("do/take-out-test", number="0", words=words).status_code == 422
    assert "8 bar" in file_of(curlew)


# --- equipment and the sheet ----------------------------------------------------------------------------


def test_stakes_are_asked_for_and_none_is_a_stop(dabchick):
    assert dabchick.do("do/change", key="launcher.stakes.count", value="0").status_code == 200
    assert "no-pegging" in {one.code for one in dabchick.office.desk().proved.findings}
    assert dabchick.do("do/change", key="launcher.stakes.count", value="").status_code == 200
    assert "pegging-unsaid" in {one.code for one in dabchick.office.desk().proved.findings}


def test_regulator_and_relief_valve_are_asked_for_with_a_compressor_only(curlew):
    assert "relief valve" not in curlew.get("/prove").text.partition('id="equipment"')[2].partition("</section>")[0]
    curlew.do("do/change", key="launcher.pump.kind", value="compressor")
    assert "relief valve" in curlew.get("/prove").text.partition('id="equipment"')[2].partition("</section>")[0]


def test_the_sheet_keeps_its_style_and_may_load_nothing(curlew):
    answer = curlew.get("/sheet/proof-test.html")
    assert answer.status_code == 200
    assert answer.text == curlew.office.desk().proved.sheet()
    policy = answer.headers["content-security-policy"]
    assert policy == f"{own_policy(answer.text)}; frame-ancestors 'none'"
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert "unsafe" not in policy
    assert not re.search(r"\sstyle=|<script", answer.text)
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert TOKEN not in answer.text


def test_page_and_sheet_plan_one_test(curlew):
    plan = curlew.office.desk().proved.next_test().plan
    for shown in (curlew.get("/prove").text, curlew.get("/sheet/proof-test.html").text):
        for words in (plan.proof, plan.ceiling, plan.floor, plan.people, plan.spectators, plan.break_chance):
            assert words in shown
    assert plan.proof == curlew.office.desk().proved.act.proof


def test_without_a_design_there_is_no_sheet(empty):
    assert empty.get("/sheet/proof-test.html").status_code == 404


def test_a_test_harder_than_any_that_is_planned_has_to_be_meant(dabchick):
    hard = {**HELD, "pressure": "12 bar"}
    answer = dabchick.do("do/test", **hard)
    assert answer.status_code == 422
    assert "never tested harder" in json.loads(answer.headers["X-Fields"])["pressure"]
    assert not dabchick.office.job.project.design.vessel.proof
    assert dabchick.do("do/test", **hard, sure="yes").status_code == 200


def test_whoever_plans_within_what_is_allowed_is_not_tempted_to_a_harder_test(curlew):
    assert not curlew.office.desk().proved.next_test().raises
    assert "would raise the rating" not in curlew.get("/prove").text
    curlew.do("do/change", key="charge.pressure", value="6 bar")
    assert curlew.office.desk().proved.next_test().raises


def test_every_hold_point_stands_on_the_page_and_people_have_their_fields(dabchick):
    desk = dabchick.office.desk()
    page = prove(desk, "wide")
    holds = {one.code for one in desk.proved.findings if str(one.level) in ("stop", "hold")}
    assert {one.code for one in page.urgent} == holds
    assert {one.key for _, fields in page.groups for one in fields} >= {
        "launcher.crew.spectators", "workshop.children_per_adult"}  # fmt: skip


def test_no_hold_point_of_a_first_rocket_sends_a_person_into_the_file():
    found = bw.begin(bottle="carbonated-1500", pressure="2 bar").prove().verdict.findings
    remedies = [in_words(one.remedy) for one in found if str(one.level) == "hold"]
    assert len(remedies) == 8
    assert not [one for one in remedies if re.search(r"[a-z]\.[a-z]| = ", one)]


def test_beside_a_typed_age_and_beside_eye_protection_stands_what_the_answer_changes(dabchick):
    assert "Without this answer" in dabchick.get("/prove").text  # its age stands in the file
    dabchick.do("do/change", key="vessel.age", value="")
    bare = dabchick.get("/prove").text
    assert "first water test" not in bare
    dabchick.do("do/change", key="launcher.crew.eye_protection", value="true")
    said = dabchick.get("/prove").text
    assert re.search(r"Everyone near wears eye protection.*?Without this answer.*?at a launch.*?→", said, re.DOTALL)


def test_no_finding_on_a_page_asks_for_a_key_that_the_page_has_a_field_for(dabchick):
    for page in ("prove", "sketch", "fly"):
        said = dabchick.get(f"/{page}").text
        found = re.findall(r'<article class="finding.*?</article>', said, re.DOTALL)
        words = re.sub(r"<[^>]*>", " ", " ".join(found))
        assert re.findall(r"vessel\.(?:age|cycles|proof)|launcher\.crew|charge\.\w+|workshop\.\w+|--set", words) == []
    assert "“opened for”" in dabchick.get("/prove").text


def test_a_name_without_a_file_says_at_once_that_the_test_waits_and_a_button_begins_the_file(curlew):
    allowed = curlew.office.desk().proved.verdict.allowed.gauge_Pa
    curlew.do("do/change", key="vessel.id", value="B07")
    page = curlew.get("/prove").text
    assert "Nobody knows bottle B07: there is no file logbook/vessels/B07.toml of it." in page
    assert "A test at 7.5 bar on 2027-03-31: it stands in the design and counts for nothing" in page
    assert "Begin its file, with this test and its count" in page
    assert "None stands in" not in page
    refused = curlew.do("do/begin-bottle")
    assert refused.status_code == 422
    assert "X-Fields" in refused.headers
    assert curlew.do("do/begin-bottle", this="yes").status_code == 200
    page = curlew.get("/prove").text
    assert 'id="no-file"' not in page
    assert "none stands in" not in page.lower()
    assert "logbook/vessels/B07.toml" in page
    assert curlew.office.desk().proved.verdict.allowed.gauge_Pa == pytest.approx(allowed, abs=1.0)
    curlew.do("do/undo")
    assert curlew.office.desk().proved.verdict.allowed.gauge_Pa == pytest.approx(allowed, abs=1.0)


# --- a test of a bottle that has its own file -----------------------------------------------------------


ITS_TEST = {name: text for name, text in HELD.items() if name != "cycles"}


@pytest.fixture
def of_its_own(dabchick, monkeypatch):
    """Return the pages of a rocket whose bottle has its own file, not tested yet, on the evening of that day."""
    monkeypatch.setattr("bottlewright.project.logbook.now", lambda: datetime(2027, 3, 1, 18))
    for key, value in (("vessel.cycles", "0"), ("vessel.id", "D1")):
        assert dabchick.do("do/change", key=key, value=value).status_code == 200
    assert dabchick.do("do/begin-bottle", this="yes").status_code == 200
    return dabchick


def bottle_of(pages):
    return (pages.office.folder / "logbook" / "vessels" / "D1.toml").read_text(encoding="utf-8")


def test_a_bottle_with_its_own_file_is_tested_by_a_press_and_the_test_goes_into_that_file(of_its_own):
    design = file_of(of_its_own)
    assert allowed(of_its_own) is None
    page = of_its_own.get("/prove").text
    assert 'name="cycles"' not in re.search(r'<form id="enter-test".*?</form>', page, re.DOTALL)[0], "the file counts"
    assert "It is written into this bottle’s own file, logbook/vessels/D1.toml" in page
    assert of_its_own.do("do/test", **ITS_TEST).status_code == 200
    assert allowed(of_its_own) == pytest.approx(2.33e5, rel=0.02)
    assert file_of(of_its_own) == design, "the design says nothing of it"
    assert bottle_of(of_its_own).count("[[test]]") == 1
    page = of_its_own.get("/prove").text
    assert "Take out: entered wrongly" not in page, "a file is put right by hand"
    assert of_its_own.do("do/undo").status_code == 200
    assert bottle_of(of_its_own).count("[[test]]") == 1, "undo is of the design"


@pytest.mark.parametrize(("given", "wrong"), [
    ({"pressure": "5.6"}, {"pressure"}), ({"pressure": "", "passed": ""}, {"pressure", "passed"}),
    ({"medium": ""}, {"medium"}), ({"medium": "milk"}, {"medium"}), ({"passed": "perhaps"}, {"passed"}),
    ({"date": "31.3.27"}, {"date"}), ({"date": "2999-01-01"}, {"date"}), ({"hold": "long"}, {"hold"}),
    ({"diameter_after": "9 kg"}, {"diameter_after"}), ({"pressure": "12 bar"}, {"pressure"}),
])  # fmt: skip
def test_what_the_command_refuses_the_press_refuses_by_its_field_and_the_file_stays(of_its_own, given, wrong):
    before = bottle_of(of_its_own)
    assert wrong_fields(of_its_own.do("do/test", **{**ITS_TEST, **given})) == wrong
    assert bottle_of(of_its_own) == before
    assert allowed(of_its_own) is None


def test_a_test_on_a_day_on_which_the_bottle_was_pumped_besides_says_when_it_was(of_its_own):
    Logbook(of_its_own.office.folder).enter("D1", "pumped", {"at": "2027-03-01T10:00:00", "ended": "vented"})
    answer = of_its_own.do("do/test", **ITS_TEST)
    assert "this bottle was under pressure on that day besides" in json.loads(answer.headers["X-Fields"])["date"]
    assert of_its_own.do("do/test", **{**ITS_TEST, "date": "2027-03-01T14:05"}).status_code == 200
    (tested,) = of_its_own.office.job.project.design.vessel.proof
    assert tested.cycles == 2, "pumped in the morning, and then this test"


def test_a_test_that_failed_retires_the_bottle_in_its_own_file(of_its_own):
    assert of_its_own.do("do/test", **{**ITS_TEST, "passed": "false"}).status_code == 200
    assert allowed(of_its_own) == 0.0
    assert "No test for this bottle" in of_its_own.get("/prove").text
