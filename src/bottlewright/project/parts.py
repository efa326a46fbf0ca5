"""What to get for a rocket: parts, supplies and tools, what is there already, what it costs, and what is missing."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.make.parts import Part, PartsList
    from bottlewright.project.editing import Values
    from bottlewright.project.project import Project

__all__ = ["PartRow", "Parts", "entered_part", "parts_of"]

_MOST = 10_000


class PartRow(NamedTuple):
    """One line of the list, in words.

    Parameters
    ----------
    code
        Short name that prices and stock go by.
    needed, to_buy
        Pieces for all rockets, and those that are missing.
    have
        How many are there; empty where nobody said.
    price, price_from
        Of a piece, and where it comes from: the design or the price file; both empty without one.
    cost
        Of the missing pieces; empty without a price, or where nothing is missing.
    """

    code: str
    group: str
    name: str
    what: str
    needed: int
    have: str
    to_buy: int
    price: str
    price_from: str
    cost: str


@dataclass(frozen=True)
class Parts:
    """The parts of a design.

    Parameters
    ----------
    project, listed
        Whose they are, and the list that the pack prints too.
    """

    project: "Project"
    listed: "PartsList"

    @cached_property
    def rows(self) -> list[PartRow]:
        """A row for each part: rocket, launcher, supplies, tools."""
        return [self._row(part) for part in self.listed.parts]

    def _row(self, part: "Part") -> PartRow:
        listed, own = self.listed, self.project.design.prices
        price, cost, missing = listed.price.get(part.code), listed.cost(part), listed.to_buy(part)
        source = "" if price is None else "this design" if part.code in own.each else own.file or ""
        return PartRow(
            part.code, part.group, part.name, ", ".join(filter(None, (part.material, part.size))), listed.pieces(part),
            str(listed.have.get(part.code, "")), missing, "" if price is None else f"{price:.2f}", source,
            f"{cost:.2f}" if missing and cost is not None else "",
        )  # fmt: skip

    @property
    def currency(self) -> str:
        """What the prices are in, as the design calls it."""
        return self.listed.currency

    @property
    def total(self) -> str:
        """What the missing pieces that have a price cost together."""
        return f"{self.listed.total:.2f} {self.listed.currency}".strip()

    @property
    def unpriced(self) -> list[str]:
        """Names of what is missing and has no price."""
        codes = set(self.listed.unpriced)
        return [part.name for part in self.listed.parts if part.code in codes]

    @property
    def missing(self) -> list[str]:
        """What has to be bought or found: how many, and what."""
        return [f"{row.to_buy} × {row.name}" for row in self.rows if row.to_buy]


def parts_of(project: "Project") -> Parts:
    """List the parts of a design; nothing is flown for it, and nothing written. See `Project.parts`."""
    from bottlewright.make.inputs import prices_beside
    from bottlewright.make.parts import parts_list
    from bottlewright.make.plan.steps import build_steps, tools_and_supplies
    from bottlewright.make.specification import specify
    from bottlewright.make.template_values import template_values

    spec = specify(project.design, {})
    needed = tools_and_supplies(build_steps(spec, template_values(spec)), project.design.workshop)
    return Parts(project, parts_list(spec, *needed, prices_beside(project.design, project.folder))[0])


def entered_part(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change that says what a part costs and how many are there, as typed.

    It stands in the design, where it beats the price file; what is empty is taken out.

    Parameters
    ----------
    given
        The part's ``code``; its ``price``, such as ``"2.50"`` or ``"2,50 crowns"``; how many are there, ``have``.

    Raises
    ------
    FieldsError
        With what is wrong, by field.
    """
    code, parts = given.get("code", ""), parts_of(project)
    row = next((one for one in parts.rows if one.code == code), None)
    if row is None:
        raise InputError(f"{code or 'Nothing'} is no part of this design")
    values: dict[str, str | int | float | bool | list[str] | None] = {}
    wrong: dict[str, str] = {}
    price, have = " ".join(given.get("price", row.price).split()), given.get("have", row.have).strip()
    if have != row.have:
        values[f"stock.have.{code}"] = int(have) if have.isdecimal() and len(have) < 6 else None
        if have and not (have.isdecimal() and len(have) < 6 and int(have) <= _MOST):
            wrong["have"] = f"has to be a whole number from 0 to {_MOST}, or nothing, not {have[:40]!r}"
    if price != row.price:
        try:
            values |= _priced(parts, code, price)
        except ValueError as error:
            wrong["price"] = str(error)
    if wrong:
        raise FieldsError(wrong)
    return values


def _priced(parts: Parts, code: str, words: str) -> dict[str, float | str | None]:
    """Return the change of a price; money that is written beside it is the list's, or names it where none was."""
    from bottlewright.design.price_file import read_price

    if not words:
        own = parts.project.design.prices
        if code not in own.each:
            raise ValueError(f"this price stands in {own.file}: change it there, or write another here")
        return {f"prices.each.{code}": None}
    number = words.strip("".join(one for one in words if not one.isdecimal() and one not in ".,"))
    money = words.replace(number, "", 1).strip()
    if money and parts.currency and money.casefold() != parts.currency.casefold():
        raise ValueError(f"the other prices are in {parts.currency}, not {money[:20]!r}")
    values: dict[str, float | str | None] = {f"prices.each.{code}": read_price(number)}
    return values | ({"prices.currency": money} if money and not parts.currency else {})
