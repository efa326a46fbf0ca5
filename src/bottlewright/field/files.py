"""The map for other programs: GeoJSON (RFC 7946) and KML (OGC 07-147r2)."""

import json
from collections.abc import Mapping, Sequence
from typing import Any
from xml.etree import ElementTree

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.field.projection import LonLat, from_metres
from bottlewright.field.site import FieldSite

__all__ = ["geojson_text", "kml_text"]

Floats = NDArray[np.float64]
Outlines = Sequence[tuple[float, BaseGeometry]]
Feature = tuple[dict[str, Any], BaseGeometry]


def geojson_text(field: FieldSite, landings: Mapping[str, Floats], outlines: Outlines) -> str:
    """Return the field, the landings by kind of return and the outlines as one GeoJSON collection.

    In longitude and latitude when the site's place on the globe is known; else in metres east and north of the launch
    point, and the file says ``"units": "m"``. What is in `properties` reads back as a site map, except the landings and
    outlines, which have roles of their own.
    """
    features = [
        {"type": "Feature", "properties": words, "geometry": shapely.geometry.mapping(_on_globe(ground, field.origin))}
        for words, ground in _features(field, landings, outlines)
    ]
    document: dict[str, Any] = {"type": "FeatureCollection", "name": field.name}
    if field.origin is None:
        document["units"] = "m"
    return json.dumps(document | {"features": features}, ensure_ascii=False, indent=1)


def kml_text(field: FieldSite, landings: Mapping[str, Floats], outlines: Outlines) -> str:
    """Return the same as KML, for globe viewers.

    Raises
    ------
    ValueError
        When the site is drawn in metres and its place on the globe is not known.
    """
    if field.origin is None:
        raise ValueError("KML needs the field's longitude and latitude: write site.longitude and site.latitude")
    root = ElementTree.Element("kml", xmlns="http://www.opengis.net/kml/2.2")
    page = ElementTree.SubElement(root, "Document")
    ElementTree.SubElement(page, "name").text = field.name
    for role, line, fill in _LOOKS:
        _style(page, role, line, fill)
    for words, ground in _features(field, landings, outlines):
        mark = ElementTree.SubElement(page, "Placemark")
        ElementTree.SubElement(mark, "name").text = str(words["name"])
        ElementTree.SubElement(mark, "styleUrl").text = f"#{words['role'].replace(' ', '-')}"
        _kml_geometry(mark, _on_globe(ground, field.origin))
    ElementTree.indent(root)
    return ElementTree.tostring(root, encoding="unicode", xml_declaration=True)


def _features(field: FieldSite, landings: Mapping[str, Floats], outlines: Outlines) -> list[Feature]:
    features: list[Feature] = []
    if field.boundary is not None:
        features.append(({"role": "boundary", "name": field.name}, field.boundary))
    features.append(({"role": "launch point", "name": "launch point"}, shapely.Point(0.0, 0.0)))
    for area in field.keep_outs:
        words = {"role": "keep-out", "name": area.name, "kind": area.kind.name, "allowed": f"{area.allowed * 100:g} %"}
        features.append((words, area.ground))
    for level, ground in outlines:
        features.append(({"role": "outline", "name": f"{level * 100:g} % of landings", "share": level}, ground))
    for name, points in landings.items():
        if len(points):
            features.append(({"role": "landings", "name": name}, shapely.MultiPoint(points)))
    return features


def _on_globe(ground: BaseGeometry, origin: LonLat | None) -> BaseGeometry:
    """Return degrees to 7 decimals (a centimetre), or metres to a centimetre, outer rings to the left (RFC 7946)."""
    turned = shapely.orient_polygons(ground, exterior_cw=False)
    if origin is None:
        return shapely.transform(turned, lambda rows: np.round(rows, 2))
    return shapely.transform(turned, lambda rows: np.round(from_metres(origin, rows), 7))


# --- KML -----------------------------------------------------------------------------------------------------------

_LOOKS = (  # role, line and fill colour as KML writes them: opacity, blue, green, red
    ("boundary", "ff635c0f", "00000000"),
    ("launch-point", "ff302a1f", "00000000"),
    ("keep-out", "ff1a50c8", "551a50c8"),
    ("outline", "ffa85f3d", "22a85f3d"),
    ("landings", "ff302a1f", "00000000"),
)


def _style(page: ElementTree.Element, role: str, line: str, fill: str) -> None:
    style = ElementTree.SubElement(page, "Style", id=role)
    ElementTree.SubElement(ElementTree.SubElement(style, "LineStyle"), "color").text = line
    ElementTree.SubElement(ElementTree.SubElement(style, "PolyStyle"), "color").text = fill
    icon = ElementTree.SubElement(style, "IconStyle")
    ElementTree.SubElement(icon, "scale").text = "0.4" if role == "landings" else "1.0"


def _kml_geometry(parent: ElementTree.Element, ground: BaseGeometry) -> None:
    if isinstance(ground, shapely.MultiPoint):  # thousands of landings
        several = ElementTree.SubElement(parent, "MultiGeometry")
        for x, y in shapely.get_coordinates(ground).tolist():
            _write_places(ElementTree.SubElement(several, "Point"), [[x, y]])
    elif hasattr(ground, "geoms"):
        several = ElementTree.SubElement(parent, "MultiGeometry")
        for part in ground.geoms:
            _kml_geometry(several, part)
    elif isinstance(ground, shapely.Polygon):
        polygon = ElementTree.SubElement(parent, "Polygon")
        rings = [("outerBoundaryIs", ground.exterior), *(("innerBoundaryIs", hole) for hole in ground.interiors)]
        for tag, ring in rings:
            at = ElementTree.SubElement(ElementTree.SubElement(polygon, tag), "LinearRing")
            _write_places(at, shapely.get_coordinates(ring).tolist())
    else:
        _write_places(ElementTree.SubElement(parent, "Point"), shapely.get_coordinates(ground).tolist())


def _write_places(parent: ElementTree.Element, rows: list[list[float]]) -> None:
    ElementTree.SubElement(parent, "coordinates").text = " ".join(f"{x:.7f},{y:.7f}" for x, y in rows)
