"""A word of the trade explains itself at the place where it stands."""

import re

import pytest
from conftest_browser import curlew_served, needs_chromium, opened
from playwright.sync_api import expect

from bottlewright.project.words import explained, here, linked


def test_every_word_that_leads_somewhere_is_explained_there(curlew):
    leads = {lead for page in ("sketch", "prove", "tune", "fly") for lead in
             re.findall(r'class="word" href="(/words/[^"]+)"', curlew.get(f"/{page}").text)}  # fmt: skip
    assert "/words/word-calibre" in leads
    for lead in leads:
        answer = curlew.get(lead)
        assert answer.status_code == 200
        name = lead.removeprefix("/words/")
        (word,) = [one for one in explained() if one.anchor == name]
        assert word.everyday in answer.text
    assert curlew.get("/words/nothing").status_code == 404
    assert curlew.get("/words/picture/nothing.svg").status_code == 404


def test_the_list_of_words_has_them_all_with_their_pictures(curlew):
    page = curlew.get("/words").text
    for word in explained():
        assert f'id="{word.anchor}"' in page
        assert not word.picture or curlew.get(f"/words/picture/{word.picture}.svg").status_code == 200


def test_a_word_is_linked_once_in_a_piece_and_never_inside_a_link():
    piece = linked("<p>A calibre and a calibre, <a href='#'>calibre</a></p>")
    assert piece.count('class="word"') == 1
    assert "<a href='#'>calibre</a>" in piece


FILE_SPEECH = re.compile(r"\bline \d+:|(?<![\w-])--[a-z][a-z-]+|\b(?:vessel|nozzle|nose|fins|sleeve|recovery|charge|"
                         r"launcher|weather|measured|mass|sight)(?:\.[a-z_0-9]+)+")


def test_a_page_speaks_of_fields_and_presses_and_not_of_keys_lines_and_options(curlew):
    for page in ("sketch", "prove", "tune", "fly", "field", "make", "logbook", "learn"):
        shown = re.sub(r"<(script|style)\b.*?</\1>|<[^>]+>", " ", curlew.get(f"/{page}").text, flags=re.S)
        assert FILE_SPEECH.findall(shown) == [], page


def test_a_refused_answer_is_told_by_the_name_of_its_field(curlew):
    for key, value, says in (
        ("launcher.stakes.count", "many", "“stakes” is 'many'; it has to be a whole number"),
        ("sleeve.position", "9 m", "“front of the skirt, from the nose tip” is 9 m"),
        ("fins.span", "5 kg", "“span, outwards” is a mass"),
    ):
        refused = curlew.do("do/change", key=key, value=value)
        assert refused.status_code == 422
        assert says in refused.text
        assert not FILE_SPEECH.search(refused.text)


def test_what_a_command_would_do_is_not_asked_of_whoever_has_pages():
    said = "Choose a way: the page Sketch puts it there (the command `release` says what to write under [x]). Try it."
    assert here(said) == "Choose a way: the page Sketch puts it there. Try it."


@pytest.fixture(scope="module")
def served_curlew(tmp_path_factory):
    with curlew_served(tmp_path_factory.mktemp("curlew")) as server:
        yield server


@needs_chromium
def test_a_word_is_tapped_read_and_put_away(browser, served_curlew):
    page, said = opened(browser, f"{served_curlew.url}/sketch", "phone")
    word = page.locator("a.word", has_text="static margin").first
    word.click()
    saying = page.get_by_role("dialog")
    expect(saying).to_contain_text("steadiness")
    page.keyboard.press("Escape")
    expect(saying).to_be_hidden()
    assert page.url.endswith("/sketch")
    assert said == []
