"""The glossary: words of the trade with an everyday name, a plain explanation and a picture where one helps.

The words lie in data/glossary.toml. The report links them to its last part, the printed pack to its page of words,
docs/glossary.md lists them all, and whatever prints a text can ask which of them it uses.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bottlewright.data_file import data_file, each

__all__ = ["Word", "beside", "glossary", "glossary_page", "link_words", "picture_svg", "picture_words", "words_in"]


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the trade.

    Parameters
    ----------
    name, everyday, says
        The word, the everyday name beside it, and what it is.
    also
        Other forms under which a text may use it.
    picture
        Name of the drawing that shows it, empty where none does.
    """

    name: str
    everyday: str
    says: str
    also: tuple[str, ...] = ()
    picture: str = ""

    @property
    def anchor(self) -> str:
        """Where a page explains the word, such as ``"word-static-margin"``."""
        return "word-" + "-".join(re.findall(r"[a-z]+", self.name.lower()))


@cache
def _data() -> tuple[Mapping[str, Word], Mapping[str, str]]:
    tables = data_file("report", "glossary")
    words = each(tables["word"], lambda row: Word(**{**row, "also": tuple(row.get("also", ()))}))
    return {word.name: word for word in sorted(words, key=lambda word: word.anchor)}, tables["pictures"]


def glossary() -> Mapping[str, Word]:
    """Return all words by name, in the order of the alphabet."""
    return _data()[0]


def picture_words(picture: str) -> str:
    """Return what a drawing shows, for whoever can't see it."""
    return _data()[1][picture]


def picture_svg(picture: str) -> str:
    """Return a drawing of the glossary as SVG, in the colours of the paper."""
    return (files("bottlewright.report") / "data" / "words" / f"{picture}.svg").read_text(encoding="utf-8")


def beside(name: str) -> str:
    """Return a word with its everyday name: ``"apogee (highest point)"``."""
    return f"{name} ({glossary()[name].everyday})"


# --- words in a text ----------------------------------------------------------------------------------------------


@cache
def _forms() -> Mapping[str, Word]:
    return {form.lower(): word for word in glossary().values() for form in (word.name, *word.also)}


@cache
def _any_word() -> re.Pattern[str]:
    longest_first = sorted(_forms(), key=len, reverse=True)
    either = "|".join(re.escape(form).replace(r"\ ", r"\s+") for form in longest_first)
    return re.compile(rf"(?<![\w.])({either})(?![\w.]*\w|[\w-]*\.\w)", re.I)  # and no file's name


def _word(hit: str) -> Word:
    return _forms()[" ".join(hit.lower().split())]


def words_in(texts: Iterable[str]) -> list[Word]:
    """Return the words that the texts use, and those that their explanations use, in the order of the alphabet."""
    found: set[str] = set()
    left = list(texts)
    while left:
        fresh = {_word(hit).name for hit in _any_word().findall(left.pop())} - found
        found |= fresh
        left += [glossary()[name].says for name in fresh]
    return [word for name, word in glossary().items() if name in found]


_PIECE = re.compile(r"<!--.*?-->|<[^>]*>|[^<]+", re.S)
_TAG = re.compile(r"<(/?)(\w+)")
_UNLINKED = frozenset({"a", "code", "h2", "style", "summary", "svg", "thead"})
"""Elements whose words lead nowhere: they lead somewhere already, or are seen only in part."""


def link_words(html: str, but: Iterable[str] = ()) -> tuple[str, list[Word]]:
    """Link each word, at its first use in a piece of the page, to the place that explains it.

    Parameters
    ----------
    html
        Markup of ours: well formed, with `<` and `>` of texts escaped.
    but
        Names of words to leave alone.

    Returns
    -------
    tuple
        The markup, and the words that were linked.
    """
    linked: dict[str, Word] = {}
    left_alone = set(but)

    def link(hit: re.Match[str]) -> str:
        word = _word(hit[0])
        if word.name in linked or word.name in left_alone:
            return hit[0]
        linked[word.name] = word
        return f'<a class="word" href="#{word.anchor}" title="{word.everyday}">{hit[0]}</a>'

    pieces, inside = [], 0
    for piece in _PIECE.findall(html):
        tag = _TAG.match(piece)
        if tag and tag[2] in _UNLINKED and not piece.endswith("/>"):
            inside += -1 if tag[1] else 1
        pieces.append(piece if piece.startswith("<") or inside else _any_word().sub(link, piece))
    return "".join(pieces), list(linked.values())


# --- the page of the handbook -------------------------------------------------------------------------------------


def glossary_page(folder: str) -> str:
    """Return the whole glossary as a page of Markdown; `folder` is where its drawings lie, seen from the page."""
    lead = "Words of the trade, each with an everyday name. The report of a study explains those that it uses."
    lines = ["# Words", "", lead, ""]
    shown: set[str] = set()
    for word in glossary().values():
        lines += [f'<a id="{word.anchor}"></a>**{word.name}**: {word.everyday}. {word.says}', ""]
        if word.picture and word.picture not in shown:
            shown.add(word.picture)
            lines += [f"![{picture_words(word.picture)}]({folder}/{word.picture}.svg)", ""]
    return "\n".join(lines)
