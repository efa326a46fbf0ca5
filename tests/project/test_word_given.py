"""What ends a bottle, or speaks for it, no single press changes: a word with a day, a test with its bottle."""

import datetime as dt

import pytest

import bottlewright as bw
from bottlewright.errors import FieldsError, InputError
from bottlewright.project.damage import damages, entered_damage, said_of_damage
from bottlewright.project.editing import edited
from bottlewright.project.proof_test import entered_test

TODAY = dt.date.today().isoformat()
TEST = {"pressure": "7 bar", "hold": "60 s", "medium": "water", "passed": "true", "date": TODAY, "cycles": "5"}


@pytest.fixture(scope="module")
def curlew():
    return bw.read("examples/curlew/rocket.toml")


def codes(project):
    return {one.code: str(one.level) for one in project.prove().findings}


def damaged(project, part):
    return edited(project, entered_damage(project, {"part": part, "what": "dent", "day": "2026-01-05"}))


# --- a damage taken back ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", ["bottle", "nozzle"])
@pytest.mark.parametrize(("by", "on", "wrong"), [
    ("", TODAY, ["by"]), ("K. L.", "", ["on"]), ("K. L.", "yesterday", ["on"]), ("K. L.", "2999-01-01", ["on"]),
    ("K. L.", "2026-01-04", ["on"]), ("", "", ["by", "on"]),
])  # fmt: skip
def test_damage_to_what_holds_pressure_is_taken_back_by_nobodys_press_alone(curlew, part, by, on, wrong):
    hurt = damaged(curlew, part)
    with pytest.raises(FieldsError) as refused:
        said_of_damage(hurt, 0, damages(hurt)[0].words, "out", by, on)
    assert sorted(refused.value.fields) == wrong


def test_what_comes_back_is_said_before_it_is_pressed_and_is_what_counts_then(curlew):
    hurt = damaged(curlew, "bottle")
    told = damages(hurt)[0]
    assert curlew.prove().act.allowed in told.comes_back
    assert "its test from before count" in told.comes_back
    back = edited(hurt, said_of_damage(hurt, 0, told.words, "out", " K.  L. ", TODAY))
    assert back.prove().act.allowed == curlew.prove().act.allowed
    assert back.design.damage[0].withdrawn_by == "K. L."


def test_a_replaced_nozzle_stays_in_the_list_and_its_earlier_tests_do_not_come_back(curlew):
    hurt = damaged(curlew, "nozzle")
    mended = edited(hurt, said_of_damage(hurt, 0, damages(hurt)[0].words, "replaced"))
    told = damages(mended)[0]
    assert told.stays
    with pytest.raises(InputError, match="tests from before were of the part that broke"):
        said_of_damage(mended, 0, told.words, "out", "K. L.", TODAY)
    assert not damages(edited(curlew, entered_damage(curlew, {"part": "fins", "what": "crack"})))[0].stays


def test_a_damage_taken_back_stays_in_the_list_with_the_name_and_asks_for_a_second_look(curlew):
    hurt = damaged(curlew, "bottle")
    assert codes(hurt)["damaged-0"] == "stop"
    back = edited(hurt, said_of_damage(hurt, 0, damages(hurt)[0].words, "out", "K. L.", TODAY))
    assert "damaged-0" not in codes(back)
    assert codes(back)["withdrawn-0"] == "look"
    assert damages(back)[0].withdrawn == f"K. L. took it back on {TODAY}"
    half = hurt.changed({"damage.0.withdrawn_by": "K. L."})
    assert codes(half)["damaged-0"] == "stop", "a name without a day takes nothing back"


# --- a test and its bottle -------------------------------------------------------------------------------------------


def test_a_test_entered_on_the_page_remembers_its_bottle(curlew):
    kept = entered_test(curlew, TEST)
    assert kept["vessel.proof.1.bottle"] == "carbonated-1500"
    assert kept["vessel.proof.1.volume"].startswith("1548 mL")
    assert kept["vessel.proof.1.count"] == 1


@pytest.mark.parametrize(("changed", "doubted"), [
    ({"vessel.bottle": "still-1500"}, True), ({"vessel.volume": "2 L"}, True),
    ({"vessel.count": 2, "measured.dry_mass": None}, True), ({"vessel.volume": "1551 mL"}, False),
    ({"vessel.age": "41 days"}, False),
])  # fmt: skip
def test_a_test_counts_no_more_once_another_bottle_stands_in_the_file(curlew, changed, doubted):
    told = curlew.changed({
        "vessel.proof.0.bottle": "carbonated-1500", "vessel.proof.0.volume": "1548 mL ± 4 mL",
        "vessel.proof.0.count": 1,
        "vessel.proof.0.diameter_before": None, "vessel.proof.0.diameter_after": None,
    })  # fmt: skip
    assert "test-of-another-bottle" not in codes(told)
    other = told.changed(changed)
    assert ("test-of-another-bottle" in codes(other)) is doubted
    if doubted:
        assert other.prove().act.allowed != told.prove().act.allowed


def test_a_test_that_does_not_say_whose_it_was_is_said_to_be_unchecked(curlew):
    silent = curlew.changed({"vessel.proof.0.diameter_before": None, "vessel.proof.0.diameter_after": None})
    assert codes(silent)["test-bottle-unsaid"] == "unchecked"
    assert "test-bottle-unsaid" not in codes(curlew), "its width was measured"
    assert "test-bottle-unsaid" not in codes(silent.changed({"vessel.proof.0.bottle": "1.5 litre fizzy"}))
