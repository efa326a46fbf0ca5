"""Patterns as SVG in millimetres, one user unit a millimetre, for cutters and drawing programs."""

import math
from xml.sax.saxutils import escape

from bottlewright.make.drawing import Arc, Label, Path, Pattern, Style, bounds, captioned, simple

__all__ = ["pattern_svg"]

_LOOK = {
    Style.CUT: 'stroke-width="0.35"',
    Style.FOLD: 'stroke-width="0.3" stroke-dasharray="3 1.5"',
    Style.MARK: 'stroke-width="0.2"',
    Style.AID: 'stroke-width="0.13"',
}
_MARGIN = 5.0


def pattern_svg(pattern: Pattern) -> str:
    """Return one pattern as an SVG document; lines to cut, fold and mark, and text, each in a group."""
    shapes = list(simple(captioned(pattern)))
    left, bottom, right, top = bounds(shapes)
    x, y, width, height = left - _MARGIN, -top - _MARGIN, right - left + 2 * _MARGIN, top - bottom + 2 * _MARGIN
    groups = []
    for style in Style:
        drawn = [_line(shape) for shape in shapes if not isinstance(shape, Label) and shape.style is style]
        if drawn:
            groups.append(f'<g id="{style}" fill="none" stroke="#000" {_LOOK[style]}>\n' + "\n".join(drawn) + "\n</g>")
    words = [_text(shape) for shape in shapes if isinstance(shape, Label)]
    groups.append('<g id="text" fill="#000" font-family="DejaVu Sans, sans-serif">\n' + "\n".join(words) + "\n</g>")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" '
        f'viewBox="{x:.4f} {y:.4f} {width:.4f} {height:.4f}">\n'
        f"<title>{escape(pattern.title)}, scale one to one, in millimetres</title>\n" + "\n".join(groups) + "\n</svg>\n"
    )


def _line(shape: Path | Arc) -> str:
    if isinstance(shape, Path):
        points = " ".join(f"{x:.4f},{-y:.4f}" for x, y in shape.points)
        return f'<{"polygon" if shape.closed else "polyline"} points="{points}"/>'
    (cx, cy), r = shape.centre, shape.radius
    sweep = shape.end - shape.start
    if abs(sweep) >= 2.0 * math.pi - 1e-9:
        return f'<circle cx="{cx:.4f}" cy="{-cy:.4f}" r="{r:.4f}"/>'
    x0, y0 = cx + r * math.cos(shape.start), -cy - r * math.sin(shape.start)
    x1, y1 = cx + r * math.cos(shape.end), -cy - r * math.sin(shape.end)
    flags = f"{int(abs(sweep) > math.pi)} {int(sweep < 0.0)}"
    return f'<path d="M {x0:.4f} {y0:.4f} A {r:.4f} {r:.4f} 0 {flags} {x1:.4f} {y1:.4f}"/>'


def _text(shape: Label) -> str:
    x, y = shape.at[0], -shape.at[1]
    turn = f' transform="rotate({-math.degrees(shape.angle):.3f} {x:.4f} {y:.4f})"' if abs(shape.angle) > 1e-9 else ""
    anchor = {0.0: "start", 1.0: "end"}.get(shape.anchor, "middle")
    weight = ' font-weight="bold"' if shape.bold else ""
    return (
        f'<text x="{x:.4f}" y="{y:.4f}" font-size="{shape.height:g}" text-anchor="{anchor}" dy="0.35em"{weight}{turn}>'
        f"{escape(shape.text)}</text>"
    )
