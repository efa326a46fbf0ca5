"""The built-in tables: bottles, materials, and every value that the tool fills in, each with its ± and its source."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any

from bottlewright.data_file import Row as DataRow
from bottlewright.data_file import data_file
from bottlewright.design.phrases import bottle_size
from bottlewright.quantities import UNITS, Basis, Dimension, Quantity, parse_quantity, written_unit

__all__ = [
    "Row", "UsualSpread", "bottle", "bottles", "canopy", "default", "defaults", "material", "materials", "nozzle",
    "shoulder", "terrain", "usual_spread",
]  # fmt: skip

D = Dimension
_COLUMNS = {
    "volume": D.VOLUME, "diameter": D.LENGTH, "wall": D.LENGTH, "empty_mass": D.MASS, "neck_bore": D.LENGTH,
    "neck_length": D.LENGTH, "shoulder_length": D.LENGTH, "base_length": D.LENGTH,
    "density": D.DENSITY, "thickness": D.LENGTH, "areal_mass": D.AREAL_DENSITY, "modulus": D.PRESSURE,
    "contraction": D.NUMBER, "velocity_coefficient": D.NUMBER, "gas_coefficient": D.NUMBER,
    "length_in_bores": D.NUMBER, "drag_coefficient": D.NUMBER, "filling": D.NUMBER,
    "roughness_length": D.LENGTH, "exponent": D.NUMBER,
}
_WORDS = ("name", "shape", "half_angle", "source", "kind", "metal", "lines")
"""Columns that hold no quantity with a ±."""
_NEEDED = {
    ("bottles", "row"): ("kind", "volume", "diameter", "wall", "empty_mass", "shoulder_length", "base_length"),
    ("materials", "row"): ("density", "thickness"),
    ("defaults", "nozzle"): ("contraction", "velocity_coefficient", "gas_coefficient"),
    ("defaults", "canopy"): ("drag_coefficient", "filling", "lines"),
    ("defaults", "terrain"): ("roughness_length", "exponent"),
    ("defaults", "shoulder"): ("velocity_coefficient",),
}
"""Columns that every row of a table has."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: its name, where it comes from, its quantities and its plain words and counts."""

    name: str
    source: str
    values: dict[str, Quantity]
    words: dict[str, Any]

    def __getitem__(self, column: str) -> Quantity:
        return self.values[column]


@cache
def _file(name: str) -> dict[str, Any]:
    return data_file("design", name)


def _rows(name: str, table: str, key: str, kind: str) -> Iterator[Row]:
    shared = _file(name).get("defaults", {})
    for written in _file(name)[table]:
        with written.checked():
            yield _row(written.filled(shared), key, kind, _NEEDED.get((name, table), (key,)))


def _row(entry: DataRow, key: str, kind: str, needed: tuple[str, ...]) -> Row:
    """Return a row read; a column that nobody reads is refused, and one that all rows need asked for."""
    entry.only(*_COLUMNS, *_WORDS)
    for column in needed:
        entry[column]
    source = f"{kind} {entry[key]!r}: {entry['source']}"
    basis = Basis.ASSUMED if entry["source"].startswith("assumed") else Basis.TABLE
    values = {}
    for column, dimension in _COLUMNS.items():
        if column in entry:
            read = entry.read(column, parse_quantity, dimension)
            values[column] = Quantity(read.value, read.spread, basis, source)
    return Row(entry[key], source, values, {k: v for k, v in entry.items() if k not in values})


@cache
def bottles() -> dict[str, Row]:
    """Return the generic bottles by name."""
    return {row.name: row for row in _rows("bottles", "row", "name", "bottle table")}


@cache
def materials() -> dict[str, Row]:
    """Return the materials by name."""
    return {row.name: row for row in _rows("materials", "row", "name", "material table")}


@cache
def _by_shape(table: str, key: str, kind: str) -> dict[str, Row]:
    return {row.name: row for row in _rows("defaults", table, key, kind)}


def _pick(rows: dict[str, Row], name: str, what: str) -> Row:
    if name in rows:
        return rows[name]
    near = get_close_matches(name, rows, 1, 0.4)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise KeyError(f"no {what} is called {name[:60]!r}; {hint}the table has {', '.join(rows)}")


def bottle(name: str) -> Row:
    """Return a generic bottle, by its name or by words such as ``"1.5 litre fizzy"``.

    Raises
    ------
    KeyError
        With the nearest name and all there are.
    """
    said = None if name in bottles() else bottle_size(name)
    if said is None:
        return _pick(bottles(), name, "bottle")
    volume, kind = said
    near = {row.name: row for row in bottles().values() if abs(_printed(row) - volume) < 0.02 * volume}
    alike = [row for row in near.values() if row.words["kind"] == kind]
    if alike:
        return alike[0]
    if near and kind is None:
        right = " or ".join(f"{row.name!r} if it held a {_DRINKS[row.words['kind']]} drink" for row in near.values())
        raise KeyError(f"{name[:60]!r} does not say which drink was in it, and the walls differ much; write {right}")
    raise KeyError(f"no bottle of {volume * 1e3:g} L is in the table; give its volume and what it held in place of a "
                   f'name, such as volume = "{volume * 1e3:g} L" and kind = "{kind or "still"}", or write one of '
                   f"{', '.join(bottles())}")


_DRINKS = {"carbonated": "fizzy", "still": "still"}


def _printed(row: Row) -> float:
    """Return the volume (m³) that is printed on a bottle of a row: the millilitres of its name."""
    return float(row.name.rpartition("-")[2]) * 1e-6


def material(name: str) -> Row:
    """Return a material's density (kg/m³), usual thickness (m) and, for cloth and film, mass per area (kg/m²).

    Raises
    ------
    KeyError
        With the nearest name and all there are.
    """
    return _pick(materials(), name, "material")


def nozzle(shape: str) -> Row:
    """Return the discharge coefficients of a nozzle shape."""
    return _by_shape("nozzle", "shape", "nozzle table")[shape]


def shoulder(half_angle: float) -> Quantity:
    """Return the velocity coefficient of a bare neck behind a shoulder of a half-angle, rad, held at both ends."""
    rows = list(_by_shape("shoulder", "half_angle", "shoulder table").values())
    angles = [parse_quantity(row.name, D.ANGLE).value for row in rows]
    at = min(max(half_angle, angles[0]), angles[-1])
    i = max(n for n in range(len(rows) - 1) if angles[n] <= at)
    part = (at - angles[i]) / (angles[i + 1] - angles[i])
    low, high = (row["velocity_coefficient"] for row in rows[i : i + 2])
    return Quantity(
        low.value + part * (high.value - low.value), low.spread + part * (high.spread - low.spread), Basis.TABLE,
        f"{rows[i].source}; {rows[i + 1].source}; the shoulder is at {math.degrees(half_angle):.0f} deg",
    )  # fmt: skip


def canopy(shape: str) -> Row:
    """Return drag coefficient, filling distance and usual number of lines of a canopy, or of ``"streamer"``."""
    return _by_shape("canopy", "shape", "canopy table")[shape]


def terrain(name: str) -> Row:
    """Return roughness length (m) and power-law exponent of a kind of ground."""
    return _by_shape("terrain", "name", "terrain table")[name]


@cache
def defaults() -> dict[str, str]:
    """Return the text of every single default by the path of the key that it fills."""
    return {entry["path"]: entry["value"] for entry in _file("defaults")["default"]}


@cache
def default(path: str, dimension: Dimension) -> Quantity:
    """Return the default of one key, knowing what it stands on."""
    entry = next(entry for entry in _file("defaults")["default"] if entry["path"] == path)
    read = parse_quantity(entry["value"], dimension)
    basis = Basis.TABLE if entry["basis"] == "table" else Basis.ASSUMED
    return Quantity(read.value, read.spread, basis, entry["source"])


@dataclass(frozen=True, slots=True)
class UsualSpread:
    """The ± that a value takes which is written without one.

    Parameters
    ----------
    size, share
        In SI units, and as a part of the value; one of them is zero.
    at_zero
        Whether a value of exactly 0 has it as well.
    text, source
        As the table has it, and why.
    """

    size: float
    share: float
    at_zero: bool
    text: str
    source: str


def usual_spread(path: str) -> UsualSpread | None:
    """Return the usual ± of a key, with * for the entries of lists: its own row, else that of its default."""
    return _spreads().get(path)


@cache
def _spreads() -> dict[str, UsualSpread]:
    known = {}
    for entry in _file("defaults")["default"]:
        _, sign, spread = entry["value"].partition("±")
        if sign and not entry["path"].startswith("rule."):
            known[entry["path"]] = UsualSpread(
                _size(spread), 0.0, True, spread.strip(), f"{spread.strip()}, as when it is left out")  # fmt: skip
    for entry in _file("defaults")["spread"]:
        share, size = entry.get("share"), entry.get("spread")
        text = share or size
        known[entry["path"]] = UsualSpread(
            _size(size) if size else 0.0, parse_quantity(share, D.NUMBER).value if share else 0.0,
            entry.get("at_zero", False), f"{share} of it" if share else text,
            f"{f'{share} of it' if share else text}, {entry['source']}",
        )  # fmt: skip
    return known


def _size(text: str) -> float:
    """Return a ± in SI units: a difference, so that degrees have no zero point."""
    unit = written_unit(text)
    factor = next(table[unit] for table in UNITS.values() if unit in table)
    return parse_quantity(text.replace(unit, "") if unit else text, D.NUMBER).value * factor
