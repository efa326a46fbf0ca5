"""The numbers that people act on are kept once, and read back only for the very same design, field and count."""

import hashlib
import json
import os
from dataclasses import replace
from pathlib import Path

import pytest

import bottlewright as bw
from bottlewright.design import complete, read_design
from bottlewright.field import numbers as kept
from bottlewright.field.numbers import FieldNumbers, LimitAt, Sector, field_digest, site_digest, store, stored
from bottlewright.findings import Finding, Level, Stage

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
FINDING = Finding(Level.STOP, Stage.FIELD, "a-code", "Hazard", "found", "limit", "source", "Remedy")


def design(*sets):
    return complete(read_design(CURLEW, list(sets)))


def numbers(of, folder=CURLEW.parent):
    digest = field_digest(of, site_digest(of.site, folder), of.scatter.flights, of.scatter.seed)
    return FieldNumbers(digest, 4000, 13.0, None, (Sector(345.0, 15.0, 81.4, True), Sector(15.0, 45.0, 90.0, False)),
                        (LimitAt(0.0, 2.2, 2.0),), (FINDING,), "4000 flights", operator_bearing_deg=240.0)


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    monkeypatch.setenv("BOTTLEWRIGHT_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache" / "landings"


def test_what_was_stored_is_read_back_whole():
    store(numbers(design()))
    assert stored(design(), CURLEW.parent) == numbers(design())


@pytest.mark.parametrize("change", [
    'charge.pressure="4.4 bar"', 'weather.wind_speed="2.6 m/s"', "scatter.seed=2", "scatter.flights=500",
    'launcher.crew.spectators="30 m"', 'charge.day="2027-04-10"',
])  # fmt: skip
def test_another_design_weather_seed_or_count_has_no_numbers(change):
    store(numbers(design()))
    assert stored(design(change), CURLEW.parent) is None


LIFE = ('vessel.id="B07"', "vessel.cycles=9", 'vessel.age="300 days ± 9 days"', 'vessel.storage="hot car"',
        'vessel.hard_landing="2027-03-07"', 'vessel.retired="leaked"')  # fmt: skip


@pytest.mark.parametrize("change", LIFE)
def test_what_a_bottle_is_called_and_has_been_through_takes_no_distance_away(change):
    """A stop of the landings stays when somebody writes a name on the bottle, and after its first launch."""
    store(numbers(design()))
    assert stored(design(change), CURLEW.parent) == numbers(design())


def test_no_landing_rests_on_what_the_bottle_has_been_through():
    flown = [bw.read(CURLEW).changed({"scatter.flights": 40, **changes}).scatter() for changes in (
        {}, {"vessel.cycles": 9, "vessel.age": "300 days ± 9 days", "vessel.storage": "hot car", "vessel.proof": []})]
    (first, second), (numbers, others) = [one.columns() for one in flown], [one.field_numbers for one in flown]
    assert first["east_m"].tolist() == second["east_m"].tolist()
    assert numbers == others


def test_another_map_has_no_numbers(tmp_path):
    drawn = (CURLEW.parent / "field.geojson").read_text(encoding="utf-8")
    (tmp_path / "field.geojson").write_text(drawn.replace("Mill Lane", "Mill Road"), encoding="utf-8")
    store(numbers(design()))
    assert stored(design(), tmp_path) is None


def test_another_version_of_the_program_has_no_numbers(monkeypatch):
    store(numbers(design()))
    monkeypatch.setattr(kept, "_program", lambda: "another")
    assert stored(design(), CURLEW.parent) is None


@pytest.mark.parametrize("damage", [
    lambda _: b"", lambda data: data[:-9], lambda _: b"[]", lambda data: data.replace(b"81.4", b"18.4"),
    lambda _: b'{"sha256": "", "numbers": "{}"}', lambda _: b"\xff\xfe",
    lambda _: b'{"sha256":"x","numbers":5}', lambda _: b"null", lambda _: b"[" * 200_000, lambda _: b" " * 2_000_000,
    lambda data: signed(data, lambda numbers: numbers | {"pumper_m": "near"}),
    lambda data: signed(data, lambda numbers: numbers | {"spectators": [[0.0, 30.0, None, True]]}),
    lambda data: signed(data, lambda numbers: numbers | {"findings": 5}),
    lambda data: signed(data, lambda _: []),
], ids=["empty", "cut short", "another document", "a number changed", "nothing in it", "no text", "a number for a text",
        "null", "too deep", "too large", "a word for a number", "no distance", "no findings", "a list"])  # fmt: skip
def test_a_damaged_file_is_ignored(cache, damage):
    store(numbers(design()))
    [path] = cache.glob("*.json")
    path.write_bytes(damage(path.read_bytes()))
    assert stored(design(), CURLEW.parent) is None


def signed(data, change):
    """Return the file with its numbers changed and its digest made to fit."""
    text = json.dumps(change(json.loads(json.loads(data)["numbers"])))
    return json.dumps({"sha256": hashlib.sha256(text.encode()).hexdigest(), "numbers": text}).encode()


@pytest.mark.parametrize("instead", [os.mkfifo, os.mkdir], ids=["a pipe", "a folder"])
def test_what_is_no_file_is_ignored_and_makes_nobody_wait(cache, instead):
    store(numbers(design()))
    [path] = cache.glob("*.json")
    path.unlink()
    instead(path)
    assert stored(design(), CURLEW.parent) is None


def test_numbers_under_the_name_of_another_design_are_ignored(cache):
    store(numbers(design()))
    [path] = cache.glob("*.json")
    other = numbers(design("scatter.seed=2"))
    path.rename(cache / f"{other.digest}.json")
    assert stored(design("scatter.seed=2"), CURLEW.parent) is None


def test_a_folder_that_others_can_write_in_is_not_used(cache):
    store(numbers(design()))
    cache.chmod(0o777)
    assert stored(design(), CURLEW.parent) is None


def test_a_disk_that_does_not_let_it_costs_nothing_but_the_keeping(cache):
    cache.parent.mkdir()
    cache.write_text("mine", encoding="utf-8")
    store(numbers(design()))
    assert stored(design(), CURLEW.parent) is None


def test_the_folder_is_private_and_nothing_half_written_is_left(cache):
    for seed in range(3):
        store(replace(numbers(design()), digest=f"{seed}"))
    assert cache.stat().st_mode & 0o777 == 0o700
    assert sorted(path.name for path in cache.iterdir()) == ["0.json", "1.json", "2.json"]


def test_only_the_last_scatters_are_kept(cache, monkeypatch):
    monkeypatch.setattr(kept, "_KEPT", 2)
    for place, name in enumerate("abc"):
        store(replace(numbers(design()), digest=name))
        os.utime(cache / f"{name}.json", (place, place))
    assert sorted(path.stem for path in cache.iterdir()) == ["b", "c"]


def test_what_is_kept_is_json(cache):
    store(numbers(design()))
    [path] = cache.glob("*.json")
    assert json.loads(json.loads(path.read_text(encoding="utf-8"))["numbers"])["spectators"][0][2] == 81.4
