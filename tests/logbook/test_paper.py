"""The day on paper: the same steps as the day's table has, in its own words."""

from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.paper import AFTER_A_STOP, LAUNCH, day_steps, done_in, said_before

TABLE = day_table()


def test_every_step_is_told_in_the_words_of_the_screen():
    for step in TABLE.steps.values():
        assert step.event == "launch" or done_in(step).startswith(TABLE.acts[step.event].does)
        assert done_in(step).endswith((".", "}", "?"))


def test_a_launch_on_paper_leads_from_state_to_state_as_the_table_does():
    for way in (LAUNCH, AFTER_A_STOP):
        state = way[0][0]
        for start, event in way:
            assert start == state
            state = TABLE.steps[start, event].to
    assert TABLE.steps[LAUNCH[-1]].to == LAUNCH[0][0]


def test_paper_asks_for_every_confirmation_that_a_step_asks_for_in_the_same_words():
    lines = day_steps().launch
    said = " ".join(what for _, what, *_ in lines)
    for one in LAUNCH:
        step = TABLE.steps[one]
        for point in step.confirm:
            words = TABLE.confirms[point].own or TABLE.confirms[point].says
            assert words in said or TABLE.confirms[point].by == "charge"
        (hold,) = (hold for _, what, hold, *_ in lines if done_in(step) in what)
        assert hold == ("charge" in step.confirm)
    assert [role for role, _ in said_before(TABLE.steps["ready", "launch"])][-1] == "charge"


def test_nobody_pulls_again_after_a_misfire_for_the_table_knows_no_such_step():
    said = " ".join(day_steps().misfire)
    assert "pull" not in said
    order = ("60 s", "Let the pressure off", "reads zero", "two minutes before", "alone", "opens the release")
    assert [said.index(one) for one in order] == sorted(said.index(one) for one in order)
