"""A first rocket flies nose first, whichever fizzy bottle and nose it is made of: nothing is open but test and gear."""

import random
import re
from dataclasses import replace
from typing import get_args

import pytest

from bottlewright.cures import WholeJudge
from bottlewright.design import DesignError, complete, parse_design, stood_on
from bottlewright.design.first_rocket import NO_PARACHUTE, first_rocket, most_water
from bottlewright.design.rocket import NoseShape
from bottlewright.design.steadying import dry_balance, pressure_centre, tip_weight
from bottlewright.design.tables import bottles
from bottlewright.design.template import Answers, new_design
from bottlewright.design.unit_habit import INCH_POUND, METRIC, unit_habit
from bottlewright.field.numbers import field_numbers
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.findings import Level
from bottlewright.flight.fly import fly
from bottlewright.flight.layout import layout_of
from bottlewright.flight.results import findings_of
from bottlewright.proof.prove import prove
from bottlewright.quantities import written_unit

FIZZY = [row.name for row in bottles().values() if row.words["kind"] == "carbonated"]
NOSES = get_args(NoseShape)
TEST_AND_GEAR = {"no-own-evidence", "distances-not-given", "not-described", "no-eye-protection", "no-remote-vent"}
HARD_LANDING = {"ballistic", "landing-energy"}
"""What a rocket without a parachute is told, whoever draws it."""


def others(bottle: str, nose: str) -> list[Answers]:
    """Draw two more rockets of a bottle and a nose, the same ones every time."""
    draw = random.Random(f"{bottle} {nose}")
    drawn = [
        Answers("Other", bottle, draw.choice(("1.5 bar", "2 bar", "3 bar")), bore=draw.choice(("", "9 mm")), nose=nose,
                fins=draw.choice((3, 4)), parachute=draw.choice(("", NO_PARACHUTE)), age="20 days", cycles="0")
        for _ in range(2)
    ]  # fmt: skip
    return [replace(one, bore="") for one in drawn] if (bottle, nose) in HARDLY else drawn


HARDLY = (("carbonated-330", "flat"), ("carbonated-330", "bottle"))
"""The smallest bottle under a nose without length needs so much clay that a narrow nozzle hardly lifts it."""

SOME = random.Random(9).sample([(bottle, nose) for bottle in FIZZY[1:] for nose in NOSES], 5)
"""About a tenth of all bottles and noses, the same ones every time."""


def first(bottle: str, nose: str, inch_pound: bool = False) -> Answers:
    """Return what a beginner answers who lets the program choose, in either habit."""
    return Answers("First", bottle, "30 psi" if inch_pound else "2 bar", nose=nose, age="20 days", cycles="0")


@pytest.mark.parametrize(("bottle", "nose"), HARDLY)
def test_the_smallest_bottle_with_a_narrow_nozzle_under_a_nose_without_length_does_not_fly_half_as_high(bottle, nose):
    design = complete(parse_design(new_design(replace(first(bottle, nose), bore="9 mm"))))
    pointed = complete(parse_design(new_design(replace(first(bottle, "ogive"), bore="9 mm"))))
    assert fly(pointed).summary["apogee_m"] > 2.0 * fly(design).summary["apogee_m"]


@pytest.mark.parametrize(("round_", "pressure", "across"), [("286 mm", "2 bar", "91 mm"),
                                                            ("11 1/4 in", "30 psi", r"3.58 in \(91 mm\)")])  # fmt: skip
def test_a_bottle_too_wide_for_what_it_holds_is_asked_back_in_words(round_, pressure, across):
    wide = replace(first("carbonated-500", "cone"), round=round_, pressure=pressure)
    with pytest.raises(DesignError, match=f"vessel.diameter is {across}.*no weight in the tip keeps its nose in front"):
        new_design(wide)


def in_inches(answers: Answers) -> Answers:
    """Return the same answers of a builder who measures in inches and reads a gauge in psi."""
    said = {"1.5 bar": "22 psi", "2 bar": "30 psi", "3 bar": "43 psi", "9 mm": "3/8 in"}
    return replace(answers, pressure=said[answers.pressure], bore=said.get(answers.bore, ""))


@pytest.mark.parametrize("nose", NOSES)
@pytest.mark.parametrize("bottle", FIZZY)
def test_a_first_rocket_has_nothing_open_but_its_test_and_the_gear(bottle, nose):
    nothing_open(first(bottle, nose), *others(bottle, nose))


@pytest.mark.parametrize(("bottle", "nose"), [*SOME, (FIZZY[0], "ogive")])
def test_a_first_rocket_in_inches_has_nothing_open_but_its_test_and_the_gear(bottle, nose):
    nothing_open(first(bottle, nose, inch_pound=True), *map(in_inches, others(bottle, nose)))


def nothing_open(*rockets: Answers) -> None:
    """Assert that each of the rockets flies nose first, with nothing to mend but test and gear."""
    for answers in rockets:
        design = complete(parse_design(new_design(answers)))
        flight = fly(design)
        findings = [*prove(design).findings, *findings_of(design, flight)]
        wrong = [one for one in findings if one.level in (Level.STOP, Level.LOOK) and one.code not in TEST_AND_GEAR]
        allowed = set() if answers.parachute == "" else HARD_LANDING
        assert {one.code for one in wrong} <= allowed, (answers, wrong)
        assert all(one.level is not Level.STOP for one in findings)
        least, most = (flight.summary[f"static_margin_{end}_calibres"] for end in ("min", "max"))
        assert 1.25 < least <= most < 1.8
        assert flight.summary["water_out_time_s"] <= flight.summary["guide_exit_time_s"], "no water left off the guide"
        if answers.parachute == "":
            assert flight.summary["landing_speed_m_s"] < 5.0


@pytest.mark.parametrize("nose", NOSES)
def test_the_rule_finds_balance_and_pressure_centre_where_the_flight_has_them(nose):
    for bottle, bore in ((FIZZY[0], ""), (FIZZY[-1], "9 mm")):
        design = complete(parse_design(new_design(Answers("Rule", bottle, "2 bar", bore=bore, nose=nose, fins=5))))
        layout, (mass, balance) = layout_of(design), dry_balance(design)
        assert mass == pytest.approx(layout.dry_mass, rel=1e-6)
        assert balance == pytest.approx(layout.balance_empty, abs=0.01 * layout.diameter)
        assert pressure_centre(design) == pytest.approx(layout.pressure_centre, abs=0.01 * layout.diameter)


def test_the_rule_knows_a_rocket_without_skirt_parachute_or_weight():
    text = '[vessel]\nbottle = "carbonated-2000"\n[fins]\ncount = 4\n[charge]\npressure = "2 bar"'
    design = complete(parse_design(text))
    layout = layout_of(design)
    assert dry_balance(design)[1] == pytest.approx(layout.balance_empty, abs=0.01 * layout.diameter)
    assert pressure_centre(design) == pytest.approx(layout.pressure_centre, abs=0.01 * layout.diameter)


def test_the_weight_in_the_tip_gives_the_margin_that_was_asked_for():
    text = '[vessel]\nbottle = "carbonated-1500"\n[nose]\nshape = "cone"\n[fins]\nsweep = "150 mm"\nspan = "150 mm"\n'
    design = complete(parse_design(f'{text}[charge]\npressure = "2 bar"'))
    weight = tip_weight(design, 0.05, 1.2)
    clay = f'[[mass]]\nname = "clay"\nmass = "{1e3 * weight:.4f} g"\nposition = "50 mm"\n'
    heavier = layout_of(complete(parse_design(f'{text}{clay}[charge]\npressure = "2 bar"')))
    assert heavier.margin_empty == pytest.approx(1.2, abs=0.01)


def test_fins_that_do_not_reach_far_enough_back_need_more_weight_than_there_is():
    fins = '[fins]\nspan = "5 mm"\nposition = "0 mm"'
    text = f'[vessel]\nbottle = "carbonated-1500"\n{fins}\n[charge]\npressure = "2 bar"'
    assert tip_weight(complete(parse_design(text)), 0.05, 1.2) == float("inf")


def test_a_narrow_nozzle_is_given_less_water_and_a_wide_one_no_more_than_a_third():
    def water(bore: str) -> float:
        nozzle = f'[nozzle]\nbore = "{bore}"\n' if bore else ""
        return most_water(first_rocket(
            f'[vessel]\nbottle = "carbonated-1500"\n{nozzle}[charge]\npressure = "2 bar"\n', 3, ""))  # fmt: skip

    assert water("6 mm") < water("9 mm") < water("14 mm") < water("") <= 1.555e-3 / 3.0


@pytest.mark.parametrize("bottle", FIZZY)
def test_a_first_rocket_of_unknown_age_is_told_to_find_out_and_nothing_else(bottle):
    design = complete(parse_design(new_design(Answers("Old?", bottle, "1.5 bar", cycles="0"))))
    findings = [*prove(design).findings, *findings_of(design, fly(design))]
    assert {one.code for one in findings if one.level in (Level.STOP, Level.LOOK)} - TEST_AND_GEAR <= {"age-unknown"}


@pytest.mark.parametrize("nose", ["ogive", "bottle"])
@pytest.mark.parametrize("bottle", FIZZY)
def test_the_landings_of_a_first_rocket_stop_nobody(bottle, nose, tmp_path):
    design = complete(parse_design(new_design(Answers("First", bottle, "2 bar", nose=nose, age="20 days", cycles="0"))))
    stops = [one.code for one in WholeJudge(tmp_path)(design) if one.level is Level.STOP]
    assert stops == []


@pytest.mark.parametrize(("pressure", "units"), [("2.5 bar", "mm"), ("60 psi", "inches"), ("6.2 bar", "mm")])
def test_the_crew_of_a_first_rocket_stand_no_nearer_than_its_landings_ask(pressure, units, tmp_path):
    """Of the largest bottle, whose landings asked for most, at about the top of each step of `_CREW`."""
    text = new_design(Answers("First", "carbonated-3000", pressure, units=units, age="20 days", cycles="0"))
    design = complete(parse_design(text))
    found = scatter(design, field_site(design.site, tmp_path), 4000, winds=False)
    asked = field_numbers(design, found)
    assert design.launcher.crew.operator.value >= asked.operator_m
    assert design.launcher.crew.pumper.value >= asked.pumper_m


def test_a_first_rocket_flies_in_the_wind_that_a_beginner_writes():
    text = new_design(Answers("Windy", "carbonated-1500", "2 bar"))
    design = complete(parse_design(text, ['weather.wind_speed="3 m/s"', 'weather.wind_height="2 m"']))
    looks = [one.code for one in findings_of(design, fly(design)) if one.level in (Level.STOP, Level.LOOK)]
    assert [code for code in looks if code.startswith(("margin", "unstable", "slow"))] == []


METRIC_UNITS = {"mm", "cm", "m", "g", "kg", "bar", "°C", "N", "m/s", "km/h"}


@pytest.mark.parametrize(("bottle", "nose"), SOME)
def test_the_file_of_a_builder_in_inches_has_no_metric_number_and_reads_as_inches(bottle, nose):
    text = new_design(replace(first(bottle, nose, inch_pound=True), round="11 1/4 in"))
    assert {written_unit(value) for value in re.findall(r'"([^"]+)"', text)} & METRIC_UNITS == set()
    assert not re.search(r"\d ?(?:mm|cm|m|g|kg|bar|°C|N)\b|metres", text)
    assert unit_habit(parse_design(text)) == INCH_POUND
    assert unit_habit(parse_design(all_lines_on(text))) == INCH_POUND
    assert unit_habit(parse_design(new_design(first(bottle, nose)))) == METRIC


@pytest.mark.parametrize(("bottle", "nose"), SOME)
def test_either_file_says_about_the_same_rocket(bottle, nose):
    """Sizes lie on marks of an eighth of an inch, sheet comes as it is sold, and the clay makes up for both."""
    metric, inches = (
        dict(stood_on(parse_design(all_lines_on(new_design(first(bottle, nose, own)))))) for own in (False, True)
    )
    assert list(metric) == list(inches)
    for key, value in metric.items():
        near = {"rel": 0.1}
        if key.endswith("thickness"):
            near = {"rel": 0.2}
        elif key == "mass.0.mass":
            near = {"abs": 2.0 * 0.2 * 0.02835}
        elif key.split(".")[0] in ("fins", "sleeve", "mass"):
            near = {"abs": 1.01 * 0.0254 / 8.0}
        assert inches[key].value == pytest.approx(value.value, **near), key


def all_lines_on(text: str) -> str:
    """Return the file with the # taken off every line that can be used, except a map beside a rectangle."""
    on = re.sub(r"^# (?=\[|[a-z_]+ = )", "", text, flags=re.MULTILINE)
    return re.sub(r"^(map|rating) = .*\n", "", on, flags=re.MULTILINE)
