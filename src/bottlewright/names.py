"""Names that have to be the same on every page and sheet, because two numbers would be mixed up without them."""

__all__ = ["MIDDLE_MARGIN", "NINE_MARGIN"]

MIDDLE_MARGIN = "least static margin, middle flight"
NINE_MARGIN = "least static margin, nine flights in ten pass it"
"""Both are held against 1: the margin of one flight with no ± drawn, and the one by which so many flights are
steadier."""
