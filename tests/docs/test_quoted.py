"""What the docs quote: commands are commands, Python runs and says what stands under it, design files are read."""

import ast
import contextlib
import io
import re
import shutil
import textwrap
import tomllib
from pathlib import Path

import pytest
from typer.main import get_command

import bottlewright as bw
from bottlewright.cli import COMMANDS, _app

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "SECURITY.md", *sorted((ROOT / "docs").rglob("*.md"))]


def blocks(page):
    """Return the code of a page: what stands between fences, and what is four spaces in behind an empty line."""
    text = page.read_text(encoding="utf-8") if isinstance(page, Path) else page
    fenced = re.findall(r"^```(\w*)\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)
    rest = re.sub(r"^```\w*\n.*?^```$", "", text, flags=re.DOTALL | re.MULTILINE)
    indented = re.findall(r"(?:\A|\n\n)((?: {4}.*(?:\n|\Z)|\n(?= {4}))+)", rest)
    return [*fenced, *(("", textwrap.dedent(one)) for one in indented)]


def command_lines():
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        lines = [line for _, block in blocks(text) for line in block.splitlines()]
        for line in [*lines, *re.findall(r"`(bottlewright [^`]+)`", text)]:
            found = re.match(r"(?:\$ |uvx --from \. |pipx run --spec \. )?bottlewright ([a-z][a-z-]*)(.*)", line)
            if found:
                yield page.name, found[1], found[2].partition("  #")[0]


COMMAND_LINES = sorted(set(command_lines()))


def options_of(name):
    parameters = get_command(_app(name)).commands[name].params
    return {"--help"}.union(*([*one.opts, *one.secondary_opts] for one in parameters))


def test_the_docs_show_most_commands():
    assert len(COMMAND_LINES) > 40
    assert len({name for _, name, _ in COMMAND_LINES}) > 12


@pytest.mark.parametrize("name", sorted({name for _, name, _ in COMMAND_LINES}))
def test_every_command_that_is_quoted_is_there_with_its_options(name):
    assert name in COMMANDS
    lines = [(page, rest) for page, quoted, rest in COMMAND_LINES if quoted == name]
    known = options_of(name)
    used = {(page, option) for page, rest in lines for option in re.findall(r"(?<![\w-])(--[a-z-]+)", rest)}
    assert {(page, option) for page, option in used if option not in known} == set()


PYTHON = re.compile(r"^(import|from) \w+(?! =)|^\w+ = rocket\.|^both = bw", re.MULTILINE)


def pythons(page):
    for kind, block in blocks(page):
        if kind == "python" or (not kind and PYTHON.search(block)):
            yield block


ALL_PYTHON = [(page.name, block) for page in PAGES for block in pythons(page)]


def test_all_python_in_the_docs_is_python():
    assert len(ALL_PYTHON) > 8
    for page, block in ALL_PYTHON:
        try:
            ast.parse(block)
        except SyntaxError as error:
            pytest.fail(f"{page}: {error}\n{block}")


def run(block, names):
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(compile(block, "a page of the docs", "exec"), names)
    return said.getvalue()


@pytest.mark.parametrize("page", ["index.md", "teachers.md"])
def test_what_a_beginner_copies_runs_and_says_what_stands_under_it(page):
    kinds, names = blocks(ROOT / "docs" / page), {}
    printed = [run(block, names) for kind, block in kinds if kind == "python"]
    quoted = [block for kind, block in kinds if kind == "text"]
    assert [text for text in printed if text] or page != "index.md"
    assert [text for text in quoted if text not in printed] == []
    assert "Project" in type(names["rocket"]).__name__


def test_the_page_for_programs_runs_from_top_to_bottom(tmp_path, monkeypatch):
    """Its blocks in their order, for a rocket with few flights; what needs a cluster is left out."""
    monkeypatch.chdir(tmp_path)
    shutil.copytree(ROOT / "examples" / "curlew", tmp_path, dirs_exist_ok=True)
    text = (tmp_path / "rocket.toml").read_text(encoding="utf-8")
    (tmp_path / "rocket.toml").write_text(re.sub(r"(?m)^flights = .*$", "flights = 50", text), encoding="utf-8")
    few = bw.read(tmp_path / "rocket.toml").changed({"scatter.flights": "50"})
    names = {"other": bw.begin(name="Other", bottle="1.5 litre fizzy", pressure="2 bar")}
    ran = 0
    for block in pythons(ROOT / "docs" / "python.md"):
        run(block, names)
        names["rocket"] = few
        ran += 1
    assert ran >= 4
    assert names["found"].partial is False
    assert len(names["both"].rows) > 5
    assert names["pack"].chosen(["day", "built"]).startswith(b"%PDF")


def tomls():
    for page in PAGES:
        for kind, block in blocks(page):
            if kind == "toml" or (not kind and re.match(r"(#.*\n)*\[", block)):
                yield page.name, block


def test_every_piece_of_a_design_file_in_the_docs_is_toml():
    pieces = list(tomls())
    assert len(pieces) >= 7
    for page, block in pieces:
        try:
            assert tomllib.loads(block), page
        except tomllib.TOMLDecodeError as error:
            pytest.fail(f"{page}: {error}\n{block}")


def test_the_checks_would_notice():
    assert blocks("a\n\n    b\n\n    c\n\n```python\nd\n```\n") == [("python", "d\n"), ("", "b\n\nc\n")]
    assert "--no-such" not in options_of("fly")
    assert "--json" in options_of("fly")
