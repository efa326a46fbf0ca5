"""The colours of figures and pages by name: warm paper, ink, one teal, one orange; colour is never the only signal."""

from collections.abc import Iterable, Mapping

__all__ = ["BALANCE", "DARK", "DASHES", "LIGHT", "PRESSURE", "SERIES", "class_rules"]

LIGHT = {
    "paper": "#f6f1e7",
    "sheet": "#fbf8f1",
    "ink": "#1f2a30",
    "soft": "#5a635f",
    "rules": "#cfc6b4",
    "teal": "#0f5c63",
    "orange": "#ba4916",
    "blue": "#3d5fa8",
    "plum": "#8a4374",
    "ochre": "#866312",
    "wash": "#dfe6e0",
}
"""The page by day. Each name is also a CSS variable of the report."""

DARK = {
    "paper": "#14191c",
    "sheet": "#1a2125",
    "ink": "#e9e3d6",
    "soft": "#a5a79f",
    "rules": "#3b4548",
    "teal": "#5fb3b3",
    "orange": "#f08a4b",
    "blue": "#8fb0ee",
    "plum": "#d79bc5",
    "ochre": "#d6b65e",
    "wash": "#22343a",
}
"""The same names by night."""

SERIES = ("teal", "orange", "blue", "plum", "ochre")
"""Order of the lines in a chart: dark and light, blue and yellow, so that red-green blindness hides none."""

BALANCE, PRESSURE = "teal", "ink"
"""The colours of balance point and pressure centre: neither the warm partner of the other, and told apart by readers
with any of the colour blindnesses; their shapes, triangle and diamond, say the same."""

DASHES: tuple[tuple[float, ...], ...] = ((), (6, 2), (1, 1.4), (7, 2, 1.5, 2), (3, 2))
"""The line pattern that goes with each colour of `SERIES`, in widths of the line, so that a grey print still tells them
apart."""


def class_rules(colours: Mapping[str, str], names: Iterable[str] | None = None) -> str:
    """Return the style of a figure: what the classes of a stroke, a fill and a halo in each colour mean.

    Parameters
    ----------
    colours
        By name, as CSS writes them.
    names
        Those that the figure uses; all when left out.
    """
    wanted = colours if names is None else sorted(names)
    rules = "".join(f".bw .s-{one}{{stroke:{colours[one]}}}.bw .f-{one}{{fill:{colours[one]}}}" for one in wanted)
    return f"{rules}.bw .halo{{stroke:{colours['sheet']}}}"
