"""Colours and the figure style: warm paper, ink, one teal, one orange; colour is never the only signal."""

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast
from weakref import WeakKeyDictionary

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = [
    "BALANCE",
    "DARK",
    "DASHES",
    "FULL_WIDTH",
    "LIGHT",
    "MM",
    "NARROW",
    "PRESSURE",
    "SERIES",
    "Event",
    "Picture",
    "inline_drawing",
    "inline_svg",
    "mark_events",
    "paper_style",
    "picture",
    "picture_files",
    "save_picture",
    "write_file",
]

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

DASHES: tuple[Any, ...] = ("-", (0, (6, 2)), (0, (1, 1.4)), (0, (7, 2, 1.5, 2)), (0, (3, 2)))
"""The line pattern that goes with each colour of `SERIES`, so that a grey print still tells them apart."""

MM = 1 / 25.4
"""Inches in a millimetre: figures are laid out in mm."""

FULL_WIDTH = 165.0
"""Width of a figure that fills the column, mm; a narrower one stays narrower, so that all lettering has one size."""

NARROW = 92.0
"""Width of a figure on a telephone, and of one of two side by side on paper, mm."""

_RC: Any = {
    "figure.facecolor": LIGHT["sheet"],
    "axes.facecolor": "none",
    "text.color": LIGHT["ink"],
    "axes.labelcolor": LIGHT["ink"],
    "axes.edgecolor": LIGHT["soft"],
    "xtick.color": LIGHT["soft"],
    "ytick.color": LIGHT["soft"],
    "xtick.labelcolor": LIGHT["ink"],
    "ytick.labelcolor": LIGHT["ink"],
    "axes.grid": True,
    "grid.color": LIGHT["rules"],
    "grid.linewidth": 0.5,
    "axes.axisbelow": True,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.6,
    "xtick.major.width": 0.6,
    "ytick.major.width": 0.6,
    "xtick.major.size": 3,
    "ytick.major.size": 3,
    "font.family": "DejaVu Sans",
    "font.size": 8,
    "axes.titlesize": 9,
    "axes.labelsize": 8,
    "xtick.labelsize": 8,
    "ytick.labelsize": 8,
    "axes.titlelocation": "left",
    "axes.titleweight": "bold",
    "lines.linewidth": 1.6,
    "lines.solid_capstyle": "round",
    "lines.dash_capstyle": "butt",
    "axes.formatter.use_mathtext": False,
    "axes.unicode_minus": True,
    "figure.constrained_layout.h_pad": 0.09,
    "figure.constrained_layout.w_pad": 0.11,
    "figure.constrained_layout.hspace": 0.06,
    "figure.constrained_layout.wspace": 0.08,
    "svg.fonttype": "none",
    "svg.hashsalt": "bottlewright",
    "figure.dpi": 100,
    "path.simplify": True,
    "path.simplify_threshold": 0.1,
}


@dataclass(frozen=True, slots=True)
class Event:
    """A moment worth a mark on a chart, at a time in seconds."""

    time: float
    label: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure: its file name without ending, its caption, and what it shows in words for a screen reader.

    `narrow` is the same drawn for a telephone, and for half the width of a printed page: its lettering keeps its size.
    """

    name: str
    caption: str
    alt: str
    figure: "Figure"
    narrow: "Figure | None" = None


def picture(name: str, caption: str, alt: str, draw: Callable[[float], "Figure"]) -> Picture:
    """Return a figure drawn twice, wide and narrow; `draw` takes the width in mm."""
    return Picture(name, caption, alt, draw(FULL_WIDTH), draw(NARROW))


@contextmanager
def paper_style() -> Iterator[None]:
    """Draw in the house style while inside; other figures of the process keep their own."""
    import matplotlib

    with matplotlib.rc_context(_RC):
        yield


def mark_events(axes: "Axes", events: Sequence[Event], label: bool = True) -> int:
    """Rule a thin line at each event inside the axes' span, its name above; return the rows that the names took."""
    low, high = axes.get_xlim()
    figure = axes.figure
    width_pt = axes.get_position().width * figure.get_figwidth() * 72  # type: ignore[union-attr]
    row_ends: list[float] = []
    for event in sorted(events, key=lambda one: one.time):
        if not low <= event.time <= high:
            continue
        axes.axvline(event.time, color=LIGHT["soft"], lw=0.7, ls=(0, (2, 2)), zorder=1)
        if not label:
            continue
        at = (event.time - low) / (high - low) * width_pt
        long = 4.6 * len(event.label)
        start = min(at, width_pt - long)
        row = next((k for k, end in enumerate(row_ends) if end + 6 < start), len(row_ends))
        row_ends[row : row + 1] = [start + long]
        axes.annotate(
            event.label,
            (start / width_pt, 1.0),
            xycoords="axes fraction",
            xytext=(0, 3 + 10 * row),
            textcoords="offset points",
            fontsize=7.5,
            color=LIGHT["soft"],
            va="bottom",
            ha="left",
        )
    return len(row_ends)


_drawn: WeakKeyDictionary["Figure", str] = WeakKeyDictionary()
"""The SVG of each figure that is still in use."""


def svg_text(figure: "Figure") -> str:
    """Return the figure as SVG: text stays text, and the same figure gives the same bytes. It is drawn once."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    if figure not in _drawn:
        stream, canvas = BytesIO(), cast(Any, FigureCanvasSVG(figure))
        with _drawing(figure):
            canvas.print_svg(stream, metadata={"Date": None})
        _drawn[figure] = stream.getvalue().decode()
        figure.set_layout_engine("none")  # a PNG of it keeps this layout
    return _drawn[figure]


def _png(figure: "Figure") -> bytes:
    """Return the figure at 160 dots an inch, laid out as its SVG is."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    svg_text(figure)
    stream, canvas = BytesIO(), cast(Any, FigureCanvasAgg(figure))
    with _drawing(figure):
        canvas.print_png(stream)
    return stream.getvalue()


@contextmanager
def _drawing(figure: "Figure") -> Iterator[None]:
    """Draw straight on a canvas: `savefig` would draw a figure that is laid out by itself twice."""
    before = figure.dpi
    figure.dpi = 160
    with paper_style():
        yield
    figure.dpi = before


def inline_svg(picture: Picture, narrow: bool = False) -> str:
    """Return the picture for a page: its names its own, no wider than its share of the column."""
    figure = picture.narrow if narrow and picture.narrow else picture.figure
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg_text(figure), flags=re.S)
    svg = re.sub(r'(id="|xlink:href="#|url\(#)', rf"\g<1>{picture.name}-{'narrow-' * narrow}", svg)
    return inline_drawing(svg, picture.alt, min(1.0, figure.get_figwidth() / ((NARROW if narrow else FULL_WIDTH) * MM)))


def inline_drawing(svg: str, alt: str, share: float = 1.0) -> str:
    """Return an SVG for a page: its colours the page's variables, its width that of its place, described in words."""
    svg = svg[svg.index("<svg") :]
    names = {colour: name for name, colour in LIGHT.items()}
    svg = re.sub(r"#[0-9a-f]{6}\b", lambda hit: f"var(--{names[hit[0]]})" if hit[0] in names else hit[0], svg)
    svg = re.sub(r'(<svg[^>]*?) height="[^"]*"', r"\1", svg, count=1)
    svg = re.sub(r'(<svg[^>]*?) width="[^"]*"', rf'\1 style="--share:{share:.2f}" role="img"', svg, count=1)
    return re.sub(r"<svg[^>]*>", lambda head: f"{head[0]}<title>{_escape(alt)}</title>", svg, count=1)


def _escape(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def picture_files(picture: Picture) -> dict[str, bytes]:
    """Return the picture as SVG and as PNG at 160 dots an inch, by file name."""
    return {f"{picture.name}.svg": svg_text(picture.figure).encode(), f"{picture.name}.png": _png(picture.figure)}


def save_picture(picture: Picture, folder: Path) -> tuple[Path, Path]:
    """Write the picture as SVG and as PNG; return both paths."""
    files = picture_files(picture)
    for name, content in files.items():
        write_file(folder / name, content)
    svg, png = (folder / name for name in files)
    return svg, png


def write_file(path: Path, content: str | bytes) -> None:
    """Write a file, and the folders it lies in where there are none yet."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.encode() if isinstance(content, str) else content)
