"""What the columns of a logger's table mean: proposed with what it rests on, put right by a person, kept for the next.

A unit in the header counts before what the numbers look like; what a person says counts before both.
"""

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit
from numpy.typing import NDArray

from bottlewright.design.writing import write_over
from bottlewright.errors import FieldsError
from bottlewright.learn.channels import CHANNELS, MORE, more_by_name
from bottlewright.learn.table_file import TableFile

__all__ = ["UNITS", "Column", "Columns", "corrected", "keep", "kept", "propose"]

Floats = NDArray[np.float64]

UNITS: Mapping[str, Mapping[str, float]] = {what: one.units for what, one in CHANNELS.items()}
"""Units of what is read, and their factors to SI."""

_CALLED = {
    "time": r"(t|time|zeit|sec|secs|seconds?|millis|timestamp|elapsed|clock|uptime)",
    "height": r"(h|alt|altitude|height|h(ö|oe)he|elevation|agl|asl|msl)",
    "pressure": r"(p|press|pressure|druck|luftdruck|baro|barometer)",
    "acceleration": r"(a|acc|accel|acceleration|beschleunigung|ax|ay|az|gforce)",
}
_SPELLED = {"sec": "s", "secs": "s", "second": "s", "seconds": "s", "millis": "ms", "msec": "ms", "µs": "us",
            "μs": "us", "micros": "us", "m/s²": "m/s2", "m/s^2": "m/s2", "m s2": "m/s2", "ms2": "m/s2", "mps2": "m/s2",
            "hpa": "hPa", "pa": "Pa", "kpa": "kPa", "mb": "mbar", "feet": "ft", "meter": "m", "metre": "m",
            "meters": "m", "metres": "m", "G": "g", "dps": "deg/s", "°/s": "deg/s", "newton": "N", "lb": "lbf",
            "lbs": "lbf", "kgf": "kg", "Bar": "bar", "BAR": "bar", "PSI": "psi", "RPM": "rpm", "n": "N"}  # fmt: skip
_RATE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:Hz|samples?\s*(?:/|per)\s*s)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Column:
    """One quantity of the table.

    Parameters
    ----------
    number
        Of the column, from 1.
    unit
        One of `UNITS`.
    because
        What that rests on.
    """

    number: int
    unit: str
    because: str = ""


@dataclass(frozen=True)
class Columns:
    """What is read of a table.

    Parameters
    ----------
    time, height, pressure
        None where there is none.
    acceleration
        Of one column, the size of it or along the rocket, or of three at right angles.
    rate
        Rows a second, Hz, where there is no time; NaN when nobody says.
    tag
        Of the rows that are read.
    because
        What the rate rests on, and where all of it comes from.
    more
        What tells no height, by its name in `channels.MORE`.
    """

    time: Column | None = None
    height: Column | None = None
    pressure: Column | None = None
    acceleration: tuple[Column, ...] = ()
    rate: float = np.nan
    tag: str = ""
    because: tuple[str, ...] = field(default=())
    more: Mapping[str, Column] = field(default_factory=dict)

    def items(self) -> list[tuple[str, Column]]:
        """Return all that is read, by what it is."""
        single = [(name, getattr(self, name)) for name in ("time", "height", "pressure")]
        return [*((name, one) for name, one in single if one), *(("acceleration", one) for one in self.acceleration),
                *self.more.items()]


def propose(table: TableFile) -> Columns:
    """Say what the columns of a table seem to be."""
    named: dict[str, list[Column]] = {}
    for number, name in enumerate(table.names, 1):
        what = _what_by_name(name)
        if what and not (what == "acceleration" and _is_size(name)):
            named.setdefault(what, []).append(_column(table, number, what, f"it is called {name!r}"))
    sizes = [number for number, name in enumerate(table.names, 1)
             if _what_by_name(name) == "acceleration" and _is_size(name)]  # fmt: skip
    taken = {one.number for ones in named.values() for one in ones} | set(sizes)
    if not any(table.names):
        named = _by_values(table, taken)
    elif "time" not in named and (number := _clock(table, taken)):
        named["time"] = [_column(table, number, "time", "it grows from row to row")]
    axes = tuple(named.get("acceleration", []))[:3]
    if sizes:
        axes = (_column(table, sizes[0], "acceleration", f"it is called {table.names[sizes[0] - 1]!r}"),)
    rate, because = (np.nan, ()) if "time" in named else _rate(table)
    first = {what: ones[0] for what, ones in named.items() if what != "acceleration"}
    return Columns(first.get("time"), first.get("height"), first.get("pressure"),
                   axes if len(axes) in (1, 3) else axes[:1], rate, table.tag, because,
                   {what: first[what] for what in MORE if what in first})  # fmt: skip


def _plain(name: str) -> str:
    return re.sub(r"[\[(].*?[\])]", " ", name).replace("_", " ").strip().lower()


def _is_size(name: str) -> bool:
    return bool(re.search(r"abs|norm|total|magn|\|", name, re.IGNORECASE))


def _what_by_name(name: str) -> str:
    words = re.split(r"[\s.,:/-]+", _plain(name))
    if more := more_by_name(name):
        return more
    if re.search(r"velo|speed|max|temp|gyro|rate", name, re.IGNORECASE):
        return ""
    for what, called in _CALLED.items():
        if any(re.fullmatch(called, word) for word in words):
            return what
    return ""


def _unit_by_name(name: str, what: str) -> str:
    bracketed = re.findall(r"[\[(]\s*([^\])]+?)\s*[\])]", name)
    last = re.split(r"[\s_]", re.sub(r"[\[(].*", "", name).strip())
    tails = [*bracketed, *(" ".join(last[at:]) for at in range(1, len(last))), last[0]]
    for tail in tails:
        unit: str = _SPELLED.get(tail, _SPELLED.get(tail.lower(), tail))
        if unit in UNITS[what]:
            return unit
    return ""


def _column(table: TableFile, number: int, what: str, because: str) -> Column:
    unit = _unit_by_name(table.names[number - 1], what)
    if unit:
        return Column(number, unit, f"{because}; its name says {unit}")
    values = table.cells[:, number - 1]
    unit, why = _unit_by_values(values[np.isfinite(values)], what)
    return Column(number, unit, f"{because}; {why}")


def _unit_by_values(values: Floats, what: str) -> tuple[str, str]:
    middle = float(np.median(np.abs(values))) if len(values) else 0.0
    if what == "time":
        steps = np.diff(values)
        step = float(np.median(steps[steps > 0.0])) if (steps > 0.0).any() else 1.0
        unit = "us" if step >= 1e3 else "ms" if step >= 2.0 else "s"
        return unit, f"no unit is named; steps of {step:g} are taken as {unit}"
    if what == "pressure":
        unit = "Pa" if middle > 2e3 else "hPa" if middle > 200.0 else "kPa" if middle > 20.0 else "bar"
        return unit, f"no unit is named; about {middle:.0f} is taken as {unit} of the air"
    if what == "acceleration":
        unit = "g" if middle < 4.0 else "mg" if middle > 400.0 else "m/s2"
        return unit, f"no unit is named; about {middle:.3g} is taken as {unit}"
    if what in ("bottle", "launcher"):
        high = float(np.max(values, initial=0.0))
        unit = "bar" if high < 20.0 else "psi" if high < 200.0 else "kPa" if high < 2e3 else "Pa"
        return unit, f"no unit is named; up to {high:.3g} is taken as {unit}"
    unit = next(iter(UNITS[what]))
    return unit, f"no unit is named; {unit} is assumed"


def _steady(values: Floats) -> bool:
    steps = np.diff(values[np.isfinite(values)])
    return len(steps) > 3 and bool((steps >= 0.0).mean() > 0.98) and bool((steps > 0.0).mean() > 0.05)


def _clock(table: TableFile, taken: set[int]) -> int:
    return next((number for number in range(1, table.cells.shape[1] + 1)
                 if number not in taken and _steady(table.cells[:, number - 1])), 0)  # fmt: skip


def _by_values(table: TableFile, taken: set[int]) -> dict[str, list[Column]]:
    """Say what columns without names seem to be."""
    found: dict[str, list[Column]] = {}
    if number := _clock(table, taken):
        found["time"] = [_column(table, number, "time", "it grows from row to row")]
        taken = taken | {number}
    tests: list[tuple[str, str, Callable[[Floats], bool]]] = [
        ("pressure", "its numbers are those of the air's pressure", _like_air),
        ("height", "it rises from where it began and comes back", _like_height),
    ]
    for what, because, test in tests:
        for number in range(1, table.cells.shape[1] + 1):
            values = table.cells[:, number - 1]
            if number not in taken and what not in found and test(values[np.isfinite(values)]):
                found[what] = [_column(table, number, what, because)]
                taken = taken | {number}
    return found


def _like_air(values: Floats) -> bool:
    if len(values) < 5:
        return False
    low, high = float(np.percentile(values, 2.0)), float(np.percentile(values, 98.0))
    return any(low > 60.0 * unit and high < 110.0 * unit for unit in (1e3, 10.0)) and high > low


def _like_height(values: Floats) -> bool:
    if len(values) < 10:
        return False
    ground = float(np.median(values[: max(len(values) // 20, 3)]))
    rise = float(np.percentile(values, 98.0)) - ground
    return rise > 2.0 and rise < 3e3 and float(np.min(values[-3:])) - ground < 0.9 * rise


def _rate(table: TableFile) -> tuple[float, tuple[str, ...]]:
    for line in (*table.preamble, *table.names):
        if match := _RATE.search(line):
            return float(match[1].replace(",", ".")), (f"the file says {match[0]}",)
    return np.nan, ("no column is a time and nothing says how many rows a second has: say rate=100 Hz",)


# --- put right by a person ------------------------------------------------------------------------------------------


def corrected(columns: Columns, table: TableFile, given: Mapping[str, str]) -> Columns:
    """Put right what was proposed.

    Parameters
    ----------
    given
        Such as ``{"time": "1 ms", "height": "3 m", "acceleration": "4 5 6 g", "rate": "50 Hz", "pressure": "none"}``:
        the number of the column, from 1, or its name, and the unit.

    Raises
    ------
    FieldsError
        When an answer can't be taken.
    """
    new = columns
    for what, answer in given.items():
        if what == "rate":
            match = _RATE.fullmatch(answer.strip())
            if match is None or float(match[1].replace(",", ".")) <= 0.0:
                raise FieldsError({"rate": f"is {answer!r}; write rows a second, such as 50 Hz"})
            new = replace(new, rate=float(match[1].replace(",", ".")), time=None, because=("you said so",))
        elif what in UNITS:
            ones = () if answer.strip() == "none" else _answered(what, answer, table)
            new = _put(new, what, ones)
        else:
            raise FieldsError({what: f"is no column; it can be {', '.join(UNITS)} or rate"})
    return new


def _put(columns: Columns, what: str, ones: tuple[Column, ...]) -> Columns:
    if what in MORE:
        others = {name: one for name, one in columns.more.items() if name != what}
        return replace(columns, more={**others, what: ones[0]} if ones else others)
    if what == "acceleration":
        return replace(columns, acceleration=ones)
    return replace(columns, **{what: ones[0] if ones else None})  # type: ignore[arg-type]


def _answered(what: str, answer: str, table: TableFile) -> tuple[Column, ...]:
    numbers, unit = [], ""
    names = {name.lower(): number for number, name in enumerate(table.names, 1) if name}
    if answer.strip().lower() in names:
        numbers = [names[answer.strip().lower()]]
    else:
        for word in answer.split():
            if word.isdecimal():
                numbers.append(int(word))
            else:
                unit = _SPELLED.get(word, word)
    wide = table.cells.shape[1]
    most = 3 if what == "acceleration" else 1
    if len(numbers) not in {1, most} or not all(1 <= number <= wide for number in numbers):
        raise FieldsError({what: f"is {answer!r}; write the number of a column from 1 to {wide} and a unit, such as "
                                 f"{what}=\"1 {next(iter(UNITS[what]))}\", or none"})  # fmt: skip
    if unit and unit not in UNITS[what]:
        raise FieldsError({what: f"has the unit {unit!r}; it can be {', '.join(UNITS[what])}"})
    return tuple(Column(number, unit or _column(table, number, what, "").unit, "you said so") for number in numbers)


# --- kept for the next file -----------------------------------------------------------------------------------------


def _place(folder: Path, table: TableFile) -> Path:
    head = "\n".join((table.tag, str(table.cells.shape[1]), *table.names))
    return folder / "columns" / f"{hashlib.sha256(head.encode()).hexdigest()[:12]}.toml"


def keep(folder: Path, table: TableFile, columns: Columns) -> Path:
    """Keep what the columns mean, for the next file with the same header; `folder` is the logbook's."""
    document = tomlkit.document()
    document.add(tomlkit.comment("What the columns of a logger's file mean; whoever throws it away is asked again."))
    document["names"] = list(table.names)
    if np.isfinite(columns.rate):
        document["rate"] = f"{columns.rate:g} Hz"
    for what in UNITS:
        ones = [one for name, one in columns.items() if name == what]
        document[what] = " ".join([*(str(one.number) for one in ones), ones[0].unit]) if ones else "none"
    path = _place(folder, table)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_over(path, tomlkit.dumps(document))
    return path


def kept(folder: Path, table: TableFile) -> Columns | None:
    """Return what was kept of a file with the same header; None where there was none, or it can't be read."""
    try:
        said: Mapping[str, Any] = tomlkit.parse(_place(folder, table).read_text(encoding="utf-8")).unwrap()
        given = {what: str(said[what]) for what in (*UNITS, "rate") if what in said}
        given = {what: given[what] for what in sorted(given, key=lambda one: one != "rate")}
        found = corrected(Columns(tag=table.tag), table, given)
    except (OSError, ValueError, FieldsError):
        return None
    marked = {what: replace(one, because="as for the last file with this header")
              for what in ("time", "height", "pressure") if (one := getattr(found, what))}  # fmt: skip
    along = tuple(replace(one, because="as for the last file with this header") for one in found.acceleration)
    more = {what: replace(one, because="as for the last file with this header") for what, one in found.more.items()}
    return replace(found, acceleration=along, more=more, because=("as for the last file with this header",), **marked)
