"""Names that have to be the same on every page and sheet, because two numbers would be mixed up without them."""

__all__ = ["MIDDLE_MARGIN", "NINE_MARGIN", "several"]

MIDDLE_MARGIN = "least static margin, middle flight"
NINE_MARGIN = "least static margin, nine flights in ten pass it"
"""Both are held against 1: the margin of one flight with no ± drawn, and the one by which so many flights are
steadier."""


def several(number: float, one: str, many: str = "") -> str:
    """Return a count with its noun: "1 flight", "2 flights".

    Parameters
    ----------
    one, many
        What is counted; in many its first word ends in s or es where it is left out.

    Examples
    --------
    >>> several(1, "flight"), several(2, "time under pressure"), several(3, "child", "children")
    ('1 flight', '2 times under pressure', '3 children')
    """
    first, space, rest = one.partition(" ")
    ending = "es" if first.endswith("ch") else "s"
    return f"{number:{'g' if number % 1 else '.0f'}} {one if number == 1 else many or f'{first}{ending}{space}{rest}'}"
