"""What is wrapped round the body: sleeve or fairing, its spacing rings, the band over a splice."""

import math

from bottlewright.make.dimensions import mm
from bottlewright.make.drawing import Dimension, Label, Path, Pattern, Shape, Style, circle, line
from bottlewright.make.specification import Specification

__all__ = ["developed_width", "sleeve", "splice_band"]

LAP = 15.0
"""Overlap of a wrapped sheet, mm: common practice, no source."""


def developed_width(diameter: float, thickness: float = 0.0) -> float:
    """Return how wide a sheet of a thickness has to be to close round to an outer diameter, mm: π·(D − t)."""
    return math.pi * (diameter - thickness)


def _wrap(width: float, length: float, lap: float) -> list[Shape]:
    return [
        Path(((0.0, 0.0), (width + lap, 0.0), (width + lap, length), (0.0, length)), closed=True),
        line((width, 0.0), (width, length), Style.FOLD),
        Label((width + 0.5 * lap, 0.5 * length), "lap", 2.8, 0.5 * math.pi),
        Dimension((0.0, 0.0), (width, 0.0), -5.0),
        Dimension((0.0, 0.0), (0.0, length), 5.0),
    ]


def sleeve(spec: Specification) -> list[Pattern]:
    """Return the sleeve flat, with the fin lines on it, and two spacing rings when it is wider than the bottle."""
    design, part = spec.design, spec.design.sleeve
    if part is None:
        return []
    outer, thickness, length = mm(part.diameter), mm(part.thickness), mm(part.length)
    width = developed_width(outer, thickness)
    shapes = [*_wrap(width, length, LAP), Label((0.3 * width, length - 5.0), "front, towards the nose", 2.8)]
    notes = [
        f"Wraps to {spec.to_tenth(outer)} outside. "
        f"Front edge (top) {spec.to_mm(mm(part.position))} behind the nose tip.",
        "Roll it over a table edge first so that it takes the bend.",
    ]
    fins = design.fins
    if fins:
        front = length - (mm(fins.position) - mm(part.position))
        rear = front - mm(fins.root)
        if rear >= -1.0 and front <= length + 1.0:
            for k in range(fins.count):
                x = (k + 0.5) * width / fins.count
                shapes.append(line((x, max(rear, 0.0)), (x, min(front, length)), Style.MARK))
                shapes.append(Label((x - 2.0, 0.5 * (front + rear)), f"fin {k + 1}", 3.0, 0.5 * math.pi))
            notes.append("The thin lines are the fin roots.")
    material = f"{(part.material or 'card').replace('-', ' ')} {spec.length(thickness)}"
    patterns = [Pattern("sleeve", "Sleeve", tuple(shapes), 1, material, tuple(notes))]
    inner, body = outer - 2.0 * thickness, spec.body.diameter
    if inner - body > 4.0:
        patterns.append(_ring(spec, body, inner))
    return patterns


def _ring(spec: Specification, inner: float, outer: float) -> Pattern:
    shapes = (
        circle((0.0, 0.0), inner),
        circle((0.0, 0.0), outer),
        Dimension((-0.5 * inner, 0.0), (0.5 * inner, 0.0), 0.01),
    )
    return Pattern(
        "spacing-ring",
        "Spacing ring between bottle and sleeve",
        shapes,
        2,
        "foam board",
        (
            f"Outside {spec.to_tenth(outer)}, hole {spec.to_tenth(inner)}: "
            "tape it on, never pin or cut into the bottle.",
        ),
    )


def splice_band(spec: Specification) -> Pattern | None:
    """Return the band that goes over the joint of two bottles, as wide as both overlaps together."""
    vessel = spec.design.vessel
    if vessel.joint != "splice" or vessel.joint_overlap is None:
        return None
    overlap = mm(vessel.joint_overlap)
    width = developed_width(mm(vessel.diameter) + 2.0 * mm(vessel.wall), mm(vessel.wall))
    shapes = _wrap(width, 2.0 * overlap, 0.0)
    shapes = [s for s in shapes if not (isinstance(s, Label) or (isinstance(s, Path) and s.style is Style.FOLD))]
    shapes += [
        line((0.0, overlap), (width, overlap), Style.MARK),
        Label((0.5 * width, overlap + 3.0), "joint line: the bottles meet here", 3.0),
    ]
    notes = (
        f"Marks the glue area: {spec.to_tenth(overlap)} each side of the joint. The band is cut from the straight part "
        "of a third bottle of the same kind, as one ring; this paper shows where to cut it.",
        "A splice carries the whole pressure. Proof-test it full of water before any air goes in.",
    )
    return Pattern("splice-band", "Splice band", tuple(shapes), max(vessel.count - 1, 1), "bottle wall (PET)", notes)
