"""Tries on the ground filed from a card: counted once, never fewer than went wrong, named only by who saw the odds."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import bottlewright as bw
from bottlewright.errors import FieldsError, InputError
from bottlewright.field.counted_tests import after_tries
from bottlewright.field.landings import failure_odds
from bottlewright.project.editing import edited
from bottlewright.project.ground_tests import confirmed_tries, counted_anew, entered_tries, ground_tries

EXAMPLES = Path(__file__).parents[2] / "examples"
CARD = {"tries": "10", "stuck": "0", "early": "0", "so_far": "12/0/0"}


@pytest.fixture(scope="module")
def redshank():
    return bw.read(EXAMPLES / "redshank" / "rocket.toml")


def counted_of(project):
    return project.design.recovery.mechanism.tests


def test_a_card_is_added_to_those_before_it(redshank):
    tests = counted_of(edited(redshank, entered_tries(redshank, {**CARD, "stuck": "1"})))
    assert (tests.tries, tests.stuck, tests.early) == (22, 1, 0)


def test_a_card_that_was_filed_already_is_not_counted_twice(redshank):
    once = edited(redshank, entered_tries(redshank, CARD))
    with pytest.raises(InputError, match="filed already"):
        entered_tries(once, CARD)


@pytest.mark.parametrize(("wrong", "field"), [
    ({"tries": ""}, "tries"), ({"tries": "0"}, "tries"), ({"stuck": "-1"}, "stuck"), ({"early": "two"}, "early"),
    ({"stuck": "6", "early": "5"}, "tries"), ({"tries": "1001"}, "tries"), ({"tries": "²"}, "tries"),
])  # fmt: skip
def test_what_is_no_count_is_refused_by_its_field(redshank, wrong, field):
    with pytest.raises(FieldsError) as refused:
        entered_tries(redshank, {**CARD, **wrong})
    assert field in refused.value.fields


def test_better_odds_ask_for_twenty_tries_and_for_a_person_who_saw_them(redshank):
    few = ground_tries(redshank)
    assert not few.may_confirm
    assert few.missing.startswith("8 more tries")
    with pytest.raises(InputError, match="8 more tries"):
        confirmed_tries(redshank, {"by": "A. B.", "day": "2027-03-30", "seen": few.seen})
    enough = edited(redshank, entered_tries(redshank, CARD))
    told = ground_tries(enough)
    assert told.may_confirm
    assert failure_odds(enough.design) == failure_odds(redshank.design)
    with pytest.raises(InputError, match="not those that you saw"):
        confirmed_tries(enough, {"by": "A. B.", "day": "2027-03-30", "seen": few.seen})
    with pytest.raises(FieldsError) as refused:
        confirmed_tries(enough, {"by": " ", "day": "30 March", "seen": told.seen})
    assert set(refused.value.fields) == {"by"}
    with pytest.raises(FieldsError) as refused:
        confirmed_tries(enough, {"by": "A. B.", "day": "30 March", "seen": told.seen})
    assert set(refused.value.fields) == {"day"}
    named = edited(enough, confirmed_tries(enough, {"by": "A. B.", "day": "2027-03-30", "seen": told.seen}))
    early = failure_odds(named.design)["early_opening"].value
    assert early == pytest.approx(after_tries(failure_odds(enough.design)["early_opening"].value, 22, 0))
    assert f"{100 * early:.1f}" in told.odds[1].new


def test_further_tries_and_a_new_count_take_the_name_out(redshank):
    enough = edited(redshank, entered_tries(redshank, CARD))
    seen = ground_tries(enough).seen
    named = edited(enough, confirmed_tries(enough, {"by": "A. B.", "day": "2027-03-30", "seen": seen}))
    more = edited(named, entered_tries(named, {**CARD, "so_far": "22/0/0"}))
    anew = edited(named, counted_anew(named, {"so_far": "22/0/0"}))
    assert counted_of(more).tries == 32
    assert counted_of(anew).tries == 0
    assert counted_of(more).confirmed_by is counted_of(anew).confirmed_by is None
    assert failure_odds(more.design) == failure_odds(anew.design) == failure_odds(redshank.design)


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 300), st.integers(0, 60), st.integers(0, 60))
def test_without_a_name_no_count_ever_makes_odds_better(redshank, tries, stuck, early):
    card = {"tries": str(tries + stuck + early), "stuck": str(stuck), "early": str(early), "so_far": "12/0/0"}
    counted = edited(redshank, entered_tries(redshank, card))
    before, after = failure_odds(redshank.design), failure_odds(counted.design)
    assert all(after[name].value >= before[name].value for name in before)


def test_a_design_that_describes_no_way_has_nothing_to_file():
    dabchick = bw.read(EXAMPLES / "dabchick" / "rocket.toml")
    assert ground_tries(dabchick) is None
    with pytest.raises(InputError, match=r"recovery\.mechanism"):
        entered_tries(dabchick, CARD)
