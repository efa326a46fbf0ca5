"""The published launch rules, number by number, as their sources print them."""

import math

import pytest

from bottlewright.proof.rules import Plan, applies, check_rules, governing, rule_table, strictest

BAR = 1e5
PSI = 6894.757293168
FOOT = 0.3048


def _value(identity: str) -> float:
    value = next(rule for rule in rule_table() if rule.id == identity).value
    assert value is not None
    return value


def _governing(subject: str, plan: Plan, role: str = "", advice: bool | None = None) -> tuple[float, str]:
    rule = strictest(governing(check_rules(plan)), subject, role, advice)
    assert rule is not None
    assert rule.value is not None
    return rule.value, rule.source


@pytest.mark.parametrize(
    ("identity", "printed"),
    [
        ("nasa-usual-pressure", 50 * PSI),  # NASA Glenn guide
        ("nasa-maximum-pressure", 90 * PSI),  # NASA Glenn guide
        ("nebraska-maximum-pressure", 90 * PSI),  # University of Nebraska
        ("safety-code-low-with-eye-protection", 10 * FOOT),  # Water Rocket Safety Code
        ("safety-code-low-without-eye-protection", 20 * FOOT),
        ("safety-code-high-with-eye-protection", 20 * FOOT),
        ("safety-code-high-without-eye-protection", 40 * FOOT),
        ("scouting-operators", 15 * FOOT),  # scouting guidance
        ("scouting-spectators", 50 * FOOT),
        ("jaxa-maximum-pressure", 7 * 101325.0),  # JAXA teachers' manual; 7 atmospheres
        ("jaxa-advised-pressure", 5 * 101325.0),
        ("california-wind", 20 * 0.44704),  # Cal. Code Regs. tit. 19 § 1036
        ("california-tilt", math.radians(20)),
        ("nasa-field-width", 30.0),
        ("japan-association-field", 60.0),  # Japanese PET-bottle rocket association
        ("japan-association-field-length", 150.0),
        ("nebraska-distance", 10 * FOOT),  # University of Nebraska, no. 10: 10 feet (3 meters), all persons
        ("nebraska-goggles", 10.0),
        ("safety-code-part-factor", 3.0),
        ("safety-code-size", 0.4536),  # 453 grams (1 lb)
        ("handout-operator-distance", 30 * FOOT),  # a teachers' handout on water rockets
        ("handout-pumper-distance", 30 * FOOT),
        ("california-distance", 30 * FOOT),  # § 1036 (f), up to 320 N s
        ("contest-pressure", 60 * PSI),  # a technical institute's contest
        ("contest-mouth", 0.05),  # 5 cm above the level of the bottle's opening
        ("contest-nose", 0.0125),  # 2.5 cm across at the tip
    ],
)
def test_value_as_printed(identity: str, printed: float) -> None:
    assert _value(identity) == pytest.approx(printed, rel=2e-3)


def test_above_60_psi_the_safety_code_doubles_its_distances() -> None:
    """Water Rocket Safety Code: 4.14 bar is 60 psi; 20 and 40 ft above it."""
    low, high = Plan(4.14 * BAR, 1.5e-3), Plan(4.15 * BAR, 1.5e-3)
    assert _governing("distance", low, "pumper")[0] == pytest.approx(20 * 0.3048)
    assert _governing("distance", high, "pumper")[0] == pytest.approx(40 * 0.3048)
    goggles = Plan(4.5 * BAR, 1.5e-3, eye_protection=True)
    assert _governing("distance", goggles, "operator") == (pytest.approx(20 * 0.3048), "Water Rocket Safety Code")


def test_the_safety_code_leaves_small_bottles_at_low_pressure_to_others() -> None:
    """Water Rocket Safety Code: for over 1.2 L or over 2.41 bar."""
    code = [rule for rule in rule_table() if rule.id.startswith("safety-code-")]
    assert not any(applies(rule, Plan(2.41 * BAR, 1.2e-3)) for rule in code)
    assert any(applies(rule, Plan(2.41 * BAR, 1.3e-3)) for rule in code)
    assert any(applies(rule, Plan(2.5 * BAR, 0.5e-3)) for rule in code)
    assert _governing("distance", Plan(2.0 * BAR, 0.5e-3), "operator")[0] == pytest.approx(15 * 0.3048)


def test_spectators_stand_where_the_scouts_put_them() -> None:
    assert _governing("distance", Plan(4.5 * BAR, 1.5e-3, eye_protection=True), "spectators")[0] == pytest.approx(15.24)


def test_all_persons_at_10_feet_means_all() -> None:
    """University of Nebraska, no. 10: the rule asks it of operator, pumper and spectators alike."""
    low = Plan(2.0 * BAR, 0.5e-3, operator=20.0, pumper=20.0, spectators=3.0)
    check = next(check for check in check_rules(low) if check.rule.id == "nebraska-distance")
    assert (check.rule.role, check.plan, check.meets) == ("everyone", 3.0, False)


def test_above_70_psi_cord_and_hose_reach_30_feet() -> None:
    """A teachers' handout: above 70 psi hoses and rope long enough to stay back 30 feet; at 70 psi the codes' 20 ft."""
    for psi, feet in ((70.0, 20), (70.1, 30)):
        plan = Plan(psi * PSI, 1.5e-3, eye_protection=True)
        assert _governing("distance", plan, "operator")[0] == pytest.approx(feet * FOOT)
        assert _governing("distance", plan, "pumper")[0] == pytest.approx(feet * FOOT)


def test_the_rules_of_a_contest_bind_only_where_the_file_names_them() -> None:
    plan = Plan(4.5 * BAR, 1.5e-3, eye_protection=True)
    named = Plan(4.5 * BAR, 1.5e-3, eye_protection=True, rules=("science contest",))
    assert _governing("pressure", plan, advice=False)[0] == pytest.approx(6.21 * BAR)
    assert _governing("pressure", named, advice=False)[0] == pytest.approx(60 * PSI)
    shown = next(check for check in check_rules(plan) if check.rule.id == "contest-pressure")
    assert (shown.governs, shown.meets) == (False, False)
    low = Plan(2.0 * BAR, 0.5e-3, eye_protection=True)
    assert _governing("distance", low, "pumper")[0] == pytest.approx(10 * FOOT)
    by_law = Plan(2.0 * BAR, 0.5e-3, eye_protection=True, rules=("section 1036",))
    assert _governing("distance", by_law, "pumper") == (pytest.approx(30 * FOOT),
                                                       "California Code of Regulations, title 19, § 1036")


def test_every_group_of_rules_can_be_named_in_a_design() -> None:
    from typing import get_args

    from bottlewright.design.field_tables import RuleGroup

    assert {rule.group for rule in rule_table()} - {""} == set(get_args(RuleGroup))


def test_the_tilt_of_the_flight_s_limits_is_that_of_the_rules() -> None:
    """One number in two tables: the flight's limits lie below the rules and can't read them."""
    from bottlewright.flight.findings import limit

    pairs = (("tilt_water_rocket", "safety-code-tilt"), ("tilt_solid_motor", "california-tilt"))
    for name, identity in pairs:
        assert math.radians(limit(name).value) == pytest.approx(_value(identity))
    assert limit("contest_field_width").value == _value("japan-association-field")
    assert limit("contest_field_length").value == _value("japan-association-field-length")


def test_strictest_maximum_and_strictest_advice_on_pressure() -> None:
    plan = Plan(4.5 * BAR, 1.5e-3)
    assert _governing("pressure", plan, advice=False)[0] == pytest.approx(6.21 * BAR)
    assert _governing("pressure", plan, advice=True)[0] == pytest.approx(3.45 * BAR)


def test_every_rule_names_its_source_and_its_words() -> None:
    assert all(rule.source and rule.says and rule.read for rule in rule_table())
    assert len({rule.id for rule in rule_table()}) == len(rule_table())


def test_a_plan_at_the_limit_meets_the_rule_in_any_unit() -> None:
    from bottlewright.quantities import Dimension, parse_quantity

    for text in ("6.21 bar", "621 kPa", "0.621 MPa"):
        checks = check_rules(Plan(parse_quantity(text, Dimension.PRESSURE).value, 1.5e-3))
        assert next(check for check in checks if check.rule.id == "nasa-maximum-pressure").meets is True
    over = check_rules(Plan(6.22 * BAR, 1.5e-3))
    assert next(check for check in over if check.rule.id == "nasa-maximum-pressure").meets is False


def test_the_misfire_sheet_waits_as_long_as_the_published_code_and_names_it():
    from bottlewright.logbook.day_table import day_table
    from bottlewright.logbook.paper import day_steps

    rule = next(rule for rule in rule_table() if rule.id == "model-rocket-misfire")
    assert "60 s" in rule.says
    assert day_table().limits["misfire_wait"].seconds == 60.0
    assert any("60 s after a misfire" in step for step in day_steps().misfire)
    assert rule.source in day_steps().sources
    assert "by analogy" in day_steps().sources
