"""The commands fly, fire and study: words, JSON, files, exit codes."""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from bottlewright.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
CURLEW = str(EXAMPLES / "curlew" / "rocket.toml")
DABCHICK = str(EXAMPLES / "dabchick" / "rocket.toml")
STAND = str(EXAMPLES / "stand" / "firing.toml")
FEW = ("--set", "scatter.flights=200", "--set", "tune.flights=8")  # of the many flights, to keep the tests quick


@pytest.fixture(autouse=True, scope="module")
def _no_cures():
    """Try no cures here: so few flights settle little, and a search is as long as a study. They have their tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("bottlewright.cures.attached.find_cures", lambda *_: ())
        yield


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    code = left.value.code
    return code if isinstance(code, int) else 0


def test_fly_prints_words_and_its_findings(capsys):
    assert run("fly", CURLEW) == 0
    shown = capsys.readouterr().out
    assert shown.startswith(("STOP", "LOOK", "No finding says stop or look")), "the verdict is what is read first"
    assert "Curlew: landed" in shown
    assert "apogee" in shown


def test_fly_json_is_one_document_and_nothing_else(capsys):
    assert run("fly", CURLEW, "--json") == 0
    captured = capsys.readouterr()
    document = json.loads(captured.out)
    assert document["name"] == "Curlew"
    assert document["complete"] is True
    assert len(document["series"]["time_s"]) == len(document["series"]["height_m"])


def test_more_pressure_flies_higher(capsys):
    heights = []
    for pressure in ("3 bar", "4.5 bar"):
        run("fly", CURLEW, "--json", "--set", f'charge.pressure="{pressure}"')
        heights.append(json.loads(capsys.readouterr().out)["apogee_m"])
    assert heights[0] < heights[1]


def test_a_stop_gives_exit_code_1_and_is_told(capsys):
    assert run("fly", CURLEW, "--set", 'launcher.tilt="45 deg"') == 1
    assert "STOP" in capsys.readouterr().out


def test_fly_out_writes_its_files_and_nothing_else(tmp_path, capsys):
    folder = tmp_path / "results"
    assert run("fly", CURLEW, "--out", str(folder)) == 0
    names = {path.name for path in folder.iterdir()}
    pictures = {f"{name}.svg" for name in ("height", "firing", "margin", "path", "hold")}
    assert names == {"fly.json", "flight.csv", "bottlewright-files.json"} | pictures
    assert str(folder) in capsys.readouterr().err


def test_fire_prints_the_impulse_and_writes_its_files(tmp_path, capsys):
    folder = tmp_path / "stand"
    assert run("fire", STAND, "--out", str(folder)) == 0
    assert "N s" in capsys.readouterr().out
    assert {"firing.csv", "fire.json", "firing.svg"} <= {path.name for path in folder.iterdir()}


def test_fire_json_has_its_series(capsys):
    assert run("fire", STAND, "--json") == 0
    document = json.loads(capsys.readouterr().out)
    assert document["impulse_total_N_s"] > 0.0
    assert document["series"]["water_kg"][-1] <= document["series"]["water_kg"][0]


@pytest.fixture(scope="module")
def studied(tmp_path_factory):
    folder = tmp_path_factory.mktemp("study") / "curlew"
    assert run("study", CURLEW, "--out", str(folder), *FEW) in (0, 1)
    return folder


def test_study_writes_the_whole_folder(studied):
    page = (studied / "report.html").read_text(encoding="utf-8")
    name = tomllib.loads(Path(CURLEW).read_text(encoding="utf-8"))["name"]
    assert f"<h1>{name}</h1>" in page
    summary = json.loads((studied / "summary.json").read_text(encoding="utf-8"))
    assert summary["fly"]["apogee_m"] > 5.0
    assert summary["sketch"]["total_length_m"] > 0.2
    findings = json.loads((studied / "findings.json").read_text(encoding="utf-8"))
    assert findings == summary["findings"]
    assert {"rocket.svg", "height.svg", "path.svg"} <= {p.name for p in (studied / "figures").iterdir()}
    assert (studied / "flight.csv").read_text(encoding="utf-8").startswith("time_s,")


def test_study_shows_how_all_six_stages_stand(studied):
    page = (studied / "report.html").read_text(encoding="utf-8")
    assert all(f'href="#{stage}"' in page for stage in ("sketch", "prove", "tune", "fly", "field", "make"))
    assert (studied / "make" / "pack-a4.pdf").read_bytes().startswith(b"%PDF")
    summary = json.loads((studied / "summary.json").read_text(encoding="utf-8"))
    assert summary["make"]["parts"] > 10


def test_a_jolt_is_called_a_jolt_and_only_where_there_is_one(capsys):
    run("fire", CURLEW)
    assert "jolt of water let go in no time" in capsys.readouterr().out
    for known in ("model.jet=quasi-steady", "stand.opening_time=20 ms"):
        run("fire", CURLEW, "--set", known)
        assert "jolt" not in capsys.readouterr().out
    run("fly", CURLEW)
    assert "jolt" not in capsys.readouterr().out


def test_the_simplest_rocket_is_studied_too_and_the_same_again(tmp_path, capsys):
    for name in ("study", "again"):
        assert run("study", DABCHICK, "--out", str(tmp_path / name), *FEW) in (0, 1)
        assert str(tmp_path / name / "report.html") in capsys.readouterr().err
    report = (tmp_path / "study" / "report.html").read_bytes()
    assert b"<h1>Dabchick</h1>" in report
    assert (tmp_path / "again" / "report.html").read_bytes() == report


def test_a_bad_design_leaves_no_folder(tmp_path, capsys):
    folder = tmp_path / "study"
    assert run("study", CURLEW, "--out", str(folder), "--set", 'charge.water="9 L"') == 2
    assert not folder.exists()
    assert "charge.water" in capsys.readouterr().err


def test_fly_loads_no_figures():
    code = (
        "import sys; from bottlewright.cli import main\n"
        "try: main(['fly', sys.argv[1], '--json'])\n"
        "except SystemExit: pass\n"
        "print([name for name in ('matplotlib', 'jinja2', 'typst') if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, CURLEW], capture_output=True, text=True, check=True)
    assert done.stderr.splitlines()[-1] == "[]"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full")
def test_a_full_disk_is_no_fault_of_the_program():
    with open("/dev/full", "w", encoding="utf-8") as full:
        command = [sys.executable, "-m", "bottlewright", "fly", CURLEW, "--json"]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr == "The results can't be written: No space left on device\n"
