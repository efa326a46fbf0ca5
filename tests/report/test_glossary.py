"""The glossary: every word explained, every link kept, nothing linked twice."""

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import pytest

from bottlewright.findings import Finding, Level, Stage
from bottlewright.report.glossary import (
    beside,
    glossary,
    glossary_page,
    link_words,
    picture_svg,
    picture_words,
    words_in,
)
from bottlewright.report.html import Header, Section, State, prose, write_report
from bottlewright.report.style import LIGHT

ROOT = Path(__file__).parents[2]
ASKED_FOR = (
    "calibre", "static margin", "apogee", "isentropic", "Brode", "Sobol", "velocity coefficient", "breakthrough",
    "fin root", "fin tip", "sweep", "keep-out", "ballistic", "riser", "pull tab", "arming pin", "inertia latch",
)  # fmt: skip


def page(*paragraphs: str, findings=()) -> str:
    section = Section(Stage.FLY, "Flown", State.NONE, prose(*paragraphs))
    return write_report([section], findings, Header("Curlew", "A bottle.", "Made."))


@pytest.mark.parametrize("name", ASKED_FOR)
def test_a_word_of_the_trade_is_explained_with_an_everyday_name(name):
    words = words_in([f"What is {name} here?"])
    said = [word for word in words if name.lower() in (word.name.lower(), *map(str.lower, word.also))]
    assert len(said) == 1
    assert said[0].everyday
    assert said[0].says.endswith(".")
    assert len(said[0].says.split()) >= 8


def test_no_form_belongs_to_two_words_and_no_two_words_share_a_place():
    words = list(glossary().values())
    forms = [form.lower() for word in words for form in (word.name, *word.also)]
    assert len(forms) == len(set(forms))
    assert len({word.anchor for word in words}) == len(words)


def test_a_drawing_has_words_uses_the_page_s_colours_and_fits_its_frame():
    drawn = {word.picture for word in glossary().values()} - {""}
    assert drawn == {"margin", "fin", "breakthrough", "path"}
    for name in drawn:
        assert len(picture_words(name).split()) > 10
        svg = picture_svg(name)
        assert ElementTree.fromstring(svg).get("viewBox", "").startswith("0 0 360 ")
        assert set(re.findall(r"#[0-9a-f]{6}\b", svg)) <= set(LIGHT.values())


def test_a_word_is_linked_once_in_a_part_of_the_page_and_explained_at_its_end():
    html = page("The apogee is 51 m.", "After the apogee it falls.")
    assert html.count('href="#word-apogee"') == 1
    assert '<a class="word" href="#word-apogee" title="highest point">apogee</a> is 51 m' in html
    assert html.index("is 51 m") < html.index('id="word-apogee"') < html.index("The highest point of a flight.")


TEXTS = [" ".join(ASKED_FOR), "1.05 calibres ± 0.1", *(word.says for word in glossary().values())]


@pytest.mark.parametrize("text", TEXTS)
def test_no_link_of_the_page_leads_nowhere(text):
    html = page(text)
    places = re.findall(r'\bid="([^"]+)"', html)
    assert len(places) == len(set(places))
    assert set(re.findall(r'href="#([^"]+)"', html)) <= set(places)


def test_words_of_a_caption_are_linked_and_those_of_the_picture_are_not(pictures):
    section = Section(Stage.FLY, "Flown", State.NONE, "", [replace(pictures[0], caption="Total Sobol index, 95 %.")])
    html = write_report([section], [], Header("Curlew", "A bottle.", "Made."))
    link = '<a class="word" href="#word-sobol-index" title="share of the spread">Sobol index</a>'
    assert f"Total {link}, 95\u202f%." in html
    figure = html[html.index("<figure") : html.index("<figcaption")]
    assert "margin" in figure.lower()
    assert 'class="word"' not in figure


def test_words_of_a_finding_are_linked_too():
    told = Finding(Level.LOOK, Stage.FLY, "code", "Its margin is small", "0.6 calibres", "x", "y", "z")
    html = page("Nothing.", findings=[told])
    assert '0.6 <a class="word" href="#word-calibre" title="body width">calibres</a>' in html


def test_a_page_without_such_words_has_no_list_of_them():
    assert 'id="words"' not in page("Nothing to explain.")


@pytest.mark.parametrize("html", [
    "<h2>the apogee</h2>", '<a href="#fly">apogee</a>', "<summary>apogee</summary>", "<code>apogee</code>",
    '<svg><text title="x">apogee</text></svg>', "<!--picture:apogee-->", '<td data-head="apogee"></td>',
    "perigee-apogees", "apogee_m", "x.apogee",
])  # fmt: skip
def test_what_is_no_running_text_stays_as_it_is(html):
    assert link_words(html) == (html, [])


@pytest.mark.parametrize(("text", "name"), [
    ("static\nmargin", "static margin"), ("STATIC MARGIN.", "static margin"), ("fins.tip", "fin tip"),
    ("(Brode)", "Brode's formula"), ("model.breakthrough", "breakthrough"),
])  # fmt: skip
def test_a_word_is_found_in_each_of_its_forms(text, name):
    linked, words = link_words(f"<p>{text}</p>")
    assert [word.name for word in words] == [name]
    assert re.sub(r"</?a[^>]*>", "", linked) == f"<p>{text}</p>"


@pytest.mark.parametrize("text", ["clay in the tip", "to tip the stand", "bottle rocket guide", "mm from the nose tip"])
def test_an_everyday_use_of_a_word_is_not_taken_for_the_trade_s(text):
    assert words_in([text]) == []


def test_the_words_of_a_text_come_with_those_that_explain_them():
    names = [word.name for word in words_in(["the static margin"])]
    assert {"static margin", "pressure centre", "balance point", "calibre"} <= set(names)
    assert names == sorted(names, key=str.lower)


def test_the_everyday_name_stands_beside_the_word():
    assert beside("apogee") == "apogee (highest point)"


def test_the_page_of_the_handbook_is_the_glossary_of_today():
    """After a change of the glossary `make tour` writes it anew."""
    written = (ROOT / "docs" / "glossary.md").read_text(encoding="utf-8")
    assert written == glossary_page("../src/bottlewright/report/data/words")
    assert all((ROOT / "docs" / file).is_file() for file in re.findall(r"!\[[^]]+\]\(([^)]+)\)", written))


def test_the_name_of_a_file_is_no_word_of_the_trade():
    page, linked = link_words("<p>nozzle-blank.3mf is printed, and the nozzle is turned.</p>")
    assert page.startswith("<p>nozzle-blank.3mf is printed")
    assert [word.name for word in linked] == ["nozzle"]
