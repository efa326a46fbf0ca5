"""The notebook of the docs runs, shows words and pictures by itself, and leaves nothing behind."""

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

DOCS = Path(__file__).parent.parent.parent / "docs"


@pytest.fixture(scope="module")
def outputs():
    before = {path: path.stat().st_mtime_ns for path in DOCS.rglob("*")}
    notebook = nbformat.read(DOCS / "notebook.ipynb", as_version=4)
    NotebookClient(notebook, timeout=300, resources={"metadata": {"path": str(DOCS)}}).execute()
    assert before == {path: path.stat().st_mtime_ns for path in DOCS.rglob("*")}, "nothing was saved"
    return [cell.outputs for cell in notebook.cells if cell.cell_type == "code"]


def text_of(output):
    return output.get("text") or output["data"].get("text/plain", "")


def test_the_verdict_is_the_first_thing_it_says(outputs):
    first, gauge = text_of(outputs[0][0]).splitlines()[:2]
    assert "stop" in first.lower()
    assert gauge.startswith("On the gauge:")


def test_a_flight_shows_its_words_and_pictures(outputs):
    shown = outputs[1][0]["data"]["text/html"]
    assert "Curlew: landed" in shown
    assert "<svg" in shown


def test_numbers_and_frames_come_out(outputs):
    apogee, landing = eval(text_of(outputs[2][0]))
    assert 20.0 < apogee < 100.0
    assert 0.0 < landing < 20.0
    assert "height_m" in outputs[3][0]["data"]["text/html"]


def test_too_high_a_pressure_is_a_stop_with_its_cure(outputs):
    said = text_of(outputs[5][0]).splitlines()
    assert said[0] == "stop"
    assert any("bar" in line for line in said[1:])


def test_one_picture_shows_itself(outputs):
    assert "<svg" in outputs[6][0]["data"]["image/svg+xml"]


def test_the_notebook_is_kept_without_outputs():
    notebook = nbformat.read(DOCS / "notebook.ipynb", as_version=4)
    assert not any(cell.get("outputs") for cell in notebook.cells)
