"""Words of the trade for a page: linked where they stand, and explained."""

import re
from functools import lru_cache
from typing import NamedTuple

from bottlewright.names import MIDDLE_MARGIN, NINE_MARGIN

__all__ = ["MIDDLE_MARGIN", "NINE_MARGIN", "Explained", "explained", "here", "linked", "word_picture"]

LEADS_TO = "/words/"
"""What comes before a word's own name in the address that explains it."""


class Explained(NamedTuple):
    """A word: its name in an address, itself, its everyday name, what it is, and the drawing that shows it.

    `shows` says what the drawing shows, for whoever can't see it; both are empty where none helps.
    """

    anchor: str
    name: str
    everyday: str
    says: str
    picture: str
    shows: str


def here(text: str) -> str:
    """Return words of the verdict for whoever has pages: what a command would do, a page does."""
    return re.sub(r" \(the command `[^`]*`[^()]*\)|, see the table", "", text)


def explained() -> list[Explained]:
    """Return all words in the order of the alphabet."""
    from bottlewright.report.glossary import glossary, picture_words

    return [
        Explained(one.anchor, one.name, one.everyday, one.says, one.picture,
                  picture_words(one.picture) if one.picture else "")
        for one in glossary().values()
    ]  # fmt: skip


@lru_cache(maxsize=1024)
def linked(html: str) -> str:
    """Return a piece of a page with each word of the trade, at its first use there, leading to what it means."""
    from bottlewright.report.glossary import link_words

    return link_words(html)[0].replace('class="word" href="#', f'class="word" href="{LEADS_TO}')


def word_picture(name: str) -> str | None:
    """Return a drawing of the glossary as SVG; None where there is none of that name."""
    from bottlewright.report.glossary import picture_svg

    return picture_svg(name) if name in {one.picture for one in explained() if one.picture} else None
