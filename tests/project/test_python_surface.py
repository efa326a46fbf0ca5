"""The Python surface: what a notebook, the command line and the pages call."""

import json
import re
import struct
import subprocess
import sys
import threading
import time
from dataclasses import FrozenInstanceError
from pathlib import Path

import numpy as np
import pytest

import bottlewright as bw
from bottlewright.cli import main
from bottlewright.design import DesignError
from bottlewright.project.watch import watching

CURLEW = Path(__file__).parent.parent.parent / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="module")
def curlew():
    return bw.read(CURLEW)


@pytest.fixture(scope="module")
def flight(curlew):
    return curlew.fly()


# --- read, change, look --------------------------------------------------------------------------------------------


def test_a_value_is_changed_as_the_file_would_write_it_and_the_rest_is_filled_in_anew(curlew):
    lower = curlew.changed({"charge.pressure": "3 bar"})
    assert lower.value("charge.pressure").value == pytest.approx(3e5)
    assert curlew.value("charge.pressure").value == pytest.approx(4.5e5)
    assert lower.digest != curlew.digest
    assert lower.overrides == ("charge.pressure=3 bar",)


def test_a_value_taken_out_is_filled_in_by_the_program(curlew):
    without = curlew.changed({"weather.temperature": None})
    assert without.basis()["weather.temperature"] == "assumed"


def test_a_value_that_makes_no_rocket_is_refused_with_its_key(curlew):
    with pytest.raises(bw.BottlewrightError, match=r"nozzle\.bore") as refused:
        curlew.changed({"nozzle.bore": "4 parsec"})
    assert isinstance(refused.value, DesignError)


def test_errors_of_the_surface_have_the_words_of_the_command_line(tmp_path, capsys):
    bad = tmp_path / "rocket.toml"
    bad.write_text(CURLEW.read_text(encoding="utf-8").replace("bore", "boar"), encoding="utf-8")
    with pytest.raises(bw.BottlewrightError) as refused:
        bw.read(bad)
    with pytest.raises(SystemExit):
        main(["fly", str(bad)])
    said = capsys.readouterr().err
    for problem in refused.value.problems:
        assert problem.why in said
        assert problem.why in str(refused.value)


def test_a_design_given_as_text_is_the_design_of_the_file(curlew):
    assert bw.parse(CURLEW.read_text(encoding="utf-8"), CURLEW).digest == curlew.digest


# --- results -------------------------------------------------------------------------------------------------------


def test_nothing_is_printed_and_nothing_is_written(curlew, tmp_path, monkeypatch, capfd):
    monkeypatch.chdir(tmp_path)
    curlew.fly().verdict, curlew.fire().summary, curlew.prove().words()
    assert capfd.readouterr() == ("", "")
    assert not list(tmp_path.iterdir())


def test_a_result_can_not_be_changed(flight):
    with pytest.raises(FrozenInstanceError):
        flight.flight = None
    with pytest.raises(ValueError, match="read-only"):
        flight.series["height_m"][0] = 1.0


def test_a_result_carries_the_digest_of_what_it_was_worked_out_for(curlew, flight):
    assert flight.digest == flight.verdict.digest == curlew.digest
    assert curlew.changed({"charge.pressure": "3 bar"}).fly().digest != flight.digest


def test_the_series_is_in_si_and_ends_where_the_summary_says(flight):
    assert flight.series["time_s"][-1] == pytest.approx(flight.summary["flight_time_s"], rel=1e-9)
    assert np.max(flight.series["height_m"]) == pytest.approx(flight.summary["apogee_m"], rel=1e-3)


def test_the_document_of_a_result_is_what_the_command_prints(flight, capsys):
    with pytest.raises(SystemExit):
        main(["fly", str(CURLEW), "--json"])
    assert json.loads(capsys.readouterr().out) == json.loads(flight.json())


def test_a_verdict_is_had_without_a_flight_in_hand(curlew, flight):
    assert curlew.verdict().as_json() == flight.verdict.as_json()


def test_a_stop_gets_its_cure_when_asked(curlew):
    high = curlew.changed({"charge.pressure": "6 bar"}).prove()
    assert high.verdict.level == "stop"
    assert not high.cures
    cured = high.cured()
    assert {cure.code for cure in cured.cures} & {one.code for one in cured.findings}
    assert cured.document()["cures"]


def test_results_are_saved_where_they_are_asked_for_and_never_over_a_file_of_the_user(curlew, tmp_path):
    written = curlew.prove().save(tmp_path / "curlew")
    assert {path.name for path in written} == {"proof-test.html", "proof.json"}
    assert all(path.is_file() for path in written)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("glue the fins", encoding="utf-8")
    with pytest.raises(bw.InputError, match=r"notes\.txt"):
        curlew.prove().save(tmp_path / "mine")
    assert (tmp_path / "mine" / "notes.txt").read_text(encoding="utf-8") == "glue the fins"


def test_a_notebook_shows_words_and_pictures_by_itself(flight):
    shown = flight._repr_html_()
    assert "Curlew: landed" in shown
    assert shown.count("<svg") == len(flight.pictures) > 0
    drawn = flight.pictures["height"]
    assert drawn._repr_svg_().startswith("<svg")
    assert f"<title>{drawn.alt}</title><desc>{drawn.caption}</desc>" in drawn.svg


def test_a_picture_is_had_as_png_too(flight):
    drawn = flight.pictures["height"].png(dots=72)
    assert drawn.startswith(b"\x89PNG")
    wide, high = struct.unpack(">II", drawn[16:24])
    assert (wide, high) == pytest.approx((165.0 * 72 / 25.4, 98.0 * 72 / 25.4), abs=1.0)


def test_a_table_is_had_as_a_frame(flight, curlew):
    pandas = pytest.importorskip("pandas")
    frame = flight.to_frame()
    assert isinstance(frame, pandas.DataFrame)
    assert list(frame["time_s"]) == list(flight.series["time_s"])
    assert {"rule", "plan", "met", "source"} == set(curlew.prove().to_frame())


def test_without_pandas_a_frame_says_what_to_install(flight, monkeypatch):
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(bw.InputError, match="pip install pandas"):
        flight.to_frame()


# --- progress and stop ---------------------------------------------------------------------------------------------


def test_scatter_tells_how_far_it_is(curlew):
    told = []
    few = curlew.changed({"scatter.flights": 600}).scatter(winds=False, progress=lambda *at: told.append(at))
    assert any(0.0 < share <= 1.0 for words, share in told)
    assert len(few.to_frame() if "pandas" in sys.modules else few.columns()["east_m"]) == few.found.flights


def stopped_after(work, seconds):
    """Ask for a stop from another thread; return what came of the work and how long the stop took."""
    stop, asked = threading.Event(), []

    def ask():
        time.sleep(seconds)
        asked.append(time.monotonic())
        stop.set()

    threading.Thread(target=ask, daemon=True).start()
    try:
        result = work(stop.is_set)
    except bw.StoppedError:
        result = None
    return result, time.monotonic() - asked[0]


def test_a_stopped_scatter_keeps_what_is_done_and_says_that_it_is_partial(curlew):
    many = curlew.changed({"scatter.flights": 60_000})
    found, _ = stopped_after(lambda stop: many.scatter(stop=stop), 2.0)
    assert found is not None
    assert found.partial
    assert 0 < found.found.flights < 60_000
    assert found.document()["stopped"]


def test_a_stop_between_the_flights_of_a_scatter_ends_what_is_being_looked_for(curlew):
    """Hundreds of launch points are tried with flights that are there already: a stop is not to wait for the last."""
    sought, told = "looking for a better launch point", []
    few = curlew.changed({"scatter.flights": 300})
    found = few.scatter(progress=lambda words, _: told.append(words), stop=lambda: told.count(sought) == 3)
    assert found.partial
    assert told.count(sought) == 3


def test_many_flights_are_the_same_for_the_same_seed_and_spread_round_the_single_one(curlew, flight):
    many = curlew.fly_many(300, seed=3)
    again = curlew.fly_many(300, seed=3)
    heights = many.columns()["apogee_m"]
    assert len(heights) == 300
    assert np.array_equal(heights, again.columns()["apogee_m"], equal_nan=True)
    assert np.quantile(heights, 0.02) < flight.summary["apogee_m"] < np.quantile(heights, 0.98)
    assert many.document()["apogee_m"]["middle"] == pytest.approx(np.median(heights))
    assert "300 flights" in many.words()
    assert not many.partial


def test_one_flight_is_told_as_one(curlew):
    assert re.fullmatch(r"Curlew: 1 flight\. It comes to [\d.]+ m\n", curlew.fly_many(1).words())
    assert curlew.fly_many(2).words().startswith("Curlew: 2 flights. The middle one comes to ")


@pytest.mark.parametrize("count", [0, -1])
def test_fewer_flights_than_one_are_refused_in_words(curlew, count):
    with pytest.raises(bw.InputError, match=f"one flight at least is flown, not {count}"):
        curlew.fly_many(count)


def test_stopped_flights_are_kept_block_by_block(curlew):
    told = []
    some = curlew.fly_many(2000, progress=lambda *at: told.append(at), stop=lambda: len(told) >= 2)
    assert some.partial
    assert 0 < len(some.summaries) < 2000


def test_a_stopped_tune_recommends_nothing(curlew):
    advice, _ = stopped_after(lambda stop: curlew.tune(stop=stop), 0.3)
    assert advice is None


@pytest.mark.parametrize(
    "work",
    [
        lambda rocket, stop: rocket.make(stop=stop).files(stop=stop),
        lambda rocket, stop: rocket.study(stop=stop),
    ],
    ids=["make", "study"],
)
def test_a_stop_leaves_the_work_and_nothing_behind(curlew, work, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result, _ = stopped_after(lambda stop: work(curlew, stop), 0.2)
    assert result is None
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "work",
    [
        lambda rocket, stop: rocket.changed({"charge.pressure": "6 bar"}).prove().cured(stop=stop),
        lambda rocket, stop: rocket.fly().save("never-written", stop=stop),
    ],
    ids=["cures", "figures"],
)
def test_what_takes_long_only_now_and_then_is_stopped_too(curlew, work, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(bw.StoppedError):
        work(curlew, lambda: True)
    assert not list(tmp_path.iterdir())


def test_a_fault_of_the_work_is_raised_where_it_was_asked_for():
    def fails():
        raise ValueError("a fault of ours")

    with watching(None, threading.Event().is_set) as watch, pytest.raises(ValueError, match="a fault of ours"):
        watch.run(fails)


def test_a_stop_before_the_first_flight_is_said(curlew):
    with pytest.raises(bw.StoppedError, match="nothing"):
        curlew.scatter(stop=lambda: True)


# --- the way in ----------------------------------------------------------------------------------------------------


def test_the_import_brings_no_heavy_library():
    code = (
        "import sys, bottlewright as bw; bw.read;"
        "print([name for name in ('numba', 'matplotlib', 'scipy', 'pydantic') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_every_name_of_the_surface_is_there():
    assert set(bw.__all__) <= set(dir(bw))
    for name in bw.__all__:
        assert getattr(bw, name).__doc__
    with pytest.raises(AttributeError, match="spring"):
        _ = bw.spring
