"""Changes of the field as it is drawn: each gives the design's text anew, checked, and touches no map."""

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from bottlewright.errors import FieldsError, InputError
from bottlewright.project.grounds import ROLES, Corner, Form, Grounds, Outline, grounds_of, outlines_in

if TYPE_CHECKING:
    from bottlewright.project.project import Project

__all__ = ["MOST_LETTERS", "drawn", "imported", "place_of"]

MOST_LETTERS = 100_000
"""Of a map that is taken over into the design file; one drawn by hand has a few thousand."""
MOST_CORNERS = 500
Changes = Mapping[str, Any]
_FORMS: tuple[Form, ...] = ("outline", "line", "spot")
_FEWEST = {"outline": 3, "line": 2, "spot": 1}


def drawn(project: "Project", given: Mapping[str, str]) -> "Project":
    """Return a project with something of its field drawn otherwise.

    Parameters
    ----------
    given
        `what` is drawn: ``"boundary"``, ``"new keep-out"``, ``"keep-out"`` (with its `number` and its `was`, the
        name), ``"take-out"`` (the same), ``"launcher"``, ``"rectangle"`` (with `length`, `width`, `bearing`), or who
        stands there: ``"operator"``, ``"pumper"``, ``"spectators"`` (by a corner, or by `distance` and `bearing`).
        Corners stand in `corners` as ``"0,0 60,0 60,40"``, east and north in the builder's unit, or one by one in
        `east-0`, `north-0` and so on, an empty one left out. `name`, `kind`, `form` and `width` describe a keep-out.

    Raises
    ------
    InputError, DesignError
        With what is wrong, and what would be right; nothing is changed then.
    """
    what, grounds = given.get("what", ""), grounds_of(project)
    if what in ROLES:
        return _checked(project, [_person(grounds, what, given)])
    if what == "rectangle":
        return _rectangle(grounds, given)
    if what == "boundary":
        return _boundary(grounds, _corners(grounds, given))
    if what == "launcher":
        here = _few(_corners(grounds, given), 1, "a place for the launcher")[:1]
        return _checked(project, [*_own(grounds), {"site.launch_point": _spots(grounds, here)[0]}])
    if what in ("new keep-out", "keep-out", "take-out"):
        return _keep_out(grounds, what, given)
    raise InputError(f"{what or 'Nothing'} is nothing that is drawn on a field")


def imported(project: "Project", text: str, name: str) -> "Project":
    """Return a project whose field is that of a GeoJSON text; what was drawn before goes.

    Parameters
    ----------
    text, name
        What the file holds, and what it is called.

    Raises
    ------
    InputError, DesignError
        When it is no map, or its field can't be used.
    """
    from bottlewright.field.drawing import map_drawing
    from bottlewright.field.site import as_drawn

    if not name.lower().endswith((".geojson", ".json")):
        raise InputError(f"{name or 'That'} is no map: choose a GeoJSON file, whose name ends in .geojson or .json")
    if len(text) > MOST_LETTERS:
        most = f"a map for this page may have {MOST_LETTERS // 1000} kB"
        raise InputError(f"{name} has {len(text) // 1000} kB; {most}: keep the edge of the field and what matters for "
                         "the landing")  # fmt: skip
    found = map_drawing(text, name)
    bare = project.design.site.model_copy(update={"map": None, "boundary": None, "rectangle": None, "keep_out": []})
    as_drawn(bare, found)
    if found.boundary is None and not found.keep_outs:
        raise InputError(f"{name} draws neither a field nor anything to keep out of")
    return _checked(project, _taken_over(Grounds(project, "", found), outlines_in(found)))


# --- one thing at a time ---------------------------------------------------------------------------------------------


def _boundary(grounds: Grounds, corners: Sequence[Corner]) -> "Project":
    """Draw the edge anew; a launcher that somebody placed stays where it is, unless all of the edge is new round it."""
    project = grounds.project
    if not corners:
        return _checked(project, [*_own(grounds), {"site.boundary": None, "site.rectangle": None}])
    _few(corners, 3, "the edge of the field")
    change: dict[str, Any] = {"site.rectangle": None, "site.boundary": _spots(grounds, corners)}
    before = {grounds.written(one) for one in grounds.edge.corners} if grounds.edge else set()
    anew = not before & {grounds.written(one) for one in corners}
    if anew and grounds.launcher_given and not _inside(grounds.launcher, corners):
        change["site.launch_point"] = None
    return _checked(project, [*_own(grounds), change])


def _inside(place: Corner, corners: Sequence[Corner]) -> bool:
    from shapely.geometry import Point, Polygon

    ground = Polygon(corners)
    return bool(ground.is_valid and ground.covers(Point(place)))


def _rectangle(grounds: Grounds, given: Mapping[str, str]) -> "Project":
    """Draw a rectangle by its sides: the file's own where nothing else is drawn, else corners about the launcher."""
    from bottlewright.errors import BottlewrightError
    from bottlewright.quantities import Dimension, parse_quantity

    wrong, read = dict[str, str](), dict[str, float]()
    texts = {name: _with_unit(given.get(name, ""), unit)
             for name, unit in (("length", grounds.unit), ("width", grounds.unit), ("bearing", "deg"))}  # fmt: skip
    for name, text in texts.items():
        try:
            asked = Dimension.ANGLE if name == "bearing" else Dimension.LENGTH
            read[name] = parse_quantity(text or "0 deg", asked).value if text or name == "bearing" else 0.0
        except BottlewrightError as error:
            wrong[name] = str(error)
            continue
        if name == "bearing" and not abs(read[name]) < 100.0:
            wrong[name] = "has to be a direction, such as 30 for 30° from north"
        if name != "bearing" and not 1.0 <= read[name] <= 20_000.0:
            wrong[name] = "has to be a length between 1 m and 20 km, such as 105 m"
    if wrong:
        raise FieldsError(wrong)
    project = grounds.project
    own = project.design.site.rectangle is not None
    if own or not (grounds.edge or grounds.keep_outs):
        change = {f"site.rectangle.{name}": text or None for name, text in texts.items()}
        return _checked(project, [*_own(grounds), {} if own else {"site.launch_point": None}, change])
    sin, cos = math.sin(read["bearing"]), math.cos(read["bearing"])
    half = 0.5 * read["length"], 0.5 * read["width"]
    (east, north) = grounds.launcher
    corners = [(east + a * half[0] * sin + b * half[1] * cos, north + a * half[0] * cos - b * half[1] * sin)
               for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]  # fmt: skip
    return _checked(project, [*_own(grounds), {"site.rectangle": None, "site.boundary": _spots(grounds, corners)}])


def _keep_out(grounds: Grounds, what: str, given: Mapping[str, str]) -> "Project":
    """Add something to keep out of, change it, or take it out."""
    kept, number = grounds.keep_outs, given.get("number", "")
    if what == "new keep-out":
        at = len(kept)
        asked = Outline("keep-out", tuple(_corners(grounds, given)), given.get("name", "").strip(), form=_form(given))
        alone = not grounds.edge and not grounds.launcher_given  # what zero the corners count from is said first
        here: Changes = {"site.launch_point": _spots(grounds, [grounds.launcher])[0]} if alone else {}
        name = asked.name or f"the {given.get('kind', 'other')}"
    else:
        at = int(number) if number.isdecimal() and len(number) < 6 else -1
        if not 0 <= at < len(kept) or kept[at].name != given.get("was", ""):
            raise InputError("that does not stand there any more: look at the field again")
        if what == "take-out":
            return _checked(grounds.project, [*_own(grounds), {f"site.keep_out.{at}": None}])
        asked, here = kept[at], {}
        asked = asked._replace(form=_form(given) if "form" in given else asked.form,
                               corners=tuple(_corners(grounds, given)) or asked.corners)  # fmt: skip
        name = given.get("name", asked.name).strip() or asked.name
    _few(asked.corners, _FEWEST[asked.form], name)
    change: dict[str, Any] = {f"site.keep_out.{at}.name": name}
    if given.get("kind"):
        change[f"site.keep_out.{at}.kind"] = given["kind"]
    for form in _FORMS:
        if form == asked.form:
            spots = _spots(grounds, asked.corners)
            change[f"site.keep_out.{at}.{form}"] = spots[0] if form == "spot" else spots
        elif what == "keep-out" and kept[at].form == form:
            change[f"site.keep_out.{at}.{form}"] = None
    if "width" in given and (asked.form != "outline" or given["width"].strip()):
        change[f"site.keep_out.{at}.width"] = _with_unit(given["width"], grounds.unit) or None
    return _checked(grounds.project, [*_own(grounds), here, change])


def _person(grounds: Grounds, role: str, given: Mapping[str, str]) -> Changes:
    """Place somebody: from the launcher, as the file has it."""
    corners = _corners(grounds, given)
    at = "launcher.crew."
    if not corners:
        if "distance" not in given:
            raise InputError(f"say where: a place for who {ROLES[role]}")
        return {f"{at}{role}": _with_unit(given["distance"], grounds.unit) or None,
                f"{at}{role}_bearing": _with_unit(given.get("bearing", ""), "deg") or None}  # fmt: skip
    east, north = (corners[0][k] - grounds.launcher[k] for k in (0, 1))
    away = math.hypot(east, north)
    if away < 1.0:
        raise InputError("that is on the launcher: nobody stands there")
    towards = round(math.degrees(math.atan2(east, north)) % 360.0) % 360
    far = f"{_plain(round(away / grounds.size, 1))} {grounds.unit}"
    return {f"{at}{role}": far, f"{at}{role}_bearing": f"{towards} deg"}


def place_of(project: "Project", text: str) -> Corner | None:
    """Return a place that is written as a corner, in metres; None for an empty text."""
    corners = _corners(grounds_of(project), {"corners": text})
    return corners[0] if corners else None


def _form(given: Mapping[str, str]) -> Form:
    wanted = given.get("form", "outline")
    for form in _FORMS:
        if form == wanted:
            return form
    raise InputError(f"{wanted} is no way to draw: outline, line or spot")


# --- numbers and text ------------------------------------------------------------------------------------------------


def _corners(grounds: Grounds, given: Mapping[str, str]) -> list[Corner]:
    """Return the corners of a post, in metres."""
    if "corners" in given:
        pairs = [tuple(pair.split(",")) for pair in given["corners"].split()]
    else:
        numbers = sorted({int(name[5:]) for name in given if re.fullmatch(r"east-[0-9]{1,4}", name)})
        pairs = [(given[f"east-{n}"].strip(), given.get(f"north-{n}", "").strip()) for n in numbers]
        pairs = [pair for pair in pairs if any(pair)]
    if len(pairs) > MOST_CORNERS:
        raise InputError(f"that has {len(pairs)} corners, more than {MOST_CORNERS}: draw it more simply")
    return [_corner(grounds, pair, place) for place, pair in enumerate(pairs, 1)]


def _corner(grounds: Grounds, pair: Sequence[str], place: int) -> Corner:
    from bottlewright.errors import BottlewrightError
    from bottlewright.quantities import Dimension, parse_quantity

    try:
        if len(pair) != 2 or not all(pair):
            raise InputError("has to be two numbers")
        east, north = (parse_quantity(_with_unit(text, grounds.unit), Dimension.LENGTH).value for text in pair)
    except BottlewrightError as error:
        right = f"write how far east and how far north, such as 35 and -12.5, in {grounds.unit}"
        raise InputError(f"Corner {place} {error}; {right}") from None
    if not max(abs(east), abs(north)) <= 20_000.0:
        raise InputError(f"Corner {place} lies more than 20 km away: no field reaches as far")
    return east, north


def _with_unit(text: str, unit: str) -> str:
    """Return a typed number with the unit that it is meant in; one that has its own keeps it."""
    text = text.strip()
    return f"{text} {unit}" if text and not re.search(r"[^\W\d_]|[°″′'\"]", text) else text


def _few(corners: Sequence[Corner], fewest: int, what: str) -> Sequence[Corner]:
    if len(corners) < fewest:
        right = "put down at least three corners" if fewest == 3 else "put down both ends" if fewest == 2 else (
            "tap where it is")
        raise InputError(f"{what} has {len(corners) or 'no'} corner{'s' * (len(corners) != 1)}: {right}")
    return corners


def _spots(grounds: Grounds, corners: Iterable[Corner]) -> list[list[str]]:
    return [[f"{text} {grounds.unit}" for text in grounds.written(corner)] for corner in corners]


def _plain(value: float) -> str:
    return f"{value:.7f}".rstrip("0").rstrip(".")


# --- the file --------------------------------------------------------------------------------------------------------


def _own(grounds: Grounds) -> list[Changes]:
    """Return the changes after which the file itself draws its field in lengths: a map is taken over, and stays."""
    if grounds.wrong and grounds.drawn is None:  # nothing of it can be read: what is drawn now begins it anew
        return _taken_over(Grounds(grounds.project, "", None), [])
    if grounds.drawn and (grounds.mapped or grounds.drawn.degrees):
        return _taken_over(grounds, outlines_in(grounds.drawn))
    return []


def _taken_over(grounds: Grounds, outlines: Sequence[Outline]) -> list[Changes]:
    """Return the changes that draw all of a field in the file, in place of what is there."""
    if any(not one.whole for one in outlines):
        name = next(one.name or "the edge of the field" for one in outlines if not one.whole)
        raise InputError(f"{name} has holes or several pieces, which this page can't draw: draw it in one piece")
    if sum(len(one.corners) for one in outlines) > MOST_CORNERS:
        raise InputError(f"the map has more than {MOST_CORNERS} corners: draw it more simply")
    edge = next((one for one in outlines if one.what == "boundary"), None)
    old = grounds.project.design.site.keep_out
    first: dict[str, Any] = {"site.map": None, "site.rectangle": None,
                             "site.boundary": _spots(grounds, edge.corners) if edge else None,
                             "site.launch_point": _spots(grounds, [grounds.launcher])[0]
                             if grounds.launcher_given or not edge else None}  # fmt: skip
    if grounds.drawn and grounds.drawn.degrees:
        from bottlewright.field.site import launch_of

        longitude, latitude = launch_of(grounds.drawn)[0]
        first |= {"site.longitude": f"{_plain(longitude)} deg", "site.latitude": f"{_plain(latitude)} deg"}
    changes: list[Changes] = [*({f"site.keep_out.{n}": None} for n in reversed(range(len(old)))), first]
    kept = [one for one in outlines if one.what == "keep-out"]
    return [*changes, *(_as_entry(grounds, n, one) for n, one in enumerate(kept))]


def _as_entry(grounds: Grounds, number: int, one: Outline) -> Changes:
    at, spots = f"site.keep_out.{number}.", _spots(grounds, one.corners)
    said: dict[str, Any] = {f"{at}name": one.name, f"{at}kind": one.kind,
                            f"{at}{one.form}": spots[0] if one.form == "spot" else spots}  # fmt: skip
    if one.width is not None:
        said[f"{at}width"] = f"{_plain(round(one.width / grounds.size, 2))} {grounds.unit}"
    if one.allowed is not None:
        said[f"{at}allowed"] = f"{_plain(100.0 * one.allowed)} %"
    return said


def _checked(project: "Project", changes: Iterable[Changes]) -> "Project":
    """Return a project with changes of its text one after the other, whose field can be used."""
    from bottlewright.design.writing import changed_text
    from bottlewright.project.project import parse

    text = project.text
    for values in changes:
        if values:
            text = changed_text(text, values)
    new = parse(text, project.file)
    _ = new.site
    return new
