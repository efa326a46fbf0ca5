"""All that a fit means for its reader, gathered: as text and as one document."""

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from bottlewright.design.document import Design
from bottlewright.design.learned import counted_words
from bottlewright.design.taught import changes_since
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.learn.coverage import Coverage, coverage
from bottlewright.learn.fit import Fit
from bottlewright.learn.from_the_book import LeftOut
from bottlewright.learn.learned_file import learned_of
from bottlewright.learn.meaning import CALLED, Known, Together, blind_words, known, together
from bottlewright.learn.misfits import Compared, Odd, compared, odd_flights, patterns, wrong_numbers
from bottlewright.learn.next_words import NextWords
from bottlewright.learn.unknowns import NAMED
from bottlewright.logbook.book import Book
from bottlewright.logbook.measured import said
from bottlewright.logbook.records import FlightFile

__all__ = ["NEXT", "Meant", "changed_words", "meant_by", "scale_of"]

_WIDE = 100
NEXT = "What to launch and measure next"
DRAW_FROM_IT = ('To draw from it, keep it (--keep) and write two lines at the end of the design file: [learned] in '
                'one, from = "logbook" in the next. Tune, Fly and Field then draw from all of it together; without '
                "the two lines nothing changes.")  # fmt: skip
NEVER = ("Nothing learned raises the pressure that a bottle may hold. No line of Field comes nearer by it before a "
         "person has seen old and new and written learned.confirmed_by and confirmed_on.")  # fmt: skip


@dataclass(frozen=True, eq=False)
class Meant:
    """What a fit means.

    Parameters
    ----------
    fit
        What was worked out.
    habit
        The builder's units.
    left_out
        Launches that were not used, and why.
    covered, apart
        How honest the predictions before the launches were, and launches that flew otherwise than foretold.
    changed
        What of the design is not as it flew, in words.
    """

    fit: Fit
    habit: UnitHabit
    left_out: Sequence[LeftOut]
    covered: Sequence[Coverage]
    apart: int
    changed: Sequence[str]

    @cached_property
    def known(self) -> list[Known]:
        """Each value that was asked for by name."""
        return known(self.fit)

    @cached_property
    def together(self) -> list[Together]:
        """What can't be told apart."""
        return together(self.fit)

    @cached_property
    def compared(self) -> list[Compared]:
        """Each measurement beside what was foretold of it."""
        return compared(self.fit)

    @cached_property
    def wrong(self) -> list[str]:
        """Measurements in another unit or column."""
        return wrong_numbers(self.fit)

    @cached_property
    def odd(self) -> list[Odd]:
        """Launches that do not fit the others."""
        return odd_flights(self.fit)

    @cached_property
    def patterns(self) -> list[str]:
        """Kinds of measurement that lie off to one side."""
        return patterns(self.fit)

    @property
    def title(self) -> str:
        """How much it rests on."""
        readings, flights = len(self.fit.readings), counted_words([one.name for one in self.fit.launches])
        return f"Learned from {flights} with {readings} measurement{'s' * (readings > 1)}"

    def chapters(self) -> Iterator[tuple[str, list[str]]]:
        """Yield headings with their sentences; what is wrong comes first."""
        if self.wrong:
            yield "Look at these numbers first: while they stand, believe nothing else of this", self.wrong
        yield "Before and after", [*(one.sentence(self.habit) for one in self.known),
                                   *filter(None, [blind_words(self.fit)])]  # fmt: skip
        if self.together:
            yield "What can't be told apart", [one.sentence for one in self.together]
        if self.odd:
            yield "Does a flight not belong?", [*self._odd_words()]
        if self.patterns:
            yield "A pattern", self.patterns
        yield "Were the predictions honest?", [*self._honest()]
        if self.changed:
            yield "Changed since", list(self.changed)
        if self.left_out:
            yield "Not used", [f"{one.launch}: {one.why}." for one in self.left_out]
        if self.fit.posterior.notes:
            yield "How far to trust it", [f"{one[:1].upper()}{one[1:]}." for one in self.fit.posterior.notes]

    def _odd_words(self) -> Iterator[str]:
        for one in self.odd:
            yield (f"{one.launch}: {one.why}. Did it lose a fin, leak, or was something written down wrong? It counts "
                   f"less already; `--without {one.launch}` leaves it out and shows what that changes.")  # fmt: skip
        if len(self.fit.launches) == 2:
            yield "With two flights nobody can tell which of them is the odd one: fly a third."

    def _honest(self) -> Iterator[str]:
        yield from (one.sentence for one in self.covered)
        if not self.covered:
            yield "No launch has both a prediction made before it and a measurement, so nobody can tell."
        if self.apart:
            some = f"{self.apart} launches" if self.apart > 1 else "1 launch"
            yield f"Not counted here: {some}, flown with another load or wind than foretold with."

    def table(self) -> list[str]:
        """Return measured beside foretold, a line each."""
        rows: list[tuple[str, ...]] = [("launch", "", "measured", "design alone", "after all flights")]
        for one in self.compared:
            scale, unit = scale_of(one.what, self.habit)
            pairs = ((one.measured, one.spread), (one.before, one.before_spread), (one.after, one.after_spread))
            told = [said(value / scale, spread / scale, unit) for value, spread in pairs]
            rows.append((one.launch, CALLED[one.what], *told))
        widths = [max(len(row[column]) for row in rows) for column in range(5)]
        return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]

    def text(self, ahead: NextWords | None = None) -> str:
        """Return all of it in lines, what to do next first where that was worked out."""
        lines = [self.title, "", *(f"  {row}" for row in self.table())]
        if ahead is not None:
            lines += ["", NEXT]
            for one in ahead.sentences():
                lines += textwrap.wrap(one, _WIDE, initial_indent="  - ", subsequent_indent="    ")
            lines += ["", *(f"  {row}" for row in ahead.text())]
        for heading, sentences in (*self.chapters(), ("What to do with it", [DRAW_FROM_IT, NEVER])):
            lines += ["", heading]
            for one in sentences:
                lines += textwrap.wrap(one, _WIDE, initial_indent="  - ", subsequent_indent="    ")
        return "\n".join([*lines, ""])

    def document(self) -> dict[str, Any]:
        """Return all of it as plain values, SI."""
        return {
            "flights": [one.name for one in self.fit.launches],
            "left_out": [one._asdict() for one in self.left_out],
            "values": [{**one.as_json(), "words": one.sentence(self.habit)} for one in self.known],
            "nothing_learned_of": [one.path for one in self.fit.blind],
            "not_told_apart": [{"keys": one.paths, "words": one.sentence} for one in self.together],
            "measured": [one.as_json() for one in self.compared],
            "wrong_unit_or_column": self.wrong,
            "do_not_belong": [one._asdict() for one in self.odd],
            "patterns": self.patterns,
            "bands": [{"of": one.called, "flights": one.count, "inside_half": one.half, "inside_nine_in_ten": one.most,
                       "too_narrow": one.narrow} for one in self.covered],
            "flown_otherwise": self.apart,
            "changed_since": list(self.changed),
            "draws_that_count": self.fit.posterior.share, "trusted": self.fit.posterior.trusted,
            "notes": list(self.fit.posterior.notes),
        }  # fmt: skip


def scale_of(what: str, habit: UnitHabit) -> tuple[float, str]:
    """Return how much SI one unit is that a kind of measurement is shown in, and the unit."""
    if what == "bearing":
        return 0.017453292519943295, "°"
    if what in ("speed", "sinking"):
        return 1.0, "m/s"
    if what in ("height", "away"):
        return (0.3048, "ft") if habit.inches else (1.0, "m")
    if what == "true pressure":
        return 1e5, "bar"
    return 1.0, "N s" if what == "impulse" else "s"


def changed_words(design: Design, fit: Fit) -> list[str]:
    """Return what is not as it flew, and what that makes unknown again."""
    return [f"{one.key} is another than flew, so {NAMED[one.touches]} is known less well"
            f"{' again, or not at all' if one.by >= 0.15 else ''}." if one.touches in NAMED else
            f"{one.key} is another than flew." for one in changes_since(design, learned_of(fit))]  # fmt: skip


def meant_by(design: Design, book: Book, fit: Fit, left_out: Sequence[LeftOut]) -> Meant:
    """Return what a fit means for a design that asks.

    Parameters
    ----------
    design
        Completed; as it is now.
    book
        That the launches stand in: its predictions are held against what was measured.
    """
    flights = [FlightFile.model_validate(one) for one in book.flights.values() if one.get("rocket") == design.name]
    covered, apart = coverage(flights)
    return Meant(fit, unit_habit(design), left_out, covered, apart, changed_words(design, fit))
