"""The commands tune and scatter: words, JSON, files, exit codes, bad sites."""

import json
from pathlib import Path

import pytest

from bottlewright.cli import main

CURLEW = str(Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml")
FEW = ("--flights", "200")


@pytest.fixture(autouse=True)
def _no_cures(monkeypatch):
    """Try no cures here: so few flights settle little, and a search would take a minute; cures have their own tests."""
    monkeypatch.setattr("bottlewright.cures.attached.find_cures", lambda *_: ())


def run(*arguments):
    with pytest.raises(SystemExit) as left:
        main(arguments)
    return left.value.code or 0


def test_tune_explains_its_answer_in_plain_words(capsys):
    assert run("tune", CURLEW, "--set", "tune.flights=8") == 0
    shown = " ".join(capsys.readouterr().out.split())
    for words in ("Curlew: what to load", "of water", "bar of pressure", "What holds it back",
                  "A fifth less water costs", "is allowed", "start with"):  # fmt: skip
        assert words in shown
    assert "safe" not in shown.lower()


def test_tune_json_is_one_document_and_the_same_again(capsys):
    texts = []
    for _ in range(2):
        assert run("tune", CURLEW, "--set", "tune.flights=8", "--json") == 0
        texts.append(capsys.readouterr().out)
    assert texts[0] == texts[1]
    document = json.loads(texts[0])
    rated = document["most_pressure_Pa"]
    by_name = {variable["name"]: variable for variable in document["variables"]}
    assert by_name["pressure"]["recommended_SI"] <= rated * (1 + 1e-9)
    assert document["worth"] >= document["present_worth"] - 0.5
    assert {"map", "front", "sources_of_spread", "explanation", "findings"} <= document.keys()


def test_tune_without_a_wanted_height_is_bad_input(capsys):
    assert run("tune", CURLEW, "--set", 'tune.aim="nearest height"') == 2
    assert "tune.height" in capsys.readouterr().err


def test_scatter_writes_map_tables_and_files_for_other_programs(tmp_path, capsys):
    folder = tmp_path / "scatter"
    assert run("scatter", CURLEW, *FEW, "--out", str(folder)) in (0, 1)
    names = {path.name for path in folder.iterdir()}
    assert {"scatter.json", "map.svg", "wind-rose.svg", "landings.csv", "landings.geojson",
            "landings.kml"} <= names  # fmt: skip
    assert len((folder / "landings.csv").read_text().splitlines()) == 201
    shown = capsys.readouterr().out
    for words in ("Curlew on Brambling Field: 200 flights", "Mill Lane (road)", "wind from", "people on that side"):
        assert words in shown


def test_a_scatter_that_is_stopped_says_what_it_kept_and_ends_with_130(monkeypatch, capsys):
    from bottlewright.field.trials import FIRST
    from bottlewright.flight.batch import fly_batch

    def stopped(batch, **_):
        if len(batch) == FIRST[0]:  # the trials of the winds
            raise KeyboardInterrupt
        return fly_batch(batch)

    monkeypatch.setattr("bottlewright.flight.batch.fly_batch", stopped)
    assert run("scatter", CURLEW, *FEW) == 130
    captured = capsys.readouterr()
    assert "Curlew on Brambling Field: 200 flights" in captured.out
    assert "200 of 200 flights are kept; no wind limits" in captured.err
    assert "Traceback" not in captured.err


@pytest.mark.parametrize(("command", "words"), [("tune", "stopped"), ("scatter", "nothing is kept")])
def test_stopped_before_there_is_anything_it_says_so_and_ends_with_130(command, words, monkeypatch, capsys):
    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("bottlewright.flight.batch.fly_batch", stopped)
    assert run(command, CURLEW) == 130
    captured = capsys.readouterr()
    assert words in captured.err
    assert captured.out == ""


def test_tune_for_a_bottle_that_failed_is_a_stop(capsys):
    failed = 'vessel.proof=[{pressure="6.75 bar", hold="60 s", passed=false}]'
    assert run("tune", CURLEW, "--set", "tune.flights=8", "--set", failed, "--json") == 1
    document = json.loads(capsys.readouterr().out)
    assert "failed-vessel" in {finding["code"] for finding in document["findings"]}
    fresh = 2.65e5  # what the first test of one allows
    assert document["most_pressure_Pa"] == pytest.approx(fresh - 0.3e5)  # less two of the plan's ±
    assert document["explanation"][0].startswith("This bottle is finished")


def test_scatter_json_is_the_same_for_the_same_seed_and_another_for_another(capsys):
    texts = []
    for seed in ("3", "3", "4"):
        assert run("scatter", CURLEW, *FEW, "--no-winds", "--seed", seed, "--json") in (0, 1)
        texts.append(capsys.readouterr().out)
    assert texts[0] == texts[1] != texts[2]
    assert json.loads(texts[0])["flights"] == 200


def test_a_launch_point_beside_the_road_is_a_stop(capsys):
    """On the east side of the field, 13 m from Mill Lane."""
    beside = 'site.launch_point=["-29.9974664 deg", "52.0 deg"]'
    assert run("scatter", CURLEW, *FEW, "--no-winds", "--set", beside, "--json") == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    stopped = {finding["code"] for finding in found if finding["level"] == "stop"}
    assert {"launch-point-too-near", "chance-too-high"} <= stopped


def test_a_larger_field_stands_more_wind(capsys):
    least = []
    for side in ("140 m", "260 m"):
        plain = f'site.rectangle={{length="{side}", width="{side}"}}'
        assert run("scatter", CURLEW, *FEW, "--set", 'site.map=""', "--set", plain, "--json") in (0, 1)
        least.append(min(limit["speed_m_s"] for limit in json.loads(capsys.readouterr().out)["wind_limits"]))
    assert least[0] < least[1]


@pytest.mark.parametrize(
    ("sets", "words"),
    [
        (('site.launch_point=["-29.9 deg", "52.0 deg"]',), "outside the field"),
        (('site.launch_point=["52.0 deg", "-30.0 deg"]',), "swapped"),
        (('site.map="hedge.geojson"',), "hedge.geojson"),
        (('site.rectangle={length="90 m", width="60 m"}',), "drawn twice"),
        (('site.latitude="10 deg"',), "site.latitude says 10"),
    ],
)
def test_a_bad_site_is_bad_input_told_in_words(sets, words, capsys):
    options = [part for each in sets for part in ("--set", each)]
    assert run("scatter", CURLEW, *FEW, *options) == 2
    captured = capsys.readouterr()
    assert words in captured.err
    assert "Traceback" not in captured.err
    assert captured.out == ""


def test_no_boundary_is_a_finding_and_no_error(capsys):
    assert run("scatter", CURLEW, *FEW, "--set", 'site.map=""', "--json") in (0, 1)
    assert "no-boundary" in {finding["code"] for finding in json.loads(capsys.readouterr().out)["findings"]}


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "tcp://127.0.0.1:notaport", "shed", "gopher://shed:70"])
def test_a_cluster_that_is_not_there_is_bad_input_in_one_sentence(address, monkeypatch, capsys):
    pytest.importorskip("distributed")
    monkeypatch.setattr("bottlewright.flight.cluster.LIMIT", 1.0)
    assert run("scatter", CURLEW, *FEW, "--cluster", address) == 2
    said = capsys.readouterr().err.strip().splitlines()
    assert len(said) == 1
    assert said[0].startswith("no Dask scheduler")
    assert address in said[0]
