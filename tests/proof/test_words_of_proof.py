"""What Prove says, read by a builder who writes bar and mm and by one who writes psi and inches."""

import html
import re

import pytest

from acts import act_of
from bottlewright.design import complete, parse_design
from bottlewright.proof.chapters import prove_chapter
from bottlewright.proof.prove import ProofReport, prove
from bottlewright.proof.sheet import proof_sheet
from bottlewright.proof.summary_text import advice, conflict_lines, rule_rows
from habits import curlew_text, loose, pairs, strings, swept

_FAILED = 'pressure="109 psi", hold="5 s", passed=false, diameter_before="3.56 in", diameter_after="3.7 in"'
FAULTS = [
    (),
    ("vessel.proof=[]", 'vessel.age="2 years"'),
    (f"vessel.proof=[{{{_FAILED}}}]",),
    ('launcher.release={kind="plug", grip="14 lbf ± 2 lbf"}', "launcher.crew={}", 'launcher.gauge.range="73 psi"'),
    ('launcher.release={kind="collar", strength="3 lbf", slope="60 deg"}', 'launcher.hose.loop_height="0 in"'),
    ('launcher.release={kind="collar", spring="90 lbf"}', 'launcher.pump.clearance="100 mL"',
     "launcher.stakes.count=0"),
    ('charge.pressure="100 psi"', 'launcher.crew.operator="6 ft"', 'weather.wind_speed="25 mph"',
     "launcher.coupling={}"),
    ('launcher.hose.rating="102 psi"', "launcher.hose.sun=true", "vessel.cycles=20",
     'launcher.valve={kind="snap-in"}'),
]  # fmt: skip


def sentences(report: ProofReport) -> list[str]:
    said = [sentence for _, lines in advice(report) for sentence in lines]
    for finding in report.findings:
        said += [finding.hazard, finding.found, finding.limit, finding.remedy]
    return said + conflict_lines(report) + [cell for row in rule_rows(report) for cell in row[:3]]


def everything(report: ProofReport, *sets: str, inch_pound: bool) -> list[str]:
    design = complete(parse_design(curlew_text(inch_pound), sets))
    act = act_of(design, report)
    chapter = prove_chapter(design, report, act)
    pages = [chapter.section.html, proof_sheet(design, report, act)]
    plain = [html.unescape(re.sub(r"<style>.*?</style>|<[^>]*>", " ", page, flags=re.DOTALL)) for page in pages]
    pictures = [text for picture in chapter.section.pictures for text in (picture.caption, picture.alt)]
    return [*sentences(report), *strings(report.as_json()), *plain, *pictures, chapter.section.title]


def report_of(*sets: str, inch_pound: bool) -> ProofReport:
    return prove(complete(parse_design(curlew_text(inch_pound), sets)))


@pytest.mark.parametrize("sets", FAULTS)
def test_a_builder_who_writes_psi_reads_psi_first_and_bar_in_brackets(sets: tuple[str, ...]) -> None:
    texts = everything(report_of(*sets, inch_pound=True), *sets, inch_pound=True)
    assert [found for text in texts for found in loose(text, "bar")] == []
    both = [pair for text in texts for pair in pairs(text, "bar")]
    assert len(both) > 20
    for psi, bar in both:
        for own, metric in zip(re.findall(r"[\d.]+", psi), re.findall(r"[\d.]+", bar), strict=True):
            assert float(own) * 0.0689476 == pytest.approx(float(metric), rel=0.02, abs=0.01)


@pytest.mark.parametrize("sets", FAULTS)
@pytest.mark.parametrize("metric", ["mm", "m", "N", "m/s"])
def test_a_builder_who_writes_inches_reads_inches_feet_pounds_and_miles_first(
    sets: tuple[str, ...], metric: str
) -> None:
    report = report_of(*sets, inch_pound=True)
    texts = [text.replace("1 N on each square millimetre", "") for text in sentences(report)]
    texts = [re.sub(r"\([^()]*(source|judgement|makers?|texts?)[^()]*\)", "", text) for text in texts]
    assert [found for text in texts for found in loose(text, metric)] == []


@pytest.mark.parametrize("sets", [(), ("vessel.proof=[]", 'charge.pressure="6.5 bar"')])
def test_a_builder_who_writes_bar_and_mm_reads_neither_psi_nor_feet(sets: tuple[str, ...]) -> None:
    texts = everything(report_of(*sets, inch_pound=False), *sets, inch_pound=False)
    assert re.findall(r"\d (?:psi|ft|lbf|mph)\b", " ".join(texts)) == []
    assert not any(pairs(text, metric) for text in texts for metric in ("bar", "mm", "m"))
    assert "never over 6.21 bar" in " ".join(texts)


def test_both_builders_are_given_the_same_findings() -> None:
    metric, inch_pound = (report_of(inch_pound=way) for way in (False, True))
    assert [one.code for one in metric.findings] == [one.code for one in inch_pound.findings]
    assert inch_pound.rated.gauge_Pa == pytest.approx(metric.rated.gauge_Pa, rel=1e-3)


@pytest.mark.parametrize("inch_pound", [False, True])
@pytest.mark.parametrize("sets", FAULTS)
def test_no_swept_phrase_is_left(sets: tuple[str, ...], inch_pound: bool) -> None:
    report = report_of(*sets, inch_pound=inch_pound)
    assert [found for text in everything(report, *sets, inch_pound=inch_pound) for found in swept(text)] == []


def test_the_pull_is_said_with_who_pulls_and_what_the_release_holds() -> None:
    launcher = dict(advice(report_of(inch_pound=False)))["The launcher"]
    assert "The release holds 420 N and opens at 29 N; pull the cord with 53 N" in launcher[1]
    assert launcher[1].endswith("an adult can pull 200 N.")
    child = dict(advice(report_of('launcher.crew.puller="child"', inch_pound=False)))["The launcher"]
    assert child[1].endswith("a child can pull 100 N.")


def test_no_limit_is_rounded_up() -> None:
    """A digit more would be pumped."""
    report = report_of('vessel.proof=[{pressure="7.6 bar", hold="60 s"}]', inch_pound=True)
    most = report.allowed.gauge_Pa
    assert most is not None
    (told,) = re.findall(r"not over ([\d.]+) psi \(([\d.]+) bar\)", advice(report)[0][1][0])
    psi, bar = map(float, told)
    assert most - 700 < psi * 6894.757 <= most
    assert most - 1000 < bar * 1e5 <= most


def test_a_distance_says_once_whose_it_is() -> None:
    rows = [row[0] for row in rule_rows(report_of(inch_pound=True))]
    assert "whoever launches stands 15 ft (4.57 m) away" in rows
    assert not any("operator" in row and "operators" in row for row in rows)
