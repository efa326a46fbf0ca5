"""The page of words at the end of the pack: what the typesetter needs to find, link and explain them.

The typesetter itself finds the words, for only it knows what ends up on paper.
"""

import re
from typing import Any

from bottlewright.figures.colours import LIGHT
from bottlewright.report.glossary import Word, glossary, picture_svg, picture_words, words_in

__all__ = ["words_data"]


def words_data() -> dict[str, Any]:
    """Return the glossary for the typesetter.

    Returns
    -------
    dict
        ``forms``: every form in small letters, and the word that it is one of; ``pattern``: what a hit looks like, with
        whatever is joined to it, so that a file's name is no hit; ``list``: the words in the order of the alphabet,
        each with those that its explanation and its drawing need; ``pictures``: the drawings, on white.
    """
    words = glossary().values()
    forms = {form.lower(): word.anchor for word in words for form in (word.name, *word.also)}
    either = "|".join(r"\s+".join(map(re.escape, form.split())) for form in sorted(forms, key=len, reverse=True))
    return {
        "forms": forms,
        "pattern": rf"(?i)[\w.]*(?:{either})(?:[\w-]*\.\w[\w.-]*|[\w.]*)",
        "list": [
            {
                "key": word.anchor,
                "name": word.name,
                "everyday": word.everyday,
                "says": word.says,
                "picture": word.picture,
                "needs": [other.anchor for other in _needed(word)],
            }
            for word in words
        ],
        "pictures": {
            name: {"svg": picture_svg(name).replace(LIGHT["sheet"], "#ffffff"), "says": picture_words(name)}
            for name in sorted({word.picture for word in words} - {""})
        },
    }


def _needed(word: Word) -> list[Word]:
    """Return the word, and all words that its explanation or its drawing uses, theirs included."""
    needed: list[Word] = [word]
    for one in needed:  # grows as it goes
        texts = [one.says, picture_words(one.picture) if one.picture else ""]
        needed += [other for other in words_in(texts) if other not in needed]
    return needed
