"""The numbers of the scatter that people act on, kept for every command: there is one set of them, or none.

A scatter takes half a minute. A command that shows a distance or a wind limit takes it from the last scatter of the
same design, field, weather, seed and count under the same version of this program, and from nowhere else. They lie in a
private folder of the user's cache, one file each, written whole or not at all; a file that does not read is ignored.
"""

import contextlib
import hashlib
import json
import math
import os
import stat
import tempfile
from dataclasses import asdict, dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from platformdirs import user_cache_path
from pydantic import TypeAdapter

from bottlewright import __version__
from bottlewright.design.digest import landings_digest
from bottlewright.design.document import Design
from bottlewright.design.environment import Site
from bottlewright.design.text_files import TextFileError, read_text_file
from bottlewright.field.drawing import LARGEST
from bottlewright.findings import Finding
from bottlewright.quantities import Basis
from bottlewright.system import is_own, whole_file_flags

if TYPE_CHECKING:
    from bottlewright.field.people import Stand
    from bottlewright.field.scatter import Scatter

__all__ = [
    "FieldNumbers", "LimitAt", "Sector", "field_digest", "field_numbers", "keep", "site_digest",
    "speed_given", "store", "stored", "wind_given",
]  # fmt: skip

_KEPT = 200
"""Scatters that are kept; the oldest go first."""
_LARGEST = 1_000_000
"""Bytes of a file that is read; a scatter's take some 20 thousand."""


class Sector(NamedTuple):
    """How far (m) people stand between two bearings (degrees clockwise from north); not `settled` by so few flights."""

    from_deg: float
    to_deg: float
    distance_m: float
    settled: bool

    @property
    def middle(self) -> float:
        """The bearing half way between its two sides, rad."""
        return math.radians((self.from_deg + 0.5 * ((self.to_deg - self.from_deg) % 360.0)) % 360.0)

    @property
    def away(self) -> tuple[float, bool]:
        """The distance, and whether it is settled, without the bearings."""
        return self.distance_m, self.settled


class LimitAt(NamedTuple):
    """The strongest wind (m/s, at a height in m) from a direction (degrees clockwise from north)."""

    from_deg: float
    speed_m_s: float
    height_m: float


@dataclass(frozen=True, slots=True)
class FieldNumbers:
    """What the scatter says that people act on.

    Parameters
    ----------
    digest
        Of design, site, count, seed and program: what these numbers hold for.
    flights
        Behind them.
    pumper_m, operator_m
        The larger of the published distance and that of the landings (`Stand.better`); None where no place will do.
    spectators
        By 30° of bearing, the first about north.
    wind_limits
        By direction.
    findings
        Of the scatter.
    because
        What they rest on, in words.
    pumper_bearing_deg, operator_bearing_deg, spectators_bearing_deg
        Where these people stand, from the launcher, clockwise from north: as the file says, or the bearing with the
        lowest counted chance. None where nobody knows.
    pumper_settled, operator_settled
        Whether so few flights show that the distance will do; if not, it is further than that.
    strike
        At most the chance that one flight comes down on operator, pumper or the spectators where the plan has them;
        None where the plan has spectators nearer than is asked.
    """

    digest: str
    flights: int
    pumper_m: float | None
    operator_m: float | None
    spectators: tuple[Sector, ...]
    wind_limits: tuple[LimitAt, ...]
    findings: tuple[Finding, ...]
    because: str
    pumper_bearing_deg: float | None = None
    operator_bearing_deg: float | None = None
    spectators_bearing_deg: float | None = None
    pumper_settled: bool = True
    operator_settled: bool = True
    strike: float | None = None


def field_numbers(design: Design, found: "Scatter") -> FieldNumbers:
    """Return the numbers of a scatter of a completed design."""
    half = 180.0 / len(found.sectors)
    crew = {one.role: one for one in found.ground.stands}
    pumper, operator, watching = crew["pumper"], crew["operator"], found.ground.watching
    return FieldNumbers(
        digest=field_digest(design, found.site.digest, found.wanted, found.seed),
        flights=found.flights,
        pumper_m=_away(pumper),
        operator_m=_away(operator),
        spectators=tuple(
            Sector((math.degrees(way) - half) % 360.0, (math.degrees(way) + half) % 360.0, each.metres, each.settled)
            for way, each in found.sectors
        ),
        wind_limits=tuple(LimitAt(math.degrees(one.from_direction), one.speed, found.wind_height)
                          for one in found.limits),
        findings=tuple(found.findings),
        because=_because(design, found),
        pumper_bearing_deg=_bearing(pumper),
        operator_bearing_deg=_bearing(operator),
        spectators_bearing_deg=math.degrees(watching.bearing) % 360.0,
        pumper_settled=pumper.better is None or pumper.better.settled,
        operator_settled=operator.better is None or operator.better.settled,
        strike=_strike(design, found),
    )  # fmt: skip


def _strike(design: Design, found: "Scatter") -> float | None:
    """Return the bounds of the crew's chances added up, with what is accepted for spectators as far off as asked."""
    from bottlewright.field.people import accepted

    watching = found.ground.watching
    if watching.planned is not None and watching.planned < watching.asked.metres - 1e-9:
        return None
    crew = sum(max(one.chance, one.bound) for one in found.ground.stands)
    return min(crew + accepted(design, "spectators").a_launch, 1.0)


def _away(one: "Stand") -> float | None:
    return one.better.distance if one.better else None


def _bearing(one: "Stand") -> float:
    return math.degrees(one.better.bearing if one.better else one.bearing) % 360.0


def wind_given(design: Design) -> bool:
    """Say whether the file of a completed design says how strong the wind is and where from."""
    wind = (design.weather.wind_speed, design.weather.wind_from)
    return all(one is not None and one.basis is not Basis.ASSUMED for one in wind)


def speed_given(design: Design) -> bool:
    """Say whether the file says how strong the wind is; where from it may have left out, and west is taken then."""
    speed = design.weather.wind_speed
    return speed is not None and speed.basis is not Basis.ASSUMED


def _because(design: Design, found: "Scatter") -> str:
    flown = sum(len(one.landings) for one in found.ground.strata)
    more = f", {flown - found.flights} more of the rare failures" if flown > found.flights else ""
    still = "still air with the usual spread, no wind being given"
    west = "a wind as strong as the design file says, taken from the west, no direction being given"
    wind = "the wind of the design file" if wind_given(design) else west if speed_given(design) else still
    lulls = ", for operator and pumper in its lulls too" if found.ground.lulls else ""
    return (f"{found.flights} flights of seed {found.seed}{more}, in {wind}{lulls}; the larger of that and the "
            "published distance")


def keep(design: Design, found: "Scatter") -> FieldNumbers:
    """Return the numbers of a scatter, kept for the other commands where all of it was worked out."""
    numbers = field_numbers(design, found)
    if found.whole:
        store(numbers)
    return numbers


def field_digest(design: Design, site_digest: str, flights: int, seed: int) -> str:
    """Return what numbers of the field hold for, as one short name.

    Parameters
    ----------
    design
        Completed; its weather is part of it.
    site_digest
        Of the map's file (`site_digest`, `FieldSite.digest`).
    flights, seed
        Of the sample.
    """
    parts = (landings_digest(design), site_digest, str(flights), str(seed), _program())
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:32]


def site_digest(site: Site, folder: Path) -> str:
    """Return the digest of the map's file; empty where the design has none, or it can't be read."""
    if not site.map:
        return ""
    try:
        return hashlib.sha256(read_text_file(folder / site.map, LARGEST).text.encode()).hexdigest()
    except TextFileError:
        return ""


@cache
def _program() -> str:
    """Return the version and a digest of all that the numbers rest on: source and tables."""
    digest = hashlib.sha256(__version__.encode())
    for name in ("design", "physics", "flight", "proof", "field"):
        package = Path(str(files(f"bottlewright.{name}")))
        for path in sorted(path for path in package.rglob("*") if path.suffix in (".py", ".toml")):
            digest.update(path.read_bytes())
    return digest.hexdigest()


def store(numbers: FieldNumbers) -> None:
    """Keep the numbers for the other commands; where the disk does not let it, they are not kept."""
    folder = _folder()
    if folder is None:
        return
    text = json.dumps(asdict(numbers), ensure_ascii=False, default=str)
    with contextlib.suppress(OSError):
        handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(json.dumps({"sha256": _digest(text), "numbers": text}))
            Path(name).replace(folder / f"{numbers.digest}.json")
        finally:
            Path(name).unlink(missing_ok=True)
        _clear_out(folder)


def stored(design: Design, folder: Path) -> FieldNumbers | None:
    """Return the numbers kept for a completed design, for its own map, count and seed; None where there are none.

    Parameters
    ----------
    design
        Completed.
    folder
        Where the design file lies.
    """
    cache_folder = _folder()
    if cache_folder is None or not any(name.endswith(".json") for name in os.listdir(cache_folder)):
        return None
    scatter = design.scatter
    digest = field_digest(design, site_digest(design.site, folder), scatter.flights, scatter.seed)
    try:
        kept = _wrapping().validate_json(_bytes_of(cache_folder / f"{digest}.json"))
        if kept["sha256"] != _digest(kept["numbers"]):
            return None
        numbers = _reader().validate_json(kept["numbers"], strict=True)
    except (OSError, ValueError, KeyError):
        return None
    return numbers if numbers.digest == digest else None


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _bytes_of(path: Path) -> bytes:
    """Read a regular file of a sensible size; opened so that a pipe in its place makes nobody wait."""
    with os.fdopen(os.open(path, os.O_RDONLY | whole_file_flags(waits=False)), "rb") as file:
        about = os.fstat(file.fileno())
        if not stat.S_ISREG(about.st_mode) or about.st_size > _LARGEST:
            raise ValueError(path)
        return file.read(_LARGEST)


@cache
def _wrapping() -> TypeAdapter[dict[str, str]]:
    return TypeAdapter(dict[str, str])


@cache
def _reader() -> TypeAdapter[FieldNumbers]:
    """Return what reads the numbers back, each of its own type."""
    return TypeAdapter(FieldNumbers)


def _folder() -> Path | None:
    """Return the folder, private where it is new; None where it is not the user's own or others may write there."""
    asked, code = os.environ.get("BOTTLEWRIGHT_CACHE"), os.environ.get("NUMBA_CACHE_DIR")
    home = Path(asked) if asked else Path(code) / "bottlewright" if code else user_cache_path(
        "bottlewright", appauthor=False)
    folder = home / "landings"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        about = folder.lstat()
    except OSError:
        return None
    return folder if is_own(about) else None


def _clear_out(folder: Path) -> None:
    kept = sorted(folder.glob("*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
    for old in kept[_KEPT:]:
        old.unlink(missing_ok=True)
