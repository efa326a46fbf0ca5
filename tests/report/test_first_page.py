"""The page that is read first: each number once, what to do, what nobody checked; the rest gathered behind it."""

import re
from dataclasses import replace

import pytest

from acted import ACT
from bottlewright.field.findings import call_findings
from bottlewright.field.wind_limit import Call, HourCall
from bottlewright.findings import Finding, Level, Stage
from bottlewright.report.first_page import SitePlan, count_words, first_page, rows_of
from bottlewright.report.gathered import counts, first_actions, kinds, split_wanted
from bottlewright.report.html import Header, Section, State, prose, write_report

PLAN = SitePlan('<svg width="690" height="400"><text>13 m</text></svg>', '<svg width="358" height="200"></svg>', "plan")


def finding(level, code="code", hazard="It tumbles", found="0.2 calibres", remedy="Larger fins", stage=Stage.FLY):
    return Finding(level, stage, code, hazard, found, "1 calibre", "practice", remedy)


def page(findings=(), act=ACT):
    sections = [Section(Stage.FLY, "Climbs", State.LOOK, prose("how it climbs"))]
    header = Header("Curlew", "A bottle.", "Made.")
    return write_report(sections, findings, header, first_page(act, findings, plan=PLAN))


def first_of(html):
    """Return the words of the first page, without its drawings."""
    part = html[html.index('id="first"') : html.index('id="findings"')]
    part = re.sub(r"<svg.*?</svg>", "", part, flags=re.S)
    return " ".join(re.sub(r"<[^>]*>", " ", part).split())


@pytest.mark.parametrize("number", [
    "365 mL", "4.5 bar", "4.7 bar", "6.75 bar", "13 m", "14 m", "25 m", "2.8 m/s",
])  # fmt: skip
def test_each_number_stands_on_the_first_page_exactly_once(number):
    assert len(re.findall(rf"(?<![\d.]){re.escape(number)}(?![\w/])", first_of(page()))) == 1


def test_a_builder_of_inches_reads_each_number_once_in_every_unit():
    act = replace(ACT, allowed="not over 68.1 psi (4.7 bar)", pumper="43 ft (13 m)")
    words = first_of(page(act=act))
    assert [words.count(text) for text in ("68.1 psi", "4.7 bar", "43 ft", "(13 m)")] == [1, 1, 1, 1]


def test_the_verdict_stands_before_everything_and_the_rest_is_folded():
    html = page([finding(Level.STOP)], replace(ACT, level="stop", says="Stop: 1 thing has to be put right first"))
    body = html[html.index("<body>") :]
    assert body.index("Stop: 1 thing has") < body.index("Before anything is pumped up") < body.index('id="first"')
    assert "<details open" not in body
    behind = body[body.index('id="findings"') :]
    assert "how it climbs" in behind
    assert body.count("how it climbs") == 1


@pytest.mark.parametrize(("verdict", "about"), [
    *((verdict, "ground") for verdict in HourCall), (HourCall.NO, "crew"), (HourCall.NO, "spectators"),
    (HourCall.WAIT, "spectators"),
])
def test_hours_of_different_hazards_have_a_heading_of_their_own(verdict, about):
    (one,) = call_findings([Call("09:00", verdict, "the wind", about)], 200, 1500)
    (kind,) = kinds([one, replace(one, hazard="Another hazard", found="another hour")])
    assert kind.heading != "2 findings of one kind"
    assert "ours" in kind.heading


def test_the_three_most_urgent_findings_say_what_to_do_each_once():
    findings = [
        finding(Level.NOTE, "n", remedy="Nothing now"), finding(Level.LOOK, "a", remedy="Look here"),
        finding(Level.LOOK, "b", remedy="Look there"), finding(Level.STOP, "c", remedy="Stop that"),
        finding(Level.HOLD, "d", remedy="Get a gauge"), finding(Level.HOLD, "e", remedy="Get a gauge"),
    ]  # fmt: skip
    assert [one.do for one in first_actions(findings)] == ["Stop that", "Get a gauge", "Look here"]
    assert first_actions([finding(Level.NOTE)]) == []


def test_what_has_to_be_there_is_listed_to_tick_and_what_nobody_checked_is_counted():
    words = first_of(page([finding(Level.HOLD, remedy="Get a gauge", hazard="No gauge is named")]))
    assert "Get a gauge. Fly: No gauge is named" in words
    many = [finding(Level.HOLD, f"h{n}", f"Thing {n} is missing, and so nobody knows", remedy=f"Get {n}")
            for n in range(5)]
    assert "Also not before pumping Thing 3 is missing Thing 4 is missing" in first_of(page(many))
    assert "thing 3 of the field and 4 more, listed further on" in words
    html = page()
    assert all(html[html.index('id="findings"') :].count(line) == 1 for line in ACT.unchecked)


def test_without_any_finding_the_page_does_not_reassure():
    words = first_of(page(act=replace(ACT, level="none", says="No finding says stop or look so far")))
    assert "No finding asks for anything so far. That is no promise" in words
    assert not re.search(r"\b(safe|fine|OK|go ahead|passed)\b|[✓✔☑]", words)


def test_findings_are_counted_by_level_stops_and_looks_even_where_there_are_none():
    many = [finding(Level.LOOK, found=f"{n}") for n in range(3)] + [finding(Level.NOTE)]
    assert count_words(counts(many)) == "0 stop, 3 look, 1 worth knowing"


def test_findings_of_one_kind_are_one_with_a_row_each():
    many = [finding(Level.NOTE, "chance-within", f"It hits {what}", f"{n} of 4000 on {what}", "Keep to the limits")
            for n, what in enumerate(("the road", "the barn", "the pond"))]  # fmt: skip
    kind, other = kinds([*many, finding(Level.LOOK, "margin")])[::-1]
    assert other.rows == ()
    assert kind.times == 3
    assert kind.heads == ("What can go wrong", "Found")
    assert kind.rows[1] == ("It hits the barn", "1 of 4000 on the barn")
    assert ("What to do", "Keep to the limits") in kind.shared
    html = page(many)
    assert html.count("Keep to the limits") == 1
    assert all(html.count(one.found) == 1 for one in many)


def test_findings_of_one_kind_at_two_levels_or_stages_stay_apart():
    apart = [finding(Level.STOP), finding(Level.LOOK), finding(Level.LOOK, stage=Stage.FIELD)]
    assert len(kinds(apart)) == 3


def test_notes_that_only_miss_a_description_are_one_list_to_tick():
    notes = [finding(Level.NOTE, "no-prices", remedy="Write prices.each", found="no price matches a part"),
             finding(Level.NOTE, "workshop-not-described", remedy="Write workshop.hours"),
             finding(Level.LOOK, "crew-not-described", remedy="Write launcher.crew"),
             finding(Level.NOTE, "stored-energy")]  # fmt: skip
    kept, wanted = split_wanted(notes)
    assert [one.code for one in kept] == ["crew-not-described", "stored-energy"]
    assert [one.write for one in wanted] == ["Write prices.each", "Write workshop.hours"]
    html = page(notes)
    assert html.count("<h3>Tell us more</h3>") == 1
    assert html.index("Tell us more") < html.index("Write prices.each") < html.index("1 thing worth knowing")


def test_a_pressure_with_a_condition_says_the_condition_beside_it():
    act = replace(ACT, pump_to="4.5 bar (not before its water test)")
    assert ("planned on the gauge", "4.5 bar", "not before its water test") in rows_of(first_page(act, []))["load"]
