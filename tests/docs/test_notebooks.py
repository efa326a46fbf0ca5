"""The three notebooks for lessons: they run, and what they teach is so."""

import ast
import re
import sys
from pathlib import Path

import nbformat
import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "docs" / "notebooks"
NAMES = ["how_much_water", "where_will_it_land", "what_a_thrust_record_tells"]

sys.path.insert(0, str(ROOT / "tools"))
from docsite.notebook_page import executed, notebook_page  # noqa: E402


@pytest.fixture(scope="module")
def run():
    """Run all three; nothing may be left behind."""
    before = {path: path.stat().st_mtime_ns for path in FOLDER.rglob("*")}
    done = dict(zip(NAMES, executed([FOLDER / f"{name}.ipynb" for name in NAMES]), strict=True))
    assert before == {path: path.stat().st_mtime_ns for path in FOLDER.rglob("*")}
    return done


def said(notebook):
    return "\n".join(output.text for cell in notebook.cells if cell.cell_type == "code"
                     for output in cell.outputs if output.get("name") == "stdout")  # fmt: skip


def number(text, pattern):
    found = re.search(pattern.replace("#", r"(-?[\d.]+)"), text)
    assert found, pattern
    return float(found[1])


def pairs(text, name):
    return [(float(value), float(spread), float(truth)) for value, spread, truth in
            re.findall(rf"{name} +([\d.]+) ± ([\d.]+) +truth ([\d.]+)", text)]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_verdict_is_the_first_thing_that_comes_out(run, name):
    first = next(cell for cell in run[name].cells if cell.cell_type == "code").outputs[0].text
    assert first.startswith("NOT BEFORE PUMPING")
    assert "no pressure is allowed yet" in first
    assert "Not checked:" in first


@pytest.mark.parametrize("name", NAMES)
def test_it_draws_and_warns_nobody_and_is_kept_without_outputs(run, name):
    outputs = [output for cell in run[name].cells if cell.cell_type == "code" for output in cell.outputs]
    assert sum("image/png" in output.get("data", {}) for output in outputs) >= 1
    assert "Warning" not in "".join(output.text for output in outputs if output.get("name") == "stderr")
    kept = nbformat.read(FOLDER / f"{name}.ipynb", as_version=4)
    assert not any(cell.get("outputs") for cell in kept.cells)


@pytest.mark.parametrize("name", NAMES)
def test_its_code_fits_the_page_and_names_no_file_of_ours(name):
    kept = nbformat.read(FOLDER / f"{name}.ipynb", as_version=4)
    code = [cell.source for cell in kept.cells if cell.cell_type == "code"]
    assert max(len(line) for source in code for line in source.splitlines()) <= 96
    assert all(ast.parse(source) for source in code)
    assert "examples/" not in "".join(code), "a teacher has the notebook alone"


def test_the_energy_by_hand_is_the_area_under_the_curve(run):
    """Work of the gas as an integral over its volume, greatest over the share of water; the notebook has a formula."""
    text, start, air, volume = said(run["how_much_water"]), 301325.0, 101325.0, 1.555e-3

    def work(share):
        gas = (1 - share) * volume
        return quad(lambda at: start * (gas / at) ** 1.4 - air, gas, volume)[0]

    best = minimize_scalar(lambda share: -work(share), bounds=(0.0, 1.0), method="bounded")
    assert number(text, r"most energy with #% water") == pytest.approx(100 * best.x, abs=1.0)
    assert number(text, r"water: # J") == pytest.approx(-best.fun, abs=1.0)


def test_newton_by_hand_agrees_with_the_engine_once_nothing_is_forgotten(run):
    text = said(run["how_much_water"])
    assert number(text, r"height by hand with both # m") == pytest.approx(
        number(text, r"engine without drag # m"), rel=0.03
    )
    heights = [number(text, rf"{name} +# m with") for name in ("by hand", "engine, no drag", "engine")]
    assert heights[0] < heights[2] < heights[1], "as the page says: drag takes, the last air gives"


def test_the_best_water_is_less_than_that_of_most_energy_and_the_top_is_flat(run):
    text = said(run["how_much_water"])
    best, energy = number(text, r"engine +[\d.]+ m with #% water"), number(text, r"most energy with #% water")
    assert 15 < best < energy
    low, high = number(text, r"from # to"), number(text, r"to # mL it loses")
    assert high - low > 0.3 * number(text, r"best water: # mL")


def test_one_flight_in_eleven_goes_farther_than_the_farthest_of_ten(run):
    beyond = number(said(run["where_will_it_land"]), r"of all other days, #% went farther")
    assert beyond == pytest.approx(100 / 11, abs=3.0)


def test_the_rule_of_three(run):
    text = said(run["where_will_it_land"])
    rows = {int(count): float(share) for count, share in re.findall(r"(\d+) flights without .* in +([\d.]+)%", text)}
    assert rows[10] == pytest.approx(25.9)
    assert all(share == pytest.approx(300 / count, rel=0.06) for count, share in rows.items() if count >= 30)


def test_drift_by_hand_is_about_that_of_the_engine_and_a_missing_parachute_strikes_hard(run):
    text = said(run["where_will_it_land"])
    assert number(text, r"drift by hand # m") == pytest.approx(number(text, r"engine # m"), rel=0.25)
    assert number(text, r"m/s and # times the energy") > 5
    assert "spectators" in text.splitlines()[-1]


def test_a_fit_finds_the_truth_where_two_numbers_leave_two_traces(run):
    text = said(run["what_a_thrust_record_tells"])
    for name in ("pressure", "bore"):
        value, spread, truth = pairs(text, name)[0]
        assert abs(value - truth) < 3 * spread
        assert spread < 0.01 * truth


def test_two_numbers_that_act_as_a_product_can_t_be_told_apart(run):
    text = said(run["what_a_thrust_record_tells"])
    assert number(text, r"correlation #") < -0.999
    assert pairs(text, "bore")[1][1] > 10 * pairs(text, "bore")[0][1]
    product, truth = map(float, re.search(r"bore²: ([\d.]+), truth ([\d.]+)", text).groups())
    assert product == pytest.approx(truth, rel=0.01)


def test_a_wrong_number_beside_the_fit_moves_the_answer_and_nothing_warns(run):
    text = said(run["what_a_thrust_record_tells"])
    misfits = [float(one) for one in re.findall(r"misfit, 1 is all noise: ([\d.]+)", text)]
    assert len(misfits) == 3
    assert np.allclose(misfits, 1.0, atol=0.25)
    value, spread, truth = pairs(text, "pressure")[-1]
    assert abs(value - truth) > 4 * spread


def test_a_page_of_the_site_shows_what_came_out(run):
    page = notebook_page(run["how_much_water"], "how_much_water.ipynb")
    assert "# How much water, and why" in page.splitlines()[0]
    assert page.count("```python") == sum(cell.cell_type == "code" for cell in run["how_much_water"].cells)
    assert "data:image/png;base64," in page
    assert '<pre class="out">most energy with' in page
    assert "<iframe" in page
