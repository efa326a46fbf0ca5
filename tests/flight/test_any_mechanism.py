"""Whatever stands in [recovery.mechanism]: the file is refused in words, or it flies, is judged and speaks plainly."""

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.design import DesignError, complete, parse_design
from bottlewright.design.mechanism import Trip, Way
from bottlewright.design.rewriting import rewritten
from bottlewright.flight.fly import fly
from bottlewright.flight.outcomes import by_mechanism
from bottlewright.flight.release_choice import CARRIED, changes_to, ways_for
from bottlewright.flight.release_findings import release_findings
from bottlewright.flight.release_words import way_words

ROCKET = """
[vessel]
bottle = "carbonated-1500"
[nozzle]
bore = "9 mm"
[nose]
length = "240 mm"
mass = "20 g"
[fins]
[[mass]]
name = "clay"
mass = "60 g"
position = "40 mm"
[charge]
pressure = "3 bar"
[recovery]
"""
KINDS = {
    "parachute": 'diameter = "500 mm"\n', "streamer": 'length = "2 m"\nwidth = "150 mm"\n',
    "rotor": 'diameter = "600 mm"\nmass = "25 g"\n', "two parts": "", "tumble": 'ballast = "clay"\nshift = "300 mm"\n',
}  # fmt: skip
VALUES = {
    "hold": ("0 N", "0.06 N ± 0.2 N", "100 N"), "shoulder": ("0 mm", "30 mm"), "push": ("0 N", "3 N"),
    "push_end": ("0 N", "5 N"), "push_stroke": ("0 mm", "40 mm"), "time": ("0 s", "2.6 s ± 0.2 s", "60 s"),
    "start": ("0 s", "5 s"), "drop": ("0.1 m", "50 m"), "lag": ("0.005 s", "5 s"), "locked": ("0 s", "60 s"),
    "port": ("-2", "1"), "angle": ("5 deg", "175 deg"), "airspeed": ("1 m/s", "40 m/s"), "felt": ("0.01", "2"),
    "act": ("0 s", "60 s"), "nose_mass": ("0.1 g", "20 kg"), "latch_level": ("1.2", "50"),
    "latch_time": ("0 s", "2 s"), "latch_travel": ("0 mm", "100 mm"), "cavity": ("leaky", "sealed", "vented"),
    "starts": ("launch", "end of push"),
}  # fmt: skip
said = st.dictionaries(st.sampled_from(sorted(VALUES)), st.integers(0, 2), max_size=6)


@settings(max_examples=10, deadline=None)
@given(st.sampled_from(sorted(KINDS)), st.sampled_from(get_args(Way)), st.sampled_from(get_args(Trip)), said)
def test_any_mechanism_is_refused_in_words_or_flown_to_an_end(kind, way, trip, values):
    lines = [f'{key} = "{VALUES[key][number % len(VALUES[key])]}"' for key, number in values.items()]
    text = f'{ROCKET}kind = "{kind}"\n{KINDS[kind]}[recovery.mechanism]\nway = "{way}"\ntrip = "{trip}"\n'
    refused = []
    try:
        design = complete(parse_design(text + "\n".join(lines) + "\n"))
    except DesignError as error:
        refused = error.problems
    if refused:
        assert all(one.path.startswith("recovery") and one.why for one in refused)
        return
    flight = fly(design)
    summary = flight.summary
    assert math.isfinite(summary["landing_speed_m_s"])
    if math.isfinite(summary["trip_time_s"]) and math.isfinite(summary["canopy_out_time_s"]):
        assert summary["trip_time_s"] <= summary["canopy_out_time_s"]
    for one in release_findings(design, flight):
        assert "None" not in f"{one.hazard}{one.found}{one.limit}{one.remedy}"
        assert "nan" not in one.found
    assert by_mechanism(design)
    assert way_words(design).endswith(".")


@settings(max_examples=15, deadline=None)
@given(st.sampled_from(["parachute", "streamer"]), st.lists(st.integers(0, 5), min_size=2, max_size=5))
def test_any_order_of_ways_taken_one_after_the_other_ends_where_the_last_one_alone_does(kind, order):
    design = first = complete(parse_design(f'{ROCKET}kind = "{kind}"\n{KINDS[kind]}'))
    names = [ways_for(design)[number] for number in order]
    for name in names:
        design = rewritten(design, changes_to(design, name))
    alone = rewritten(first, changes_to(first, names[-1]))
    assert [part.name for part in design.mass] == ["clay", CARRIED]
    got, wanted = fly(design).summary, fly(alone).summary
    for key in ("apogee_m", "trip_time_s"):
        assert got[key] == pytest.approx(wanted[key], rel=1e-6, nan_ok=True), (names, key)
