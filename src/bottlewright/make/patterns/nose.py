"""The nose flat: a sector for a cone, gores for a curved one, a gauge for one that is carved."""

import math
from itertools import pairwise

from bottlewright.make.dimensions import mm
from bottlewright.make.drawing import Arc, Dimension, Label, Path, Pattern, Point, Shape, Style, circle, line
from bottlewright.make.letting_out.sizes import EDGE_CLEAR
from bottlewright.make.specification import GORES, Specification

__all__ = ["cone_sector", "gore_outline", "meridian", "nose"]

SEAM = 6.0
"""Seam allowance, mm: common practice, no source."""


def cone_sector(radius: float, length: float) -> tuple[float, float]:
    """Return slant length, mm, and angle, rad, of the sector that rolls into a cone of a base radius and length, mm."""
    slant = math.hypot(radius, length)
    return slant, 2.0 * math.pi * radius / slant


def meridian(profile: list[Point]) -> list[float]:
    """Return the length along a profile of (x, radius), mm, at each of its points."""
    lengths = [0.0]
    for a, b in pairwise(profile):
        lengths.append(lengths[-1] + math.dist(a, b))
    return lengths


def gore_outline(profile: list[Point], count: int) -> list[Point]:
    """Return (length along the profile, half width) of one of `count` gores that cover a body of revolution, mm."""
    return [(s, math.pi * r / count) for s, (_, r) in zip(meridian(profile), profile, strict=True)]


def nose(spec: Specification) -> list[Pattern]:
    """Return the patterns of the nose that the design asks for; none when the bottle's own base is the nose."""
    part = spec.design.nose
    if part is None or part.shape == "bottle" or part.length is None:
        return []
    radius, length = 0.5 * mm(part.diameter), spec.letting_out.nose
    material = (part.material or "").replace("-", " ")
    if part.shape == "flat":
        return [_disc(radius, material)]
    profile = list(spec.nose_profile)
    if not profile:
        return []
    if part.wall is None:
        on_bottle = spec.letting_out.bay is None
        return [_gauge(spec, profile, material), *(_hollow(spec) if on_bottle else [])]
    sheet = f"{material} {spec.length(mm(part.wall))}"
    cover = _sector(spec, radius, length, sheet) if part.shape == "cone" else _gore(spec, profile, sheet)
    return [cover, _gauge(spec, profile, material)]


def _disc(radius: float, material: str) -> Pattern:
    return Pattern(
        "nose-disc",
        "Nose disc",
        (circle((0.0, 0.0), 2 * radius), Dimension((-radius, 0.0), (radius, 0.0), 0.01)),
        1,
        material,
    )


def _sector(spec: Specification, radius: float, length: float, sheet: str) -> Pattern:
    slant, angle = cone_sector(radius, length)
    half = 0.5 * angle
    middle = 1.5 * math.pi  # opens downwards, tip on top

    def at(r: float, a: float) -> Point:
        return r * math.cos(middle + a), r * math.sin(middle + a)

    out = (-math.sin(middle + half), math.cos(middle + half))  # square to the seam, away from the sector
    edge_tip, edge_base = at(0.0, half), at(slant, half)
    tab = [
        edge_tip,
        *((x + SEAM * out[0], y + SEAM * out[1]) for x, y in (at(SEAM * 2.0, half), at(slant - SEAM, half))),
        edge_base,
    ]
    shapes: list[Shape] = [
        line((0.0, 0.0), at(slant, -half)),
        Arc((0.0, 0.0), slant, middle - half, middle + half),
        line(edge_tip, edge_base, Style.FOLD),
        Path(tuple(tab)),
        Label(at(0.6 * slant, 0.0), f"nose cone, {math.degrees(angle):.1f}°", 3.2),
        Dimension(at(slant, -half), (0.0, 0.0), 4.0),
    ]
    notes = (
        f"Rolls into a cone {spec.to_tenth(2 * radius)} across and {spec.to_tenth(length)} long. "
        "Glue the seam tab inside.",
        "Cut the sharp tip off and put a soft, blunt cap on it.",
    )
    return Pattern("nose-cone", "Nose cone", tuple(shapes), 1, sheet, notes)


def _gore(spec: Specification, profile: list[Point], sheet: str) -> Pattern:
    outline = gore_outline(profile, GORES)
    total, widest = outline[-1][0], max(w for _, w in outline)
    left = [(-w, -s) for s, w in outline]
    right = [(w, -s) for s, w in outline]
    shapes: list[Shape] = [
        Path(tuple(left)),
        line(left[-1], right[-1]),
        Path(tuple(right), Style.FOLD),
        Path(tuple(_allowance(right))),
        line((0.0, -0.35 * total), (0.0, -0.95 * total), Style.MARK),
        Label((-3.0, -0.65 * total), "middle", 2.8, 0.5 * math.pi),
        Dimension((-widest, -total), (-widest, 0.0), 5.0),
        Dimension(left[-1], right[-1], -5.0),
    ]
    notes = (
        f"{GORES} gores make the nose, {spec.to_tenth(profile[-1][0])} long and "
        f"{spec.to_tenth(2 * profile[-1][1])} across. "
        f"The strip beside the dashed line, {spec.to_mm(SEAM)} wide, goes under the next gore.",
        "The length is measured along the curve, so it is more than the nose is long.",
    )
    return Pattern("nose-gore", "Nose gore", tuple(shapes), GORES, sheet, notes)


def _allowance(edge: list[Point]) -> list[Point]:
    """Return the edge moved out by the seam allowance, starting on it at the tip and ending beside it at the base."""
    moved = [edge[0]]
    for (x0, y0), (x1, y1) in pairwise(edge[::4] if (len(edge) - 1) % 4 == 0 else edge):
        length = math.hypot(x1 - x0, y1 - y0) or 1.0
        out = min(SEAM, 0.5 * abs(y1))
        moved.append((x1 + out * (y0 - y1) / length, y1 - out * (x0 - x1) / length))
    return [*moved[:-1], (edge[-1][0] + SEAM, edge[-1][1]), edge[-1]]


def _gauge(spec: Specification, profile: list[Point], material: str) -> Pattern:
    """Return a card whose hollow edge is half the nose's outline: held to the nose it shows high spots."""
    length, radius = profile[-1][0], max(r for _, r in profile)
    rim = radius + 15.0
    corners = ((-12.0, 0.0), *profile, (length, rim), (-12.0, rim))
    shapes: list[Shape] = [
        Path(tuple(corners), closed=True),
        Label((0.35 * length, rim - 5.0), "gauge", 3.0),
        Dimension((length, 0.0), (0.0, 0.0), 5.0),
        Dimension((length, radius), (length, 0.0), 6.0),
    ]
    notes = (
        f"Cut it from card. Hold the hollow edge to the nose ({material}) all the way round: no light should show.",
        f"Keep the tip blunt: a published contest rule asks for a nose radius of at least {spec.length(12.5)}.",
    )
    return Pattern("nose-gauge", "Nose gauge", tuple(shapes), 1, "stiff card", notes)


def _hollow(spec: Specification) -> list[Pattern]:
    """Return the gauge for the hollow in a solid nose that takes the bottle's rounded end."""
    body, nose = spec.body, spec.design.nose
    slides = spec.letting_out.seat is not None
    radius, depth = 0.5 * body.diameter, min(body.base, mm(nose.length if nose else None))
    depth -= EDGE_CLEAR if slides else 0.0
    if depth < 2.0:
        return []
    # Half an ellipse, as the generic bottle has it.
    arch = [(radius * math.cos(a), depth * math.sin(a)) for a in (math.pi * k / 120 for k in range(121))]
    shapes: list[Shape] = [
        Path((*arch, (-radius, -15.0), (radius, -15.0)), closed=True),
        line((-radius, 0.0), (radius, 0.0), Style.MARK),
        Dimension((radius, 0.0), (radius, depth), -6.0),
        Dimension((-radius, -15.0), (radius, -15.0), -5.0),
    ]
    notes = (
        "Scoop the rear of the nose until this fits in up to the line. Real bottles end in feet or a dome: "
        "hold your own to it, and never carve or cut the bottle.",
        *([f"It is {spec.length(EDGE_CLEAR)} shallower than the bottle's end: the nose stands on the middle of that "
           "end, and its rear edge stays clear and can't wedge itself fast."] if slides else []),
    )
    return [Pattern("nose-seat-gauge", "Gauge for the seat in the nose", tuple(shapes), 1, "stiff card", notes)]
