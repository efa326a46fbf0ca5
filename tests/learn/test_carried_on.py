"""What flights taught is carried on into the next prediction, and never into what a bottle may hold."""

import numpy as np
import pymupdf
import pytest
from conftest_flights import CURLEW, folder_of, taking_on, true_flights, written_down

import bottlewright as bw
from bottlewright.errors import InputError
from bottlewright.findings import Level
from bottlewright.flight.learned_findings import learned_findings
from bottlewright.learn import one_variable
from bottlewright.learn.from_the_book import launch_of
from bottlewright.logbook.records import FlightFile
from bottlewright.project import lesson as lesson_module
from bottlewright.project.learning import learn
from bottlewright.project.lesson import lesson
from bottlewright.project.logbook import Logbook
from bottlewright.quantities import Basis


def width(project, key="apogee_m"):
    column = project.fly_many(300).columns()[key]
    low, high = np.nanquantile(column, (0.05, 0.95))
    return high - low


@pytest.fixture(scope="module")
def taught(tmp_path_factory):
    """A rocket with more drag than its design says, pumped higher than the gauge said, after four flights."""
    file = folder_of(tmp_path_factory.mktemp("taught"))
    before = bw.read(file)
    flights = true_flights(before.design, 5, drag_factor=1.25, pressure_gauge=4.65e5, canopy_drag=0.62)
    written_down(file, flights[:4])
    found = learn(before)
    found.keep()
    return file, before, taking_on(file), found, flights


def test_the_next_prediction_is_narrower_and_holds_the_next_flight(taught):
    _, before, after, _, flights = taught
    assert width(after) < 0.75 * width(before)
    assert width(after, "flight_time_s") < 0.6 * width(before, "flight_time_s")
    for key in ("apogee_m", "flight_time_s"):
        low, high = np.nanquantile(after.fly_many(300).columns()[key], (0.02, 0.98))
        assert low < flights[key][4] < high


def test_what_was_learned_says_what_it_rests_on(taught):
    _, before, after, _, _ = taught
    canopy = after.value("recovery.drag_coefficient")
    assert canopy.basis is Basis.LEARNED
    assert canopy.source == "learned from 4 flights"
    assert canopy.spread < 0.85 * before.value("recovery.drag_coefficient").spread
    assert canopy.value < before.value("recovery.drag_coefficient").value


def test_a_lesson_says_which_launches_taught_the_band_that_they_lie_in(taught, monkeypatch):
    _, before, after, _, _ = taught
    monkeypatch.setattr(one_variable, "FLIGHTS", 12)
    monkeypatch.setitem(lesson_module._SHARES, "water", (0.8, 1.0))
    said = "The band is learned from 4 flights. 4 of the launches here are among them"
    found = lesson(after)
    assert said in found.words()
    assert found.document()["taught_by"].startswith(said)
    with pymupdf.open(stream=found.sheet(key=True), filetype="pdf") as key:
        assert said in " ".join(" ".join(page.get_text() for page in key).split())
    assert lesson(before).taught_by == "", "a band by the design alone was taught by no launch"


def test_readings_of_a_launch_stand_in_one_order_whichever_was_written_first():
    design = CURLEW.joinpath("rocket.toml").read_text(encoding="utf-8")
    measured = [{"what": "height", "value": "50 m", "how": "angles"}, {"what": "time", "value": "15 s", "how": "watch"}]
    one = {"entry": "f1", "day": "2026-11-01", "number": 1, "rocket": "Curlew", "design": design}
    for order in (measured, measured[::-1]):
        launch = launch_of(FlightFile.model_validate({**one, "measured": order}))
        assert [reading.what for reading in launch.readings] == ["height", "time"]


def test_the_two_lines_that_draw_from_flights_are_said_as_a_file_takes_them(taught):
    assert "[learned] in one, from = \"logbook\" in the next" in " ".join(taught[3].words().split())


def test_a_flight_in_words_says_that_it_draws_from_what_was_learned(taught):
    _, before, after, _, _ = taught
    assert "Predictions are learned from 4 flights." in after.fly().words()
    assert "learned from" not in before.fly().words()


def test_nothing_learned_changes_what_a_bottle_may_hold_or_a_pressure_that_is_asked_for(taught):
    _, before, after, _, _ = taught
    old, new = before.verdict().allowed, after.verdict().allowed
    assert (new.gauge_Pa, new.because) == (old.gauge_Pa, old.because)
    assert after.value("charge.pressure") == before.value("charge.pressure")
    for path in ("vessel.wall", "vessel.empty_mass", "vessel.modulus"):
        assert after.value(path) == before.value(path)


def test_a_design_that_asks_for_nothing_learns_nothing(taught):
    file, before, after, _, _ = taught
    without = bw.read(file, ["learned.from="])
    assert without.value("model.drag_factor") == before.value("model.drag_factor")
    assert without.digest == before.digest
    assert after.digest != before.digest


def test_after_new_fins_the_drag_is_unknown_again_and_the_canopy_is_not(taught):
    _, before, after, _, _ = taught
    changed = after.changed({"fins.span": "100 mm"})
    assert changed.value("model.drag_factor") == before.value("model.drag_factor")
    assert changed.value("recovery.drag_coefficient") == after.value("recovery.drag_coefficient")
    assert any(one.touches == "model.drag_factor" and one.key == "fins.span"
               for one in changed.design.written.taken.changes)  # fmt: skip


def test_what_was_changed_since_the_flights_is_a_finding(taught):
    _, _, after, _, _ = taught
    (found,) = learned_findings(after.changed({"fins.span": "100 mm"}).design)
    assert (found.code, found.level) == ("changed-since-learned", Level.LOOK)
    assert "fins.span changed since the flights; so drag is known less well again" in found.found
    assert [*learned_findings(after.design)] == []


def test_after_a_slight_change_most_of_it_is_still_known(taught):
    _, before, after, _, _ = taught
    slight = after.changed({"fins.span": "142 mm"}).value("model.drag_factor")
    assert after.value("model.drag_factor").spread < slight.spread < before.value("model.drag_factor").spread


def test_a_load_is_not_a_change_of_the_rocket(taught):
    _, _, after, _, _ = taught
    other = after.changed({"charge.water": "300 mL", "charge.pressure": "4 bar", "weather.wind_speed": "1 m/s"})
    assert other.value("model.drag_factor") == after.value("model.drag_factor")
    assert not other.design.written.taken.changes


def test_the_same_flight_of_a_seed_is_the_same_flight(taught):
    _, _, after, _, _ = taught
    one, other = after.fly_many(40).columns()["apogee_m"], after.fly_many(20).columns()["apogee_m"]
    np.testing.assert_array_equal(one[:20], other)


def test_a_book_that_is_not_there_or_is_spoiled_is_said_and_nothing_is_learned(tmp_path):
    file = folder_of(tmp_path)
    asks = taking_on(file)
    assert "nothing was learned yet" in asks.design.written.learned.unread
    assert asks.value("model.drag_factor").basis is Basis.ASSUMED
    (found,) = learned_findings(asks.design)
    assert (found.code, found.level) == ("nothing-learned", Level.LOOK)
    path = file.parent / "logbook" / "learned" / "curlew.json"
    path.parent.mkdir(parents=True)
    uneven = '{"schema": 1, "values": ["a"], "shares": [1], "scores": [[1, 2]]}'
    for spoiled in ("", "{}", "[1]", '{"schema": 2}', uneven):
        path.write_text(spoiled, encoding="utf-8")
        assert "learn it anew" in bw.read(file).design.written.learned.unread


def test_nothing_is_claimed_where_nothing_was_measured(tmp_path):
    file = folder_of(tmp_path)
    with pytest.raises(InputError, match="no launch of it stands in the logbook"):
        learn(bw.read(file))


def test_lines_come_no_nearer_before_somebody_has_confirmed_them(taught):
    file, before, after, _, _ = taught
    from bottlewright.design.taught import without_learned
    from bottlewright.field.unconfirmed import _landed, _reach, flown_with
    from bottlewright.flight.batch import fly_batch

    old, new = (_reach(_landed(one.design, fly_batch, 1)) for one in (before, after))
    chosen, (said,) = flown_with(after.design, fly_batch, 1)
    assert _reach(_landed(chosen, fly_batch, 1)) == max(old, new)
    assert said.code == "learned-unconfirmed"
    assert without_learned(after.design).model.drag_factor == before.design.model.drag_factor
    named = bw.read(file, ["learned.confirmed_by=M. R.", "learned.confirmed_on=2026-11-20"])
    assert flown_with(named.design, fly_batch, 1) == (named.design, [])
    assert flown_with(before.design, fly_batch, 1) == (before.design, [])
    assert before.verdict().allowed == named.verdict().allowed


def test_flights_that_came_after_what_was_learned_are_said_wherever_it_is(taught):
    file, _, after, found, flights = taught
    around = bw.read(file).around
    written_down(file, flights[4:], first=5)
    later = bw.read(file)
    assert later.value("model.drag_factor").source == "learned from 4 flights; 1 newer one is not in it"
    assert later.value("model.drag_factor").value == after.value("model.drag_factor").value
    assert (later.digest, later.around == around) == (after.digest, False)
    (said,) = learned_findings(later.design)
    assert (said.code, said.level) == ("newer-flights", Level.NOTE)
    assert "2026-11-05" in said.found
    book = Logbook(file.parent)
    book.enter_flight(bw.read(file), {"at": "2026-11-06T10:00:00"}, {})  # nothing was measured of it
    assert len(bw.read(file).design.written.learned.newer) == 1
    found.keep()
    assert len(bw.read(file).design.written.learned.newer) == 1


def test_a_side_that_the_other_landings_reach_further_to_is_named():
    from bottlewright.field.unconfirmed import _sides

    draw = np.random.default_rng(1)
    mine = draw.normal(0.0, 10.0, (800, 2)) + np.array([0.0, 30.0])
    nearer, far_east = mine - np.array([0.0, 15.0]), draw.normal(0.0, 2.0, (60, 2)) + np.array([50.0, 0.0])
    east = np.concatenate([nearer, far_east])
    assert [*_sides(mine, mine)] == []
    found = {round(np.degrees(way)): (there, here) for way, there, here in _sides(east, mine)}
    assert 0 not in found
    assert found[90][0] == pytest.approx(52.0, abs=2.0)


def test_the_report_shows_each_learned_value_before_and_after(taught):
    from bottlewright.findings import Stage
    from bottlewright.learn.chapters import with_learned
    from bottlewright.report.html import Chapter, Section, State

    _, before, after, _, _ = taught
    fly = Chapter(Section(Stage.FLY, "53 m", State.NONE, "<p>flies</p>"))
    assert with_learned(fly, before.design) is fly
    told = with_learned(fly, after.design)
    values = {one["key"]: one for one in told.results["learned"]["values"]}
    canopy = values["recovery.drag_coefficient"]
    assert canopy["before"] == before.value("recovery.drag_coefficient").value
    assert canopy["after"] == pytest.approx(after.value("recovery.drag_coefficient").value, rel=1e-3)
    assert canopy["low"] < canopy["after"] < canopy["high"]
    assert "learned from 4 flights" in told.section.html
    (picture,) = told.section.pictures
    assert all(f'data-part="{key}"' in picture.figure.svg() for key in values)
