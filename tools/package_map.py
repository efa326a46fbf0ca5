"""The map of the packages in CONTRIBUTING.md and docs/figures/packages.svg, drawn from the imports: `make map`."""

import ast
from collections import defaultdict
from html import escape
from pathlib import Path

from bottlewright.figures.colours import LIGHT

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "src" / "bottlewright"
MARKS = ("<!-- packages: made by make map -->\n", "<!-- packages end -->\n")
ACROSS, DOWN, WIDE, HIGH = 124, 64, 100, 32

Uses = dict[str, set[str]]


def uses() -> Uses:
    """Return which packages and single modules of ours each of them imports."""
    found: Uses = defaultdict(set)
    for path in PACKAGE.rglob("*.py"):
        own = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
        if own.startswith("__"):
            continue
        named = {name for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) for name in _ours(node)}
        found[own] |= {name for name in named if name != own and not name.startswith("__")}
    return dict(sorted(found.items()))


def _ours(node: ast.AST) -> list[str]:
    if isinstance(node, ast.ImportFrom) and node.module:
        whole = node.module == "bottlewright"
        names = [f"{node.module}.{alias.name}" if whole else node.module for alias in node.names]
    elif isinstance(node, ast.Import):
        names = [alias.name for alias in node.names]
    else:
        return []
    return [name.split(".")[1] for name in names if name.startswith("bottlewright.")]


def levels(found: Uses) -> dict[str, int]:
    """Return how high each lies: one above the highest that it uses."""
    high: dict[str, int] = {}

    def level(name: str) -> int:
        if name not in high:
            high[name] = 1 + max((level(below) for below in found[name]), default=-1)
        return high[name]

    return {name: level(name) for name in found}


def nearest(found: Uses) -> Uses:
    """Return the uses that do not follow from the others: what a map has to draw."""
    reach: Uses = {}

    def below(name: str) -> set[str]:
        if name not in reach:
            reach[name] = found[name].union(*map(below, found[name]))
        return reach[name]

    return {name: {one for one in used if not any(one in below(other) for other in used)}
            for name, used in found.items()}  # fmt: skip


def table(found: Uses) -> str:
    """Return the map in words, the highest first."""
    high, near = levels(found), nearest(found)
    lines = ["| package | what it is | uses, and all that these use |", "| --- | --- | --- |"]
    for name in sorted(found, key=lambda one: (-high[one], one)):
        below = ", ".join(f"`{one}`" for one in sorted(near[name])) or "nothing"
        lines.append(f"| `{name}` | {_about(name)} | {below} |")
    return "\n".join(lines) + "\n"


def _about(name: str) -> str:
    path = PACKAGE / name / "__init__.py"
    path = path if path.exists() else PACKAGE / f"{name}.py"
    told = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return " ".join(told.split("\n\n")[0].split()).rstrip(".").replace("|", "/")


def drawing(found: Uses) -> str:
    """Return the map as a drawing: a row for each level, lines down to what each uses next."""
    high, near = levels(found), nearest(found)
    rows = [sorted(name for name in found if high[name] == level) for level in range(max(high.values()), -1, -1)]
    width, height = ACROSS * max(map(len, rows)), DOWN * len(rows)
    at = {name: (ACROSS * (number + 0.5) + (width - ACROSS * len(row)) / 2, DOWN * (depth + 0.5))
          for depth, row in enumerate(rows) for number, name in enumerate(row)}  # fmt: skip
    lines = [_line(at[one], at[two], number) for one in sorted(near) for number, two in enumerate(sorted(near[one]))]
    boxes = [_box(name, *at[name]) for name in sorted(at)]
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img">'
    title = "<title>Packages; a line leads from each to those below that it uses</title>"
    ground = f'<rect width="{width}" height="{height}" fill="{LIGHT["paper"]}"/>'
    return "\n".join([head, title, ground, *lines, *boxes, "</svg>", ""])


def _line(one: tuple[float, float], two: tuple[float, float], number: int) -> str:
    """Return a line; one that passes rows goes round what stands in them."""
    rows = (two[1] - one[1]) / DOWN
    side = (WIDE / 2 + 8 * rows) * (rows > 1) * (1 if two[0] > one[0] or (two[0] == one[0] and number % 2) else -1)
    bends = [f"{x + side:.0f} {y:.0f}" for (x, _), y in ((one, one[1] + DOWN / 2), (two, two[1] - DOWN / 2))]
    path = f"M{one[0]:.0f} {one[1]:.0f}C{bends[0]} {bends[1]} {two[0]:.0f} {two[1]:.0f}"
    return f'<path d="{path}" fill="none" stroke="{LIGHT["soft"]}"/>'


def _box(name: str, x: float, y: float) -> str:
    left, top = x - WIDE / 2, y - HIGH / 2
    return (f'<rect x="{left:.0f}" y="{top:.0f}" width="{WIDE}" height="{HIGH}" fill="{LIGHT["sheet"]}" '
            f'stroke="{LIGHT["ink"]}"/><text x="{x:.0f}" y="{y + 5:.0f}" font-family="sans-serif" font-size="14" '
            f'text-anchor="middle" fill="{LIGHT["ink"]}">{escape(name)}</text>')  # fmt: skip


def page_with(text: str, found: Uses) -> str:
    """Return CONTRIBUTING.md with the table of today."""
    before, rest = text.split(MARKS[0])
    return before + MARKS[0] + table(found) + MARKS[1] + rest.split(MARKS[1], 1)[1]


def main() -> None:
    """Write both."""
    found, page = uses(), ROOT / "CONTRIBUTING.md"
    page.write_text(page_with(page.read_text(encoding="utf-8"), found), encoding="utf-8", newline="")
    (ROOT / "docs" / "figures" / "packages.svg").write_text(drawing(found), encoding="utf-8", newline="")


if __name__ == "__main__":
    main()
