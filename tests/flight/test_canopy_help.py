"""Help with the canopy: the pack's room, what gives first, the size for a descent, a timer's band."""

import math
import re
from pathlib import Path

import pytest

from bottlewright.design import complete, parse_design, read_design
from bottlewright.design.unit_habit import METRIC
from bottlewright.flight.canopy_help import canopy_sizes, pack_of
from bottlewright.flight.canopy_links import canopy_holds, links_of, not_said
from bottlewright.flight.canopy_words import (
    canopy_rows,
    drift_words,
    pack_words,
    size_rows,
    timer_words,
    weakest_words,
)
from bottlewright.flight.fly import fly

EXAMPLES = Path(__file__).parents[2] / "examples"


def example(name, *overrides):
    return complete(read_design(EXAMPLES / name / "rocket.toml", overrides))


def test_a_pack_rolled_by_hand_takes_a_cubic_centimetre_for_each_fifth_of_a_gram():
    # 12 g at 200 kg/m³: 60 cm³, half as much again to come out; 250 and 150 kg/m³ give 48 and 80.
    pack = pack_of(example("curlew"))
    assert [1e6 * one for one in (pack.packed, pack.least, pack.most, pack.needed)] == pytest.approx([60, 48, 80, 90])


def test_a_nose_of_unknown_wall_has_unknown_room_and_one_of_a_known_wall_has_its_hollow():
    unknown = pack_of(example("curlew"))
    assert unknown.fits is None
    assert "nose.wall" in pack_words(unknown, METRIC)
    cone = example("curlew", 'nose.shape="cone"', 'nose.wall="2 mm"')
    pack, radius = pack_of(cone), 0.5 * cone.nose.diameter.value
    hollow = math.pi / 3.0 * 0.240 * radius**2 * (1.0 - 0.002 / radius) ** 3  # walls as seen across, shape alike
    inside = 0.042 / 1700.0 + 0.023 / 1000.0  # clay, and boards with their gaps
    assert pack.room == pytest.approx(hollow - inside, rel=0.08)
    assert pack.fits
    assert pack_words(pack, METRIC).startswith("there is room")


def test_a_canopy_too_bulky_for_its_nose_is_told():
    bulky = pack_of(example("curlew", 'nose.wall="2 mm"', 'recovery.mass="150 g"', "measured.dry_mass="))
    assert bulky.fits is False
    assert pack_words(bulky, METRIC).startswith("no: ")


def test_the_weakest_of_lines_tabs_and_cord_gives_first_and_what_nobody_said_is_named():
    design = example("curlew")
    assert not_said(design) == ["the tabs", "the riser"]
    weak = example("curlew", 'recovery.tab_strength="10 N ± 2 N"', 'recovery.riser_strength="200 N ± 20 N"')
    assert [one.name.split(" (")[0] for one in links_of(weak)] == [
        "the tab that a line is tied to", "the riser from lines to rocket", "a line"]
    # 200 N in an overhand knot (0.45), the cloth's overshoot 1.7 taken off.
    assert links_of(weak)[1].holds.value == pytest.approx(200 * 0.45 / 1.7)
    # As many tabs as lines, which lean alike: 10 N against 60 N · 0.45.
    assert canopy_holds(weak).value / canopy_holds(design).value == pytest.approx(10 / 27)
    assert not_said(weak) == []
    assert weakest_words(weak, fly(weak)).startswith("the tab")


def test_a_weak_cord_tears_in_the_flights():
    weak = example("curlew", 'recovery.riser_strength="6 N ± 0 N"')
    load = fly(weak).summary["opening_load_N"]
    assert canopy_holds(weak).value < load


def test_a_canopy_of_the_size_that_is_named_comes_down_at_the_speed_it_is_for():
    design = example("curlew")
    for size in canopy_sizes(design, fly(design))[1:]:
        other = fly(example("curlew", f'recovery.diameter="{1e3 * size.across} mm"'))
        assert other.summary["sinking_speed_m_s"] == pytest.approx(size.speed, rel=0.02)


def test_a_slower_descent_drifts_further_and_the_drift_is_held_against_the_edge():
    design = example("curlew")
    flight = fly(design)
    drifts = [one.drift for one in canopy_sizes(design, flight)]
    assert drifts == sorted(drifts, reverse=True)
    assert "lands beyond" in drift_words(design, flight, 5.0)
    assert "lands beyond" not in drift_words(design, flight, 500.0)
    assert "not known" in drift_words(design, flight, None)


def test_without_a_wind_in_the_file_nobody_is_told_that_it_drifts_by_nothing():
    text = re.sub("wind_speed.*\n", "", (EXAMPLES / "redshank" / "rocket.toml").read_text(encoding="utf-8"))
    design = complete(parse_design(text))
    flight = fly(design)
    said = drift_words(design, flight, None)
    assert "the file gives no wind" in said
    assert "draw the field" not in said
    assert {drift for *_, drift in size_rows(design, flight)} == {"no wind is given"}


def test_a_timer_is_told_with_its_band_and_the_chance_that_it_ends_before_the_top():
    late, soon = (example("redshank", f'recovery.mechanism.time="{time} s ± 0.1 s"') for time in (3.4, 2.5))
    assert "next to none of flights" in timer_words(late, fly(late))
    assert "%" in timer_words(soon, fly(soon))
    top = fly(soon).summary["apogee_time_s"]
    assert f"its top is {top:.2f} s" in timer_words(soon, fly(soon))
    assert timer_words(example("curlew"), fly(example("curlew"))) == ""
    assert {name for name, _ in canopy_rows(soon, fly(soon))} == {
        "Does the pack fit?", "What gives first?", "When does the timer end?"}
