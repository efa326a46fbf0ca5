"""What to launch and measure next, in plain words and as plain values."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import percent
from bottlewright.learn.meaning import listed
from bottlewright.learn.next_launch import NextLaunch, Option
from bottlewright.learn.unknowns import NAMED

__all__ = ["NextRow", "NextWords"]

_LITTLE, _APART, _WORTH = 0.95, 0.9, 0.85
"""Share of its ± that a launch leaves: over the first it teaches next to nothing of the height, over the second of a
value, under the third a second thing to measure is worth its trouble. Our judgement."""


class NextRow(NamedTuple):
    """One launch with what is measured, and the ± of height and time that it would leave: words."""

    what: str
    height: str
    time: str


@dataclass(frozen=True)
class NextWords:
    """What the next launch could tell, for its reader.

    Parameters
    ----------
    found
        What was worked out; None where no launch is offered.
    loads
        Each load by its name: what it is, in the builder's units.
    why_not
        Why no launch, or why some load, is not offered.
    habit
        The builder's units.
    first
        What to look at before the design's own load is launched again; empty where nothing is.
    """

    found: NextLaunch | None
    loads: Mapping[str, str]
    why_not: Sequence[str]
    habit: UnitHabit
    first: str = ""

    def sentences(self) -> Iterator[str]:
        """Yield what to do next, and why."""
        found = self.found
        if found is not None:
            yield from filter(None, [self.first])
            yield self._advice(found)
            yield from self._for_the_time(found)
            yield self._floor(found)
            yield from self._parting(found)
        yield from self.why_not

    def _advice(self, found: NextLaunch) -> str:
        best, repeat = found.best, found.repeat
        now, then, again = (self._metres(one) for one in (found.height, best.height, repeat.height))
        if best.height > _LITTLE * found.height:
            return (f"Another launch would teach next to nothing of the height: nine in ten of the next ones lie "
                    f"within ±{now} of what is foretold, and within ±{then} after the best launch that was looked "
                    "at.")  # fmt: skip
        words = (f"{self._fly(best.load)} and {best.does}: nine in ten of the launches after it then lie within "
                 f"±{then} of the height that is foretold, not ±{now} as now.")  # fmt: skip
        if then == again:
            return f"{words} No other load and no other measurement that was looked at teaches clearly more."
        return f"{words} Repeating the launch with what was measured last time gives ±{again}."

    def _for_the_time(self, found: NextLaunch) -> Iterator[str]:
        surest = min(found.options, key=lambda one: (round(one.time / found.time, 1), len(one.with_), one.time))
        more = [one.does for one in surest.with_ if one not in found.best.with_]
        if more and surest.time < _WORTH * found.best.time:
            also = " as well" if len(more) < len(surest.with_) else ""
            yield (f"For the time in the air, {listed(more)}{also}: nine in ten then lie within ±{surest.time:.1f} s "
                   f"of what is foretold, not ±{found.time:.1f} s.")  # fmt: skip

    def _floor(self, found: NextLaunch) -> str:
        words = (f"However often you launch, ±{self._metres(found.floor)} of the height are left: each time the gauge "
                 "is read a little differently, water and wind differ, and the model is a little off.")  # fmt: skip
        if found.floor_by_pressure < _WORTH * found.floor:
            words += (" Most of that is the gauge. Read a second one, which was checked, before each launch and "
                      f"foretell with its number: then ±{self._metres(found.floor_by_pressure)} are left.")  # fmt: skip
        return words

    def _parting(self, found: NextLaunch) -> Iterator[str]:
        ways: dict[tuple[str, str], list[str]] = {}
        for path, (option, left) in found.parted.items():
            if left < _APART:
                told = f"{NAMED[path]} down to {percent(left)} of what it is now"
                ways.setdefault((option.load, option.does), []).append(told)
        for (load, does), effects in ways.items():
            yield (f"To tell apart what these flights can't: {self._fly(load, first=False)} and {does}. That brings "
                   f"the ± of {listed(effects)}.")  # fmt: skip

    def _fly(self, load: str, first: bool = True) -> str:
        home = next(iter(self.loads))
        words = "fly the same load again" if load == home else f"fly it with {self.loads[load]}"
        return f"{words[:1].upper()}{words[1:]}" if first else words

    def _metres(self, metres: float) -> str:
        return self.habit.distance(metres, 2)

    def rows(self) -> list[NextRow]:
        """Return a table: nothing, repeating, the advice, and each instrument alone with the same load."""
        found = self.found
        if found is None:
            return []
        rows = [NextRow("nothing is launched", self._metres(found.height), f"{found.time:.1f} s"),
                self._row(found.repeat, "measure what was measured last time")]  # fmt: skip
        alone = [one for one in found.options if len(one.with_) == 1 and one.load == found.repeat.load]
        shown = [*([] if found.best in alone else [found.best]), *alone]
        return [*rows, *(self._row(one, self._what(one)) for one in shown)]

    @property
    def home(self) -> str:
        """The load of the design."""
        return next(iter(self.loads.values()))

    def _what(self, option: Option) -> str:
        load = self.loads[option.load]
        return option.does if load == self.home else f"fly it with {load} and {option.does}"

    def _row(self, option: Option, measure: str) -> NextRow:
        return NextRow(measure, self._metres(option.height), f"{option.time:.1f} s")

    def text(self) -> list[str]:
        """Return the table in lines."""
        if self.found is None:
            return []
        rows = [NextRow(f"next launch, with {self.home}", "height ±", "time ±"), *self.rows()]
        widths = [max(len(row[column]) for row in rows) for column in range(3)]
        return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]

    def document(self) -> dict[str, Any]:
        """Return all of it as plain values, SI; each ± holds nine launches in ten."""
        found = self.found
        if found is None:
            return {"offered": False, "why_not": list(self.why_not)}

        def plain(one: Option) -> dict[str, object]:
            return {"load": self.loads[one.load], "measure": [each.name for each in one.with_],
                    "height_within_m": one.height, "time_within_s": one.time, "gain_nats": one.gain}  # fmt: skip

        return {
            "offered": True, "height_within_m": found.height, "time_within_s": found.time,
            "floor_m": found.floor,
            "floor_with_pressure_known_m": found.floor_by_pressure,
            "best": plain(found.best), "repeat": plain(found.repeat), "options": [plain(one) for one in found.options],
            "parts": {path: {**plain(option), "share_of_spread_left": left}
                      for path, (option, left) in found.parted.items()},
            "words": list(self.sentences()), "why_not": list(self.why_not),
        }  # fmt: skip
