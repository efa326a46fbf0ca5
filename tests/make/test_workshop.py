"""The build in time and in words: opening hours, glue, parts, prices, steps."""

import csv
import datetime as dt
import graphlib
import io
import itertools

import icalendar
import pymupdf
import pytest
from workshop_designs import DABCHICK, design_of

from bottlewright.design import DesignError, parse_design
from bottlewright.design.price_file import read_prices
from bottlewright.figures.letters import width
from bottlewright.findings import Level
from bottlewright.flight.layout import layout_of
from bottlewright.logbook.paper import day_steps
from bottlewright.make.build import Given, build
from bottlewright.make.chapters import make_chapter
from bottlewright.make.dimensions import body_of
from bottlewright.make.findings import about_glues, about_patterns, about_stand
from bottlewright.make.parts import parts_csv, parts_list, rocket_parts
from bottlewright.make.plan.calendar import plan_ics
from bottlewright.make.plan.chart import chart_items
from bottlewright.make.plan.schedule import Task, in_order, lay_out, sessions
from bottlewright.make.plan.steps import build_steps, tasks_of, tools_and_supplies
from bottlewright.make.sheets.launch_day import launch_day, misfire
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values

HOUR = 3600.0
SATURDAY = (5, dt.time(10), dt.time(13))
WEDNESDAY = (2, dt.time(16), dt.time(18))
START = dt.date(2027, 3, 6)  # a Saturday
STAMP = dt.datetime(2027, 3, 1, 12, 0)


def steps_of(design):
    spec = specify(design)
    return build_steps(spec, template_values(spec))


def parameters_of(tasks, people=4, openings=(SATURDAY, WEDNESDAY), closed=()):
    return lay_out(tasks, START, openings, people, closed)


# --- the calendar -----------------------------------------------------------------------------------------------


def test_work_waits_for_the_workshop_to_open_and_glue_cures_overnight():
    plan = parameters_of([Task("a", "", 2 * HOUR, 24 * HOUR), Task("b", "", HOUR, after=("a",))])
    a, b = plan.slots
    assert a.spells == ((dt.datetime(2027, 3, 6, 10), dt.datetime(2027, 3, 6, 12)),)
    assert a.ready == dt.datetime(2027, 3, 7, 12)
    assert b.spells == ((dt.datetime(2027, 3, 10, 16), dt.datetime(2027, 3, 10, 17)),)
    assert plan.launch == dt.date(2027, 3, 13)


@pytest.mark.parametrize("days", [1, 4, 6, 7, 8, 9, 20, 60, 200])
def test_no_name_of_a_day_runs_into_the_next_on_paper(days):
    items, _ = chart_items(parameters_of([Task("a", "A", HOUR, days * 24 * HOUR)]), 180.0)
    names = [one for one in items if one["k"] == "text" and one["y"] == 4.0]
    for one, following in itertools.pairwise(names):
        assert one["x"] + width(one["t"], one["h"]) < following["x"]
    assert names


def test_nothing_comes_before_what_it_waits_for_and_of_those_that_may_come_the_lowest_rank_is_first():
    after = {"a": ("d",), "b": (), "c": ("b",), "d": ()}
    assert in_order(after, "abcd".index) == ["b", "c", "d", "a"]
    assert in_order(after, "dcba".index) == ["d", "b", "c", "a"]
    assert in_order(after, "adcb".index) == ["d", "a", "b", "c"]
    with pytest.raises(graphlib.CycleError):
        in_order({"a": ("b",), "b": ("a",)}, "ab".index)


@pytest.mark.parametrize(("hour", "begins"), [(8, "2027-03-04T10:00:00"), (19, "2027-03-05T10:00:00")])
def test_a_build_that_names_no_day_begins_at_the_next_opening_and_not_this_morning(hour, begins):
    design = design_of(DABCHICK.replace("start = 2027-03-06\n", "").replace(
        'hours = ["Sat 10:00-13:00", "Wed 16:00-18:00"]\n', ""))
    made = build(design, Given(), dt.datetime(2027, 3, 4, hour))
    assert min(task["spells"][0][0] for task in made.results["schedule"]) == begins


def test_the_steps_of_the_pack_come_in_the_order_of_the_schedule_and_waits_are_shown(dabchick):
    made = build(dabchick, Given(), STAMP)
    begins = [task["spells"][0][0] for task in made.results["schedule"] if task["spells"]]
    assert begins == sorted(begins)
    pack = pymupdf.open(stream=made.files["pack-a4.pdf"])
    text = " ".join(" ".join(page.get_text().split()) for page in pack if "Check:" in page.get_text())
    titles = [task["title"] for task in made.results["schedule"]]
    places = [text.index(title) for title in titles if title in text]
    assert len(places) > len(titles) / 2
    assert places == sorted(places)
    assert ">72 h<" in make_chapter(made).section.html


def test_no_more_people_work_than_there_are():
    plan = parameters_of([Task(k, "", HOUR, people=2) for k in "abc"], people=4)
    for a, b, c in itertools.permutations(plan.slots):
        begin = max(s.spells[0][0] for s in (a, b, c))
        assert begin >= min(s.spells[0][1] for s in (a, b, c))
    assert sum(s.spells[0][0] == dt.datetime(2027, 3, 6, 10) for s in plan.slots) == 2


def test_a_task_for_more_hands_than_there_are_takes_longer():
    plan = parameters_of([Task("a", "", HOUR, people=4)], people=2)
    assert plan.slots[0].spells[0][1] - plan.slots[0].spells[0][0] == dt.timedelta(hours=2)


def test_a_task_longer_than_any_opening_goes_on_at_the_next_one():
    plan = parameters_of([Task("a", "", 4 * HOUR)])
    assert [end - begin for begin, end in plan.slots[0].spells] == [dt.timedelta(hours=3), dt.timedelta(hours=1)]


def test_a_short_task_is_not_torn_apart_by_closing_time():
    plan = parameters_of([Task("a", "", 2 * HOUR), Task("b", "", 1.5 * HOUR, after=("a",))])
    assert plan.slots[1].spells == ((dt.datetime(2027, 3, 10, 16), dt.datetime(2027, 3, 10, 17, 30)),)


def test_closed_days_are_left_out():
    plan = parameters_of([Task("a", "", HOUR)], closed=[START])
    assert plan.slots[0].spells[0][0].date() == dt.date(2027, 3, 10)


def test_midnight_and_touching_openings_make_one_session():
    late = [(5, dt.time(20), dt.time(22)), (5, dt.time(22), dt.time(0))]
    begin, end = next(sessions(START, late))
    assert end - begin == dt.timedelta(hours=4)


def test_hours_that_never_suffice_give_no_plan():
    assert lay_out([Task("a", "", 5000 * HOUR)], START, [(5, dt.time(10), dt.time(10, 1))], 1) is None
    assert lay_out([Task("a", "", HOUR)], START, [], 1) is None


def test_the_calendar_file_reads_back_with_its_line_ends_and_folding_right():
    tasks = [
        Task(
            "long", "A title so long that its line has to be folded by the rules of the calendar format, ± ends", HOUR
        ),
        Task("b", "B", 4 * HOUR, 24 * HOUR, ("long",)),
    ]
    plan = parameters_of(tasks)
    raw = plan_ics("Dabchick", plan, STAMP)
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert max(len(row) for row in raw.split(b"\r\n")) <= 75
    events = list(icalendar.Calendar.from_ical(raw).walk("VEVENT"))
    assert len(events) == 4  # one, two spells, launch
    assert str(events[0]["summary"]).endswith("± ends")
    assert events[0]["dtstart"].dt == dt.datetime(2027, 3, 6, 10)
    assert events[-1]["dtstart"].dt == plan.launch
    assert len({str(event["uid"]) for event in events}) == 4
    assert plan_ics("Dabchick", plan, STAMP) == raw


# --- the build --------------------------------------------------------------------------------------------------


def test_no_step_comes_before_what_it_waits_for_and_each_has_its_check(dabchick):
    done = set()
    for step in steps_of(dabchick):
        assert set(step.after) <= done
        assert step.check
        assert "{" not in step.do + step.check + step.title
        done.add(step.code)
    assert {"bottle", "fins-bottle", "nose-sheet", "canopy", "leak", "proof", "weigh", "rehearse"} <= done


def test_air_goes_in_only_after_the_launcher_and_the_bottle_have_passed_on_water(dabchick):
    steps = {step.code: step for step in steps_of(dabchick)}
    order = list(steps)
    assert order.index("leak") < order.index("proof") < order.index("assemble")
    assert "water" in steps["leak"].do
    assert "water" in steps["proof"].do


def test_steps_belong_to_this_design():
    bare = design_of('schema=1\n[vessel]\nbottle="carbonated-1000"\n[charge]\npressure="3 bar"\n')
    codes = {step.code for step in steps_of(bare)}
    assert not codes & {"fins", "jig", "canopy", "nozzle", "sleeve", "nose-solid", "splice"}
    assert {"bottle", "assemble", "weigh"} <= codes


def test_nothing_is_tried_or_fitted_before_what_it_needs_is_there():
    design = design_of(DABCHICK, 'launcher.guide_length="1 m"')
    steps = {step.code: step for step in steps_of(design)}
    order = list(steps)
    for first, then in [
        ("bottle", "nose-sheet"), ("bottle", "jig"), ("stand", "hose"), ("nozzle", "leak"), ("guide", "assemble"),
        ("assemble", "guide-try"), ("leak", "rehearse"), ("proof", "fins-bottle"),
    ]:  # fmt: skip
        assert order.index(first) < order.index(then)
        assert first in steps[then].after
    assert "rocket" not in steps["guide"].check
    assert "cord" not in steps["stand"].check


def test_the_tape_gets_its_three_days_before_the_launch(dabchick):
    tasks, _ = tasks_of(steps_of(dabchick), 294.15)
    bond = next(task for task in tasks if task.code == "bond")
    assert bond.wait == 72 * HOUR  # a tape maker: the bond builds over 72 h
    plan = parameters_of(tasks, openings=[(day, dt.time(9), dt.time(18)) for day in range(7)])
    taped = next(slot for slot in plan.slots if slot.task.code == "assemble").spells[-1][1]
    assert dt.datetime.combine(plan.launch, dt.time(9)) >= taped + dt.timedelta(days=3)


def test_the_nose_stays_loose_where_the_recovery_comes_out_and_is_taped_where_nothing_does(dabchick):
    assert "without tape or glue" in next(s for s in steps_of(dabchick) if s.code == "assemble").do
    hard = design_of(DABCHICK.split("[recovery]")[0] + '[charge]\npressure = "3 bar"\n')
    do = next(s for s in steps_of(hard) if s.code == "assemble").do
    assert "Tape the nose on" in do
    assert "recovery" not in do


def test_a_fin_is_placed_from_where_a_rule_can_be_laid(dabchick):
    words = template_values(specify(dabchick))
    front = float(words["fin_from_mouth"].removesuffix(" mm")) + 1e3 * dabchick.fins.position.value
    assert front == pytest.approx(body_of(dabchick).exit, abs=0.06)
    skirt = design_of(
        DABCHICK, 'sleeve.length="150 mm"', f'sleeve.position="{1e3 * dabchick.fins.position.value - 30:.2f} mm"'
    )
    step = next(s for s in steps_of(skirt) if s.code == "fins-sleeve")
    assert "30 mm behind the sleeve's front edge" in step.do


def test_half_a_millimetre_of_a_length_is_not_rounded_away():
    design = design_of(DABCHICK, 'vessel.diameter="90.5 mm"')
    assert template_values(specify(design))["nose_diameter"] == "90.5 mm"


def test_a_fin_half_on_the_sleeve_is_told(dabchick):
    front = 1e3 * dabchick.fins.position.value
    half = design_of(DABCHICK, 'sleeve.length="60 mm"', f'sleeve.position="{front - 20:.1f} mm"')
    assert "fins-half-on-sleeve" in {f.code for f in about_patterns([], specify(half))}
    whole = design_of(DABCHICK, 'sleeve.length="150 mm"', f'sleeve.position="{front - 20:.1f} mm"')
    assert "fins-half-on-sleeve" not in {f.code for f in about_patterns([], specify(whole))}


@pytest.mark.parametrize("frame", ["boards", "tube"])
def test_the_turning_bar_has_posts_and_a_friction_plug_has_neither_bar_nor_cord(frame):
    text = DABCHICK + f'[launcher.frame]\nkind = "{frame}"\n[launcher.cord]\nheight = "70 mm"\n'
    spec = specify(design_of(text))
    sizes = spec.stand
    pieces = {piece.name: piece for piece in spec.pieces}
    foot = sizes.board if frame == "boards" else sizes.tube
    assert pieces["bar post"].length + foot > 70.0 + 7.5
    assert "turning bar" in pieces
    plug = design_of(text + '[launcher.release]\nkind = "plug"\n')
    assert not {"turning bar", "bar post"} & {piece.name for piece in specify(plug).pieces}
    assert not any("cord" in hole[0] for hole in specify(plug).holes)
    assert "cord" not in {part.code for part in listed_of(plug)[0].parts}
    day = launch_day(specify(plug), template_values(specify(plug)), day_steps())
    said = " ".join(line[1] for phase in day["phases"] for line in phase["lines"] if line[0] == "Operator")
    assert "cord" not in said + " ".join(duty for _, duty in day["roles"])
    assert "pull" not in " ".join(misfire(specify(plug), template_values(specify(plug)), day_steps())["steps"])


def test_the_checklist_speaks_of_the_recovery_that_there_is(dabchick):
    def lines(design):
        day = launch_day(specify(design), template_values(specify(design)), day_steps())
        return " ".join(line[1] for phase in day["phases"] for line in phase["lines"])

    assert "parachute opens by hand" in lines(dabchick)
    bare = design_of('schema=1\n[vessel]\nbottle="carbonated-1000"\n[charge]\npressure="3 bar"\n')
    assert "parachute" not in lines(bare)
    assert "streamer" not in lines(bare)


def test_the_gauge_is_read_before_anyone_goes_to_the_launcher(dabchick):
    day = launch_day(specify(dabchick), template_values(specify(dabchick)), day_steps())
    (each,) = (phase["lines"] for phase in day["phases"] if phase["title"] == "Each launch")
    shown = [line[1] for line in each]
    (seat,) = (text for text in shown if "It sits on its seal" in text)
    assert "Go there only while the bleed valve is open and the gauge reads zero" in seat


def test_a_glued_joint_between_bottles_waits_two_days_before_pressure():
    joined = design_of(DABCHICK, "vessel.count=2", 'vessel.joint="splice"', 'vessel.joint_overlap="30 mm"')
    tasks, findings = tasks_of(steps_of(joined), 291.15)
    splice = next(task for task in tasks if task.code == "splice")
    assert splice.wait >= 48 * HOUR
    assert "splice" in next(task for task in tasks if task.code == "proof").after
    assert findings == []


def test_a_workshop_too_cold_for_the_glue_is_a_finding_and_not_a_guess(dabchick):
    tasks, findings = tasks_of(steps_of(dabchick), 278.15)
    assert {finding.code for finding in findings} == {"too-cold-to-glue"}
    assert "5 °C" in findings[0].found
    assert all(task.wait >= 0 for task in tasks)


def test_boring_goes_up_in_small_steps_and_ends_at_the_bore(dabchick):
    sizes = [step.diameter for step in specify(dabchick).boring]
    assert sizes[0] == 3.0
    assert sizes[-1] == 9.0
    assert all(0 <= b - a <= 3.0 for a, b in itertools.pairwise(sizes))


@pytest.mark.parametrize("kind", ["boards", "tube"])
def test_the_cut_list_adds_up_to_the_stand(kind):
    design = design_of(DABCHICK + f'[launcher.frame]\nkind = "{kind}"\nheight = "200 mm"\nwidth = "350 mm"\n')
    spec = specify(design)
    sizes = spec.stand
    pieces = {piece.name: piece for piece in spec.pieces}
    if kind == "boards":
        assert pieces["leg"].length + 2 * sizes.board == 200.0
        assert pieces["stretcher"].length + 2 * sizes.board_width == 350.0
    else:
        assert pieces["upright"].length + sizes.tube + sizes.board == 200.0
        assert pieces["cross bar"].length + 2 * sizes.tube == 350.0
    assert "frame.board_width" in sizes.chosen
    assert "frame.height" not in sizes.chosen


def test_a_stand_that_can_not_be_is_told(dabchick):
    tiny = specify(design_of(DABCHICK + '[launcher.frame]\nheight = "20 mm"\nwidth = "100 mm"\n'))
    (finding,) = about_stand(tiny)
    assert "leg -16 mm" in finding.found
    assert "stretcher -80 mm" in finding.found
    assert list(about_stand(specify(dabchick))) == []


def test_hot_glue_between_bottles_is_a_stop_and_an_unknown_glue_waits_two_days():
    joint = ("vessel.count=2", 'vessel.joint="splice"', 'vessel.joint_overlap="30 mm"')
    hot = design_of(DABCHICK, *joint, 'vessel.joint_adhesive="hot glue"')
    assert [(f.level, f.code) for f in about_glues(hot)] == [(Level.STOP, "hot-glue-on-the-vessel")]
    super_glue = design_of(DABCHICK, *joint, 'vessel.joint_adhesive="Super Glue"')
    assert (Level.STOP, "superglue-on-the-vessel") in [(f.level, f.code) for f in about_glues(super_glue)]
    own = design_of(DABCHICK, *joint, 'vessel.joint_adhesive="grandfather\'s best"')
    assert [f.code for f in about_glues(own)] == ["unknown-glue"]
    tasks, _ = tasks_of(steps_of(own), 291.15)
    assert next(task for task in tasks if task.code == "splice").wait == 48 * HOUR
    assert "grandfather's best" in next(step for step in steps_of(own) if step.code == "splice").do


# --- the parts ----------------------------------------------------------------------------------------------------


def listed_of(design, prices=None):
    tools, supplies = tools_and_supplies(steps_of(design), design.workshop)
    return parts_list(specify(design), tools, supplies, prices)


def test_the_parts_weigh_what_the_flight_is_worked_out_with(dabchick):
    masses = sum(part.mass.value for part in rocket_parts(specify(dabchick)) if part.mass)
    assert masses == pytest.approx(layout_of(dabchick).estimated_mass, rel=1e-9)


def test_everybody_at_work_has_goggles_and_a_saw_is_one_for_all():
    for people, rockets, worn in ((2, 1, 4), (12, 6, 12)):  # four rehearse the launch day
        listed, _ = listed_of(design_of(DABCHICK, f"workshop.people={people}", f"workshop.rockets={rockets}"))
        needed = {part.code: listed.pieces(part) for part in listed.parts}
        assert (needed["eye-protection"], needed["saw"]) == (worn, 1)


def test_the_total_counts_only_what_is_missing(dabchick):
    listed, findings = listed_of(dabchick)
    by_code = {part.code: part for part in listed.parts}
    assert listed.to_buy(by_code["bottle"]) == 0
    assert listed.cost(by_code["bottle"]) == 0
    assert listed.total == 4.0 * by_code["cord"].quantity
    assert "hose" in listed.unpriced
    assert "scissors" not in listed.unpriced
    assert findings == []


def test_the_design_beats_the_price_file_and_a_name_that_fits_nothing_is_told(dabchick):
    listed, findings = listed_of(dabchick, {"bottle": 9.0, "hoes": 3.0})
    assert listed.price["bottle"] == 1.5
    assert [f.code for f in findings] == ["unknown-part"]
    assert "'hose'" in findings[0].remedy


def test_no_prices_are_a_note():
    listed, findings = listed_of(design_of(DABCHICK.split("[prices]")[0]))
    assert [f.code for f in findings] == ["no-prices"]
    assert listed.total == 0.0


def test_the_csv_has_every_part_once_and_its_mass_in_kg(dabchick):
    listed, _ = listed_of(dabchick)
    rows = list(csv.DictReader(io.StringIO(parts_csv(listed))))
    assert [row["part"] for row in rows] == [part.code for part in listed.parts]
    assert len({row["part"] for row in rows}) == len(rows)
    total = sum(float(row["mass_kg"]) for row in rows if row["mass_kg"])
    assert total == pytest.approx(listed.mass, rel=1e-5)


def test_the_csv_counts_for_all_rockets_that_are_built():
    one, three = ({row["part"]: row for row in csv.DictReader(io.StringIO(parts_csv(listed_of(design_of(text))[0])))}
                  for text in (DABCHICK, DABCHICK.replace("[workshop]\n", "[workshop]\nrockets = 3\n")))  # fmt: skip
    for code, row in three.items():
        times = 3 if row["group"] == "rocket" else 1
        assert int(row["quantity"]) == times * int(one[code]["quantity"])
        assert row["rockets"] == ("3" if times == 3 else "")
        assert row["mass_kg"] == one[code]["mass_kg"]


@pytest.mark.parametrize("text", ["part,price\nbottle,1.20\nhose,3\n", "price;part\n1,20;bottle\n3;hose\n"])
def test_price_files_read_with_comma_or_semicolon(text):
    assert read_prices(text) == {"bottle": 1.20, "hose": 3.0}


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "part,price\nbottle,cheap\n", "part,price\nbottle,-1\n"])
def test_a_bad_price_file_is_refused_with_a_reason(text):
    with pytest.raises(ValueError, match=r"columns|not a price"):
        read_prices(text)


# --- the design's tables -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "line", ['hours = ["Sat 13:00-10:00"]', 'hours = ["Saturday 10-13"]', 'start = "6 March"', "people = 0"]
)
def test_hours_days_and_people_that_make_no_sense_are_refused(line):
    with pytest.raises(DesignError) as refused:
        parse_design(f'schema=1\n[vessel]\nbottle="carbonated-1000"\n[charge]\npressure="3 bar"\n[workshop]\n{line}\n')
    assert refused.value.problems[0].path.startswith("workshop.")


def test_a_day_may_be_written_with_or_without_quotes():
    for text in ('"2027-03-06"', "2027-03-06"):
        design = parse_design(
            f'schema=1\n[vessel]\nbottle="carbonated-1000"\n[charge]\npressure="3 bar"\n[workshop]\nstart = {text}\n'
        )
        assert design.workshop.start == START
