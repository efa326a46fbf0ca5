"""The page of words in the printed pack: every word of the trade that the pack uses, and no other."""

import pymupdf
import pytest
from test_pack import BARE, NOTE, made_of, squeezed
from workshop_designs import DABCHICK

from acted import ACT
from bottlewright.findings import Finding, Level, Stage
from bottlewright.report.first_page import first_page
from bottlewright.report.glossary import glossary, picture_words, words_in

EVERY_WORD = Finding(Level.NOTE, Stage.FLY, "words", "it uses them all", ", ".join(glossary()), "none", "a rule",
                     "read them")  # fmt: skip
DESIGNS = {
    "a rocket": (DABCHICK, [NOTE]),
    "a bare bottle": (BARE, []),
    "every word there is": (DABCHICK, [EVERY_WORD]),
}


@pytest.fixture(scope="module", params=["a4", "letter"])
def paper(request):
    return request.param


@pytest.fixture(scope="module", params=DESIGNS)
def pack(request, paper):
    text, findings = DESIGNS[request.param]
    made = made_of(text, findings=findings, numbers={"apogee": "61 m"}, paper=paper)
    return pymupdf.open(stream=made.files[f"pack-{paper}.pdf"])


def first_pages(pack):
    return {title: page for level, title, page in pack.get_toc() if level == 1}


def pages_of_words(pack):
    first = first_pages(pack)
    return [pack[number - 1] for number in range(first["Words"], first["All findings, and what was filled in"])]


def text_of_words(pack):
    return squeezed("\n".join(page.get_text() for page in pages_of_words(pack)))


def explained(pack):
    text = text_of_words(pack)
    return {word.name for word in glossary().values() if f"{word.name}: {word.everyday}. {squeezed(word.says)}" in text}


def used(pack):
    """Return the names of the words that the other pages use, and of those that explaining or drawing them takes."""
    own = {page.number for page in pages_of_words(pack)}
    texts = [page.get_text() for page in pack if page.number not in own]
    names: set[str] = set()
    while fresh := {word.name for word in words_in(texts)} - names:
        names |= fresh
        texts = [picture_words(glossary()[name].picture) for name in fresh if glossary()[name].picture]
    return names


def test_every_word_that_the_pack_uses_is_explained_and_no_other(pack):
    assert {"nozzle", "apogee", "gauge pressure"} <= explained(pack)
    assert explained(pack) == used(pack)


def test_a_pack_explains_only_its_own_words():
    few = pymupdf.open(stream=made_of(BARE).files["pack-a4.pdf"])
    assert not {"Sobol index", "breakthrough", "fin sweep", "keep-out"} & explained(few)
    every = pymupdf.open(stream=made_of(findings=[EVERY_WORD]).files["pack-a4.pdf"])
    assert explained(every) == set(glossary())


def test_the_words_of_a_rocket_stand_on_one_page_and_all_there_are_on_two_in_letters_that_can_be_read(pack):
    pages = pages_of_words(pack)
    assert len(pages) <= (2 if explained(pack) == set(glossary()) else 1)
    for page in pages:
        spans = [s for b in page.get_text("dict")["blocks"] for row in b.get("lines", []) for s in row["spans"]]
        assert min(span["size"] for span in spans) > 6.99
        assert all(pymupdf.Rect(span["bbox"]) in page.rect for span in spans)


def test_each_drawing_stands_there_once(pack):
    text = text_of_words(pack)
    labels = {"path": "with a parachute", "margin": "1 calibre balance point", "fin": "body; nose this way",
              "breakthrough": "a full jet"}  # fmt: skip
    drawn = {glossary()[name].picture for name in explained(pack)} - {""}
    counts = {picture: text.count(label) for picture, label in labels.items()}
    assert counts == {picture: int(picture in drawn) for picture in labels}


def test_the_cover_lists_the_page(pack):
    cover = pack[0]
    assert f"Words {first_pages(pack)['Words']}" in squeezed(cover.get_text().replace(".", " "))


def linked_words(page, to_page):
    """Return the linked texts of a page with where each leads to."""
    found = {}
    for link in page.get_links():
        if link["kind"] == pymupdf.LINK_GOTO and link["page"] == to_page - 1:
            inside = [
                w[4]
                for w in page.get_text("words")
                if link["from"].contains(pymupdf.Point(w[0] + 2, (w[1] + w[3]) / 2))
            ]
            found[" ".join(inside)] = link["to"]
    return found


def test_a_word_leads_to_its_explanation(pack):
    there = linked_words(pack[0], first_pages(pack)["Words"])
    assert {"apogee", "gauge", "nozzle"} <= {text.split()[-1] for text in there if text}
    entry = pages_of_words(pack)[0].search_for("apogee: ")[0]
    assert abs(there["apogee"].y - entry.y0) < 15.0


def test_a_file_s_name_is_no_word():
    named = Finding(Level.LOOK, Stage.MAKE, "file", "look at nozzle-blank.3mf", "ogive.stl", "none", "a rule", "print")
    first = first_page(ACT, [named])
    cover = pymupdf.open(stream=made_of(findings=[named], first=first).files["pack-a4.pdf"])[0]
    hit = cover.search_for("nozzle-blank")[0]
    assert not any((link["from"] & hit).get_area() > 1.0 for link in cover.get_links())
