"""A word that nobody measured says which number it moves, from what to what, at the moment that it is given."""

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.design.document import Design
from bottlewright.findings import Level
from bottlewright.proof.allowed import allowed_pressure
from bottlewright.proof.prove import ProofReport, prove
from bottlewright.proof.told import Told

PLAIN = """
schema = 1
name = "Pipit"
[vessel]
bottle = "carbonated-1500"
cycles = 0
[charge]
pressure = "2 bar"
[launcher.crew]
operator = "15 m"
"""
AGED, GOGGLES = 'vessel.age="10 days"', "launcher.crew.eye_protection=true"


def pipit(*sets: str) -> Design:
    return complete(parse_design(PLAIN, sets))


def answer(report: ProofReport, key: str) -> Told:
    (one,) = [each for each in report.told if each.key == key]
    return one


def test_an_age_says_the_first_water_test_without_it_and_with_it_and_that_it_is_a_word():
    said = answer(prove(pipit(AGED)), "vessel.age")
    tests = [allowed_pressure(pipit(*sets)).after_test for sets in ((), (AGED,))]
    assert all(tests)
    without, with_it = (f"{one.test_gauge_Pa / 1e5:.3g} bar" for one in tests if one)
    assert said.moves[0] == ("first water test", without, with_it)
    assert said.moves[1][0] == "allowed after it"
    assert f"first water test {without} → {with_it}" in said.words
    assert "somebody's word, and one such word in 10 counts as wrong" in said.words


def test_eye_protection_says_whom_it_lets_stand_nearer_and_from_where_to_where():
    said = answer(prove(pipit(GOGGLES)), "launcher.crew.eye_protection")
    without, worn = (prove(pipit(*sets)).distances.operator.asks_m for sets in ((), (GOGGLES,)))
    assert worn < without
    (_, before, after), _ = said.moves
    assert float(before.removesuffix(" m")) == pytest.approx(without, abs=0.1)
    assert float(after.removesuffix(" m")) == pytest.approx(worn, abs=0.1)


@pytest.mark.parametrize("code", ["age-by-word", "eye-protection-by-word", "cycles-by-word"])
def test_every_such_word_is_a_finding_of_prove_and_so_stands_in_report_pack_and_command_line(code):
    (one,) = [each for each in prove(pipit(AGED, GOGGLES)).findings if each.code == code]
    assert one.level is Level.NOTE
    assert "→" in one.found


def test_what_nobody_has_said_changes_nothing():
    bare = prove(complete(parse_design('[vessel]\nbottle="carbonated-1500"\n[charge]\npressure="2 bar"\n')))
    assert bare.told == ()


def test_of_a_bottle_that_is_finished_no_word_promises_a_pressure():
    over = prove(pipit(AGED, "vessel.cycles=40"))
    assert [one.key for one in over.told if one.key.startswith("vessel.")] == []
