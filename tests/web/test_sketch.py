"""What the page Sketch shows and takes, without a browser."""

import html
import re

import pytest

import bottlewright as bw
from bottlewright.project.fields import OTHER_BOTTLE, fields_of


def text_of(answer):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text)))


def file_of(pages):
    return bw.read(pages.office.job.file)


# --- the hand on a grip --------------------------------------------------------------------------------------------


def test_a_drag_that_rests_on_its_way_is_one_entry_of_undo(curlew):
    for length in (141, 150, 166):  # `do` waits until each is written
        assert curlew.do("do/change", key="fins.span", value=f"{length} mm", spread="1 mm", drag="1").status_code == 200
        assert file_of(curlew).value("fins.span").text == f"{length} mm ± 1 mm"
    curlew.do("do/change", key="fins.span", value="167 mm", spread="1 mm", drag="")
    curlew.do("do/undo")
    assert file_of(curlew).value("fins.span").text == "140 mm ± 1 mm"
    assert not curlew.office.job.can_undo


def test_two_drags_are_two_entries(curlew):
    for length in (150, 160):
        curlew.do("do/change", key="fins.span", value=f"{length - 1} mm", drag="1")
        curlew.do("do/change", key="fins.span", value=f"{length} mm", drag="")
    curlew.do("do/undo")
    assert file_of(curlew).value("fins.span").text == "150 mm"


def test_another_hands_change_ends_a_drag(curlew):
    curlew.do("do/change", key="fins.span", value="150 mm", drag="1")
    assert curlew.office.job.held is not None
    curlew.do("do/change", key="charge.water", value="300 mL")
    assert curlew.office.job.held is None
    curlew.do("do/undo")
    assert file_of(curlew).value("fins.span").text == "150 mm"


@pytest.mark.parametrize("what", ["undo", "redo"])
def test_undo_lets_go_of_a_grip(curlew, what):
    curlew.do("do/change", key="charge.water", value="300 mL")
    curlew.do("do/undo")
    if what == "undo":
        curlew.do("do/change", key="fins.span", value="150 mm", drag="1")
    curlew.do(f"do/{what}")
    assert curlew.office.job.held is None


# --- how sure, and from where --------------------------------------------------------------------------------------


def test_whoever_says_a_ruler_gets_its_plus_or_minus_and_it_stays_editable(curlew):
    assert curlew.do("do/sure", key="fins.position", how="with a ruler").status_code == 200
    assert file_of(curlew).value("fins.position").text == "390 mm ± 1 mm"
    curlew.do("do/change", key="fins.position", value="390 mm", spread="4 mm")
    assert file_of(curlew).value("fins.position").text == "390 mm ± 4 mm"


def shown(curlew, key):
    return next(one.spread for one in fields_of(curlew.office.job.project, [(key, "")]))


def test_a_filled_in_plus_or_minus_stays_with_the_value_that_it_was_for(curlew):
    """A gauge of 4.5 bar is read as well as 0.135 bar; at 60 psi nobody has claimed those 0.135 bar."""
    curlew.do("do/change", key="charge.pressure", value="4.5 bar", spread="")
    filled = shown(curlew, "charge.pressure")
    curlew.do("do/change", key="charge.pressure", value="60 psi", spread=filled)
    assert file_of(curlew).value("charge.pressure").text == "60 psi"
    assert shown(curlew, "charge.pressure") != filled
    curlew.do("do/change", key="charge.pressure", value="60 psi", spread="2 psi")  # now somebody has
    curlew.do("do/change", key="charge.pressure", value="50 psi", spread="2 psi")
    assert file_of(curlew).value("charge.pressure").text == "50 psi ± 2 psi"


def test_the_plus_or_minus_of_the_table_is_no_measurement_of_this_bottle(curlew):
    curlew.do("do/change", key="vessel.volume", value="", spread="")
    curlew.do("do/change", key="vessel.volume", value="1520 mL", spread=shown(curlew, "vessel.volume"))
    assert file_of(curlew).value("vessel.volume").text == "1520 mL"


def test_an_emptied_field_is_a_value_that_nobody_says(curlew):
    spread = shown(curlew, "nose.length")
    assert curlew.do("do/change", key="nose.length", value="", spread=spread).status_code == 200
    assert not file_of(curlew).value("nose.length").basis.startswith("measured")


def test_a_way_that_there_is_not_is_refused_in_words(curlew):
    for key, how in (("fins.position", "by magic"), ("fins.position", ""), ("fins.flavour", "with a ruler")):
        answer = curlew.do("do/sure", key=key, how=how)
        assert answer.status_code == 422
        assert "is no way" in answer.text


def test_every_number_says_where_it_comes_from(curlew):
    curlew.do("do/changes", **{"fins.position": "", "recovery.mass": "", "nose.length": "240 mm"})
    said = text_of(curlew.get("/sketch"))
    assert "assumed: rear of the root at the lower end of the cylinder" in said
    assert "yours; ± as usual:" in said
    assert "--set" not in said


# --- what weighs what ----------------------------------------------------------------------------------------------


def test_the_ledger_has_each_part_with_its_share_and_the_sum(curlew):
    said = text_of(curlew.get("/sketch"))
    for text in ("clay in the tip", "42 g ± 0.5 g", "24 %", "172.3 g ± 5.2 g", "249 mm"):
        assert text in said


def test_something_that_weighs_is_added_and_taken_out_again_each_as_one_step(curlew):
    curlew.do("do/forget-measured")
    before = file_of(curlew)
    assert curlew.do("do/add-part", name="egg", mass="55 g", position="120 mm").status_code == 200
    assert curlew.do("do/add-part", name="flag", mass="2 g", position="20 mm").status_code == 200
    assert [part.name for part in file_of(curlew).design.mass][-2:] == ["egg", "flag"]
    curlew.do("do/take-part", part="mass.4")
    assert [part.name for part in file_of(curlew).design.mass][-2:] == ["tape and glue", "flag"]
    for _ in range(3):
        curlew.do("do/undo")
    assert file_of(curlew).digest == before.digest


def test_what_is_not_said_of_a_part_is_asked_for(curlew):
    answer = curlew.do("do/add-part", name="egg", mass=" ", position="")
    assert answer.status_code == 422
    assert answer.text == "Say what it weighs and where it sits"
    assert curlew.do("do/take-part", part="mass.99").status_code == 422


def test_more_than_the_scale_said_is_refused_with_what_would_help(curlew):
    answer = curlew.do("do/add-part", name="egg", mass="55 g", position="120 mm")
    assert answer.status_code == 422
    assert "weigh it again, or take this weight out" in answer.text


# --- as built ------------------------------------------------------------------------------------------------------


def test_a_measurement_takes_over_and_the_file_remembers_the_parts(curlew):
    curlew.do("do/forget-measured")
    assert "nobody yet" in text_of(curlew.get("/sketch"))
    assert curlew.do("do/change", key="measured.balance_point", value="262 mm", spread="2 mm").status_code == 200
    now = file_of(curlew)
    assert now.value("measured.parts_balance").text == "249.3 mm"
    said = text_of(curlew.get("/sketch"))
    assert "262 mm ± 2 mm , and this counts" in said
    assert "by the parts alone" in said
    curlew.do("do/undo")
    assert file_of(curlew).value("measured.parts_balance") is None


def test_a_change_after_the_measurement_says_so_until_it_is_measured_again(curlew):
    curlew.do("do/measured-here")
    assert "changed after it was" not in text_of(curlew.get("/sketch"))
    curlew.do("do/change", key="mass.0.position", value="90 mm")
    assert "changed after it was balanced" in text_of(curlew.get("/sketch"))
    curlew.do("do/change", key="measured.balance_point", value="258 mm", spread="1 mm")  # a new ± is no new measurement
    assert "changed after it was balanced" in text_of(curlew.get("/sketch"))
    curlew.do("do/change", key="measured.balance_point", value="270 mm", spread="1 mm")
    assert "changed after it was" not in text_of(curlew.get("/sketch"))


def test_a_measurement_from_before_is_of_the_rocket_that_the_file_described_and_a_drag_stays_one_entry(curlew):
    for length in (150, 170, 190):
        curlew.do("do/change", key="fins.span", value=f"{length} mm", drag="1")
    curlew.do("do/change", key="fins.span", value="197 mm")
    assert file_of(curlew).value("measured.parts_mass").text == "172.3 g"
    assert "changed after it was weighed" in text_of(curlew.get("/sketch"))
    curlew.do("do/undo")
    assert file_of(curlew).value("measured.parts_mass") is None
    assert not curlew.office.job.can_undo


def test_what_is_no_part_of_the_rocket_makes_nobody_remember_anything(curlew):
    curlew.do("do/change", key="charge.water", value="300 mL")
    curlew.do("do/change", key="vessel.age", value="50 days")
    assert file_of(curlew).value("measured.parts_mass") is None


def test_a_swing_comes_whole_or_not_at_all(curlew):
    answer = curlew.do("do/changes", **{"measured.swing.period": "2.4 s"})
    assert answer.status_code == 422
    swing = {"measured.swing.period": "2.42 s", "measured.swing.strings": "1 m", "measured.swing.apart": "300 mm"}
    assert curlew.do("do/changes", **swing).status_code == 200
    assert file_of(curlew).value("measured.parts_radius").text == "180.2 mm"
    assert "5.63 ± 0.1 g m²" in text_of(curlew.get("/sketch"))
    curlew.do("do/forget-measured")
    assert file_of(curlew).design.measured.swing is None


def test_a_rocket_that_nothing_slows_is_offered_a_parachute(empty):
    empty.do("do/first", parachute="none")
    empty.do("do/begin", name="Plover")
    page = empty.get("/sketch").text
    assert "Give it a parachute" in page
    assert empty.do("do/changes", **{"recovery.kind": "parachute", "recovery.diameter": "400 mm"}).status_code == 200
    page = empty.get("/sketch").text
    assert "Give it a parachute" not in page
    assert 'name="key" value="recovery.diameter"' in page


def test_two_margins_that_are_held_against_one_have_a_name_each(curlew):
    """One flight as it is described, and what nine flights in ten pass with every ± drawn."""
    sketch, tune = (text_of(curlew.get(f"/{page}")).replace(" ,", ",") for page in ("sketch", "tune"))
    assert "least static margin, middle flight" in sketch
    assert "least static margin, nine flights in ten pass it" in tune


def test_undo_and_do_again_say_what_they_take_back(curlew):
    curlew.do("do/change", key="charge.water", value="400 mL")
    assert re.search("Undo : water 400 mL → 365 mL", text_of(curlew.get("/sketch")).replace("\u00a0", " "))
    curlew.do("do/undo")
    assert re.search("Do again : water 365 mL.* → 400 mL", text_of(curlew.get("/sketch")).replace("\u00a0", " "))
    curlew.do("do/change", key="launcher.crew.eye_protection", value="false")
    assert "everyone near wears eye protection no → yes" in text_of(curlew.get("/prove"))


def test_what_undo_takes_back_has_a_line_of_its_own_for_a_narrow_window(curlew):
    curlew.do("do/change", key="charge.water", value="400 mL")
    page = curlew.get("/sketch").text.replace("\u00a0", " ").replace("&nbsp;", " ")
    line = re.search(r'<p class="wrap takes"[^>]*>(.*?)</p>', page)[1]
    assert line.startswith("Undo: water")
    assert "400 mL" in line


def test_a_small_bottle_is_begun_with_and_one_that_does_not_fit_what_stands_there_is_refused_with_the_way_in(empty):
    assert "0.33 L" in empty.get("/first").text
    assert empty.do("do/begin", name="Small", bottle="330 mL fizzy", pressure="2 bar").status_code == 200
    assert empty.office.job.project.design.vessel.bottle == "carbonated-330"
    assert empty.office.desk().proved.verdict.level != "stop"
    assert empty.do("do/begin", name="Large", bottle="carbonated-1500", pressure="2 bar").status_code == 200
    refused = empty.do("do/change", key="vessel.volume", value="330 mL")
    assert refused.status_code == 422
    assert refused.text.startswith("“front of the skirt, from the nose tip” is")
    assert refused.text.endswith(OTHER_BOTTLE)
    assert OTHER_BOTTLE not in empty.do("do/change", key="vessel.volume", value="wide").text, "that is another mistake"
    odd = empty.do("do/begin", name="Odd", bottle="600 mL fizzy", pressure="2 bar").text
    assert "Take the nearest of them, and then write what yours holds and how wide it is" in odd
    for key, value in (("vessel.volume", "1750 mL"), ("vessel.diameter", "96 mm")):
        assert empty.do("do/change", key=key, value=value).status_code == 200, "the nearest bottle, put right on Sketch"
