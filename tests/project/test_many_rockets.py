"""The cupboard, a filed card, the next rocket and damage: what counts, what never carries over, what is refused."""

import datetime as dt
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import bottlewright as bw
from bottlewright.errors import FieldsError, InputError
from bottlewright.flight.layout import parts_alone
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.records import VesselFile
from bottlewright.logbook.vessels import new_vessel
from bottlewright.project.as_built import filed_card
from bottlewright.project.compare import compare, view_of
from bottlewright.project.damage import damages, entered_damage, fresh_bottle, parts_that_break, said_of_damage
from bottlewright.project.editing import edited, tried
from bottlewright.project.new_file import save_new
from bottlewright.project.next_one import next_one, what_holds
from bottlewright.project.parts import entered_part
from bottlewright.project.schedule import entered_workshop, workshop_answers

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="module")
def curlew():
    return bw.read(CURLEW)


def row(project, code):
    return next(one for one in project.parts().rows if one.code == code)


# --- the cupboard --------------------------------------------------------------------------------------------------


def test_what_is_in_the_cupboard_need_not_be_bought_and_the_sum_follows(curlew):
    before = curlew.parts()
    after = edited(curlew, entered_part(curlew, {"code": "hose", "have": "1"}))
    assert (row(curlew, "hose").to_buy, row(after, "hose").to_buy) == (1, 0)
    assert before.listed.total - after.parts().listed.total == pytest.approx(14.0)
    assert row(after, "hose").cost == ""


@pytest.mark.parametrize(("typed", "price"), [("2.50", 2.5), ("2,50", 2.5), ("2.50 crowns", 2.5), ("3", 3.0)])
def test_a_price_is_taken_as_it_is_typed(curlew, typed, price):
    values = entered_part(curlew, {"code": "guide", "price": typed})
    assert values == {"prices.each.guide": price}
    assert row(edited(curlew, values), "guide").price == f"{price:.2f}"
    assert tried(curlew, values).parts().total == edited(curlew, values).parts().total


def test_a_price_here_beats_the_file_and_taken_out_the_file_counts_again(curlew):
    dear = edited(curlew, entered_part(curlew, {"code": "hose", "price": "20"}))
    assert (row(dear, "hose").price, row(dear, "hose").price_from) == ("20.00", "this design")
    back = edited(dear, entered_part(dear, {"code": "hose", "price": ""}))
    assert (row(back, "hose").price, row(back, "hose").price_from) == ("14.00", "prices.csv")


@pytest.mark.parametrize(("given_values", "field"), [
    ({"code": "hose", "price": "1,200"}, "price"), ({"code": "hose", "price": "much"}, "price"),
    ({"code": "hose", "price": "2 ducats"}, "price"), ({"code": "hose", "price": ""}, "price"),
    ({"code": "hose", "have": "-1"}, "have"), ({"code": "hose", "have": "two"}, "have"),
])  # fmt: skip
def test_a_price_or_a_count_that_can_be_read_in_two_ways_is_refused(curlew, given_values, field):
    with pytest.raises(FieldsError) as refused:
        entered_part(curlew, given_values)
    assert list(refused.value.fields) == [field]


def test_six_rockets_need_six_of_each_part_and_one_launcher(curlew):
    six = curlew.changed({"workshop.rockets": 6})
    assert (row(curlew, "fin").needed, row(six, "fin").needed) == (3, 18)
    assert row(six, "hose").needed == 1
    assert six.parts().listed.mass == curlew.parts().listed.mass


def test_comments_stay_where_prices_and_counts_are_written(curlew):
    after = edited(curlew, entered_part(curlew, {"code": "guide", "price": "2.50", "have": "1"}))
    assert "# in the barn already" in after.text
    assert curlew.digest == after.digest  # a price changes nothing that flies


# --- the workshop --------------------------------------------------------------------------------------------------


def test_hours_without_a_day_are_for_every_day_and_come_back_as_they_were_typed(curlew):
    after = edited(curlew, entered_workshop(curlew, {"hours": "10:00-12:30, 13:00 to 16:00", "rockets": "6"}))
    assert len(after.design.workshop.hours) == 14
    assert workshop_answers(after)["hours"] == "10:00-12:30, 13:00-16:00"
    assert entered_workshop(after, workshop_answers(after)) == {}


def test_a_wrong_answer_of_the_workshop_is_said_by_its_field(curlew):
    with pytest.raises(FieldsError) as refused:
        entered_workshop(curlew, {"people": "many", "begins": "25:00", "hours": "late", "rockets": "6"})
    assert sorted(refused.value.fields) == ["begins", "hours", "people"]


def test_the_list_of_the_schedule_says_who_waits_and_when_each_is_ready(curlew):
    said = curlew.changed({"workshop.rockets": 6, "workshop.people": 12}).schedule(dt.datetime(2027, 3, 1, 9, 20))
    assert [who for who, _ in said.ready_by] == [f"rocket {k}" for k in range(1, 7)]
    assert any("kitchen scale" in one.waits_for for one in said.rows)
    assert said.calendar().startswith(b"BEGIN:VCALENDAR")
    assert "Nobody counted" in " ".join(said.assumed)


# --- a card ---------------------------------------------------------------------------------------------------------


def test_a_filed_card_counts_as_measured_with_who_and_when(curlew):
    card = {"measured.dry_mass": "170 g", "measured.balance_point": "260 mm", "swings": "24.2 s ± 0.4 s",
            "measured.swing.strings": "1 m", "measured.swing.apart": "300 mm", "fins.span": "139 mm",
            "measured.by": "K. L.", "measured.day": "2027-03-20"}  # fmt: skip
    after = edited(curlew, filed_card(curlew, card))
    said = after.design.measured
    assert said.dry_mass.value == pytest.approx(0.170)
    assert (said.swing.period.value, said.swing.period.spread) == pytest.approx((2.42, 0.04))
    assert (said.by, said.day) == ("K. L.", "2027-03-20")
    assert after.design.fins.span.value == pytest.approx(0.139)


def test_a_card_with_other_fins_remembers_the_parts_that_it_was_measured_with(curlew):
    heavier = edited(curlew, filed_card(curlew, {"measured.dry_mass": "170 g", "fins.span": "160 mm"}))
    remembered = heavier.design.measured.parts_mass.value
    parts = edited(curlew, {"fins.span": "160 mm", "measured.dry_mass": None, "measured.balance_point": None})
    assert remembered == pytest.approx(parts_alone(parts.design)[0], abs=1e-4)


@pytest.mark.parametrize(("card", "fields"), [
    ({"measured.dry_mass": "heavy"}, ["measured.dry_mass"]),
    ({"swings": "24 s"}, ["measured.swing.apart", "measured.swing.strings"]),
    ({"measured.dry_mass": "170 g", "measured.day": "yesterday"}, ["measured.day"]),
])  # fmt: skip
def test_a_wrong_entry_of_a_card_is_said_by_its_name(curlew, card, fields):
    with pytest.raises(FieldsError) as refused:
        filed_card(curlew, card)
    assert sorted(refused.value.fields) == fields


def test_an_empty_card_files_nothing(curlew):
    with pytest.raises(InputError, match="nothing was measured"):
        filed_card(curlew, {"measured.by": "K. L."})


# --- damage ---------------------------------------------------------------------------------------------------------


def damaged(project, part, what="dent"):
    return edited(project, entered_damage(project, {"part": part, "what": what}))


def test_any_damage_to_the_bottle_is_a_stop_and_takes_its_pressure(curlew):
    hurt = damaged(curlew, "bottle")
    verdict = hurt.prove().verdict
    assert verdict.level == "stop"
    assert hurt.prove().act.retired
    assert "dent" in hurt.prove().act.because
    assert hurt.fly().verdict.level == "stop"


def test_nobody_writes_a_bottle_repaired_and_what_the_file_says_does_not_help(curlew):
    hurt = damaged(curlew, "bottle")
    with pytest.raises(InputError, match="nobody repairs what holds pressure"):
        said_of_damage(hurt, 0, damages(hurt)[0].words, "repaired")
    with pytest.raises(InputError, match="replaced"):
        said_of_damage(damaged(curlew, "nozzle"), 0, "nozzle: dent", "repaired")
    for done in ("repaired", "replaced"):
        assert hurt.changed({"damage.0.done": done}).prove().verdict.level == "stop"


@pytest.mark.parametrize("part", ["nozzle", "nose", "fins", "sleeve", "recovery", "launcher", "other"])
def test_other_damage_is_put_right_before_anyone_pumps_and_stays_to_be_looked_at(curlew, part):
    def levels(project):
        return {one.code: str(one.level) for one in project.prove().findings if one.stage == "Prove"}

    hurt = damaged(curlew, part)
    assert levels(hurt)["damaged-0"] == "hold"
    done = damages(hurt)[0].choices[-1]
    mended = edited(hurt, said_of_damage(hurt, 0, damages(hurt)[0].words, done))
    assert levels(mended)["mended-0"] == ("hold" if part == "launcher" else "look")
    assert not any(code.startswith("damaged") for code in levels(mended))
    told = damages(mended)[0]
    assert told.stays == (part == "nozzle")  # tests from before were of the one that broke
    if not told.stays:
        assert edited(mended, said_of_damage(mended, 0, told.words, "out")).digest == curlew.digest


@pytest.mark.parametrize(("done", "day", "tested", "counts"), [
    ("replaced", "2027-04-01", "2027-03-31", False), ("replaced", "2027-03-31", "2027-03-31", True),
    ("replaced", "2027-03-20", "2027-03-31", True), ("replaced", None, "2027-03-31", False),
    ("replaced", "2027-03-20", None, False), ("nothing", "2027-03-20", "2027-03-31", False),
    ("repaired", "2027-04-01", "2027-03-31", False),
])  # fmt: skip
def test_no_launch_rests_on_a_water_test_that_was_not_of_the_nozzle_which_is_on_the_bottle_now(
    curlew, done, day, tested, counts
):
    assert curlew.proved.allowed.gauge_Pa
    hurt = curlew.changed({"vessel.proof.0.date": tested, "damage.0.part": "nozzle", "damage.0.what": "cracked",
                           "damage.0.done": done, **({"damage.0.day": day} if day else {})})  # fmt: skip
    found = {one.code: str(one.level) for one in hurt.prove().verdict.findings}
    assert (hurt.proved.allowed.gauge_Pa is not None) is counts
    assert ("own-test-missing" in found, "test-expired" in found) == (not counts, not counts)
    if not counts:
        assert found["own-test-missing"] == "hold"
        assert {hurt.prove().verdict.level, hurt.fly().verdict.level} <= {"hold", "stop"}


def test_a_fresh_bottle_starts_without_test_launches_age_and_damage(curlew):
    hurt = edited(damaged(curlew, "bottle"), {"damage.1.part": "fins", "damage.1.what": "torn"})
    fresh = edited(hurt, fresh_bottle(hurt))
    vessel = fresh.design.written.read.vessel
    assert (vessel.proof, vessel.age, vessel.cycles, vessel.storage) == ([], None, None, None)
    assert [one.part for one in fresh.design.damage] == ["fins"]
    assert fresh.design.measured.dry_mass is None
    assert fresh.proved.allowed.gauge_Pa is None


def test_another_bottle_is_not_the_one_whose_file_the_logbook_has(curlew, tmp_path):
    given = {"id": "B07", "earlier": 0, "opened": "2027-03-01"}
    test = {"at": "2027-03-10", "pressure": "9 bar", "hold": "60 s", "medium": "water", "passed": True}
    new_vessel(tmp_path / FOLDER, VesselFile.model_validate({**given, "test": [test] * 3}))
    named = bw.project.project.parse(edited(curlew, {"vessel.id": "B07"}).text, tmp_path / "rocket.toml")
    assert len(named.design.vessel.proof) == 3, "by the file: the text has fewer"
    for other in (edited(named, fresh_bottle(named)), next_one(named, "Curlew two").project):
        assert (other.design.vessel.id, other.design.vessel.proof) == (None, [])
        assert other.proved.allowed.gauge_Pa is None
    assert "what is written on the bottle" in dict(what_holds(named)[1])


def test_tries_of_one_release_say_nothing_of_the_next_one(curlew):
    counted = edited(curlew, {"recovery.mechanism.tests.tries": 30, "recovery.mechanism.tests.confirmed_by": "K",
                              "recovery.mechanism.tests.confirmed_on": "2027-03-30"})  # fmt: skip
    assert counted.design.recovery.mechanism.tests.tries == 30
    made = next_one(counted, "Two")
    assert made.project.design.recovery.mechanism.tests.tries == 0
    assert "the counted tries of its release" in dict(made.left)
    assert made.project.design.recovery.mechanism.way == "sprung nose"


def test_a_damage_without_its_part_is_refused(curlew):
    with pytest.raises(FieldsError) as refused:
        entered_damage(curlew, {"what": ""})
    assert sorted(refused.value.fields) == ["part", "what"]
    with pytest.raises(InputError, match="does not stand there"):
        said_of_damage(curlew, 0, "bottle: dent", "out")


def test_what_is_told_of_a_part_says_who_says_so(curlew):
    assert all(source == "common practice, no source" for _, _, source in parts_that_break(curlew))


# --- the next one ---------------------------------------------------------------------------------------------------


def test_no_test_and_no_allowed_pressure_ever_carries_over(curlew):
    new = next_one(curlew, "Curlew two", "3 days").project
    assert curlew.proved.allowed.gauge_Pa > 4e5
    assert new.proved.allowed.gauge_Pa is None
    assert new.design.vessel.proof == []
    assert "own-test-missing" in [one.code for one in new.prove().findings] or new.prove().verdict.level == "stop"
    assert new.prove().act.proof


@settings(max_examples=20)
@given(st.lists(st.tuples(st.sampled_from(["3 bar", "6 bar", "9 bar"]), st.booleans(),
                          st.sampled_from(["water", "air"])), max_size=4),
       st.booleans(), st.sampled_from([None, "1 day", "2 years"]))  # fmt: skip
def test_whatever_was_tested_the_next_one_has_no_test(tests, inline, age):
    rows = [f'{{pressure="{p}", hold="60 s", passed={str(ok).lower()}, medium="{m}"}}' for p, ok, m in tests]
    blocks = "".join(f"[[vessel.proof]]\n{one.strip('{}').replace(', ', chr(10))}\n" for one in rows)
    bare = 'schema=1\nname="Bare"\n[vessel]\nbottle="carbonated-1000"\n'
    bare += (f"proof = [{', '.join(rows)}]\n" if inline else blocks) + '[charge]\npressure="3 bar"\n'
    new = next_one(bw.project.project.parse(bare), "Another", age or "").project
    assert new.design.vessel.proof == []
    assert new.proved.allowed.gauge_Pa is None


def test_it_says_what_carries_over_what_does_not_and_why(curlew):
    new = next_one(curlew, "Curlew two")
    assert any("tests" in what for what, _ in new.left)
    assert any("launcher" in what for what, _ in new.carried)
    assert (new.carried, new.left) == what_holds(curlew)
    for what, why in new.left:
        assert f"# Left out: {what}; {why}." in new.project.text
    assert new.project.design.measured.dry_mass is None
    assert new.project.design.charge.day is None


def test_what_was_measured_on_the_other_pieces_is_known_less_well(curlew):
    new = next_one(curlew, "Curlew two").project.design
    for name in ("volume", "diameter", "empty_mass"):
        old, now = getattr(curlew.design.vessel, name), getattr(new.vessel, name)
        assert now.value == pytest.approx(old.value, rel=1e-3)
        assert now.spread > old.spread


def test_damage_of_the_rocket_stays_behind_and_that_of_the_launcher_comes_along(curlew):
    hurt = damaged(damaged(damaged(curlew, "fins"), "launcher", "hose chafed"), "bottle")
    new = next_one(hurt, "Curlew two").project
    assert [(one.part, one.what) for one in new.design.damage] == [("launcher", "hose chafed")]


def test_a_copy_is_never_written_over_a_file(curlew, tmp_path):
    new = next_one(curlew, "Curlew two").project
    assert new.file.name == "curlew-two.toml"
    save_new(tmp_path / new.file.name, new.text)
    before = (tmp_path / new.file.name).read_bytes()
    with pytest.raises(InputError, match="stays as it is"):
        save_new(tmp_path / new.file.name, curlew.text)
    assert (tmp_path / new.file.name).read_bytes() == before
    assert bw.read(tmp_path / new.file.name).name == "Curlew two"


@pytest.mark.parametrize(("name", "age", "field"), [("", "", "name"), ("Curlew", "", "name"), ("New", "old", "age")])
def test_a_copy_needs_a_name_of_its_own_and_an_age_that_is_one(curlew, name, age, field):
    with pytest.raises(FieldsError) as refused:
        next_one(curlew, name, age)
    assert list(refused.value.fields) == [field]


# --- side by side ---------------------------------------------------------------------------------------------------


def test_side_by_side_each_number_is_that_of_its_own_verdict(curlew):
    new = next_one(curlew, "Curlew two").project
    found = compare([curlew, new])
    rows = {one.what: one.values for one in found.rows}
    assert rows["On the gauge"][0] == curlew.prove().act.allowed
    assert "none yet" in rows["On the gauge"][1]
    assert rows["The verdict"] == [curlew.prove().act.says, new.prove().act.says]
    assert rows["Goes up"][0] == curlew.prove().verdict.habit.distance(curlew.fly().summary["apogee_m"])
    assert "vessel.age" in [key for key, _ in found.differences]


def test_drawings_side_by_side_have_one_scale(curlew):
    short = bw.read(CURLEW.parents[1] / "dabchick" / "rocket.toml")
    svg = compare([curlew, short]).picture.drawn.figure.svg("t", "d", "x")
    bodies = [re.findall(r"-?[\d.]+", path) for path in re.findall(r'data-part="body" d="([^"]+)"', svg)]
    wide = [max(map(float, one[::2])) - min(map(float, one[::2])) for one in bodies]
    real = [float(view_of(one).station.max()) for one in (curlew, short)]
    assert real[0] > real[1] + 0.05
    assert wide[0] / real[0] == pytest.approx(wide[1] / real[1], rel=1e-3)


def test_the_heights_are_those_of_the_flights_and_each_line_has_its_name(curlew):
    lower = curlew.next_one("Curlew two").project.changed({"charge.pressure": "3 bar"})
    found = bw.compare([curlew, lower])
    sheet = found.heights.drawn.figure
    named = {one.text: one for one in sheet.words if one.text in found.names}
    assert list(named) == ["Curlew", "Curlew two"]
    assert named["Curlew"].y < named["Curlew two"].y  # higher on the sheet
    assert curlew.fly().summary["apogee_m"] > lower.fly().summary["apogee_m"]
    assert not named["Curlew"].box.meets(named["Curlew two"].box)


def test_one_or_four_designs_are_not_compared(curlew):
    for few_or_many in ([curlew], [curlew] * 4):
        with pytest.raises(InputError, match="two or three"):
            compare(few_or_many)


@pytest.mark.parametrize(("name", "why"), [
    ("a\x07b", "control character"), ("-", "rocket.toml is there already"), ("Rocket", "rocket.toml is there already"),
])  # fmt: skip
def test_a_name_that_can_not_be_the_next_ones_is_refused_beside_the_name(curlew, name, why):
    with pytest.raises(FieldsError) as refused:
        next_one(curlew, name, "3 days")
    assert list(refused.value.fields) == ["name"]
    assert why in refused.value.fields["name"]


@pytest.mark.parametrize(("name", "file"), [("Möwe 2", "möwe-2.toml"), ("Δελφίνι", "δελφίνι.toml"), ("../x", "x.toml")])
def test_a_file_is_named_after_its_rocket_in_any_alphabet_and_leads_nowhere(curlew, name, file):
    assert next_one(curlew, name).project.file == curlew.folder / file


def test_a_damage_that_is_entered_twice_by_a_double_press_stands_once(curlew):
    told = {"part": "fins", "what": "one tip broken off", "day": "2027-03-20"}
    hurt = edited(curlew, entered_damage(curlew, told))
    with pytest.raises(FieldsError, match="stands in the list already"):
        entered_damage(hurt, told)
    assert entered_damage(hurt, {**told, "what": "another tip"})
