"""The paper of a day: what it takes, and a card of each rocket that tells the steps of the day's table."""

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pymupdf
import pytest

import bottlewright as bw
from bottlewright.field.numbers import LimitAt, Sector
from bottlewright.logbook.cards import COLUMNS, day_sheet, day_sheets, rocket_card
from bottlewright.logbook.day_needs import Need, day_needs, need_of
from bottlewright.logbook.day_plan import rocket_of
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.paper import AFTER_A_STOP, LAUNCH
from bottlewright.make.need.figures import Pumping
from bottlewright.make.template_values import words_of
from bottlewright.verdict import act_on

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
DAY = dt.date(2027, 3, 20)
PUMP = Pumping(False, 29.2, 1.0, 60.0, 5.0, 1.9e-3, "30 mm across inside, 450 mm a stroke", True)
NEED = Need("Curlew", "B07", 6, 0.4e-3, PUMP, 600.0, 120.0, 8, 3, None)
TABLE = day_table()


def lines(*needs: Need) -> dict[str, str]:
    return {one.what: one.shown for one in day_needs(needs, DAY).lines}


def test_water_strokes_and_hours_are_those_of_all_launches():
    """6 × 0.4 L and a fifth more is 2.88 L; 30 whole strokes six times; 6 × 10 min and 55 min."""
    found = lines(NEED)
    assert found["Water"] == "3 L"
    assert found["Pump strokes, each launch of Curlew"] == "30 ± 1"
    assert found["Pump strokes together"] == "180"
    assert found["Minutes a launch"] == "10 ± 2 min"
    assert found["Hours in all"].startswith("1.9 h ±")


def test_strokes_that_nobody_knows_make_no_sum():
    endless = NEED._replace(rocket="Wren", pumping=replace(PUMP, strokes=float("inf")))
    assert lines(NEED, endless)["Pump strokes together"] == "not known"
    compressor = NEED._replace(rocket="Wren", pumping=replace(PUMP, compressor=True, strokes=0.0))
    assert lines(NEED, compressor)["Pump strokes together"] == "180"


@pytest.mark.parametrize(("cycles", "launches", "says"), [
    (8, 6, "10th time under pressure at launch 2 of 6: an adult looks over"),
    (12, 6, "15th time under pressure at launch 3 of 6: it is finished"),
    (15, 1, "It does not fly"), (None, 1, "nobody knows how often"),
])
def test_a_bottle_that_comes_to_its_tenth_or_fifteenth_time_is_named(cycles, launches, says):
    found = " ".join(day_needs([NEED._replace(cycles=cycles, launches=launches, test_left=9)], DAY).bottles)
    assert says in found
    assert "B07" in found


def test_two_rockets_with_one_bottle_count_together():
    found = day_needs([NEED._replace(launches=1), NEED._replace(rocket="Wren", launches=1)], DAY).bottles
    assert any("10th time under pressure at launch 2 of 2" in text for text in found)


def test_a_water_test_that_ends_before_or_on_the_day_is_named():
    short = " ".join(day_needs([NEED], DAY).bottles)
    assert "its water test lasts for 3 of 6 launches" in short
    old = " ".join(day_needs([NEED._replace(test_until=DAY - dt.timedelta(1))], DAY).bottles)
    assert "its water test ended on 2027-03-19" in old
    assert not day_needs([NEED._replace(cycles=0, launches=1, test_until=DAY)], DAY).bottles


@pytest.fixture(scope="module")
def curlew():
    project = bw.read(CURLEW)
    return project, project.verdict()


def test_a_card_tells_every_step_of_a_launch_and_of_what_follows_a_stop(curlew):
    project, verdict = curlew
    first, second = rocket_card(project.design, verdict, "A", COLUMNS + 1)
    assert [row["state"] for row in first["rows"]] == [start for start, _ in LAUNCH]
    assert {start for start, _ in AFTER_A_STOP} <= {row["state"] for row in first["stop"]}
    assert second["launches"] == [f"launch {COLUMNS + 1}", "spare", "spare"]
    told = str(first)
    for one in (*LAUNCH, *AFTER_A_STOP):
        step = TABLE.steps[one]
        assert one[1] == "launch" or TABLE.acts[one[1]].does in told.replace("\\'", "'")
        for point in step.confirm:
            assert TABLE.confirms[point].of(rocket_of(project.design, verdict, "A").points) in told.replace("\\'", "'")
    for name in ("misfire_wait", "zero_wait", "vent_within", "confirm_within", "under_pressure"):
        assert TABLE.limits[name].says[1:] in told


def test_a_card_and_its_back_tell_every_step_that_the_table_knows_in_its_words(curlew):
    project, verdict = curlew
    (card,) = rocket_card(project.design, verdict, "A", 1)
    rows = [(state, row["to"], row["does"]) for row in (*card["rows"], *card["stop"])
            for state in row["state"].split(", ")]  # fmt: skip
    for (start, event), step in TABLE.steps.items():
        does = "Count" if event == "launch" else TABLE.acts[event].does
        assert any(row[:2] == (start, step.to) and row[2].startswith(does) for row in rows), (start, event)


def test_numbers_on_a_card_are_the_verdicts(curlew):
    project, verdict = curlew
    (card,) = rocket_card(project.design, verdict, "A", 1)
    facts = dict(card["facts"])
    act = project.prove().act
    assert facts["pressure to pump to, on the gauge"] == f"{act.pump_to} (65.3 psi)"
    assert facts["highest reading of the gauge"] == f"{act.allowed} (70 psi)"
    assert facts["spectators"] == act.spectators
    assert card["because"] == act.because


def test_a_card_has_the_tables_by_direction_of_the_packs_cover_and_stays_one_page(curlew):
    """It is what counts where no device works: who stands on a side, or reads a wind, finds the number in its row."""
    project, verdict = curlew
    sides = tuple(Sector((30.0 * k - 15.0) % 360.0, 30.0 * k + 15.0, 40.4 if k == 9 else 200.8, True)
                  for k in range(12))  # fmt: skip
    where = replace(verdict.distances, spectators=sides, pumper_m=24.0, operator_m=24.0, planned_spectators_m=76.0,
                    spectators_bearing_deg=270.0)
    winds = tuple(LimitAt(30.0 * k, 2.2 + 0.5 * k, 3.0) for k in range(12))
    landed = replace(verdict, distances=where, wind_limits=winds)
    act, (card,) = act_on(landed), rocket_card(project.design, landed, "A", 1)
    assert f"spectators {act.stand[-1].says}" in rocket_of(project.design, landed, "A").points["lines"]
    needs = day_needs([need_of(project.design, project.proved, verdict, 1)], DAY)
    for paper in ("a4", "letter"):
        document = pymupdf.open(stream=day_sheets(day_sheet("2027-03-20", needs), [card], paper))
        assert len(document) == 3
        front = " ".join(document[1].get_text().split())
        assert "W (270°) 40.4 m" in front
        for row in (*act.sides, *act.winds):
            assert f"{row.where} {row.says}" in front
    assert words_of(act)["sides_for_less"] == "; the cover says which sides ask for less"
    assert words_of(act_on(verdict))["sides_for_less"] == ""


def test_each_card_and_its_back_are_one_page_and_pumper_and_watch_have_their_blanks(curlew):
    project, verdict = curlew
    needs = day_needs([need_of(project.design, project.proved, verdict, 1)], DAY)
    for paper in ("a4", "letter"):
        made = day_sheets(day_sheet("2027-03-20", needs), rocket_card(project.design, verdict, "A", 1), paper)
        document = pymupdf.open(stream=made)
        assert len(document) == 3
        card, back = (" ".join(document[number].get_text().split()) for number in (1, 2))
        assert card.count("pumper reads") == card.count("watch reads") == 2 * COLUMNS
        assert card.count("cycle no.") == COLUMNS
        assert "why" in back
        assert "highest reading" in back
