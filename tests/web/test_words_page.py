"""A word of the trade explains itself at the place where it stands."""

import re

import pytest
from conftest_browser import curlew_served, needs_chromium, opened
from playwright.sync_api import expect

from bottlewright.project.words import explained, linked


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
