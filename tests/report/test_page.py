import re
from html.parser import HTMLParser

import pytest

from bottlewright.findings import Finding, Level, Stage
from bottlewright.quantities import Basis, Quantity
from bottlewright.report.html import (
    Header,
    Number,
    Section,
    State,
    basis_table,
    fold,
    headline,
    place,
    prose,
    state_of,
    table,
    write_report,
)

HEADER = Header("Curlew", "A 1.5 L bottle, 4.5 bar gauge.", "Made by Bottlewright.")


def finding(level: Level, stage: Stage = Stage.FLY, hazard: str = "It tumbles") -> Finding:
    return Finding(level, stage, "code", hazard, "0.2 calibres", "1 calibre", "common practice", "Larger fins.")


def page(sections=(), findings=()) -> str:
    return write_report(sections, findings, HEADER)


class Tags(HTMLParser):
    """Collects open tags and every address the page would fetch."""

    void = frozenset({"meta", "br", "link", "img", "hr", "path", "circle", "rect"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.fetched: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        self.ids += [values["id"]] if "id" in values else []
        self.fetched += [values[name] for name in ("src", "href") if not values.get(name, "#").startswith("#")]
        if tag not in self.void:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in self.void:
            self.open.pop()

    def handle_endtag(self, tag):
        if tag in self.void:
            return
        assert self.open.pop() == tag


def test_a_stop_finding_stands_before_everything_else():
    html = page(
        [Section(Stage.FLY, "Flies to 60 m", State.STOP, prose("fine words"))],
        [finding(Level.NOTE, hazard="Small matter"), finding(Level.STOP, hazard="It tumbles")],
    )
    assert html.index("It tumbles") < html.index("Small matter") < html.index("Flies to 60 m")
    assert "Stop: 1 thing has to be put right first" in html


def test_a_finding_says_whose_it_is_and_its_part_leads_back_to_it():
    html = page([Section(Stage.FLY, "Flown", State.LOOK, "")], [finding(Level.LOOK)])
    assert "Fly · Look at this before you go on" in html
    assert html.count('href="#findings"') == 1
    assert 'href="#findings"' not in page([Section(Stage.FLY, "Flown", State.NONE, "")])


def test_notes_come_after_everything_that_is_open():
    html = page([], [finding(Level.NOTE, hazard="small matter"), finding(Level.STOP, hazard="it tumbles")])
    notes_at = html.index("<h3>1 thing worth knowing</h3>")
    assert html.index("It tumbles") < notes_at < html.index("Small matter")


def test_every_stage_shows_its_state_in_words_and_shape():
    html = page([Section(Stage.SKETCH, "Drawn", State.NONE, ""), Section(Stage.FLY, "Flown", State.LOOK, "")])
    nav = html[html.index("<nav") : html.index("</nav>")]
    said = re.findall(r'class="shape (\w+)".*?<b>(\w+)</b><i>([\w ]+)</i>', nav, re.S)
    assert [(stage, shape) for shape, stage, _ in said] == [
        ("Sketch", "none"),
        ("Prove", "open"),
        ("Tune", "open"),
        ("Fly", "look"),
        ("Field", "open"),
        ("Make", "open"),
    ]
    assert [words for _, _, words in said] == ["no finding so far", *["not checked"] * 2, "look",
                                           *["not checked"] * 2]


def test_a_hold_point_and_what_nobody_checked_have_a_shape_and_words_of_their_own():
    html = page([], [finding(Level.HOLD, hazard="no gauge is named"), finding(Level.UNCHECKED, hazard="the field")])
    assert re.search(r'class="shape hold".*?Fly · Not before pumping</span>No gauge is named', html, re.S)
    assert re.search(r'class="shape unchecked".*?Fly · Not checked</span>The field', html, re.S)
    drawings = {level: re.search(rf'class="shape {level}"[^>]*>(.*?)</svg>', html, re.S)[1]
                for level in ("hold", "unchecked")}
    assert len(set(drawings.values())) == 2
    assert all(drawings.values())


def test_each_level_has_its_own_shape_so_that_colour_is_not_the_only_sign():
    html = page([], [finding(level, hazard=f"number {level}") for level in Level])
    shapes = [re.search(rf'class="shape {level}"[^>]*>(.*?)</svg>', html, re.S)[1] for level in Level]
    assert len(set(shapes)) == len(Level)


def test_a_stage_with_two_sections_shows_the_worse_state():
    html = page([Section(Stage.FLY, "One", State.STOP, ""), Section(Stage.FLY, "Two", State.NONE, "")])
    assert re.search(r"<b>Fly</b><i>stop</i>", html)
    assert html.count('id="fly"') == 1


def test_the_state_follows_from_the_findings():
    assert state_of([], Stage.FLY) is State.NONE
    assert state_of([finding(Level.NOTE)], Stage.FLY) is State.NONE
    assert state_of([finding(Level.LOOK), finding(Level.NOTE)], Stage.FLY) is State.LOOK
    assert state_of([finding(Level.STOP), finding(Level.LOOK)], Stage.FLY) is State.STOP
    assert state_of([finding(Level.STOP, Stage.PROVE)], Stage.FLY) is State.NONE
    assert state_of([finding(Level.HOLD), finding(Level.LOOK)], Stage.FLY) is State.HOLD
    assert state_of([finding(Level.UNCHECKED), finding(Level.NOTE)], Stage.FLY) is State.UNCHECKED


def test_no_stage_reassures():
    assert {state.words for state in State} == {
        "no finding so far", "not checked", "look", "not before pumping", "stop",
    }


@pytest.mark.parametrize("evil", ["<script>alert(1)</script>", "a & b < c", '"quoted"', "</style><script>x"])
def test_text_from_a_design_file_stays_text(evil):
    stones = prose(evil) + table(("a", "b"), [(evil, evil)]) + headline([Number(evil, evil)]) + fold(evil, prose(evil))
    html = write_report(
        [Section(Stage.FLY, evil, State.NONE, stones)], [finding(Level.LOOK, hazard=evil)], Header(evil, evil, evil)
    )
    assert "<script>" not in html
    assert "a & b" not in html
    parser = Tags()
    parser.feed(html)
    assert parser.open == []


def test_the_page_fetches_nothing_and_repeats_no_id(pictures):
    html = page([Section(Stage.FLY, "Flown", State.NONE, place("one") + prose("in the middle"), pictures)])
    parser = Tags()
    parser.feed(html)
    assert parser.fetched == []
    assert "url(http" not in html
    assert "@import" not in html
    assert len(parser.ids) == len(set(parser.ids))


def test_pictures_go_where_they_are_called_and_the_others_last(pictures):
    html = page([Section(Stage.FLY, "Flown", State.NONE, place("one") + prose("in the middle"), pictures)])
    assert html.index('id="figure-one"') < html.index("in the middle") < html.index('id="figure-two"')
    assert "<!--picture" not in html


def test_the_page_never_says_safe(pictures):
    html = page([Section(Stage.FLY, "Flown", State.NONE, "", pictures)])
    assert not re.search(r"\b(safe(ly|ty)?|fine)\b", html, re.I)


def test_percent_and_degrees_are_set_as_in_print():
    html = page([Section(Stage.FLY, "Flown", State.NONE, prose("65 % ± 10%, 240 deg ± 20 deg, 5 degrees"))])
    said = re.sub(r"<[^>]*>", "", html)
    assert "65\u202f% ± 10\u202f%, 240° ± 20°, 5 degrees" in said


def test_what_was_assumed_comes_first_in_what_the_result_rests_on():
    html = basis_table(
        {
            "charge.water": (Quantity(5e-4), "500 mL"),
            "nozzle.length": (Quantity(0.01, basis=Basis.ASSUMED, source="our judgement"), "10 mm"),
        }
    )
    assert html.index("nozzle.length") < html.index("charge.water")
    assert "What this rests on: 1 measured or chosen by you, 1 assumed" in html


def test_a_column_of_numbers_stands_to_the_right():
    html = table(("part", "mass, g", "made of"), [("nose", "14", "foam"), ("fins", "−3 ± 1", "balsa")])
    assert html.count('class="n"') == 3


def test_hazards_and_remedies_of_every_package_are_written_alike():
    assert finding(Level.LOOK, hazard="the pump is weak.").hazard == "The pump is weak"
    said = [
        Finding(Level.LOOK, Stage.PROVE, "code", "x", "x", "x", "x", remedy).remedy
        for remedy in ("replace the pump first.", "Replace the pump", "wait. Then read the gauge.", "")
    ]
    assert said == ["Replace the pump first", "Replace the pump", "Wait. Then read the gauge.", ""]


def test_the_page_is_set_on_the_paper_of_its_reader():
    letter = write_report([], [], Header("Curlew", "A bottle.", "Made.", "letter"))
    assert [re.findall(r"size: (\w+)", html)[-1] for html in (page(), letter)] == ["A4", "letter"]
