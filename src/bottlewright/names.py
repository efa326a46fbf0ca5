"""Names that have to be the same on every page and sheet, because two numbers would be mixed up without them."""

__all__ = ["MIDDLE_MARGIN", "NINE_MARGIN", "many"]

MIDDLE_MARGIN = "least static margin, middle flight"
NINE_MARGIN = "least static margin, nine flights in ten pass it"
"""Both are held against 1: the margin of one flight with no ± drawn, and the one by which so many flights are
steadier."""


def many(count: int, what: str) -> str:
    """Return how many of a thing there are: "1 flight", "2 flights"; what follows the first word stays as it is.

    Examples
    --------
    >>> many(1, "flight"), many(2, "time under pressure"), many(0, "row")
    ('1 flight', '2 times under pressure', '0 rows')
    """
    first, space, rest = what.partition(" ")
    ending = "" if count == 1 else "es" if first.endswith("ch") else "s"
    return f"{count} {first}{ending}{space}{rest}"
