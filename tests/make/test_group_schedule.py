"""Many rockets built at once: what they share, what waits for what, and when each is ready."""

import datetime as dt
import itertools
from collections import Counter

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop_designs import DABCHICK, design_of

from bottlewright.make.build import begins, planned
from bottlewright.make.plan.by_step import by_step, numbers_of, waits_for
from bottlewright.make.plan.calendar import plan_ics
from bottlewright.make.plan.schedule import HANDS, Task, lay_out
from bottlewright.make.plan.steps import ADULT, LAUNCHER, build_steps, for_each_rocket, limits_of, tasks_of
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values

HOUR = 3600.0
EVERY_DAY = [(day, dt.time(10), dt.time(16)) for day in range(7)]
MONDAY = dt.datetime(2027, 3, 1, 10)
NOW = dt.datetime(2027, 3, 1, 9, 20)


def plan_of(*workshop, now=NOW):
    shop = DABCHICK.replace("start = 2027-03-06\n", "").replace('hours = ["Sat 10:00-13:00", "Wed 16:00-18:00"]\n', "")
    design = design_of(shop, *workshop)
    steps = build_steps(specify(design), template_values(specify(design)))
    tasks, _ = tasks_of(steps, 293.15)
    return planned(design, steps, tasks, now), steps, tasks


def used_at_once(plan, what, of=lambda slot, what: slot.task.needs.get(what, 0)):
    """Return the most of a thing that is in use at any moment."""
    moments = [begin for slot in plan.slots for begin, _ in slot.spells]
    return max(sum(of(slot, what) for slot in plan.slots for begin, end in slot.spells if begin <= moment < end)
               for moment in moments)


def test_twelve_children_build_six_rockets_sooner_than_one_after_the_other_and_not_as_soon_as_one():
    one, *_ = plan_of("workshop.people=12", "workshop.adults=2")
    six, *_ = plan_of("workshop.people=12", "workshop.adults=2", "workshop.rockets=6")
    assert six.rockets == 6
    assert sorted(six.ready()) == [1, 2, 3, 4, 5, 6]
    assert one.finished < six.finished < one.finished + 6 * (one.finished - NOW)


def test_each_rocket_has_its_own_steps_and_the_launcher_is_built_once():
    plan, steps, _ = plan_of("workshop.people=12", "workshop.rockets=3")
    found = Counter(slot.task.step for slot in plan.slots)
    for step in steps:
        assert found[step.code] == (1 if step.once else 3)
    assert {"stand", "hose", "leak", "rehearse"} <= {step.code for step in steps if step.once}


def test_nothing_begins_before_what_it_waits_for_is_done_and_cured():
    plan, *_ = plan_of("workshop.people=12", "workshop.rockets=4", "workshop.adults=1")
    ready = {slot.task.code: slot.ready for slot in plan.slots}
    assert all(slot.spells[0][0] >= ready[before] for slot in plan.slots for before in slot.task.after)


def test_hands_adults_tools_and_the_one_launcher_are_never_used_twice_over():
    plan, *_ = plan_of("workshop.people=10", "workshop.rockets=5", "workshop.adults=1", "stock.have={scissors=2}")
    assert used_at_once(plan, HANDS, lambda slot, _: slot.people) <= 10
    for what, most in ((ADULT, 1), (LAUNCHER, 1), ("scissors", 2), ("drill", 1), ("kitchen scale", 1)):
        assert used_at_once(plan, what) <= most


def test_one_more_pair_of_scissors_is_never_a_later_end_for_tasks_that_only_cut():
    cut = [Task(str(k), "", HOUR, needs={"scissors": 1}) for k in range(6)]
    ends = [lay_out(cut, MONDAY, EVERY_DAY, 12, limits={"scissors": count}).finished for count in (1, 2, 3, 6)]
    assert ends == [MONDAY + dt.timedelta(hours=hours) for hours in (6, 3, 2, 1)]


def test_a_task_says_what_it_waited_for():
    first = Task("a", "Glue it", HOUR, HOUR, needs={"glue gun": 1})
    second = Task("b", "Glue another", HOUR, needs={"glue gun": 1})
    third = Task("c", "Paint", HOUR, after=("a",))
    plan = lay_out([first, second, third], MONDAY, EVERY_DAY, 12, limits={"glue gun": 1})
    said = {slot.task.code: waits_for(plan, slot) for slot in plan.slots}
    assert said == {"a": "", "b": "glue gun", "c": "the glue of “Glue it”"}


def test_the_lunch_of_the_workshop_is_kept():
    lunch = [(0, dt.time(10), dt.time(12)), (0, dt.time(13), dt.time(16))]
    plan = lay_out([Task("a", "", 1.5 * HOUR), Task("b", "", HOUR, after=("a",))], MONDAY, lunch, 2)
    assert plan.slots[1].spells == ((MONDAY.replace(hour=13), MONDAY.replace(hour=14)),)


@pytest.mark.parametrize(("shop", "now", "first"), [
    ((), "2027-03-01 11:20", "2027-03-01 12:00"),
    ((), "2027-03-01 12:00", "2027-03-01 12:00"),
    (('workshop.begins="14:00"',), "2027-03-01 11:20", "2027-03-01 14:00"),
    (('workshop.begins="09:00"',), "2027-03-01 11:20", "2027-03-02 09:00"),
    (("workshop.start=2027-03-06", 'workshop.begins="14:00"'), "2027-03-01 11:20", "2027-03-06 14:00"),
    (("workshop.start=2027-02-06",), "2027-03-01 11:20", "2027-03-01 12:00"),
])  # fmt: skip
def test_work_begins_at_the_next_full_hour_or_when_the_design_says_and_never_in_the_past(shop, now, first):
    design = design_of(DABCHICK.replace("start = 2027-03-06\n", ""), *shop)
    assert begins(design, dt.datetime.fromisoformat(now)) == dt.datetime.fromisoformat(first)


def test_the_calendar_has_one_entry_a_step_and_day_with_the_rockets_in_words():
    plan, *_ = plan_of("workshop.people=12", "workshop.rockets=6")
    events = list(icalendar.Calendar.from_ical(plan_ics("Six", plan, NOW)).walk("VEVENT"))
    assert len(events) == 1 + sum(len(step.days()) for step in by_step(plan))
    assert any("rockets 1 to 6" in str(event["summary"]) for event in events)
    assert len({str(event["uid"]) for event in events}) == len(events)


def test_rockets_are_named_in_runs():
    plan, *_ = plan_of("workshop.people=12", "workshop.rockets=6")
    slots = next(step.slots for step in by_step(plan) if step.code == "bottle")
    by_number = {slot.task.rocket: slot for slot in slots}
    assert numbers_of([by_number[k] for k in (1, 2, 3, 5)]) == "rockets 1 to 3, 5"
    assert numbers_of([by_number[4]]) == "rocket 4"


def test_what_nobody_counted_is_said():
    _, steps, _ = plan_of()
    limits, taken = limits_of(steps, None, {"drill": 3})
    assert limits["drill"] == 3
    assert "kitchen scale" in taken
    assert ADULT not in limits


@settings(max_examples=25)
@given(st.integers(1, 7), st.integers(1, 14), st.integers(1, 3))
def test_however_many_build_every_rocket_gets_every_step(rockets, people, adults):
    shop = f"workshop.people={people}", f"workshop.rockets={rockets}", f"workshop.adults={adults}"
    plan, steps, tasks = plan_of(*shop)
    every = for_each_rocket(steps, tasks, rockets)
    assert sorted(slot.task.code for slot in plan.slots) == sorted(task.code for task in every)
    assert all(a[1] <= b[0] for slot in plan.slots for a, b in itertools.pairwise(slot.spells))
