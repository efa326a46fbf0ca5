"""The docs as a site: every page there, every link and anchor leads somewhere, nothing is fetched from elsewhere."""

import os
import re
import subprocess
import sys
from pathlib import Path
from urllib.parse import unquote

import lxml.html
import pytest

import bottlewright as bw
from bottlewright.cli import COMMANDS
from bottlewright.report.glossary import glossary

ROOT = Path(__file__).parents[2]
SECTIONS = ["Start here", "For teachers", "The job", "For programs", "Physics", "Safety and evidence", "Sources",
            "Decisions", "Glossary", "Working on it"]  # fmt: skip


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """Build it as `make docs` does, but for the notebooks, which their own test runs."""
    out = tmp_path_factory.mktemp("site")
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--site-dir", out]
    unrun = {**os.environ, "BOTTLEWRIGHT_DOCS_UNRUN": "1"}
    done = subprocess.run(command, cwd=ROOT, env=unrun, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return out


@pytest.fixture(scope="module")
def pages(site):
    found = {path: lxml.html.fromstring(path.read_text(encoding="utf-8")) for path in site.rglob("*.html")}
    assert len(found) > 35
    return found


def names_in(page):
    return {*page.xpath("//@id"), *page.xpath("//a/@name")}


def dead_links(pages):
    """Yield every link of pages that leads to no file, or to no place in it."""
    for path, page in pages.items():
        for link in page.xpath("//a/@href | //img/@src | //link/@href | //iframe/@src"):
            if re.match(r"https?://|data:|mailto:", link):
                continue
            file, _, anchor = unquote(link).partition("#")
            target = (path.parent / file).resolve() if file else path.resolve()
            if not target.is_file():
                yield path.name, link
            elif anchor and target.suffix == ".html":
                there = next(one for at, one in pages.items() if at.resolve() == target)
                if anchor not in names_in(there):
                    yield path.name, link


def fetched_from_elsewhere(page):
    """Return what a browser would fetch by itself from another host."""
    return [link for link in page.xpath("//@src | //link/@href | //@srcset | //object/@data | //form/@action")
            if re.match(r"(https?:)?//", link)]  # fmt: skip


def test_every_link_and_anchor_leads_somewhere(pages):
    links = sum(len(page.xpath("//a/@href")) for page in pages.values())
    assert links > 1000
    assert list(dead_links(pages)) == []


def test_a_dead_link_or_anchor_would_be_noticed(tmp_path):
    page = tmp_path / "a.html"
    page.write_text("<p><a href='b.html'>b</a><a href='#c'>c</a><a href='#d'>d</a><i id='d'></i></p>", encoding="utf-8")
    assert [link for _, link in dead_links({page: lxml.html.parse(page).getroot()})] == ["b.html", "#c"]


def test_nothing_is_fetched_from_another_host_and_nothing_runs(site, pages):
    assert {path.name: found for path, page in pages.items() if (found := fetched_from_elsewhere(page))} == {}
    assert [path.name for path, page in pages.items() if page.xpath("//script")] == []
    sheets = "".join(path.read_text(encoding="utf-8") for path in site.rglob("*.css"))
    assert "--teal" in sheets
    assert not re.search(r"url\(|@import|@font-face", sheets)
    assert fetched_from_elsewhere(lxml.html.fromstring("<p><img src='https://example.org/a.png'></p>"))


def test_the_parts_that_readers_look_for_are_on_every_page(pages):
    for page in pages.values():
        [all_pages] = page.xpath("//nav[@id='pages']/ol")
        tops = [(one.xpath("./span/text()") or one.xpath("./a/text()"))[0].strip() for one in all_pages]
        assert tops == SECTIONS
        assert len(page.xpath("//nav[@id='pages']//a[@aria-current]")) == 1
        assert "A bottle can burst" in page.xpath("string(//header)")


def test_every_page_has_one_heading_and_a_title(pages):
    wrong = {path.name for path, page in pages.items() if len(page.xpath("//main//h1")) != 1}
    assert wrong == set()
    assert len({page.xpath("string(//title)") for page in pages.values()}) >= len(pages) - 2


def test_every_name_of_the_python_surface_is_explained(site, pages):
    api = pages[site / "api.html"]
    heads = {head.text_content() for head in api.xpath("//h2 | //h3")}
    assert set(bw.__all__) <= heads
    assert {name for name, one in vars(bw.Project).items() if not name.startswith("_") and callable(one)} <= heads
    assert {"ProofResult", "FlightResult", "ScatterResult", "TuneResult", "MakeResult", "StudyResult"} <= heads
    [told] = api.xpath("//h3[.='changed']/following-sibling::pre[1]")
    assert told.text_content().strip() == "changed(values: Mapping[str, object]) -> Project"


def test_every_command_and_every_word_of_the_trade_has_its_place(site, pages):
    heads = [head.text_content() for head in pages[site / "commands.html"].xpath("//h2")]
    assert heads == list(COMMANDS)
    assert "--lan" in pages[site / "commands.html"].text_content()
    assert {word.anchor for word in glossary().values()} <= names_in(pages[site / "glossary.html"])


def test_the_pages_say_nothing_of_the_place_where_they_were_made(site):
    for path in site.rglob("*.html"):
        assert str(ROOT) not in path.read_text(encoding="utf-8"), path.name


def test_the_site_is_built_by_make_docs():
    made = (ROOT / "Makefile").read_text(encoding="utf-8")
    assert "\ndocs: .venv/ready\n\t$(BIN)/mkdocs build\n" in made
