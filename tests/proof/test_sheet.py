"""The proof test's sheet: what is on it, and that it prints on one side of A4."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from acted import ACT
from acts import act_of
from bottlewright.design.document import Design
from bottlewright.findings import stops
from bottlewright.proof.prove import CAUTIONS, prove
from bottlewright.proof.sheet import proof_sheet
from bottlewright.proof.summary_text import advice
from bottlewright.proof.testplan import proof_plan

BAD = (
    'charge.pressure="7 bar"', 'launcher.crew.operator="2 m"', "launcher.crew.eye_protection=false",
    'launcher.hose.rating="8 bar"', "launcher.hose.sun=true", 'charge.temperature="45 °C"',
    'launcher.gauge.range="4 bar"', 'launcher.pump.clearance="100 mL"',
)


def sheet(design: Design) -> str:
    report = prove(design)
    return proof_sheet(design, report, act_of(design, report))


def test_the_sheet_names_pressure_hold_distance_and_cautions(curlew: Callable[..., Design]) -> None:
    text = sheet(curlew())
    assert "7.15 bar" in text
    assert "never harder than 8.1" in text
    assert "60 s" in text
    assert "9.2 m" in text  # 30 ft: the test is above 70 psi
    assert all(caution in text for caution in CAUTIONS)
    assert "STOP" not in text


def test_a_stop_stands_on_the_sheet(curlew: Callable[..., Design]) -> None:
    assert "■ STOP" in sheet(curlew(*BAD))


def test_a_stop_on_the_sheet_says_what_is_wrong_before_its_numbers(curlew: Callable[..., Design]) -> None:
    design = curlew('launcher.frame.mass="0.3 kg"', "launcher.stakes.count=0")
    slides = next(finding for finding in stops(prove(design).findings) if "slides" in finding.hazard)
    assert f"{slides.hazard}: {slides.found}" in sheet(design)


def test_a_failed_bottle_gets_no_plan_only_what_to_do_instead(curlew: Callable[..., Design]) -> None:
    text = sheet(curlew('vessel.proof=[{pressure="6.75 bar", hold="60 s", passed=false}]'))
    assert "No proof test for this bottle" in text
    assert "start with a fresh one" in text
    assert all(caution in text for caution in CAUTIONS)
    assert not re.search(r"\d+(\.\d+)? bar\b(?!, held)", text.split("Why:")[1].split("</li>", 1)[1])
    assert "<table>" not in text


def test_the_test_is_one_and_a_half_times_the_launch_with_the_gauges_error_and_a_months_loss(
    curlew: Callable[..., Design],
) -> None:
    """From 10 to 40 days of age 0.59·(e^(−10/1095.75) − e^(−40/1095.75)) of 0.9946 go: 1.59 %, and its doubt 0.35 %."""
    plan = proof_plan(curlew())
    exact = 1.5 * 4.66e5 / (0.98413 * 0.99647)
    assert exact - 1.0 < plan.proof_gauge_Pa < exact + 5e3
    assert round(plan.proof_gauge_Pa / 5e3) * 5e3 == pytest.approx(plan.proof_gauge_Pa)
    assert plan.floor_gauge_Pa == pytest.approx(1.3 * 4.5e5)


def test_who_follows_the_plan_may_launch_as_planned_for_a_month(curlew: Callable[..., Design]) -> None:
    plan = proof_plan(curlew())
    test = f'pressure="{plan.proof_gauge_Pa / 1e5:.3g} bar", hold="60 s", date="2027-03-04", cycles=4'
    allowed = prove(curlew(f"vessel.proof=[{{{test}}}]")).allowed.gauge_Pa
    assert allowed is not None
    assert 4.5e5 <= allowed < 4.55e5


def test_no_test_is_planned_past_its_ceiling(curlew: Callable[..., Design]) -> None:
    """1.5 times the strictest published maximum, and no more than ends one bottle in twenty; a weak bottle far less."""
    for sets in ((), ("vessel.proof=[]",), ('vessel.kind="still"', "vessel.proof=[]"), ('vessel.age="12 years"',)):
        for pressure in ("2 bar", "4.5 bar", "9 bar", "12 bar"):
            report = prove(curlew(*sets, f'charge.pressure="{pressure}"'))
            assert report.plan.proof_gauge_Pa <= 1.5 * 6.21e5 * (1 + 1e-9)
            assert report.plan.proof_gauge_Pa <= report.plan.ceiling_gauge_Pa * (1 + 1e-9)
            assert report.plan.break_chance <= 0.05 * (1 + 1e-3)
            if report.allowed.after_test is not None:
                assert report.plan.proof_gauge_Pa == report.allowed.after_test.test_gauge_Pa


def test_a_bottle_that_nobody_pumps_again_gets_no_plan_whatever_the_reason(curlew: Callable[..., Design]) -> None:
    design = curlew()
    text = proof_sheet(design, prove(design), replace(ACT, retired="its wall was sanded", proof="", hold=""))
    assert "Why: its wall was sanded" in text
    assert "<table>" not in text
    assert "on the gauge" not in text


def test_the_sheet_takes_the_test_pressure_from_the_verdict(curlew: Callable[..., Design]) -> None:
    design = curlew()
    text = proof_sheet(design, prove(design), replace(ACT, proof="6.66 bar"))
    assert "6.66 bar</span> on the gauge for 60 s" in text


def test_sheet_words_and_findings_name_one_pressure_and_one_distance(curlew: Callable[..., Design]) -> None:
    design = curlew()
    text = proof_sheet(design, prove(design), replace(ACT, proof="6.66 bar"))
    assert text.count("6.66 bar") == 2  # at its head, and as the last step
    (note,) = [one.remedy for one in prove(design).findings if one.code == "test-on-water"]
    away = re.findall(r"([0-9.]+ m)</span> away", text)[0]
    assert f"everyone {away} away or more" in note
    assert any(f"In the test everyone stands {away} away" in line for line in dict(advice(prove(design)))["Proof test"])


def test_the_steps_climb_to_the_proof_pressure_and_hold_longest_there(curlew: Callable[..., Design]) -> None:
    plan = proof_plan(curlew())
    pressures = [step.pressure_Pa for step in plan.steps]
    assert pressures == sorted(pressures)
    assert pressures[-1] == plan.proof_gauge_Pa
    assert plan.steps[-1].hold_s == max(step.hold_s for step in plan.steps) == plan.hold_s


def test_water_holds_a_small_part_of_the_energy_of_air(curlew: Callable[..., Design]) -> None:
    plan = proof_plan(curlew())
    assert plan.on_water.wall_J + plan.on_water.water_J < 0.05 * plan.on_air.isentropic_J
    assert plan.on_water.isentropic_J == 0.0


def test_a_rocket_called_like_a_tag_can_do_no_harm(curlew: Callable[..., Design]) -> None:
    assert "<script>" not in sheet(curlew('name="<script>alert(1)</script>"'))


@pytest.mark.parametrize("sets", [(), BAD], ids=["as planned", "with many stops"])
def test_the_sheet_prints_on_one_page(curlew: Callable[..., Design], tmp_path: Path, sets: tuple[str, ...]) -> None:
    pymupdf = pytest.importorskip("pymupdf")
    browsers = pytest.importorskip("playwright.sync_api")
    page_file = tmp_path / "sheet.html"
    page_file.write_text(sheet(curlew(*sets)), encoding="utf-8")
    with browsers.sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(executable_path=_chromium())
        except browsers.Error as error:
            pytest.skip(f"no browser to print with: {error}")
        page = browser.new_page()
        page.goto(page_file.as_uri())
        page.pdf(path=str(tmp_path / "sheet.pdf"), prefer_css_page_size=True)
        browser.close()
    printed = pymupdf.open(tmp_path / "sheet.pdf")
    assert printed.page_count == 1
    assert printed[0].rect.width == pytest.approx(595.3, abs=1.0)
    assert "Energy: ASME PCC-2" in printed[0].get_text().replace("\n", " ")


def _chromium() -> str | None:
    import shutil

    return shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
