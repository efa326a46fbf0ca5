"""Launches of the logbook side by side: load, air, what was foretold and measured, and what differed in the design."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError
from bottlewright.project.compare import Row, SideBySide, flat_text

if TYPE_CHECKING:
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.logbook.records import FlightFile
    from bottlewright.quantities import Quantity

__all__ = ["MOST", "LaunchComparison", "are_launches", "compare_launches"]

MOST = 5
"""Launches that fit side by side."""
_SAME = 0.01
"""Share by which two loads may differ and still be called the same: our judgement."""
_NAME = re.compile(r"\d{4}-\d\d-\d\d-\d\d+")
_LOADED = {"water": "charge.water", "pressure": "charge.pressure", "temperature": "charge.temperature"}
_AIR = {"wind": "Wind", "gust": "Gusts", "wind_from": "Wind from", "temperature": "Air", "sky": "Sky"}


@dataclass(frozen=True)
class LaunchComparison(SideBySide):
    """Two to five launches side by side.

    Parameters
    ----------
    launches
        As their files have them.
    habit
        The units of the first one's builder.
    """

    launches: "Sequence[FlightFile]"
    habit: "UnitHabit"

    @cached_property
    def names(self) -> list[str]:
        """Day and number of each; with its entry where two copies have one name."""
        from bottlewright.logbook.launches import launch_name

        names = [launch_name(one) for one in self.launches]
        return [f"{name} ({one.entry})" if names.count(name) > 1 else name
                for name, one in zip(names, self.launches, strict=True)]  # fmt: skip

    @cached_property
    def rows(self) -> list[Row]:
        """Who, load, air, and what was foretold and measured; what is said of none is left out."""
        found = [self._row("Rocket", [one.rocket for one in self.launches]),
                 self._row("Team", [one.team or "" for one in self.launches]),
                 self._row("Bottle", [one.vessel or "" for one in self.launches])]  # fmt: skip
        found += [self._load(*one) for one in (("Water", "water"), ("On the gauge", "pressure"),
                                               ("Water's warmth", "temperature"))]  # fmt: skip
        found += [self._row(called, [_said(getattr(one.conditions, key, None)) for one in self.launches])
                  for key, called in _AIR.items()]  # fmt: skip
        found += self._figures()
        found += [self._row("Came down", [one.landing or "" for one in self.launches]),
                  self._row("Broke", [one.damage or "" for one in self.launches]),
                  self._row("Seen", [one.seen or "" for one in self.launches])]  # fmt: skip
        return [one for one in found if any(one.values)]

    def _row(self, what: str, values: Sequence[str], why: Sequence[str] = ()) -> Row:
        return Row(what, list(values), list(why) or [""] * len(values))

    def _load(self, called: str, key: str) -> Row:
        values, why = [], []
        for flight, tables in zip(self.launches, self._tables, strict=True):
            loaded = _said(getattr(flight.loaded, key, None))
            values.append(loaded or tables.get(_LOADED[key], ""))
            why.append("as planned; nobody wrote down what it was" if values[-1] and not loaded else "")
        return self._row(called, values, why)

    def _figures(self) -> Iterator[Row]:
        """Yield each quantity: measured, with the band that was foretold and where it lies in that."""
        from bottlewright.learn.meaning import CALLED
        from bottlewright.logbook.compared import compared
        from bottlewright.logbook.export import MEASURES, surest

        told = [{one.what: one for one in compared(flight)} for flight in self.launches]
        for what in MEASURES:
            values, why = [], []
            for flight, rows in zip(self.launches, told, strict=True):
                best, row = surest(flight, what), rows.get(what)
                values.append(row.words(self.habit) if row and row.measured is not None else
                              best[1].value if best else "not measured" if row else "")  # fmt: skip
                lies = f"; it is {_LIES[row.lies]}" if row and row.measured is not None else ""
                why.append(f"foretold {row.band(self.habit)} for eight in ten{lies}" if row else
                           "" if not best else "nobody foretold it")  # fmt: skip
            name = CALLED.get(what, what)
            yield self._row(f"{name[:1].upper()}{name[1:]}", values, why)

    @cached_property
    def _tables(self) -> list[dict[str, str]]:
        """What the design of each says by key, as it flew."""
        return [_design_of(one) for one in self.launches]

    @cached_property
    def differences(self) -> list[tuple[str, list[str]]]:
        """What their designs say otherwise but for the load: what it is, and what stands there in each."""
        from bottlewright.project.fields import label_of

        keys = dict.fromkeys(key for one in self._tables for key in one if key not in _LOADED.values())
        return [(label_of(key, self._tables[0]), [one.get(key, "") for one in self._tables]) for key in keys
                if key != "name" and len({one.get(key, "") for one in self._tables}) > 1]  # fmt: skip

    @property
    def changed(self) -> str:
        """How many things differed, in one sentence: one variable at a time is what teaches."""
        names = [*self._loads_apart(), *(what for what, _ in self.differences)]
        if not names:
            return "Load and design were the same, so what differs is wind, reading and chance."
        if len(names) == 1:
            return f"Only one thing was changed: {names[0]}. What differs beyond the ± may be its doing."
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        return (f"{len(names)} things were changed at once ({', '.join(names[:3])}{more}): nobody can tell from these "
                "launches alone which of them did it.")  # fmt: skip

    def _loads_apart(self) -> Iterator[str]:
        """Yield which of water and pressure was another: what was written differs by more than a hundredth."""
        from bottlewright.quantities import Dimension, QuantityError, parse_quantity

        for name, key, kind in (("the water", "water", Dimension.VOLUME),
                                ("the pressure on the gauge", "pressure", Dimension.PRESSURE)):  # fmt: skip
            found = []
            for flight, tables in zip(self.launches, self._tables, strict=True):
                loaded = getattr(flight.loaded, key, None)
                try:
                    found.append(loaded.value if loaded else parse_quantity(tables.get(_LOADED[key], ""), kind).value)
                except QuantityError:  # such as "a third", or nothing
                    continue
            if found and max(found) - min(found) > _SAME * max(found):
                yield name

    def words(self) -> str:
        """Return it in lines."""
        lines = []
        for row in self.rows:
            lines.append(row.what)
            lines += [f"  {name}: {value or 'not said'}{f' ({why})' if why else ''}"
                      for name, value, why in zip(self.names, row.values, row.why, strict=True)]  # fmt: skip
        lines += ["", self.changed]
        for what, values in self.differences:
            said = "; ".join(f"{name}: {value or 'not said'}" for name, value in zip(self.names, values, strict=True))
            lines.append(f"  {what}: {said}")
        return "\n".join(lines)

    def document(self) -> dict[str, Any]:
        """Return it as plain values: the records' own words, and the comparison with what was foretold in SI."""
        from bottlewright.logbook.compared import compared_document

        return {
            "launches": [{"launch": name, "entry": one.entry, "rocket": one.rocket, **compared_document(one)}
                         for name, one in zip(self.names, self.launches, strict=True)],
            "rows": [{"what": row.what, "values": row.values, "why": row.why} for row in self.rows],
            "changed": self.changed,
            "differences": [{"what": what, "values": values} for what, values in self.differences],
        }  # fmt: skip


_LIES = {"inside": "inside", "low": "low", "high": "high", "unknown": "outside by less than its ±"}


def _said(value: "Quantity | str | None") -> str:
    text = value if isinstance(value, str) else value.text if value else ""
    return text.replace("degC", "°C").replace("degF", "°F").replace(" deg", "°")


def _design_of(flight: "FlightFile") -> dict[str, str]:
    from bottlewright.design import parse_design
    from bottlewright.design.errors import DesignError

    changed = re.findall(r"^# changed for this launch: (.*)$", flight.design or "", re.MULTILINE)
    try:
        return flat_text(parse_design(flight.design or "", changed).written.tables)
    except DesignError:
        return {}


def are_launches(names: Sequence[str]) -> bool:
    """Say whether names are those of launches, such as "2027-03-20-03", and not of files."""
    return bool(names) and all(_NAME.fullmatch(one) for one in names)


def compare_launches(beside: Path, names: Sequence[str]) -> LaunchComparison:
    """Return launches of the logbook beside some designs, side by side.

    Raises
    ------
    InputError
        When they are not two to five, or one is not there.
    """
    from bottlewright.design.unit_habit import METRIC, unit_habit
    from bottlewright.errors import BottlewrightError
    from bottlewright.learn.from_the_book import launch_of as as_it_flew
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import launch_of

    chosen = list(dict.fromkeys(names))
    if not 2 <= len(chosen) <= MOST:
        raise InputError(f"choose two to five launches to compare, not {len(chosen)}")
    flights = [launch_of(beside / FOLDER, name) for name in chosen]
    try:
        habit = unit_habit(as_it_flew(flights[0]).design)
    except BottlewrightError:
        habit = METRIC
    return LaunchComparison(flights, habit)
