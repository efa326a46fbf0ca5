"""Solids for those with a printer: nose, fin jig, nozzle blank and drill guide, watertight, as 3MF in millimetres.

3MF says its unit; STL does not, and a part printed in inches is no use.
"""

import io
import math
import zipfile
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bottlewright.design import Design
from bottlewright.findings import Finding, Level, Stage
from bottlewright.make.dimensions import mm
from bottlewright.make.drawing import Arc, Path, Pattern, Point, Style, flattened
from bottlewright.make.specification import Specification

if TYPE_CHECKING:
    from manifold3d import Manifold

__all__ = ["Solid", "nose_shell", "printed_parts", "revolved", "three_mf"]

_SEGMENTS = 120
PRINTED_WALL = 1.2
"""Wall of a printed nose when the design gives none, mm: three passes of a usual 0.4 mm nozzle; common practice."""


@dataclass(frozen=True, slots=True)
class Solid:
    """A part to print.

    Parameters
    ----------
    name, title, note
        File name, what it is called, what to know before printing it.
    body
        The solid, mm.
    """

    name: str
    title: str
    note: str
    body: "Manifold"


def revolved(profile: list[Point]) -> "Manifold":
    """Return the solid that a closed outline of (radius, height), mm, sweeps about the axis."""
    from manifold3d import CrossSection, FillRule, Manifold

    return Manifold.revolve(CrossSection([profile], FillRule.EvenOdd), _SEGMENTS)


def nose_shell(profile: list[Point], wall: float) -> "Manifold":
    """Return a hollow nose from (distance from the tip, outer radius), open at the rear, standing on it, tip up."""
    length = profile[-1][0]
    outer = [(r, length - x) for x, r in profile]
    inner = [(r - wall, length - x - wall) for x, r in profile if r > wall and length - x - wall > 0.0]
    rear = (max(inner[-1][0], outer[-1][0] - wall) if inner else outer[-1][0] - wall, 0.0)
    # Down the outside, in along the rear, up the inside to the axis.
    closed = [(0.0, outer[0][1]), *outer[1:], rear, *reversed(inner), (0.0, inner[0][1] if inner else 0.0)]
    return revolved([p for k, p in enumerate(closed) if k == 0 or math.dist(p, closed[k - 1]) > 1e-9])


def _jig(pattern: Pattern, thickness: float) -> "Manifold":
    from manifold3d import CrossSection, FillRule, Manifold

    rim = max((s for s in pattern.shapes if isinstance(s, Arc)), key=lambda arc: arc.radius)
    hole: list[Point] = []
    for shape in pattern.shapes:  # a slot's three sides and the arc to the next one follow each other
        if isinstance(shape, Path) and shape.style is Style.CUT:
            hole += shape.points
        elif isinstance(shape, Arc) and shape is not rim and shape.style is Style.CUT:
            hole += flattened(shape)[1:-1]
    plate = CrossSection([flattened(rim)[:-1], hole], FillRule.EvenOdd)
    return Manifold.extrude(plate, thickness)


def _blank(design: Design) -> "Manifold":
    """Return a nozzle blank: a plug that fits the neck with a flange on the lip and a pilot hole for boring."""
    plug, flange = 0.5 * mm(design.vessel.neck_bore) - 0.15, 0.5 * mm(design.vessel.neck_bore) + 2.0
    land = max(mm(design.nozzle.length), 6.0) + 6.0
    pilot = 1.5
    return revolved([(pilot, 0.0), (flange, 0.0), (flange, 3.0), (plug, 3.0), (plug, 3.0 + land), (pilot, 3.0 + land)])


def _guide(design: Design) -> "Manifold":
    """Return the drill guide: a cup over the blank's flange with the pilot hole through its floor."""
    inner = 0.5 * mm(design.vessel.neck_bore) + 2.1
    return revolved([(1.55, 0.0), (inner + 3.0, 0.0), (inner + 3.0, 18.0), (inner, 18.0), (inner, 15.0), (1.55, 15.0)])


def printed_parts(spec: Specification, jig: Pattern | None) -> tuple[list[Solid], list[Finding]]:
    """Return the solids, the fin jig made from its pattern, and what has to be said of them."""
    solids, findings = [], []
    design, nose = spec.design, spec.design.nose
    if nose is not None and nose.shape not in ("bottle", "flat") and (profile := list(spec.nose_profile[::4])):
        wall = mm(nose.wall) or PRINTED_WALL
        solids.append(
            Solid(
                "nose",
                "Nose, hollow",
                f"Wall {spec.length(wall)}. Print it tip up. Put a soft blunt cap on the tip; a "
                "printed nose is harder than foam.",
                nose_shell(profile, wall),
            )
        )
    if jig is not None:
        solids.append(Solid("fin-jig", "Fin alignment jig", f"{spec.length(3.0)} thick; print two.", _jig(jig, 3.0)))
    if "nozzle" in spec.features:
        solids.append(
            Solid("nozzle-blank", "Nozzle blank", "Carries pressure: read the finding first.", _blank(design))
        )
        solids.append(Solid("drill-guide", "Drill guide for the nozzle blank", "Carries no pressure.", _guide(design)))
        findings.append(
            Finding(
                Level.LOOK,
                Stage.MAKE,
                "printed-pressure-part",
                "a printed part under pressure can split along its layers without warning",
                "nozzle-blank.3mf is for a part that carries the bottle's pressure",
                "no printed part under pressure without a proof test",
                "our judgement: printed layers have no rating and no published value that holds for your printer",
                "Turn the nozzle from solid rod instead, as the boring table says. If you print one, test it full of "
                "water on an old bottle first, and never use a print with gaps between its layers.",
            )
        )
    return solids, findings


def three_mf(solid: Solid) -> bytes:
    """Return a solid as a 3MF package, unit millimetre (3MF Core Specification 1.3); the same solid, the same bytes."""
    mesh = solid.body.to_mesh()
    vertices = "".join(
        f'<vertex x="{x:.6f}" y="{y:.6f}" z="{z:.6f}"/>' for x, y, z in mesh.vert_properties[:, :3].tolist()
    )
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.tri_verts.tolist())
    model = (
        '<?xml version="1.0" encoding="UTF-8"?>\n<model unit="millimeter" xml:lang="en" '
        'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
        f'<metadata name="Title">{solid.title}</metadata><resources><object id="1" type="model"><mesh>'
        f"<vertices>{vertices}</vertices><triangles>{triangles}</triangles></mesh></object></resources>"
        '<build><item objectid="1"/></build></model>'
    )
    types = (
        '<?xml version="1.0" encoding="UTF-8"?>\n<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
    )
    rels = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rel0" '
        'Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
    )
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in (("[Content_Types].xml", types), ("_rels/.rels", rels), ("3D/3dmodel.model", model)):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), text, zipfile.ZIP_DEFLATED)
    return stream.getvalue()
