"""Bring the README's tour up to date, what `fly` says of Curlew and the pictures, and the page of words."""

import os
import re
import tempfile
import textwrap
from pathlib import Path

from bottlewright.design import Design, complete, read_design
from bottlewright.field.chapters import field_pictures
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.flight.chapters import fly_chapter, sketch_chapter
from bottlewright.flight.fly import Flight, fly
from bottlewright.flight.layout import layout_of
from bottlewright.flight.results import flight_document
from bottlewright.flight.summary_text import flight_words
from bottlewright.report.glossary import glossary_page
from bottlewright.report.json_text import json_text
from bottlewright.report.style import save_picture
from bottlewright.verdict import judge_alone, verdict_lines

ROOT = Path(__file__).parent.parent
CURLEW = ROOT / "examples" / "curlew" / "rocket.toml"
CALL = "    $ bottlewright fly examples/curlew/rocket.toml\n\n"
SOFTER = 'charge.pressure="4 bar"'
JSON_CALL = f"    $ bottlewright fly examples/curlew/rocket.toml --set {SOFTER} --json\n\n"
JSON_LINES = 8


def quoted(words: str) -> str:
    """Return words as an indented block."""
    return "\n".join(f"    {line}".rstrip() for line in words.rstrip().splitlines()) + "\n"


def put(text: str, call: str, said: str) -> str:
    """Return the page with what a call says today in place of what stands under it."""
    text, found = re.subn(rf"({re.escape(call)})(?:    .*\n|\n(?=    ))+", lambda hit: hit[1] + quoted(said), text)
    assert found == 1, f"README.md has lost its {call.strip()}"
    return text


def spoken(design: Design, flight: Flight) -> str:
    """Return the first lines that `fly` prints: the verdict, broken as on a terminal, and the flight."""
    lines = verdict_lines(judge_alone(design, CURLEW.parent, flight=flight))
    broken = [textwrap.fill(line, 100, subsequent_indent="    ", break_on_hyphens=False) for line in lines]
    return "\n".join([*broken, "", flight_words(design, flight)])


def fly_json() -> str:
    """Return what the document of `fly --json` says of the flight, behind the verdict and the cures."""
    design = complete(read_design(CURLEW, [SOFTER]))
    lines = json_text(flight_document(design, fly(design, series=True))).splitlines()
    return "\n".join(["{", ' "verdict": {…},', ' "cures": […],', *lines[1:JSON_LINES], " …"])


def main() -> None:
    """Write README.md, docs/glossary.md and docs/figures; the README is that of one who has flown no scatter yet."""
    os.environ["BOTTLEWRIGHT_CACHE"] = tempfile.mkdtemp()
    page = glossary_page("../src/bottlewright/report/data/words")
    (ROOT / "docs" / "glossary.md").write_text(page, encoding="utf-8")
    design = complete(read_design(CURLEW))
    flight = fly(design, series=True)
    readme = ROOT / "README.md"
    text = readme.read_text(encoding="utf-8")
    text = put(put(text, CALL, spoken(design, flight)), JSON_CALL, fly_json())
    readme.write_text(text, encoding="utf-8")
    chapters = sketch_chapter(design, layout_of(design), flight), fly_chapter(design, flight)
    for picture in (picture for chapter in chapters for picture in chapter.section.pictures):
        if picture.name in ("rocket", "height"):
            print(save_picture(picture, ROOT / "docs" / "figures").relative_to(ROOT))
    field_picture()


def field_picture() -> None:
    """Draw the map of the field."""
    design = complete(read_design(CURLEW))
    found = scatter(design, field_site(design.site, CURLEW.parent), winds=False)
    print(save_picture(field_pictures(design, found)[0], ROOT / "docs" / "figures").relative_to(ROOT))


if __name__ == "__main__":
    main()
