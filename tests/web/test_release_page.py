"""A builder chooses on the page how the canopy comes out: values are guesses with their ±, nothing of the old stays."""

import re

import pytest
from conftest_web import served

import bottlewright as bw
from bottlewright.design import parse_design, read_design
from bottlewright.flight.outcomes import Outcome, came_out
from bottlewright.flight.release_choice import CARRIED, changes_to, ways_for
from bottlewright.project.editing import edited
from bottlewright.quantities import Basis

UNDESCRIBED = """name = "Plover"
[vessel]
bottle = "carbonated-1500"
[nozzle]
bore = "9 mm"
[nose]
length = "240 mm"
mass = "20 g"
[fins]
[[mass]]
name = "clay in the tip"
mass = "60 g ± 1 g"
position = "40 mm"
[recovery]
kind = "parachute"
diameter = "500 mm"
release = "at the top"      # a wish
[charge]
pressure = "3 bar"
"""


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("plover")
    (folder / "rocket.toml").write_text(UNDESCRIBED, encoding="utf-8")
    with served(folder) as pages:
        yield pages


@pytest.fixture
def plover(pages):
    yield pages
    while pages.office.job.can_undo:
        pages.do("do/undo")
    assert pages.office.job.file.read_text(encoding="utf-8") == UNDESCRIBED


def offered_on(page, name):
    """Return what the button of a way posts, and its part of the page."""
    part = page.partition(f'id="take-{name}"')[2].partition("</details>")[0]
    return dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', part)), part


def read_text(project):
    return parse_design(project.text)


def mechanism_of(pages):
    return read_design(pages.office.job.file).recovery.mechanism


def test_the_page_says_that_nobody_described_it_and_offers_every_way_with_what_it_changes(plover):
    page = plover.get("/sketch").text
    assert "Nobody has said what makes sure that the parachute comes out." in page
    design = plover.office.desk().project.design
    names = ways_for(design)
    assert len(names) == 6
    for name in names:
        posts, part = offered_on(page, name)
        assert posts == dict(changes_to(design, name))
        assert "Take this way" in part
        assert "least static margin" in part
        assert "mass without water" in part
        assert f"{CARRIED}: mass" in part


@pytest.mark.parametrize("name", ["sprung-nose-barometer", "air-flap"])
def test_a_way_that_is_taken_stands_in_the_file_as_guesses_and_is_flown(plover, name):
    posts, _ = offered_on(plover.get("/sketch").text, name)
    assert plover.do("do/changes", **posts).status_code == 200
    mechanism, design = mechanism_of(plover), read_design(plover.office.job.file)
    for key, text in posts.items():
        table, _, one = key.rpartition(".")
        if table == "recovery.mechanism" and "±" in text:
            value = getattr(mechanism, one)
            assert value.basis is Basis.ASSUMED
            assert value.spread > 0.0
            assert f'{one} = "{text}"' in plover.office.job.file.read_text(encoding="utf-8")
    assert design.recovery.release == "mechanism"
    assert "# a wish" in plover.office.job.file.read_text(encoding="utf-8")
    assert design.mass[-1].name == CARRIED
    assert came_out(plover.office.desk().project.design)[Outcome.IN_TIME] > 110
    page = plover.get("/sketch").text
    assert "release-not-described" not in page
    assert "a first guess, until you measure it or choose" in page
    assert not offered_on(page, name)[0], "it is the rocket's own now"


def test_a_guess_that_somebody_measures_is_theirs(plover):
    plover.do("do/changes", **offered_on(plover.get("/sketch").text, "wind-up-timer")[0])
    page = plover.get("/sketch").text
    assert 'id="field-recovery-mechanism-time"' in page
    plover.do("do/change", key="recovery.mechanism.time", value="2.8 s", spread="0.1 s")
    time = mechanism_of(plover).time
    assert (time.text, time.basis) == ("2.8 s ± 0.1 s", Basis.MEASURED)


def test_back_and_forth_between_ways_leaves_nothing_of_the_way_before(tmp_path):
    file = tmp_path / "rocket.toml"
    file.write_text(UNDESCRIBED, encoding="utf-8")
    project, seen = bw.read(file), {}
    for name in (*ways_for(project.design), *ways_for(project.design)[::-1], "loose-nose", "air-flap"):
        changes = {key: text or None for key, text in changes_to(project.design, name)}
        project = edited(project, changes)
        assert [part.name for part in project.design.mass] == ["clay in the tip", CARRIED]
        mechanism = read_text(project).recovery.mechanism
        said = mechanism.model_fields_set - {"tests"}, read_text(project).mass[1]
        assert seen.setdefault(name, said) == said
    assert len(seen) == 6


def test_a_guessed_hold_goes_with_the_nose_that_was_loose_and_a_measured_one_stays(tmp_path):
    file = tmp_path / "rocket.toml"
    file.write_text(UNDESCRIBED, encoding="utf-8")
    plover = bw.read(file)
    for way, stays in (("loose-nose", ()), ("sprung-nose-barometer", ()), ("loose-nose", ("0.4 N ± 0.05 N",))):
        took = edited(plover, {key: text or None for key, text in changes_to(plover.design, way)})
        assert read_text(took).recovery.mechanism.hold.basis is Basis.ASSUMED
        took = edited(took, {"recovery.mechanism.hold": stays[0]}) if stays else took
        after = edited(took, {key: text or None for key, text in changes_to(took.design, "air-flap")})
        hold = read_text(after).recovery.mechanism.hold
        assert ((hold.text,) if hold else ()) == stays


def test_tries_that_were_counted_stay_with_the_way_that_they_were_counted_of(plover):
    at = "recovery.mechanism"
    plover.do("do/changes", **offered_on(plover.get("/sketch").text, "wind-up-timer")[0])
    named = {f"{at}.tests.confirmed_by": "K. L.", f"{at}.tests.confirmed_on": "2027-03-30"}
    plover.do("do/changes", **{f"{at}.tests.tries": "24", f"{at}.tests.stuck": "0"} | named)
    plover.do("do/change", key=f"{at}.time", value="2.8 s", spread="0.1 s")
    assert mechanism_of(plover).tests.tries == 24
    posts, part = offered_on(plover.get("/sketch").text, "door-gyro")
    assert "tries counted" in part
    # Whoever changes the trip alone, as a cure or a hand may, takes nobody's name along either.
    for change in (posts, {f"{at}.trip": "servo timer"}):
        assert plover.do("do/changes", **change).status_code == 200
        tests = mechanism_of(plover).tests
        assert (tests.tries, tests.confirmed_by) == (0, None)
        plover.do("do/undo")
        assert mechanism_of(plover).tests.confirmed_by == "K. L."


def test_what_a_rocket_is_compared_by_is_what_its_file_says_once_the_way_is_taken(plover):
    project = plover.office.desk().project
    from bottlewright.flight.outcomes import FLOWN
    from bottlewright.flight.release_ways import compare_ways

    for row in compare_ways(project.design, FLOWN)[-1:]:
        taken = project.changed(dict(row.keys))
        assert round(row.share[Outcome.IN_TIME] * FLOWN) == came_out(taken.design)[Outcome.IN_TIME]
        assert row.name == "loose-nose", "the least sure: neither 0 nor 120"


def test_fly_has_the_same_buttons_beside_the_ways_and_the_changes_that_were_flown(tmp_path):
    from bottlewright.flight.release_changes import Tried
    from bottlewright.flight.release_ways import compare_ways
    from bottlewright.project.release import ReleaseResult
    from bottlewright.web.work import name_of

    with served(tmp_path) as pages:
        text = UNDESCRIBED.replace('release = "at the top"      # a wish', "") + (
            '[recovery.mechanism]\nway = "loose nose"\nhold = "0.2 N ± 0.05 N"\n')
        (tmp_path / "rocket.toml").write_text(text, encoding="utf-8")
        pages.do("do/open", file="rocket.toml")
        project = pages.office.desk().project
        tried = Tried("another hold", {"recovery.mechanism.hold": "0.15 N ± 0.03 N"}, 7, 120, 0.15, None)
        found = ReleaseResult(project, window=None, tried=(tried,), ways=tuple(compare_ways(project.design, 4)))
        pages.office.work._keep(("release", name_of("release", project)), found)
        page = pages.get("/fly").text
        posts, part = offered_on(page, "wind-up-timer")
        assert posts["recovery.mechanism.trip"] == "wind-up timer"
        assert "Take this way" in part
        assert "no mass is added here" in part, "the loose nose may weigh something under a name of the builder's"
        assert offered_on(page, "loose-nose") == ({}, ""), "its own"
        change = page.partition('id="try-1"')[2].partition("</details>")[0]
        assert "0.2 N ± 0.05 N" in change or "0.2" in change
        assert 'value="0.15 N ± 0.03 N"' in change
        assert pages.do("do/changes", **posts).status_code == 200
        assert read_design(pages.office.job.file).recovery.mechanism.hold.text == "0.2 N ± 0.05 N"


def test_a_rocket_without_a_canopy_is_offered_no_way():
    project = bw.read("examples/dunlin/rocket.toml")
    from bottlewright.project.letting_out import comes_out, mechanism_fields

    assert comes_out(project) is None
    assert ("recovery.mechanism.time", "timer runs") in mechanism_fields(project)
