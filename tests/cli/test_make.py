"""`bottlewright make` from the command line."""

import json
import os
import time
from importlib.resources import files
from pathlib import Path

import pymupdf
import pytest

from bottlewright.cli import main

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


DABCHICK = CURLEW.parents[1] / "dabchick" / "rocket.toml"


@pytest.fixture
def run(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def go(*words):
        with pytest.raises(SystemExit) as left:
            main(words)
        said = capsys.readouterr()
        return left.value.code, said.out, said.err

    return go


def test_make_writes_a_folder_in_time_and_can_write_it_again(run, tmp_path):
    run("fly", str(CURLEW))  # compiles the physics where that has not been done
    began = time.process_time()
    code, said, err = run("make", str(CURLEW), "--json", "--out", "made")
    assert time.process_time() - began < 15.0
    assert code in (0, 1)
    assert "pack-a4.pdf" in err
    folder = tmp_path / "made"
    has_units_in_its_names_and_lists_the_files(json.loads(said), folder)
    cover = pymupdf.open(folder / "pack-a4.pdf")[0].get_text()
    assert "apogee" in cover
    assert "highest reading of the gauge" in cover
    assert (folder / "svg" / "fin.svg").is_file()
    again, out, _ = run("make", str(CURLEW), "--out", "made", "--paper", "letter")
    assert again == code
    assert "sheets of patterns" in out
    assert (folder / "pack-letter.pdf").is_file()
    assert not (folder / "pack-a4.pdf").exists()


def test_a_stop_of_prove_stands_on_cover_and_checklist_and_sets_the_exit_code(run, tmp_path):
    code, out, _ = run("make", str(DABCHICK), "--json", "--out", "made", "--set", "charge.pressure=11 bar")
    assert code == 1
    document = json.loads(out)
    assert any(finding["level"] == "stop" for finding in document["findings"])
    pages = [" ".join(page.get_text().split()) for page in pymupdf.open(tmp_path / "made" / "pack-a4.pdf")]
    assert "STOP: do not pump" in pages[0]
    assert any("Launch-day checklist" in page and "STOP: do not pump" in page for page in pages[1:])


def has_units_in_its_names_and_lists_the_files(document, folder):
    assert document["parts_mass_kg"] == pytest.approx(0.166, abs=0.02)
    assert all((folder / name).is_file() for name in document["files"])
    assert {"task", "work_s", "wait_s", "slack_s", "spells", "ready"} <= document["schedule"][0].keys()


def test_price_file_and_matrix_are_read_beside_the_design(run, tmp_path):
    text = DABCHICK.read_text(encoding="utf-8")
    (tmp_path / "prices.csv").write_text("part;price\nhose;12,50\n", encoding="utf-8")
    plain = (files("bottlewright.make") / "data" / "matrix.toml").read_text(encoding="utf-8")
    (tmp_path / "own.toml").write_text(plain.replace("medium", "needs a signature"), encoding="utf-8")
    (tmp_path / "rocket.toml").write_text(
        text + '\n[workshop]\nmatrix = "own.toml"\n[prices]\ncurrency = "crowns"\nfile = "prices.csv"\n',
        encoding="utf-8",
    )
    _, out, _ = run("make", "rocket.toml", "--json", "--out", "made")
    assert json.loads(out)["cost"] == 12.5
    text = " ".join(page.get_text() for page in pymupdf.open(tmp_path / "made" / "pack-a4.pdf"))
    assert "needs a signature" in " ".join(text.split())


def test_a_price_file_or_matrix_that_is_none_is_a_finding_and_the_pack_is_made(run, tmp_path):
    text = DABCHICK.read_text(encoding="utf-8")
    os.mkfifo(tmp_path / "pipe")
    own = '\n[prices]\nfile = "gone.csv"\n[workshop]\nmatrix = "pipe"\n'
    (tmp_path / "rocket.toml").write_text(text + own, encoding="utf-8")
    _, out, _ = run("make", "rocket.toml", "--json", "--out", "made")
    found = " ".join(f["found"] for f in json.loads(out)["findings"] if f["code"] == "unread-file")
    assert "'gone.csv' does not exist" in found
    assert "'pipe' is not an ordinary file" in found


def test_a_bad_design_is_told_and_nothing_is_written(run, tmp_path):
    (tmp_path / "bad.toml").write_text("schema = 1\n", encoding="utf-8")
    code, out, err = run("make", "bad.toml", "--out", "made")
    assert (code, out) == (2, "")
    assert "vessel.bottle" in err
    assert not (tmp_path / "made").exists()
