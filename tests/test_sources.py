"""What was read and what was not: one wording, and one page that lists every file in which it stands."""

import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "src" / "bottlewright"
PAGE = ROOT / "docs" / "sources.md"
WORDS = "original not checked"
LOOSE = re.compile(r"\brecalled\b|\bfrom\s+memory\b|\bnot\s+read\s*[;)\"]", re.IGNORECASE)

ENDINGS = {".py", ".toml", ".md", ".html", ".typ"}
TEXTS = sorted(
    path
    for folder in (PACKAGE, ROOT / "docs", ROOT / "tests" / "published")
    for path in folder.rglob("*")
    if path.suffix in ENDINGS
)


def one_line(path: Path) -> str:
    return re.sub(r"\s+#?\s*", " ", path.read_text(encoding="utf-8"))


def named() -> set[Path]:
    """Return the files that the page names, resolved."""
    found = set()
    for name in re.findall(r"`([\w/.-]+\.\w+)`", PAGE.read_text(encoding="utf-8")):
        from_root = name.startswith(("docs/", "tests/"))
        found.add((ROOT if from_root else PACKAGE) / name)
    return found


def test_what_was_not_read_is_said_in_the_one_wording():
    loose = [str(path.relative_to(ROOT)) for path in [*TEXTS, ROOT / "README.md"] if LOOSE.search(one_line(path))]
    assert not loose


def test_every_file_that_the_page_of_sources_names_is_there():
    assert len(named()) > 30
    assert not [path for path in named() if not path.is_file()]


def test_every_file_with_an_unchecked_source_is_named_on_the_page():
    """The pages under docs/ repeat what the modules say; they point to the page instead."""
    marked = {path for path in TEXTS if path.suffix in {".py", ".toml"} and WORDS in one_line(path).lower()}
    assert len(marked) > 20
    assert not marked - named()


def test_the_page_claims_nothing_of_a_file_that_does_not_say_so_itself():
    rows = [row for row in PAGE.read_text(encoding="utf-8").splitlines() if row.startswith("| ")]
    claimed = [row for row in rows if row.split("|")[-2].strip().startswith(WORDS)]
    assert len(claimed) > 20
    silent = []
    for row in claimed:
        names = re.findall(r"`([\w/.-]+\.\w+)`", row)
        paths = [(ROOT if name.startswith(("docs/", "tests/")) else PACKAGE) / name for name in names]
        silent += [str(path) for path in paths if WORDS not in one_line(path).lower()]
    assert not silent


def test_the_readme_leads_to_the_page():
    assert "(docs/sources.md)" in (ROOT / "README.md").read_text(encoding="utf-8")
