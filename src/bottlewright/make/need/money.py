"""What the rockets and one launcher cost, as far as anybody has written a price."""

from collections.abc import Iterator, Sequence

from bottlewright.make.need.asked import UNKNOWN, Asked, Count, RestsOn, amount, table, things, vessels_in_use
from bottlewright.make.need.figures import Figures
from bottlewright.make.parts import Part
from bottlewright.names import several

__all__ = ["money", "one_money"]


def _pieces(part: Part, asked: Asked, bottles: int) -> int:
    """Return how many pieces of a part all rockets together need; launcher, tools and supplies are there once."""
    if part.code == "bottle":
        return bottles
    if part.code == "pump":
        return 1 + int(table()["spare_pumps"])
    return part.quantity * (vessels_in_use(asked) if part.group == "rocket" else 1)


def money(asked: Asked, of: Figures, rows: Sequence[Count]) -> Iterator[Count]:
    """Add up what has a price, and say what has none."""
    listed, bottles = of.parts, int(amount(rows, "bottles"))
    money = listed.currency or asked.currency
    buy = {part: max(_pieces(part, asked, bottles) - listed.have.get(part.code, 0), 0) for part in listed.parts}
    priced = {part: count * listed.price[part.code] for part, count in buy.items() if part.code in listed.price}
    bare = [part.name for part, count in buy.items() if count and part.code not in listed.price]
    cost = sum(priced.values())
    if priced:
        yield Count("Money", "cost", "What has a price", cost, money, f"{cost:.2f} {money}".strip(),
                    f"{several(len(priced), 'line')} of your price list: rocket parts for every rocket, launcher, "
                    "tools and supplies once, less what is in stock.", RestsOn.DESIGN)  # fmt: skip
    else:
        yield Count("Money", "cost", "What has a price", None, money, UNKNOWN,
                    "The design has no price list, so nothing was added up.", RestsOn.NOBODY)  # fmt: skip
    names = ", ".join(bare[:6]) + (f" and {len(bare) - 6} more" if len(bare) > 6 else "")
    yield things("Money", "unpriced", "Lines with no price", len(bare), f"Not in the sum: {names}. Goggles neither."
                  if bare else "Goggles are not in the sum.", RestsOn.NOBODY)  # fmt: skip
    if asked.budget is None:
        return
    shown = f"{asked.budget:.2f} {asked.currency or money}".strip()
    left = f"{asked.budget - cost:.2f} less what has no price is left." if priced and one_money(asked, of) else (
        "Nothing to hold it against.")  # fmt: skip
    if priced and one_money(asked, of) and asked.budget < cost:
        left = f"What has a price is over it by {cost - asked.budget:.2f}."
    yield Count("Money", "budget", "Your budget", asked.budget, asked.currency or money, shown, left, RestsOn.ASKED)


def one_money(asked: Asked, of: Figures) -> bool:
    """Say whether budget and price list are in one money, as far as anybody can tell."""
    return not (asked.currency and of.parts.currency) or asked.currency.lower() == of.parts.currency.lower()

