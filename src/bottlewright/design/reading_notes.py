"""What there is to say about a design file that was understood, although it was not written as we write one."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from bottlewright.design.document import Design
from bottlewright.design.paths import stood_on
from bottlewright.design.phrases import bearing_text
from bottlewright.design.spreads import assumed_spreads
from bottlewright.findings import Finding, Level, Stage
from bottlewright.quantities import QuantityError, spelled

__all__ = ["file_note", "reading_notes"]

_SHOWN = 8


def reading_notes(design: Design, written: Mapping[str, Any], file: Sequence[str] = ()) -> list[Finding]:
    """Return what there is to say.

    Parameters
    ----------
    design
        As read, not yet completed.
    written
        The raw tables.
    file
        What was said of the file as text: its encoding, its quotes.
    """
    notes = [file_note("The design file", file)] if file else []
    read_as = [f"{path} {before!r} as {after!r}" for path, before, after in _understood(design, written)]
    if read_as:
        notes.append(_note(
            "read-as", "a value was not written the way this program writes it", _listed(read_as),
            'a number with a decimal point, and its unit: "4.5 bar"',
            "check that each was read as you meant it",
        ))  # fmt: skip
    spreads = [path for path, _ in assumed_spreads(design)]
    if spreads:
        notes.append(_note(
            "assumed-spread", "values without ± are not exact: each takes the usual ± of its key", _listed(spreads),
            "± is one standard deviation: two of three repeats lie inside it",
            'write how well you know each, such as "152 g ± 2 g"; "± 0" if it is exact',
        ))  # fmt: skip
    return [*notes, *_fins(design)]


def file_note(name: str, said: Iterable[str], stage: Stage = Stage.SKETCH) -> Finding:
    """Return the note that a file was read although it is not plain text in UTF-8.

    Parameters
    ----------
    name
        The file, as it stands at the start of a sentence.
    said
        What was found about it.
    """
    return _note("file-text", "a file was not saved the way this program expects", f"{name}: {'; '.join(said)}",
                 "plain text in UTF-8, with straight quotes and decimal points",
                 "check that it was read as you meant it", stage)


def _note(code: str, hazard: str, found: str, limit: str, remedy: str, stage: Stage = Stage.SKETCH) -> Finding:
    return Finding(Level.NOTE, stage, code, hazard, found, limit, "this program", remedy)


def _listed(entries: Sequence[str]) -> str:
    more = len(entries) - _SHOWN
    return ", ".join(entries[:_SHOWN]) + (f" and {more} more" if more > 0 else "")


def _understood(design: Design, written: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Yield path, text as written and text as read, of whatever was read as something else than it says."""
    after = {path: quantity.text for path, quantity in stood_on(design)}
    after["vessel.bottle"] = design.vessel.bottle or ""
    share = design.charge.water_share
    if design.charge.water is None and share is not None:
        after["charge.water"] = f"{share.text} of the vessel"
    for path, text in after.items():
        before = _at(written, path)
        if isinstance(before, str) and text and text != before.strip() and text != _plainly(before):
            yield path, before, text


def _plainly(text: str) -> str:
    """Return a value as it is read where nobody can take it otherwise: a point of the compass, a unit spelled out."""
    plain = text if re.search(r"[^\S ]", text) else spelled(text)
    try:
        return bearing_text(plain)
    except QuantityError:
        return plain


def _at(data: Any, path: str) -> Any:
    for part in path.split("."):
        if isinstance(data, dict):
            data = data.get(part)
        elif isinstance(data, list) and part.isdecimal() and int(part) < len(data):
            data = data[int(part)]
        else:
            return None
    return data


def _fins(design: Design) -> Iterator[Finding]:
    fins = design.fins
    if fins is None or fins.outline:
        return
    missing = [key for key in ("root", "span") if getattr(fins, key) is None]
    if missing:
        yield Finding(
            Level.UNCHECKED, Stage.SKETCH, "assumed-fins", "the fins have no size of yours",
            f"fins.{' and fins.'.join(missing)} left out: sizes for a sketch, from the diameter of the bottle",
            "fins as you cut them: they decide whether the rocket flies straight or turns over",
            "this program", 'Write root, tip, span and sweep of your fins, such as root = "90 mm".',
        )  # fmt: skip
