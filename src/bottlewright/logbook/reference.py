"""Every key of the logbook's files as tables of a page, from the models' own comments.

Written into docs/logbook.md between two marks (`python -m bottlewright.logbook.reference docs/logbook.md`); a test
compares.
"""

import sys
from collections.abc import Iterator
from pathlib import Path

from pydantic import BaseModel

from bottlewright.design.schema import field_comments
from bottlewright.logbook import records

__all__ = ["with_keys"]

START, END = "<!-- keys: generated, see logbook/reference.py -->", "<!-- end of the keys -->"

_FILES: dict[str, list[tuple[str, type[BaseModel]]]] = {
    "A bottle: vessels/B07.toml": [
        ("", records.VesselFile), ("[[test]]", records.VesselTest), ("[[pressurised]]", records.Pressurised),
        ("[[hard_landing]]", records.Happened), ("[[heat]]", records.Heated), ("[[work]]", records.WorkDone),
        ("[[inspection]]", records.Inspection), ("[[differs]]", records.Differs),
    ],
    "A launch: flights/2027-03-20-03-curlew.toml": [
        ("", records.FlightFile), ("[prediction]", records.Prediction), ("[conditions]", records.Conditions),
        ("[loaded]", records.Loaded), ("[top]", records.Top), ("[[measured]]", records.Measurement),
        ("[[watch]]", records.Watch), ("[[sight]]", records.Sighting), ("[[wind]]", records.WindReading),
        ("[[corrected]]", records.Corrected), ("[[raw]]", records.RawFile), ("[[differs]]", records.Differs),
    ],
    "A contest: contests/2027-03-20.toml": [
        ("", records.ContestFile), ("[[team]]", records.Team), ("[[differs]]", records.Differs),
    ],
}  # fmt: skip


def _rows() -> Iterator[str]:
    for title, tables in _FILES.items():
        yield from (f"### {title}", "", "| key | what it is |", "|---|---|")
        for header, model in tables:
            inner = {name.strip("[]") for name, _ in tables}
            for name, comment in _comments(model).items():
                key = name.rstrip("_")
                if not header and key in inner:
                    continue
                place = f"`{header}` " if header else ""
                yield f"| {place}`{key}` | {comment[:1].upper()}{comment[1:]} |"
        yield ""


def _comments(model: type[BaseModel]) -> dict[str, str]:
    """Return the comments of a model's keys, those of what it is made from first."""
    found: dict[str, str] = {}
    for one in reversed(model.__mro__):
        if issubclass(one, BaseModel) and one.__module__ == records.__name__:
            found.update(field_comments(one))
    return found


def with_keys(page: str) -> str:
    """Return a page with the tables of all keys between its two marks."""
    before, _, rest = page.partition(START)
    _, _, after = rest.partition(END)
    return f"{before}{START}\n\n{chr(10).join(_rows())}\n{END}{after}"


if __name__ == "__main__":
    from bottlewright.design.writing import write_over

    target = Path(sys.argv[1])
    write_over(target, with_keys(target.read_text(encoding="utf-8")))
