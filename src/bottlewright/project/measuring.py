"""What is measured in the field, entered into the file of its launch: one form, or one command, a kind of reading.

A reading is on the disk when `enter` returns. A reading that was wrong is withdrawn, and a single value is put right:
what was there stays in the file.
"""

import math
import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.logbook.wind_by_hand import WindRead
    from bottlewright.quantities import Quantity

__all__ = ["KINDS", "LANDINGS", "PACE_OFF", "TAPE_OFF", "enter", "wind_words"]

PACE_OFF = 0.05
"""Share by which a way is off that somebody paces out with a pace they measured: our judgement."""
TAPE_OFF, TAPE_OFF_LEAST = 0.01, 0.3
"""Share by which a way over grass with a tape is off, and the least of it, m: our judgement."""
MAP_OFF = 5.0
"""By how far a place that is tapped on the map is off where nobody says, m: our judgement."""
COMPASS_OFF = 5.0
"""Degrees by which the direction to a rocket that lies in the grass is off: our judgement."""
LEAN_OFF = 7.0
"""Degrees by which the lean of a strip of cloth is off, which is never still: our judgement."""
CLOTH_OFF = 0.1
"""Share by which the weight of a strip's cloth is off where nobody says: our judgement."""
GAUGE_OFF = 0.1
"""Share by which a wind gauge in the hand is off where nobody says: our judgement."""

LANDINGS = ("soft", "hard", "tree", "roof", "water", "road", "power line", "lost")
"""How, or where, a rocket comes down."""

Given = Mapping[str, str]


@dataclass
class _Added:
    """What a form adds to a launch's file: entries by list, single values, what is withdrawn."""

    lists: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    values: dict[str, Any] = field(default_factory=dict)
    withdrawn: list[str] = field(default_factory=list)


def enter(beside: Path, launch: str, kind: str, given: Given, at: str, by: str = "") -> None:
    """Enter a reading into the file of a launch; it is on the disk when this returns.

    Parameters
    ----------
    beside
        The folder in which the designs lie.
    launch
        Day and number, such as "2027-03-20-03", or its entry.
    kind
        One of `KINDS`.
    given
        The answers of the form by name, as they were written; ``entry`` is a name of the device's own, so that what is
        sent twice counts once.
    at, by
        When, and who: initials or a number.

    Raises
    ------
    FieldsError, InputError
        When an answer can't be taken: nothing is written.
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import add_to_launch, check_left, launch_of
    from bottlewright.project.overshoot import stop_the_day

    if kind not in KINDS:
        raise InputError(f"what is measured is one of {', '.join(KINDS)}")
    if kind not in _OF_ONE_THAT_STAYED:
        check_left(launch_of(beside / FOLDER, launch))
    name = given.get("entry", "").strip() or secrets.token_hex(6)
    added = KINDS[kind]({key: text.strip() for key, text in given.items()})
    for number, one in enumerate(one for entries in added.lists.values() for one in entries if isinstance(one, dict)):
        one |= {"entry": f"{name}-{number}" if number else name, "at": at, **({"by": by} if by else {})}
    if not (added.lists or added.values or added.withdrawn):
        raise InputError("nothing was written into the form")
    after = add_to_launch(beside / FOLDER, launch, added.lists, added.values, at, by or None, added.withdrawn)
    stop_the_day(beside, after, at, by)


# --- answers ----------------------------------------------------------------------------------------------------------


def _read(given: Given, name: str, dimension: str, unit: str, needed: bool = False) -> "Quantity | None":
    """Return an answer as a quantity, a bare number in the form's unit; None where there is none."""
    from bottlewright.quantities import Dimension, QuantityError, parse_quantity

    text = given.get(name, "")
    if not text:
        if needed:
            raise FieldsError({name: "is needed"})
        return None
    if not re.search(r"[^\W\d_]|°", text):
        text = f"{text} {unit}"
    try:
        wanted: Dimension = Dimension[dimension]
        return parse_quantity(text, wanted)
    except QuantityError as error:
        raise FieldsError({name: str(error)}) from None


def _needed(given: Given, name: str, dimension: str, unit: str) -> "Quantity":
    found = _read(given, name, dimension, unit, needed=True)
    assert found is not None
    return found


def _bearing(given: Given, name: str) -> str | None:
    """Return a bearing as it was written: degrees, or a point of the compass."""
    from bottlewright.design.phrases import bearing_text
    from bottlewright.quantities import Dimension, QuantityError, parse_quantity

    text = given.get(name, "")
    if not text:
        return None
    text = text if re.search(r"[^\W\d_]|°", text) else f"{text} deg"
    try:
        parse_quantity(bearing_text(text), Dimension.ANGLE)
    except QuantityError:
        raise FieldsError({name: 'is a direction: degrees from north, clockwise, or such as "NE"'}) from None
    return text


def _texts(**values: "Quantity | str | None") -> dict[str, str]:
    """Return what was answered, as it was written."""
    return {key: value if isinstance(value, str) else value.text for key, value in values.items() if value}


# --- kinds ------------------------------------------------------------------------------------------------------------


def _watch(given: Given) -> _Added:
    took = {"time up": _read(given, "up", "TIME", "s"), "time": _read(given, "down", "TIME", "s")}
    up, down = took["time up"], took["time"]
    if up and down and down.value < up.value:
        raise FieldsError({"down": "is less than the time to the highest point"})
    entries = [{"of": of, "took": one.text} for of, one in took.items() if one]
    return _Added({"watch": entries} if entries else {})


def _sight(given: Given) -> _Added:
    station = _texts(
        away=_needed(given, "away", "LENGTH", "m"), side=_bearing(given, "side"),
        ground=_read(given, "ground", "LENGTH", "m"), eye=_read(given, "eye", "LENGTH", "m"),
        elevation=_needed(given, "elevation", "ANGLE", "deg"), towards=_bearing(given, "towards"),
    )  # fmt: skip
    return _Added({"sight": [station]})


def _top(given: Given) -> _Added:
    away = _needed(given, "away", "LENGTH", "m")
    return _Added(values={"top.away": away.text, "top.towards": _bearing(given, "towards")})


def _wind(given: Given) -> _Added:
    from bottlewright.logbook.measured import said

    how = given.get("how", "")
    if how not in _WINDS:
        raise FieldsError({"how": f"is one of {', '.join(_WINDS)}"})
    read = _WINDS[how](given)
    height = _read(given, "height", "LENGTH", "m") if how in ("gauge", "strip") else None
    entry = {"how": how, "speed": said(read.speed, read.u_speed, "m/s"), "read": read.how,
             "height": height.text if height else said(read.height, 0.0, "m"),
             **_texts(gust=_read(given, "gust", "SPEED", "m/s"), wind_from=_bearing(given, "from"))}  # fmt: skip
    return _Added({"wind": [entry]})


def _gauge(given: Given) -> "WindRead":
    from bottlewright.logbook.wind_by_hand import WindRead

    speed, height = _needed(given, "speed", "SPEED", "m/s"), _needed(given, "height", "LENGTH", "m")
    return WindRead(speed.value, speed.spread or GAUGE_OFF * speed.value, height.value, "a wind gauge")


def _words(given: Given) -> "WindRead":
    from bottlewright.logbook.wind_by_hand import wind_of_force

    force = given.get("force", "")
    if not force.isdecimal():
        raise FieldsError({"force": "choose what you see"})
    return wind_of_force(int(force))


def _strip(given: Given) -> "WindRead":
    from bottlewright.logbook.wind_by_hand import wind_of_strip

    lean, cloth = _needed(given, "lean", "ANGLE", "deg"), _needed(given, "cloth", "AREAL_DENSITY", "g/m2")
    height = _needed(given, "height", "LENGTH", "m")
    return wind_of_strip(lean.value, lean.spread or math.radians(LEAN_OFF), cloth.value,
                         cloth.spread or CLOTH_OFF * cloth.value, height.value)  # fmt: skip


def _grass(given: Given) -> "WindRead":
    from bottlewright.logbook.timing import apart_words
    from bottlewright.logbook.wind_by_hand import drift_of_grass

    far, drop = _needed(given, "drifted", "LENGTH", "m"), _needed(given, "drop", "LENGTH", "m")
    took = [_needed({"seconds": one}, "seconds", "TIME", "s").value
            for one in re.split(r"[;\s]+", re.sub(r"(\d)\s+s\b", r"\1s", given.get("seconds", ""))) if one]  # fmt: skip
    if not took:
        raise FieldsError({"seconds": 'is needed, such as "0.8 s", of several watches with a space between'})
    if apart := apart_words(took):
        raise FieldsError({"seconds": f"{apart}: leave out the wrong one, or let the grass fall again"})
    return drift_of_grass(far.value, far.spread or max(PACE_OFF * far.value, 0.1), took, drop.value)


_WINDS: Mapping[str, Callable[[Given], "WindRead"]] = {
    "gauge": _gauge, "words": _words, "strip": _strip, "grass": _grass,
}  # fmt: skip


def _loaded(given: Given) -> _Added:
    asked = {"loaded.water": ("water", "VOLUME", "mL"), "loaded.pressure": ("pressure", "PRESSURE", "bar"),
             "loaded.temperature": ("temperature", "TEMPERATURE", "°C"),
             "conditions.temperature": ("air", "TEMPERATURE", "°C"),
             "conditions.pressure": ("barometer", "PRESSURE", "hPa")}  # fmt: skip
    read = {key: _read(given, *how) for key, how in asked.items()}
    return _Added(values={**{key: one.text for key, one in read.items() if one},
                          **({"conditions.sky": given["sky"]} if given.get("sky") else {})})  # fmt: skip


def _place(given: Given) -> _Added:
    from bottlewright.logbook.measured import said

    how = given.get("how", "")
    if how not in _PLACES:
        raise FieldsError({"how": f"is one of {', '.join(_PLACES)}"})
    far, off, way, way_off, words = _PLACES[how](given)
    found = [{"what": "away", "value": said(far, off, "m"), "how": words}]
    if way is not None:
        found.append({"what": "bearing", "value": said(way % 360.0, way_off, "deg"), "how": words})
    return _Added({"measured": found})


_Placed = tuple[float, float, float | None, float, str]
"""How far and its ±, m; which way and its ±, degrees; how."""


def _way(given: Given) -> tuple[float | None, float]:
    from bottlewright.design.phrases import bearing_text
    from bottlewright.quantities import Dimension, parse_quantity

    text = _bearing(given, "towards")
    if text is None:
        return None, 0.0
    read = parse_quantity(bearing_text(text), Dimension.ANGLE)
    return math.degrees(read.value), math.degrees(read.spread) or COMPASS_OFF


def _paced(given: Given) -> _Placed:
    paces, pace = given.get("paces", ""), _needed(given, "pace", "LENGTH", "m")
    if not paces.isdecimal():
        raise FieldsError({"paces": "is a number of paces"})
    far = int(paces) * pace.value
    return far, math.hypot(PACE_OFF * far, pace.value), *_way(given), f"{paces} paces of {pace.text}"


def _taped(given: Given) -> _Placed:
    far = _needed(given, "away", "LENGTH", "m")
    return far.value, far.spread or max(TAPE_OFF * far.value, TAPE_OFF_LEAST), *_way(given), "a tape"


def _tapped(given: Given) -> _Placed:
    east, north = (_needed(given, name, "LENGTH", "m").value for name in ("east", "north"))
    off = _read(given, "off", "LENGTH", "m")
    far, spread = math.hypot(east, north), off.value if off else MAP_OFF
    way, way_off = math.degrees(math.atan2(east, north)), math.degrees(math.atan2(spread, far))
    return far, spread, way, way_off, "tapped on the map"


_PLACES: Mapping[str, Callable[[Given], _Placed]] = {"paces": _paced, "tape": _taped, "map": _tapped}


def _down(given: Given) -> _Added:
    if given.get("landing", "") not in ("", *LANDINGS):
        raise FieldsError({"landing": f"is one of {', '.join(LANDINGS)}"})
    if given.get("egg", "") not in ("", "whole", "broken"):
        raise FieldsError({"egg": "is whole or broken"})
    return _Added(values={key: given[key] for key in ("landing", "damage", "seen", "egg") if given.get(key)})


def _photo(given: Given) -> _Added:
    names = [one.strip() for one in re.split(r"[,;\n]", given.get("photos", "")) if one.strip()]
    if bad := next((one for one in names if "/" in one or "\\" in one), None):
        raise FieldsError({"photos": f"{bad}: a file's own name, such as IMG_0012.jpg, without its folder"})
    return _Added({"photos": names} if names else {})  # type: ignore[dict-item]


def _value(given: Given) -> _Added:
    from bottlewright.logbook.export import MEASURES, check_entered
    from bottlewright.quantities import QuantityError

    what, value = given.get("what", ""), given.get("value", "")
    if what not in MEASURES:
        raise FieldsError({"what": f"is one of {', '.join(MEASURES)}"})
    try:
        check_entered(what, value)
    except QuantityError as error:
        raise FieldsError({"value": str(error)}) from None
    return _Added({"measured": [{"what": what, "value": value, "how": given.get("how") or "not said"}]})


def _film(given: Given) -> _Added:
    from bottlewright.learn.instruments.film import interval
    from bottlewright.logbook.measured import said

    rate = _needed(given, "rate", "RATE", "Hz")
    if rate.value <= 0.0:
        raise FieldsError({"rate": 'is how many frames a second has, such as "60 Hz"'})
    frames = {name: given[name].strip() for name in ("release", "top", "down") if given.get(name)}
    if bad := next((name for name, text in frames.items() if not text.isdecimal()), None):
        raise FieldsError({bad: "is the number of a frame, such as 120"})
    if "release" not in frames or len(frames) < 2:
        raise FieldsError({"release": "is needed, and the frame of the top or of the touchdown beside it"})
    found = []
    for name, what in (("top", "time up"), ("down", "time")):
        if name in frames:
            if int(frames[name]) <= int(frames["release"]):
                raise FieldsError({name: "is a frame after the release"})
            took, off = interval(int(frames["release"]), int(frames[name]), rate.value, rate.spread)
            found.append({"what": what, "value": said(took, off, "s"),
                          "how": f"a film of {rate.text}, frames {frames['release']} to {frames[name]}"})  # fmt: skip
    return _Added({"measured": found})


def _withdraw(given: Given) -> _Added:
    return _Added(withdrawn=[given["which"]] if given.get("which") else [])


_OF_ONE_THAT_STAYED = frozenset({"withdraw", "photo"})
"""What may be entered of a launch that was called off."""
KINDS: Mapping[str, Callable[[Given], _Added]] = {
    "watch": _watch, "sight": _sight, "top": _top, "wind": _wind, "loaded": _loaded, "place": _place, "down": _down,
    "photo": _photo, "film": _film, "value": _value, "withdraw": _withdraw,
}  # fmt: skip
"""What can be entered, by the name of its form."""


def wind_words() -> list[tuple[int, str]]:
    """Return what one sees of the wind, by force, up to the one in which nobody launches any more."""
    from bottlewright.logbook.wind_by_hand import forces

    return [(one.force, one.sees) for one in forces()]
