"""Everything to get: rocket, launcher, supplies and tools, with mass, the builder's own price, and what is there."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType
from typing import Any

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.findings import Finding, Level, Stage
from bottlewright.make.dimensions import mm
from bottlewright.make.letting_out.words import opening_parts
from bottlewright.make.specification import Specification
from bottlewright.names import several
from bottlewright.quantities import UNITS, Basis, Dimension, Quantity, neat
from bottlewright.report.csv_text import csv_text

__all__ = [
    "Part", "PartsList", "code_of", "mass_unit", "measured_words", "parts_csv", "parts_list", "rocket_parts", "totals",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Part:
    """One line of the list.

    Parameters
    ----------
    code
        Short name that prices and stock go by, such as ``"bottle"``.
    group
        rocket, launcher, supplies or tools.
    mass
        Of all pieces together, kg with its spread, None where it does not fly.
    """

    code: str
    group: str
    name: str
    quantity: int = 1
    material: str = ""
    size: str = ""
    mass: Quantity | None = None


@dataclass(frozen=True, slots=True)
class PartsList:
    """The parts with what each line costs and how many are there already.

    Parameters
    ----------
    price
        A piece, by code; only what the builder priced.
    have
        By code.
    mass, spread
        Sum of one rocket's parts, kg.
    rockets
        How many are built: each has parts of its own; launcher, supplies and tools are for all.
    scale
        What the scale says of the whole rocket, where it was weighed.
    """

    parts: tuple[Part, ...]
    price: Mapping[str, float]
    have: Mapping[str, int]
    currency: str
    mass: float
    spread: float
    scale: Quantity | None
    rockets: int = 1

    def pieces(self, part: Part) -> int:
        """How many are needed for all rockets together."""
        return part.quantity * (self.rockets if part.group == "rocket" else 1)

    def to_buy(self, part: Part) -> int:
        """How many are still missing."""
        return max(self.pieces(part) - self.have.get(part.code, 0), 0)

    def cost(self, part: Part) -> float | None:
        """What the missing pieces cost, None without a price."""
        return None if part.code not in self.price else self.to_buy(part) * self.price[part.code]

    @property
    def total(self) -> float:
        """What all priced lines cost together."""
        return sum(cost for part in self.parts if (cost := self.cost(part)) is not None)

    @property
    def unpriced(self) -> list[str]:
        """Codes of what has to be bought and has no price."""
        return [part.code for part in self.parts if part.code not in self.price and self.to_buy(part)]


def rocket_parts(spec: Specification) -> list[Part]:
    """Return what flies: the same masses that the flight is worked out with."""
    design = spec.design
    vessel, nozzle, nose, fins, sleeve, recovery = (
        design.vessel, design.nozzle, design.nose, design.fins, design.sleeve, design.recovery)  # fmt: skip
    empty = vessel.empty_mass or Quantity(0.0)
    kind = f"bottle, {vessel.kind} drink"
    volume = neat(vessel.volume.value if vessel.volume else 0.0, "mL", 4)
    size = f"{volume}, Ø {spec.to_tenth(mm(vessel.diameter))}"
    rows: list[tuple[str, str, int, str, str, Quantity | None]] = [
        ("bottle", kind, vessel.count, "PET", size, _times(empty, vessel.count)),
    ]
    if "nozzle" in spec.features:
        rows.append(
            ("nozzle", "nozzle", 1, "plastic", f"bore {spec.length(mm(nozzle.bore))}, {nozzle.shape}", nozzle.mass)
        )
    if nose and nose.shape != "bottle":
        wall = f", wall {spec.length(mm(nose.wall))}" if nose.wall else ", solid"
        size = f"{spec.to_mm(spec.letting_out.nose)} long, Ø {spec.to_tenth(mm(nose.diameter))}{wall}"
        rows.append(("nose", f"nose, {nose.shape}", 1, _words(nose.material), size, nose.mass))
    if fins:
        long, wide = max(x for x, _ in spec.fin_corners), max(y for _, y in spec.fin_corners)
        size = f"{spec.to_mm(long, wide)}, {spec.length(mm(fins.thickness))} thick"
        rows.append(("fin", "fins", fins.count, _words(fins.material), size, fins.mass))
    if sleeve:
        size = f"{spec.to_mm(mm(sleeve.length))} long, Ø {spec.to_tenth(mm(sleeve.diameter))}, "
        size += spec.length(mm(sleeve.thickness))
        rows.append(("sleeve", "sleeve", 1, _words(sleeve.material), size, sleeve.mass))
    rows += [(code_of(one.name), one.name, 1, _words(one.material), f"at {spec.to_mm(mm(one.position))}", one.mass)
             for one in design.mass]
    if recovery.kind == "parachute":
        line = spec.to_mm(mm(recovery.line_length))
        size = f"{spec.to_mm(mm(recovery.diameter))}, {recovery.lines} lines of {line}"
        name = f"parachute, {recovery.canopy}"
        rows.append(("parachute", name, 1, _words(recovery.material), size, recovery.mass))
    elif recovery.kind == "streamer":
        size = spec.to_mm(mm(recovery.length), mm(recovery.width))
        rows.append(("streamer", "streamer", 1, _words(recovery.material), size, recovery.mass))
    elif recovery.kind == "rotor":
        size = f"{spec.to_mm(mm(recovery.diameter))} across, {recovery.lines} blades"
        rows.append(("rotor", "rotor", 1, _words(recovery.material), size, recovery.mass))
    elif recovery.kind == "two parts":
        rows.append(("cord", "cord between the parts", 1, "", spec.to_mm(mm(recovery.cord_length)), recovery.mass))
    rows += [(code, name, 1, of, f"{size}; weigh it", None) for code, name, of, size in opening_parts(spec)]
    return [Part(code, "rocket", name, count, of, size, mass) for code, name, count, of, size, mass in rows]


def _words(material: str | None) -> str:
    return (material or "").replace("-", " ")


def code_of(name: str) -> str:
    """Return the code by which prices and stock go, of a part's name."""
    return "-".join(re.findall(r"\w+", name.lower()))


def _times(quantity: Quantity, count: int) -> Quantity:
    return Quantity(quantity.value * count, quantity.spread * count, quantity.basis, quantity.source)


def _launcher_parts(spec: Specification) -> list[Part]:
    gear, habit = spec.design.launcher, spec.habit
    parts = [
        Part(
            f"stand-{code_of(p.name)}",
            "launcher",
            f"stand: {p.name}",
            p.count,
            p.section,
            spec.sawn(p.length),
        )
        for p in spec.pieces
    ]

    def rated(part: Any) -> str:
        return (
            f"rated {habit.pressure(part.rating.value)}"
            if part is not None and part.rating
            else f"rating on the part: ______ {'psi' if habit.psi else 'bar'}"
        )

    open_length = f"______ {'ft' if habit.inches else 'm'}"
    hose, cord, stakes, pump = gear.hose, gear.cord, gear.stakes, gear.pump
    long = habit.distance(hose.length.value) if hose and hose.length else open_length
    bore = f", bore {spec.length(mm(hose.bore))}" if hose and hose.bore else ""
    parts += [
        Part("hose", "launcher", "hose", 1, "pressure hose", f"{long}{bore}, {rated(hose)}"),
        Part("clamp", "launcher", f"hose clamp, {gear.clamp.kind if gear.clamp else 'worm'}", 2, "", rated(gear.clamp)),
        Part("coupling", "launcher", "connector", 1, "", rated(gear.coupling)),
        Part("valve", "launcher", f"valve, {gear.valve.kind if gear.valve else 'other'}", 1, "", rated(gear.valve)),
        Part(
            "gauge",
            "launcher",
            "pressure gauge",
            1,
            "",
            f"0 to {habit.pressure(gear.gauge.range.value)}"
            if gear.gauge and gear.gauge.range
            else "to twice the launch pressure",
        ),
        Part("bleed-valve", "launcher", "bleed valve at the operator's place", 1, "", ""),
        Part("pump", "launcher", "pump", 1, "", rated(pump)),
    ]
    if spec.stand.corded:
        thick = f", Ø {spec.length(mm(cord.diameter))}" if cord and cord.diameter else ""
        far = habit.distance(cord.length.value) if cord and cord.length else open_length
        parts.append(Part("cord", "launcher", "release cord", cord.count if cord else 2, "", far + thick))
    if mm(gear.tube_length) > 0.0:
        size = f"{spec.to_mm(mm(gear.tube_length))}, Ø {spec.length(mm(gear.tube_diameter))}"
        parts.append(Part("launch-tube", "launcher", "launch tube", 1, "", size))
    elif mm(gear.guide_length) > 0.0:
        parts.append(Part("guide", "launcher", "guide", 1, "smooth, stiff rod", spec.to_mm(mm(gear.guide_length))))
    if stakes and stakes.count:
        known = stakes.length and stakes.diameter
        size = f"{spec.to_mm(mm(stakes.length))}, Ø {spec.length(mm(stakes.diameter))}" if known else ""
        parts.append(Part("stake", "launcher", "stakes", stakes.count, "steel", size))
    return parts


def parts_list(
    spec: Specification, tools: Mapping[str, int] = MappingProxyType({}), supplies: Iterable[str] = (),
    prices: Mapping[str, float] | None = None,
) -> tuple[PartsList, list[Finding]]:  # fmt: skip
    """Return the list and what there is to say about prices and stock.

    Parameters
    ----------
    tools, supplies
        What the build steps ask for, and how many of each tool.
    prices
        From the builder's price file; prices in the design win.
    """
    design, rocket = spec.design, rocket_parts(spec)
    parts = [
        *rocket,
        *_launcher_parts(spec),
        *(Part(code_of(name), "supplies", name) for name in supplies),
        *(Part(code_of(name), "tools", name, count) for name, count in tools.items()),
    ]
    parts = [part for k, part in enumerate(parts) if part.code not in {p.code for p in parts[:k]}]  # a code, a line
    known = {part.code for part in parts}
    price, have = {**(prices or {}), **design.prices.each}, design.stock.have
    masses = [part.mass for part in rocket if part.mass is not None]
    listed = PartsList(
        tuple(parts),
        {code: value for code, value in price.items() if code in known},
        {code: value for code, value in have.items() if code in known},
        design.prices.currency,
        sum(m.value for m in masses),
        sum(m.spread**2 for m in masses) ** 0.5,
        design.measured.dry_mass,
        design.workshop.rockets or 1,
    )
    return listed, [
        *_unmatched("prices.each", price, known),
        *_unmatched("stock.have", have, known),
        *_no_prices(listed),
    ]


def _unmatched(path: str, given: Mapping[str, Any], known: set[str]) -> Iterable[Finding]:
    for code in given:
        if code not in known:
            near = get_close_matches(code, known, 1, 0.5)
            hint = f"Did you mean {near[0]!r}? " if near else ""
            yield Finding(
                Level.NOTE,
                Stage.MAKE,
                "unknown-part",
                "a line of your list counts for nothing",
                f"{path}.{code} matches no part",
                "the codes of the parts list",
                "this program",
                f"{hint}The first column of parts.csv has all codes.",
            )


def _no_prices(listed: PartsList) -> Iterable[Finding]:
    if not listed.price:
        yield Finding(
            Level.NOTE,
            Stage.MAKE,
            "no-prices",
            "the parts list has no costs",
            "no price matches a part",
            "your own prices, by code",
            "this program",
            "Write them under [prices.each], or name a CSV with the columns part and price in prices.file.",
        )


def parts_csv(listed: PartsList) -> str:
    """Return the list as CSV, SI units in the column names.

    Quantity, cost and what is to buy are for all rockets that are built; `rockets` says for how many, and a mass is
    that of one rocket's pieces.
    """
    heads = ["part", "group", "name", "quantity", "material", "size", "mass_kg", "mass_spread_kg", "mass_rests_on",
             "have", "to_buy", "price_each", "cost", "currency", "rockets"]  # fmt: skip
    return csv_text([heads, *(_csv_row(listed, part) for part in listed.parts)], line_end="\r\n")


def _csv_row(listed: PartsList, part: Part) -> list[object]:
    mass, cost = part.mass, listed.cost(part)
    return [
        part.code, part.group, part.name, listed.pieces(part), part.material, part.size,
        f"{mass.value:.6g}" if mass else "", f"{mass.spread:.3g}" if mass else "", str(mass.basis) if mass else "",
        listed.have.get(part.code, 0), listed.to_buy(part),
        f"{listed.price[part.code]:.2f}" if part.code in listed.price else "",
        "" if cost is None else f"{cost:.2f}",
        listed.currency, listed.rockets if part.group == "rocket" else "",
    ]  # fmt: skip


def mass_unit(habit: UnitHabit) -> str:
    """Return what the masses of the list are in, for the heads of its columns."""
    return "oz (g)" if habit.pounds else "g"


def _mass(habit: UnitHabit, mass: float, spread: float = 0.0, named: bool = True) -> str:
    """Return a mass, kg, with its spread; without the names of its units where the head of a column has them.

    A column may be broken between ounces and grams, never inside either.
    """

    def written(unit: str, decimals: int) -> str:
        factor = UNITS[Dimension.MASS][unit]
        join = " ± " if named else "\u00a0±\u00a0"
        numbers = join.join(f"{one / factor:.{decimals}f}" for one in ((mass, spread) if spread else (mass,)))
        return f"{numbers} {unit}" if named else numbers

    return f"{written('oz', 2)} ({written('g', 1)})" if habit.pounds else written("g", 1)


def measured_words(part: Part, habit: UnitHabit) -> tuple[str, str]:
    """Return the mass that was estimated and the mass that was weighed, as text; one of them is empty."""
    if part.mass is None:
        return "", ""
    text = _mass(habit, part.mass.value, part.mass.spread, named=False)
    return ("", text) if part.mass.basis is Basis.MEASURED else (text, "")


def totals(listed: PartsList, habit: UnitHabit) -> Sequence[tuple[str, str]]:
    """Return the closing lines of the list in words."""
    lines = [("Sum of the rocket's parts", _mass(habit, listed.mass, listed.spread))]
    if listed.scale is not None:
        off = listed.scale.value - listed.mass
        more = f"{_mass(habit, abs(off))} {'more' if off > 0 else 'less'} than the parts"
        lines.append(("The scale says", f"{_mass(habit, listed.scale.value)}, {more}"))
    if listed.price:
        whose = f" for {listed.rockets} rockets" if listed.rockets > 1 else ""
        lines.append((f"Still to pay{whose}", f"{listed.total:.2f} {listed.currency}".strip()))
        if listed.unpriced:
            lines.append(("No price yet", f"{several(len(listed.unpriced), 'line')}; the column is blank there"))
    return lines
