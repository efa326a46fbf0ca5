"""What Field says to a builder who writes bar and mm and to one who writes psi and inches; the path of its data."""

import re
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import box

import bottlewright.field
from acted import ACT, ACT_INCHES
from bottlewright.design import complete, parse_design
from bottlewright.field.chapters import field_chapter
from bottlewright.field.exposure import exposures, worst_ratio
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.results import limits_rest_on, scatter_document, scatter_words
from bottlewright.field.scatter import Scatter, scatter
from bottlewright.field.site import Area, FieldSite, moved
from bottlewright.field.wind_limit import swing_of, within_reach
from bottlewright.flight.summary import SUMMARY
from drawn import Drawn
from habits import curlew_text, loose, pairs, strings, swept


def fly_on_paper(batch):
    """Drift with the wind for 12 s under the canopy, or 2 s without."""
    notes = np.zeros(len(batch), SUMMARY)
    drift = batch["wind_speed"] * np.where(batch["release"] == 2, 2.0, 12.0)
    notes["landing_east_m"] = -drift * np.sin(batch["wind_from"])
    notes["landing_north_m"] = -drift * np.cos(batch["wind_from"])
    notes["apogee_time_s"], notes["landing_speed_m_s"], notes["landing_energy_J"] = 2.5, 20.0, 35.0
    return notes


def site(half=70.0):
    road = Area("Mill Lane", kinds()["road"], box(half - 20.0, -half, half - 14.0, half), 0.005)
    crowd = Area("the families", kinds()["spectators"], box(-12.0, -30.0, -8.0, 30.0), 0.001)
    return FieldSite("Brambling Field", box(-half, -half / 6.0, half, half / 6.0), (road, crowd), None)


def found(inch_pound, *sets, **more):
    design = complete(parse_design(curlew_text(inch_pound), ["scatter.flights=1000", *sets]))
    return design, scatter(design, more.pop("site", site()), fly=fly_on_paper, **more)


def everything(design, result: Scatter) -> list[str]:
    chapter = field_chapter(design, result, ACT_INCHES if result.habit.inches else ACT)
    pictures = [text for picture in chapter.section.pictures for text in (picture.caption, picture.alt)]
    figures = []
    for picture in chapter.section.pictures:
        figures += [text for text in Drawn(picture.figure).texts if not re.fullmatch(r"(east|north), (m|ft)", text)]
    figures = [text for text in figures if not re.fullmatch(r"\d+ (m|ft)", text)]  # the scale bar, as the axes
    html = re.sub(r"<[^>]*>", " ", chapter.section.html)
    words = scatter_words(design, result)
    findings = [text for one in result.findings for text in (one.hazard, one.found, one.limit, one.remedy)]
    calls = [call.why for call in result.calls] + [one.sentence for one in result.proposals]
    return [words, html, chapter.section.title, limits_rest_on(result), *findings, *calls, *pictures, *figures]


HOURS = 'weather.hours=[{at="11:00", wind_speed="2 mph ± 1 mph", wind_from="240 deg", gust="9 mph"}]'


@pytest.mark.parametrize("half", [70.0, 400.0])
@pytest.mark.parametrize("metric", ["m", "m/s", "bar"])
def test_a_builder_who_writes_feet_and_miles_reads_them_first(half, metric):
    texts = everything(*found(True, HOURS, site=site(half)))
    assert [some for text in texts for some in loose(text, metric)] == []
    assert metric == "bar" or sum(len(pairs(text, metric)) for text in texts) > 5


def test_a_builder_who_writes_metres_reads_no_feet():
    texts = " ".join(everything(*found(False)))
    assert re.findall(r"\d (?:ft|mph|psi)\b", texts) == []
    assert not any(pairs(texts, metric) for metric in ("m", "m/s"))


def test_the_axes_of_the_map_are_in_feet_for_one_who_writes_feet():
    map_, rose = (picture.figure for picture in field_chapter(*found(True, site=site(400.0)), ACT).section.pictures)
    drawn = Drawn(map_)
    assert {"east, ft", "north, ft"} <= set(drawn.texts)
    edge = np.ptp(drawn.x_scales()[0](drawn.parts["edge of the field"][0][:, 0]))
    assert edge * 0.3048 == pytest.approx(800.0, rel=1e-3)
    assert any("mph" in text for text in Drawn(rose).texts)


def test_the_wind_limits_in_the_rose_are_those_of_the_table_in_its_own_unit():
    design, result = found(True, site=site(400.0))
    chapter = field_chapter(*found(True, site=site(400.0)), ACT)
    (rose,) = [one for one in chapter.section.pictures if one.name == "wind-rose"]
    shown = [float(text.rstrip("+")) for text in Drawn(rose.figure).texts if re.fullmatch(r"[\d.]+\+?", text)]
    assert shown == pytest.approx([
        limit.speed / 0.44704 for limit in within_reach(result.limits, swing_of(design))], abs=0.06)


@pytest.mark.parametrize("inch_pound", [False, True])
@pytest.mark.parametrize("half", [45.0, 400.0])
def test_no_swept_phrase_is_left(inch_pound, half):
    design, result = found(inch_pound, HOURS, site=site(half))
    texts = [*everything(design, result), *strings(scatter_document(design, result))]
    assert [some for text in texts for some in swept(text)] == []
    assert "limit" in " ".join(call.why for call in result.calls)


def test_people_stand_no_nearer_than_the_flight_that_came_down_furthest_by_rounding():
    _, result = found(False)
    assert result.habit.stand_back(125.44) == "125.5 m"


def test_the_chapter_takes_distances_and_wind_limits_from_the_verdict():
    html = field_chapter(*found(False), ACT).section.html.replace("\u00a0", " ")
    assert all(text in html for text in (ACT.spectators, ACT.wind, ACT.winds[0].says, ACT.sides[0].says))


def test_proposals_are_judged_by_the_chance_of_leaving_that_the_builder_accepts():
    nobody = replace(site(), keep_outs=site().keep_outs[:1])
    _, result = found(False, 'scatter.leaving="0.1 %"', 'weather.wind_speed="6 m/s ± 2 m/s"', site=nobody)
    place = result.proposals[0].place
    there = moved(result.site, place.east, place.north)
    landings = np.concatenate([*result.landings.values()])
    assert place.ratio == pytest.approx(worst_ratio(exposures(there, landings, 0.001)))
    assert place.ratio != pytest.approx(worst_ratio(exposures(there, landings)))


def test_the_package_names_its_modules_in_the_order_in_which_the_data_reach_them():
    """Traced: the first call into each module while a sample is scattered."""
    folder = Path(bottlewright.field.__file__).parent
    design = complete(parse_design(curlew_text(False), ["scatter.flights=600"]))
    place, reached = site(), {}

    def note(frame, event, _):
        path = Path(frame.f_code.co_filename)
        if event == "call" and path.parent == folder and frame.f_code.co_name != "<module>":
            reached.setdefault(path.stem, len(reached))

    sys.setprofile(note)
    try:
        scatter(design, place, fly=fly_on_paper)
    finally:
        sys.setprofile(None)
    named = re.findall(r"^    (\w+) +.*→", bottlewright.field.__doc__, re.MULTILINE)
    assert len(bottlewright.field.__doc__.strip().splitlines()) <= 15
    assert named[0] == "site"  # reads the drawing before anything flies
    order = [name for name in named if name in {"trials", "exposure", "wind_limit", "launch_point"}]
    assert order == sorted(order, key=reached.__getitem__)
    assert set(named) - {"site"} <= set(reached)
