"""Field: what the page says of the field as it is drawn, of winds, hours and people; and what may be posted."""

import html
import json
import math
import re
import time
from datetime import date
from types import SimpleNamespace

import numpy as np
import pytest
from conftest_web import CURLEW, served

from bottlewright.design import complete, parse_design
from bottlewright.design.unit_habit import METRIC
from bottlewright.field.wind_limit import Call, HourCall
from bottlewright.project.field_sheet import field_sheet, landed_in
from bottlewright.project.fits import smallest_briefly, smallest_words
from bottlewright.project.grounds import grounds_of
from bottlewright.project.winds import called, in_wind
from bottlewright.web.views.field import field, hour_of, measured_words
from bottlewright.web.views.frame import _no_arguments

MAP = (CURLEW / "field.geojson").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def worked(tmp_path_factory):
    """Curlew's pages with its landings worked out, by few flights."""
    folder = tmp_path_factory.mktemp("worked")
    text = (CURLEW / "rocket.toml").read_text(encoding="utf-8")
    (folder / "rocket.toml").write_text(text + "\n[scatter]\nflights = 400\n", encoding="utf-8")
    for name in ("field.geojson", "prices.csv"):
        (folder / name).write_bytes((CURLEW / name).read_bytes())
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("bottlewright.proof.judged_day.today", lambda: date(2027, 3, 1))  # as for every test
        with served(folder) as pages:
            pages.do("start/scatter")
            until(lambda: not pages.office.work.running)
            yield pages


def until(true, seconds=120.0):
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


def page_of(pages):
    return field(pages.office.desk(), "wide")


def grounds(pages):
    return grounds_of(pages.office.job.project)


def written(pages):
    return pages.office.job.file.read_text(encoding="utf-8")


# --- the sheet -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_every_corner_on_the_sheet_lies_where_the_map_has_it(curlew, width):
    (name, sheet, _), = field(curlew.office.desk(), width).sheets
    assert name == width
    drawn = {(one.what, one.number): one for one in sheet.traced}
    edge, road = drawn["boundary", 0], drawn["keep-out", 0]
    features = json.loads(MAP)["features"]
    launch = features[1]["geometry"]["coordinates"]
    of_edge, of_road = features[0]["geometry"]["coordinates"][0][:-1], features[2]["geometry"]["coordinates"]
    for trace, rows in ((edge, of_edge), (road, of_road)):
        assert len(trace.places) == len(rows)
        for spot, (longitude, latitude) in zip(trace.places, rows, strict=True):
            east, north = sheet.west + spot.x * sheet.per, sheet.north - spot.y * sheet.per
            assert (float(spot.east), float(spot.north)) == pytest.approx((east, north), abs=0.01)
            metres = 111_320.0 * math.cos(math.radians(52.0))  # a degree of longitude there, on a sphere
            assert east == pytest.approx((longitude - launch[0]) * metres, rel=0.01)
            assert north == pytest.approx((latitude - launch[1]) * 111_250.0, rel=0.01, abs=0.3)


def test_people_stand_on_the_sheet_at_their_distance_and_side(curlew):
    (_, sheet, _), = page_of(curlew).sheets
    places = {one.what: one for one in sheet.places}
    launcher, watching = places["launcher"], places["spectators"]
    east, north = ((watching.x - launcher.x) * sheet.per, (launcher.y - watching.y) * sheet.per)
    assert math.hypot(east, north) == pytest.approx(76.0, abs=0.01)
    assert math.degrees(math.atan2(east, north)) % 360 == pytest.approx(270.0, abs=0.1)
    assert "pulls the cord, pumps" in {one.label for one in sheet.places}, "who stand side by side share a mark"


def test_landings_appear_block_by_block_before_anything_is_known(curlew):
    blocks = []
    project = curlew.office.job.project.changed({"scatter.flights": 600})
    assert project.scatter(landed=blocks.append, stop=lambda: bool(blocks)).partial
    assert [len(rows) for rows in blocks] == [512]
    sheet = field_sheet(grounds(curlew), landed_in(None)._replace(blocks=blocks), None, narrow=False)
    assert sheet.blocks[0].count("M") == 512
    x, y = map(float, re.match(r"M([\d.-]+) ([\d.-]+)h0", sheet.blocks[0]).groups())
    east, north = blocks[0][0]
    assert (sheet.west + x * sheet.per, sheet.north - y * sheet.per) == pytest.approx((east, north), abs=0.2)


def test_closer_looks_at_the_place_that_was_tapped_and_all_shows_all(curlew):
    (_, every, _), = page_of(curlew).sheets
    assert curlew.do("do/view", closer="1", middle="-80,98").status_code == 200
    (_, near, _), = page_of(curlew).sheets
    assert near.per == pytest.approx(every.per / 1.4, rel=1e-6)
    middle = near.west + near.per * near.wide / 2, near.north - near.per * near.high / 2
    assert middle == pytest.approx((-80.0, 98.0), abs=0.01)
    curlew.do("do/view", closer="0")
    assert page_of(curlew).sheets[0][1].west == every.west


# --- drawing -------------------------------------------------------------------------------------------------------


def test_the_first_change_takes_the_map_over_and_leaves_it_as_it_was(curlew):
    before, text = grounds(curlew), written(curlew)
    assert curlew.do("do/draw", what="launcher", corners="5,5").status_code == 200
    after = grounds(curlew)
    assert after.mapped == ""
    assert after.launcher == (5.0, 5.0)
    assert [(one.name, one.kind, one.form, one.width) for one in after.keep_outs] == [
        (one.name, one.kind, one.form, one.width) for one in before.keep_outs]  # fmt: skip
    for old, new in zip([before.edge, *before.keep_outs], [after.edge, *after.keep_outs], strict=True):
        for corner, same in zip(old.corners, new.corners, strict=True):
            assert corner == pytest.approx(same, abs=0.006)
    assert after.site.origin.latitude == pytest.approx(before.site.origin.latitude + 5.0 / 111_250.0, abs=1e-6)
    assert (curlew.office.folder / "field.geojson").read_text(encoding="utf-8") == MAP
    curlew.do("do/undo")
    assert written(curlew) == text


def test_a_corner_is_moved_and_one_undo_takes_it_back_with_every_remark_of_the_file(curlew):
    curlew.do("do/draw", what="launcher", corners="0,0")
    text = written(curlew)
    curlew.do("do/draw", what="boundary", corners="-115,-95 140,-108 208,-25 202,122 -100,118")
    assert len(grounds(curlew).edge.corners) == 5
    assert "# turned from acetal rod" in written(curlew)
    curlew.do("do/undo")
    assert written(curlew) == text
    curlew.do("do/redo")
    assert len(grounds(curlew).edge.corners) == 5


def test_who_is_moved_keeps_the_landings_and_gets_the_chance_of_the_new_place(worked):
    before = page_of(worked)
    worked.do("do/draw", what="pumper", corners="6,2")
    after = page_of(worked)
    said = {one.role: one for one in after.people}
    place = grounds(worked).people[1]
    assert (place.distance, math.degrees(place.bearing)) == pytest.approx((6.3, 72.0), abs=0.01)
    assert said["pumper"].found.level == "stop", "it comes down there in a lull"
    assert "struck in" in said["pumper"].found.chance
    assert said["pumper"].found.elsewhere
    assert {one.role: one.found.level for one in before.people}["pumper"] != "stop"
    assert after.answer.lower().startswith("stop")
    assert all(one.says != "nothing against it" for one in after.hours), "a stop anywhere is a stop at every hour"
    saved = html.unescape(worked.get("/day").text)
    assert "nothing against it" not in saved, "nor on the page that goes to the field"
    assert all(one.why in saved for one in after.hours)
    worked.do("do/undo")
    assert page_of(worked).people == before.people


@pytest.mark.parametrize(("post", "why"), [
    ({"what": "boundary", "corners": "0,0 30,30 30,0 0,30"}, "crosses itself"),
    ({"what": "boundary", "corners": "0,0 30,30"}, "at least three corners"),
    ({"what": "boundary", "corners": "0,0 30,x 9,9"}, "Corner 2"),
    ({"what": "boundary", "corners": "0,0 30,nan 9,9"}, "Corner 2"),
    ({"what": "boundary", "corners": "0,0 99999,0 0,99999"}, "20 km"),
    ({"what": "boundary", "corners": "1,1 " * 501}, "more than 500"),
    ({"what": "launcher", "corners": "5000,0"}, "outside the field"),
    ({"what": "launcher"}, "no corners"),
    ({"what": "new keep-out", "kind": "lava", "corners": "0,0 9,0 0,9"}, "lava"),
    ({"what": "new keep-out", "form": "line", "corners": "0,0"}, "both ends"),
    ({"what": "new keep-out", "form": "circle", "corners": "0,0"}, "circle"),
    ({"what": "take-out", "number": "0", "was": "another"}, "look at the field again"),
    ({"what": "take-out", "number": "77", "was": "Mill Lane"}, "look at the field again"),
    ({"what": "spectators", "corners": "0,0"}, "on the launcher"),
    ({"what": "spectators", "distance": "far", "bearing": ""}, "far"),
    ({"what": "rectangle", "length": "x", "width": "50"}, "length"),
    ({"what": "rectangle", "length": "9", "width": "9", "bearing": "1e400 deg"}, "bearing"),
    ({"what": "boundary", "east-٣": "1", "north-٣": "1", "east-1": "1", "north-1": ""}, "two numbers"),
    ({"what": "moon"}, "moon"),
    ({}, "Nothing"),
])  # fmt: skip
def test_what_cant_be_drawn_is_refused_in_words_and_changes_nothing(curlew, post, why):
    text = written(curlew)
    answer = curlew.do("do/draw", **post)
    assert answer.status_code == 422
    assert why in answer.text
    assert written(curlew) == text
    assert not curlew.office.job.can_undo


@pytest.mark.parametrize(("name", "text", "why"), [
    ("field.png", MAP, "GeoJSON"),
    ("../../etc/passwd", MAP, "GeoJSON"),
    ("field.geojson", "", "empty"),
    ("field.geojson", "{not json", "not GeoJSON"),
    ("field.geojson", "[1, 2]", "FeatureCollection"),
    ("field.geojson", '{"type": "FeatureCollection", "features": []}', "neither"),
    ("field.geojson", MAP.replace('"boundary"', '"edge"'), "role"),
    ("field.geojson", MAP.replace("[-29.9983984, 51.9989125], [-29.9974082, 51.9996585]",
                                  "[-29.9974082, 51.9996585], [-29.9983984, 51.9989125]"), "crosses itself"),
    ("field.geojson", MAP.replace("51.9998832", "51.9908832"), "outside the field"),
    ("field.geojson", MAP + " " * 100_000, "100"),
])  # fmt: skip
def test_what_is_no_map_is_refused_in_words_and_changes_nothing(curlew, name, text, why):
    before = written(curlew)
    answer = curlew.do("do/import", name=name, text=text)
    assert answer.status_code == 422
    assert why in answer.text
    assert written(curlew) == before
    assert {path.name for path in curlew.office.folder.iterdir()} == {"field.geojson", "prices.csv", "rocket.toml"}


def test_a_map_is_taken_over_by_what_it_holds_and_its_name_is_looked_up_nowhere(curlew):
    curlew.do("do/draw", what="boundary", corners="")
    assert grounds(curlew).edge is None
    answer = curlew.do("do/import", name="/somewhere/else/field.geojson", text=MAP)
    assert (answer.status_code, grounds(curlew).mapped) == (200, "")
    assert [one.name for one in grounds(curlew).keep_outs][:2] == ["Mill Lane", "the barn"]


def test_too_large_an_upload_is_refused_before_it_is_read(curlew):
    assert curlew.do("do/import", name="field.geojson", text="x" * 250_000).status_code == 403


def test_a_rectangle_is_the_files_own_where_nothing_else_is_drawn(empty):
    empty.do("do/begin", bottle="carbonated-1500")
    assert empty.do("do/draw", what="rectangle", length="105", width="68 m", bearing="30").status_code == 200
    site = empty.office.job.project.design.site
    assert (site.rectangle.length.value, site.rectangle.width.value) == (105.0, 68.0)
    assert grounds(empty).launcher == pytest.approx((0.0, 0.0))
    empty.do("do/draw", what="new keep-out", kind="water", form="spot", corners="10,10")
    assert (grounds(empty).keep_outs[0].name, grounds(empty).keep_outs[0].corners) == ("the water", ((10.0, 10.0),))
    south, *_ = grounds(empty).edge.corners
    assert math.hypot(*south) == pytest.approx(math.hypot(52.5, 34.0))


def test_whoever_measures_in_feet_draws_in_feet(empty):
    empty.do("do/begin", bottle="carbonated-1500", pressure="30 psi", bore="0.35 in")
    assert page_of(empty).unit == "ft"
    empty.do("do/draw", what="boundary", corners="0,0 300,0 300,200 0,200")
    assert 'boundary = [["0 ft", "0 ft"], ["300 ft", "0 ft"]' in written(empty)
    page = page_of(empty)
    assert page.tables[0].corners[2] == ("300", "200")
    assert page.sheets[0][1].grid.endswith(" ft")
    empty.do("do/draw", what="spectators", corners="150,40")
    assert empty.office.job.project.design.launcher.crew.spectators.text == "60 ft"
    assert empty.get("/field").status_code == 200


def test_a_new_edge_elsewhere_leaves_the_launcher_in_its_middle(curlew):
    curlew.do("do/draw", what="launcher", corners="5,5")
    curlew.do("do/draw", what="boundary", corners="300,300 400,300 400,400 300,400")
    assert (grounds(curlew).launcher_given, grounds(curlew).launcher) == (False, pytest.approx((350.0, 350.0)))


def test_a_field_that_cant_be_read_is_said_and_can_be_drawn_anew(curlew):
    (curlew.office.folder / "field.geojson").write_text("{", encoding="utf-8")
    curlew.office.job.look_around()
    page = page_of(curlew)
    assert "not GeoJSON" in page.wrong
    assert curlew.get("/field").status_code == 200
    assert curlew.do("do/draw", what="boundary", corners="0,0 90,0 90,60 0,60").status_code == 200
    assert page_of(curlew).wrong == ""


# --- winds, hours, people ------------------------------------------------------------------------------------------


def test_each_hour_says_what_the_scatter_says_of_it(worked):
    page = page_of(worked)
    calls = worked.office.desk().landings.found.calls
    assert [(one.at, one.says, one.why) for one in page.hours] == [(c.at, str(c.verdict), c.why) for c in calls]
    assert {one.says for one in page.hours} <= {"no", "wait", "nothing against it"}
    assert page.beside.startswith("Open findings")


@pytest.mark.parametrize(("what", "answer", "why"), [
    ("days_past", 8, "that day has passed"), ("wind_given", False, "The wind: the file says how strong it is"),
])  # fmt: skip
def test_no_hour_has_nothing_against_it_where_nobody_knows_the_wind_of_the_day(curlew, monkeypatch, what, answer, why):
    desk, call = curlew.office.desk(), Call("now", HourCall.OPEN, "The wind stays under the limit")
    assert hour_of(desk, call) == ("now", "none", "nothing against it", call.why)
    monkeypatch.setattr(f"bottlewright.verdict.judgement.{what}", lambda _: answer)
    said = hour_of(desk, call)
    assert (said.shape, said.says) == ("look", "wait")
    assert why in said.why


def test_no_hour_has_nothing_against_it_while_the_design_has_a_stop(curlew):
    curlew.do("do/change", key="charge.pressure", value="9 bar")
    said = hour_of(curlew.office.desk(), Call("now", HourCall.OPEN, "The wind stays under the limit"))
    assert (said.shape, said.says) == ("stop", "no")
    assert said.why.lower().startswith("stop")


def test_another_wind_gets_its_limit_at_once_and_its_landings_soon(worked):
    worked.office.wind = None
    found = worked.office.desk().landings.found
    limit = next(one for one in found.limits if round(math.degrees(one.from_direction)) == 60)
    before = written(worked)
    assert worked.do("do/wind", speed=f"{limit.speed + 1.0:.2f}", **{"from": "60"}).status_code == 200
    page = page_of(worked)
    assert page.windy.tried
    assert (page.windy.says.says, page.windy.says.shape) == ("no", "stop")
    assert "being worked out" in page.windy.waits
    assert page.sides == (), "no line of another wind is shown meanwhile"
    assert all(one.found is None for one in page.people)
    time.sleep(0.45)
    worked.get("/field")
    until(lambda: not worked.office.work.running)
    page = page_of(worked)
    assert (page.windy.waits, len(page.sides)) == ("", 12)
    far = {side: float(away.removeprefix("over ").split()[0]) for side, away in page.sides}
    assert far["WSW (240°)"] > far["ENE (60°)"], "it comes down with the wind"
    assert written(worked) == before, "no file has that wind"
    worked.do("do/wind", speed="")
    assert not page_of(worked).windy.tried


def test_a_wind_that_was_looked_at_is_written_with_the_spread_that_was_there(curlew):
    curlew.do("do/wind", speed="3.5", **{"from": "90"})
    curlew.do("do/write-wind")
    weather = curlew.office.job.project.design.weather
    assert (weather.wind_speed.text, weather.wind_from.text) == ("3.5 m/s ± 0.7 m/s", "90 deg ± 20 deg")
    assert curlew.office.wind is None
    assert 'wind_speed = "3.5 m/s ± 0.7 m/s"' in written(curlew)


def test_the_wind_of_the_file_looked_at_as_another_says_the_same_by_the_limits(worked):
    found, project = worked.office.desk().landings, worked.office.job.project
    weather = project.design.weather
    there = in_wind(project, weather.wind_speed.value, weather.wind_from.value)
    assert (there.design.weather.wind_speed.spread, there.digest) == (
        pytest.approx(weather.wind_speed.spread), in_wind(there, 2.5, weather.wind_from.value).digest)  # fmt: skip
    assert called(there, found.found, None).why.split(",")[0] in found.found.calls[0].why


def test_the_rose_says_how_high_its_winds_are_measured_and_warns_where_no_hand_reaches(worked):
    assert page_of(worked).windy.measured.startswith("All winds here are measured 2 m above the ground.")
    forecast = measured_words(SimpleNamespace(habit=METRIC, wind_height=10.0))
    assert "10 m above the ground" in forecast
    assert "held in the hand reads less" in forecast


@pytest.mark.parametrize("post", [
    {"speed": "strong", "from": "60"}, {"speed": "3", "from": ""}, {"speed": "400", "from": "1"},
    {"speed": "-1", "from": "1"}, {"speed": "nan", "from": "1"}, {"speed": "2", "from": "1e400 deg"},
])  # fmt: skip
def test_what_is_no_wind_is_refused_beside_its_field(worked, post):
    answer = worked.do("do/wind", **post)
    assert answer.status_code == 422
    assert set(json.loads(answer.headers["x-fields"])) <= {"speed", "from"}


def test_the_smallest_field_holds_the_flights_it_says(worked):
    found = worked.office.desk().landings
    side = float(page_of(worked).smallest[0].split()[0])
    away = np.hypot(*np.concatenate(list(found.found.landings.values())).T)
    assert np.mean(away > side / 2) <= 0.02
    assert np.mean(away > side / 2 - 2.0) > 0.0


def test_the_smallest_field_says_in_which_wind_it_holds(worked):
    found = worked.office.desk().landings
    assert page_of(worked).smallest[1].startswith("in the wind given, whichever way it turns: ")
    calm = complete(parse_design('[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "2 bar"\n'))
    side, rests = smallest_words(SimpleNamespace(design=calm, found=found.found))
    assert rests.startswith("in still air only; the wind is not given: ")
    assert "whichever way" not in rests
    assert smallest_briefly(side, calm) == f"{side}, in still air only; the wind is not given"
    assert smallest_briefly(side, found.design) == side


def test_each_rocket_of_the_folder_is_held_to_this_field(worked):
    (worked.office.folder / "broken.toml").write_text("[vessel]\nvolume = 3\n", encoding="utf-8")
    try:
        worked.do("start/fits")
        until(lambda: not worked.office.work.running)
        fits = {one.file: one for one in page_of(worked).fits}
    finally:
        (worked.office.folder / "broken.toml").unlink()
    assert fits["broken.toml"].level == "open"
    assert fits["rocket.toml"].level == "none"
    assert fits["rocket.toml"].words.startswith("nothing found against it by 768 flights")


def test_a_page_on_which_one_draws_does_not_send_anybody_into_the_file():
    assert _no_arguments('Draw its edge on the page Field (in the file: site.rectangle = { length = "150 m" })') == (
        "Draw its edge on the page Field")  # fmt: skip
