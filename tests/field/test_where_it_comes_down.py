"""Field on a rocket whose drift is known on paper."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import box

from acted import ACT
from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.field.chapters import field_chapter, field_pictures
from bottlewright.field.landings import Mode, failure_odds, sample_flights, with_wind
from bottlewright.field.launch_point import Place, Proposal
from bottlewright.field.numbers import keep, stored
from bottlewright.field.people import people_rule
from bottlewright.field.results import landings_csv, scatter_document, scatter_words
from bottlewright.field.scatter import moved, scatter
from bottlewright.field.site import FieldSite, field_site
from bottlewright.field.trials import BLOCK, FIRST
from bottlewright.field.wind_limit import HourCall
from bottlewright.findings import Level, stops
from bottlewright.flight.state import Endings
from bottlewright.flight.summary import SUMMARY
from bottlewright.proof.distances import governing_distance
from drawn import Drawn

CANOPY, BALLISTIC = 12.0, 2.0  # s of drift with the wind


def fly_on_paper(batch):
    """Drift with the wind for 12 s under the canopy, or 2 s without; 30 m times the tilt towards the heading."""
    notes = np.zeros(len(batch), SUMMARY)
    drift = batch["wind_speed"] * np.where(batch["release"] == 2, BALLISTIC, CANOPY)
    aim = 30.0 * batch["tilt"]
    notes["landing_east_m"] = -drift * np.sin(batch["wind_from"]) + aim * np.sin(batch["leans_towards"])
    notes["landing_north_m"] = -drift * np.cos(batch["wind_from"]) + aim * np.cos(batch["leans_towards"])
    notes["apogee_time_s"], notes["landing_speed_m_s"], notes["landing_energy_J"] = 2.5, 20.0, 35.0
    return notes


def design(**tables):
    text = {
        "vessel": {"bottle": "carbonated-1500"},
        "fins": {"count": 3},
        "recovery": {"kind": "parachute", "diameter": "500 mm"},
        "charge": {"water": "400 mL", "pressure": "4 bar"},
        "weather": {"wind_speed": "2 m/s ± 0.5 m/s", "wind_from": "240 deg ± 15 deg"},
        "scatter": {"flights": 1500},
    }
    return complete(Design.model_validate(text | tables))


def square(half, *areas):
    return FieldSite("Brambling Field", box(-half, -half, half, half), areas, None)


@pytest.fixture(scope="module")
def calm():
    return scatter(design(), square(70.0), fly=fly_on_paper)


def test_the_drift_is_wind_times_time_in_the_wind_s_direction(calm):
    middle = calm.landings["under the parachute"].mean(axis=0)
    # the mean of cos over a swing of 15° is exp(−0.2618²/2)
    assert math.hypot(*middle) == pytest.approx(2.0 * CANOPY * math.exp(-(math.radians(15) ** 2) / 2), rel=0.03)
    assert math.degrees(math.atan2(*middle)) == pytest.approx(60.0, abs=2.0)


def test_failures_come_as_often_as_stated():
    odd = design(failures={"not_opening": "20 %", "early_opening": "10 %", "fin_lost": "5 %"})
    sample = sample_flights(odd, 0, 20_000, 3, 2.5)
    shares = [np.mean(sample.modes == mode) for mode in (Mode.NOT_OPENING, Mode.EARLY_OPENING)]
    assert shares == pytest.approx([0.2, 0.1], abs=0.01)
    assert np.mean(sample.batch["fin_count"] == 2) == pytest.approx(0.05, abs=0.005)
    early = sample.batch["release_delay"][sample.modes == Mode.EARLY_OPENING]
    assert early.min() >= 0.0
    assert early.max() <= 2.5
    assert early.mean() == pytest.approx(1.25, abs=0.1)


def test_flight_i_is_the_same_flight_however_the_sample_is_cut():
    whole = sample_flights(design(), 0, 300, 3, 2.5)
    parts = [sample_flights(design(), first, 100, 3, 2.5) for first in (200, 0, 100)]
    again = np.concatenate([parts[1].batch, parts[2].batch, parts[0].batch])
    assert whole.batch.tobytes() == again.tobytes()
    assert sample_flights(design(), 0, 300, 4, 2.5).batch.tobytes() != whole.batch.tobytes()


def test_another_wind_keeps_each_flight_s_own_deviation():
    sample = sample_flights(design(), 0, 500, 3, 2.5)
    moved = with_wind(sample.batch, design(), 6.0, math.radians(90.0))
    np.testing.assert_allclose(moved["wind_speed"] - 6.0, sample.batch["wind_speed"] - 2.0, atol=1e-12)
    assert np.mean(np.degrees(moved["wind_from"])) == pytest.approx(90.0, abs=2.0)


def test_a_strong_gust_widens_the_wind():
    gusty = design(weather={"wind_speed": "2 m/s ± 0.5 m/s", "wind_from": "240 deg", "gust": "8 m/s"})
    spread = sample_flights(gusty, 0, 4000, 3, 2.5).batch["wind_speed"].std()
    assert spread == pytest.approx(2.0, rel=0.15)  # a third of 6 m/s, cut where it would blow backwards


def test_odds_left_out_come_from_the_table_with_their_source_and_without_a_canopy_there_are_none():
    odds = failure_odds(design(failures={"not_opening": "2 %"}))
    assert odds["not_opening"].value == pytest.approx(0.02)
    assert "our judgement" in odds["early_opening"].source
    assert set(failure_odds(design(recovery={}))) == {"fin_lost"}


def test_a_ballistic_return_is_shown_whatever_its_odds():
    sure = design(failures={"not_opening": "0 %", "early_opening": "0 %", "fin_lost": "0 %"})
    found = scatter(sure, square(70.0), fly=fly_on_paper, winds=False)
    assert list(found.landings) == ["under the parachute"]
    assert len(found.ballistic) > 100
    assert found.ballistic_speed == pytest.approx(20.0)
    assert [finding for finding in found.findings if finding.code == "ballistic-return"]
    assert any("if the parachute stays in" in text for text in Drawn(field_pictures(sure, found)[0].figure).texts)


def test_the_wind_limit_grows_with_the_field(calm):
    smaller = scatter(design(), square(45.0), fly=fly_on_paper)
    larger = scatter(design(), square(110.0), fly=fly_on_paper)
    lows = [min(limit.speed for limit in one.limits) for one in (smaller, calm, larger)]
    assert lows[0] < lows[1] < lows[2]


def test_the_hours_are_called_by_the_limit_for_their_direction():
    hours = [
        {"at": "09:00", "wind_speed": "1 m/s ± 0.3 m/s", "wind_from": "240 deg"},
        {"at": "12:00", "wind_speed": "3 m/s ± 0.3 m/s", "wind_from": "240 deg", "gust": "9 m/s"},
        {"at": "15:00", "wind_speed": "9 m/s", "wind_from": "200 deg"},
    ]
    weather = {"wind_speed": "1 m/s ± 0.3 m/s", "wind_from": "240 deg ± 10 deg", "hours": hours}
    found = scatter(design(weather=weather), square(70.0), fly=fly_on_paper)
    assert [str(call.verdict) for call in found.calls] == ["nothing against it", "nothing against it", "wait", "no"]
    assert not stops(found.findings)
    assert {finding.code: finding.level for finding in found.findings}["wind-no"] is Level.LOOK


def test_a_proposal_that_is_not_enough_promises_no_room():
    short = Proposal("Move the launcher 50 m towards SW", Place(-35.0, -35.0, 45.1, -914.0))
    assert short.sentence.endswith("left). Even then one landing in 100 lies 914 m or more too far.")
    enough = Proposal("Move the launcher 20 m towards W", Place(-20.0, 0.0, 0.5, 12.0))
    assert enough.sentence == "Move the launcher 20 m towards W. 99 of 100 landings then keep 12 m of room."


def test_nobody_is_told_to_stand_nearer_than_the_published_distance():
    still = design(
        weather={"wind_speed": "0 m/s ± 0 m/s", "wind_from": "0 deg ± 0 deg"}, launcher={"tilt": "0 deg ± 0 deg"}
    )
    found = scatter(still, square(110.0), fly=fly_on_paper, winds=False)
    assert found.reach.metres < 15.0
    assert {sector.metres for _, sector in found.sectors} == {people_rule().value}


def test_a_rocket_that_turns_over_gets_a_stop_and_no_hour_is_judged():
    def turning(batch):
        notes = fly_on_paper(batch)
        notes["static_margin_min_calibres"] = -0.4
        return notes

    found = scatter(design(), square(110.0), fly=turning)
    assert "turns-over" in {finding.code for finding in stops(found.findings)}
    assert (found.limits, found.calls) == ([], [])
    assert "nothing against it" not in scatter_words(design(), found)


def test_the_launcher_is_sent_upwind_when_the_drift_is_long():
    strong = design(weather={"wind_speed": "4 m/s ± 0.3 m/s", "wind_from": "270 deg ± 5 deg"})
    found = scatter(strong, square(70.0), fly=fly_on_paper)
    move = found.proposals[0]
    assert "towards W" in move.words
    assert move.place.room > 0.0
    assert any("towards W" in proposal.words and "Lean" in proposal.words for proposal in found.proposals)


def test_a_stopped_run_reports_on_the_flights_that_are_done():
    calls = []

    def stopped(batch):
        calls.append(len(batch))
        if sum(size == BLOCK for size in calls) == 2 and len(batch) == BLOCK:
            raise KeyboardInterrupt
        return fly_on_paper(batch)

    found = scatter(design(), square(70.0), fly=stopped)
    assert (found.flights, found.wanted) == (BLOCK, 1500)
    assert found.limits == []
    assert found.stopped
    assert "stopped early of 1500" in scatter_words(design(), found)


def test_stopping_while_winds_are_tried_keeps_the_landings():
    def stopped(batch):
        if len(batch) == FIRST[0]:
            raise KeyboardInterrupt
        return fly_on_paper(batch)

    found = scatter(design(), square(70.0), fly=stopped)
    assert (found.flights, found.limits, found.proposals, found.stopped) == (1500, [], [], True)


def test_flying_the_worst_flights_first_saves_flights_and_changes_no_limit(monkeypatch):
    flown = []

    def counted(batch):
        flown.append(len(batch))
        return fly_on_paper(batch)

    quick, count = scatter(design(), square(70.0), fly=counted), sum(flown)
    monkeypatch.setattr("bottlewright.field.trials.FIRST", ())
    whole = scatter(design(), square(70.0), fly=counted)
    assert quick.limits == whole.limits
    assert {limit.reached for limit in whole.limits} == {True}
    assert count < sum(flown) - count


def test_a_tilt_whose_first_flights_are_no_better_flies_no_more_and_the_same_one_is_proposed(monkeypatch):
    flown = []

    def counted(batch):
        flown.append(len(batch))
        return fly_on_paper(batch)

    light = design(weather={"wind_speed": "0.5 m/s ± 0.2 m/s", "wind_from": "270 deg ± 5 deg"})
    quick, count = scatter(light, square(70.0), fly=counted), sum(flown)
    monkeypatch.setattr("bottlewright.field.launch_point._no_better", lambda *_: False)
    whole = scatter(light, square(70.0), fly=counted)
    assert quick.proposals == whole.proposals
    assert any(proposal.tilt is not None for proposal in whole.proposals)
    assert count < sum(flown) - count


def test_an_hour_is_held_to_flights_in_its_own_wind():
    hours = [{"at": "09:00", "wind_speed": "1 m/s ± 0.1 m/s", "wind_from": "240 deg"}]
    winds = []

    def watched(batch):
        winds.append((len(batch), float(batch["wind_speed"].mean())))
        return fly_on_paper(batch)

    weather = {"wind_speed": "2 m/s ± 0.3 m/s", "wind_from": "240 deg ± 10 deg", "hours": hours}
    found = scatter(design(weather=weather), square(70.0), fly=watched)
    assert found.calls[1].verdict is HourCall.OPEN
    assert not found.stopped
    flown = sum(count for count, mean in winds if mean == pytest.approx(1.0, abs=0.03))
    assert flown > 1500  # the rare failures besides


@pytest.mark.parametrize(("first", "then"), [
    ({}, {"operator": "15 m", "pumper": "15 m", "spectators": "200 m"}),
    ({"spectators": "16 m", "spectators_bearing": "60 deg", "operator": "7 m", "operator_bearing": "60 deg"},
     {"spectators": "200 m", "operator": "20 m", "operator_bearing": "240 deg"}),
    ({"operator": "20 m", "pumper": "20 m"}, {"operator": "7 m", "operator_bearing": "60 deg", "pumper": "20 m"}),
], ids=["a place unsaid, then said", "people on the way down the wind, then out of it", "and the other way"])
def test_people_who_move_are_judged_as_if_all_were_flown_anew(first, then):
    """The hours too: an hour that a place stood against has nothing against it once the place is left."""
    hours = [{"at": "09:00", "wind_speed": "1 m/s ± 0.1 m/s", "wind_from": "240 deg"}]
    weather = {"wind_speed": "2 m/s ± 0.3 m/s", "wind_from": "240 deg ± 10 deg", "hours": hours}
    before, after = (design(weather=weather, launcher={"crew": crew}) for crew in (first, then))
    found = scatter(before, square(70.0), fly=fly_on_paper)
    anew = scatter(after, square(70.0), fly=fly_on_paper)
    assert found.findings != anew.findings
    assert moved(after, found).findings == anew.findings
    assert moved(after, found).calls == anew.calls


def test_flights_without_an_end_are_counted_and_left_out():
    def broken(batch):
        notes = fly_on_paper(batch)
        if len(batch) > 300:
            notes["landing_east_m"][:3] = np.nan
        return notes

    found = scatter(design(), square(70.0), flights=600, fly=broken, winds=False)
    assert (found.flights, found.lost) == (597, 3)


def test_a_parachute_that_never_opens_still_gives_a_map():
    never = design(failures={"not_opening": "100 %"})
    found = scatter(never, square(70.0), flights=300, fly=fly_on_paper, winds=False)
    assert list(found.landings) == ["ballistic: the parachute stays in"]
    assert found.ellipse is None


def test_a_rocket_without_a_single_flight_with_an_end_is_refused_in_words():
    def lost(batch):
        notes = fly_on_paper(batch)
        notes["landing_east_m"] = np.nan
        return notes

    with pytest.raises(DesignError, match="no flight with an end"):
        scatter(design(), square(70.0), flights=300, fly=lost)


def test_a_rocket_that_stays_on_the_launcher_is_a_stop_and_not_a_landing_under_the_parachute():
    def stays(batch):
        notes = fly_on_paper(batch)
        notes["ending"] = Endings.never_left
        for name in ("landing_east_m", "landing_north_m", "landing_speed_m_s", "landing_energy_J", "apogee_time_s"):
            notes[name] = np.nan
        return notes

    found = scatter(design(), square(70.0), flights=300, fly=stays)
    assert list(found.landings) == ["it stays on the launcher"]
    assert [finding.code for finding in stops(found.findings)] == ["stays-on-the-launcher"]
    assert found.calls == []
    assert "nan" not in field_chapter(design(), found, ACT).section.html


def test_no_wind_above_the_published_maximum_is_proposed():
    found = scatter(design(), square(2000.0), fly=fly_on_paper)
    assert [limit.speed for limit in found.limits] == pytest.approx([8.94] * 12, abs=0.01)
    assert not any(limit.reached for limit in found.limits)
    assert "the published maximum" in scatter_words(design(), found)


def test_a_release_that_never_comes_is_no_return_under_the_parachute():
    never = design(recovery={"kind": "parachute", "diameter": "500 mm", "release": "never"})
    found = scatter(never, square(70.0), flights=300, fly=fly_on_paper, winds=False)
    assert "without anything to slow it" in found.landings


def test_the_same_seed_gives_the_same_document_and_another_seed_another():
    first, second = (scatter(design(), square(70.0), fly=fly_on_paper, winds=False) for _ in range(2))
    other = scatter(design(), square(70.0), seed=9, fly=fly_on_paper, winds=False)
    assert landings_csv(first) == landings_csv(second)
    assert landings_csv(first) != landings_csv(other)


def test_no_boundary_still_gives_outlines_and_says_what_is_missing(tmp_path):
    found = scatter(design(), field_site(design().site, tmp_path), fly=fly_on_paper)
    assert [level for level, _ in found.outlines] == [0.95, 0.9, 0.5]
    assert {finding.code: finding.level for finding in found.findings}["no-boundary"] is Level.UNCHECKED
    assert found.limits == []


def test_the_document_and_the_words_say_what_was_found(calm):
    document = json.loads(json.dumps(scatter_document(design(), calm), default=float))
    assert document["flights"] == 1500
    assert len(document["wind_limits"]) == 12
    assert document["chances"][0]["high"] >= document["chances"][0]["chance"]
    text = scatter_words(design(), calm)
    for words in ("1500 flights", "outside the field", "WSW (240°)", "people on that side"):
        assert words in text
    assert " 0 m" not in text  # nobody stands nearer than the published distance


def test_the_chapter_carries_map_rose_and_files(calm):
    chapter = field_chapter(design(), replace(calm, site=square(70.0)), ACT)
    assert [picture.name for picture in chapter.section.pictures] == ["map", "wind-rose"]
    assert {"landings.csv", "landings.geojson"} == set(chapter.files)
    assert "of flights leave" in chapter.section.title
    assert shapely.geometry.shape(json.loads(chapter.files["landings.geojson"])["features"][0]["geometry"]).area > 0


def test_stopping_while_rare_failures_are_flown_keeps_the_landings_and_settles_no_distance():
    def stopped(batch):
        if np.all(batch["release"] == 2) and batch["index"].min() > 1500:  # flights that are no part of the sample
            raise KeyboardInterrupt
        return fly_on_paper(batch)

    found = scatter(design(), square(70.0), fly=stopped)
    assert (found.flights, found.stopped, found.whole, found.limits) == (1500, True, False, [])
    assert not any(distance.settled for _, distance in found.sectors)


def test_the_crew_s_places_and_the_spectators_distance_reach_the_document(calm):
    document = scatter_document(design(), calm)
    assert [one["role"] for one in document["crew"]] == ["operator", "pumper"]
    assert document["spectators"]["distance_on_that_side_m"] == min(
        sector["distance_m"] for sector in document["spectators"]["by_direction"])
    assert {limit["height_m"] for limit in document["wind_limits"]} == {design().weather.wind_height.value}


def test_what_people_act_on_is_kept_for_the_other_commands_once_all_is_worked_out(calm, tmp_path, monkeypatch):
    monkeypatch.setenv("BOTTLEWRIGHT_CACHE", str(tmp_path))
    part = scatter(design(), square(70.0), fly=fly_on_paper, winds=False)
    keep(design(), part)
    assert stored(design(), tmp_path) is None
    numbers = keep(design(), calm)
    assert stored(design(), tmp_path) == numbers
    assert numbers.operator_m >= governing_distance(design()).operator.asks_m
    assert [sector.distance_m for sector in numbers.spectators] == [one.metres for _, one in calm.sectors]
    assert (numbers.spectators[0].from_deg, numbers.spectators[0].to_deg) == (345.0, 15.0)
    assert [limit.speed_m_s for limit in numbers.wind_limits] == [limit.speed for limit in calm.limits]
    assert numbers.findings == tuple(calm.findings)
