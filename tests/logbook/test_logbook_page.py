"""The page of the logbook is that of its files."""

from pathlib import Path

from bottlewright.logbook.reference import with_keys

PAGE = Path(__file__).parents[2] / "docs" / "logbook.md"


def test_the_page_has_every_key():
    # When this fails: python -m bottlewright.logbook.reference docs/logbook.md
    text = PAGE.read_text(encoding="utf-8")
    assert with_keys(text) == text
    assert all(f"| `{key}` |" in text for key in ("opened", "earlier", "retired", "entry", "counts"))
    assert "| `[[pressurised]]` `peak` |" in text
