"""One comparison with a value from outside, and a table of them in Markdown."""

from collections.abc import Iterable
from typing import NamedTuple


class Row(NamedTuple):
    """What was compared, whose value, its unit, the value, ours, how far off is a hit (same unit), a remark.

    A miss that is known and explained carries how far off it is.
    """

    what: str
    source: str
    unit: str
    reference: float
    ours: float
    allowed: float
    remark: str = ""
    known_miss: float | None = None

    @property
    def off(self) -> float:
        return self.ours - self.reference

    @property
    def hit(self) -> bool:
        return abs(self.off) <= self.allowed


def table(rows: Iterable[Row]) -> str:
    """Return the comparisons as a Markdown table, a miss in bold."""
    lines = ["| check | source | reference | ours | off | verdict |", "|---|---|---|---|---|---|"]
    for row in rows:
        verdict = "hit" if row.hit else "**miss**"
        share = f"{row.off:+.2g}" + (f" ({row.off / row.reference:+.2%})" if row.reference else "")
        what = row.what + (f"<br>{row.remark}" if row.remark else "")
        reference = f"{row.reference:.7g} ± {row.allowed:.2g} {row.unit}".strip()
        lines.append(f"| {what} | {row.source} | {reference} | {row.ours:.6g} | {share} | {verdict} |")
    return "\n".join(lines) + "\n"
