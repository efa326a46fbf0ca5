"""How large a field this rocket needs, and which rockets of the folder the drawn field has room for."""

import hashlib
import os
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from bottlewright.errors import BottlewrightError
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.design import Design
    from bottlewright.field.exposure import Exposure
    from bottlewright.field.smallest import Smallest
    from bottlewright.project.project import Project
    from bottlewright.project.scatter import ScatterResult
    from bottlewright.project.watch import Watch

__all__ = ["FLIGHTS", "Fit", "designs_in", "folder_name", "rockets_here", "smallest_briefly", "smallest_words"]

STILL = "in still air only; the wind is not given"
"""Said beside a smallest field where the design gives no wind."""

UNKNOWN = "not known"

FLIGHTS = 768
"""Behind each rocket: none of them on a road says under 0.48 %, which settles the 0.5 % that are accepted."""

Level = Literal["stop", "look", "none", "open"]


class Fit(NamedTuple):
    """One rocket on the field of another.

    Parameters
    ----------
    file, name
        Its design file, and what it is called.
    smallest
        The smallest field for it, in words.
    level, words
        How it stands on the field that is drawn, and why.
    """

    file: str
    name: str
    smallest: str
    level: Level
    words: str


def designs_in(folder: Path) -> list[str]:
    """Return the names of the design files in a folder; none of one that can't be read."""
    try:
        names = [name for name in os.listdir(folder) if name.endswith(".toml") and name.isprintable()]
    except OSError:
        return []
    return sorted(name for name in names if "[vessel]" in _beginning(folder / name))


def _beginning(file: Path) -> str:
    try:
        if not file.is_file():  # a pipe would make us wait
            return ""
        with file.open("rb") as stream:
            return stream.read(300_000).decode("utf-8", "replace")
    except OSError:
        return ""


def folder_name(project: "Project") -> str:
    """Return a short name of the design files beside a project, which changes with each of them."""
    found = hashlib.sha256()
    for name in designs_in(project.folder):
        try:
            about = (project.folder / name).stat()
        except OSError:  # deleted this moment
            continue
        found.update(f"{name}\0{about.st_mtime_ns}\0{about.st_size}\0".encode())
    return found.hexdigest()[:16]


def smallest_words(found: "ScatterResult") -> tuple[str, str]:
    """Return the smallest field for a rocket whose landings are worked out, and what that rests on."""
    import numpy as np

    design, scatter = found.design, found.found
    landings = np.concatenate([rows for rows in scatter.landings.values() if len(rows)])
    return _words(_smallest(design, landings), design)


def smallest_briefly(side: str, design: "Design") -> str:
    """Return a smallest field as a table has it: with the wind, where that is one that nobody gave."""
    from bottlewright.field.numbers import speed_given

    return side if side == UNKNOWN or speed_given(design) else f"{side}, {STILL}"


def _smallest(design: "Design", landings: object) -> "Smallest":
    import numpy as np

    from bottlewright.field.keep_out_kinds import leaving
    from bottlewright.field.smallest import smallest_field

    allowed = design.scatter.leaving.value if design.scatter.leaving else leaving().allowed
    return smallest_field(np.asarray(landings, float), allowed, design.site.rules)


def _words(least: "Smallest", design: "Design") -> tuple[str, str]:
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.design.unit_text import percent

    habit = unit_habit(design)
    if least.side is None or least.beyond is None or least.by_landings is None:
        return UNKNOWN, "too few flights to say: fly more"
    side, wind = habit.stand_back(least.side), _in_which_wind(design)
    rests = (f"{wind}: with the launcher in the middle, at most {percent(least.beyond.most)} of flights leave it "
             f"({least.beyond.hits} of {least.beyond.flights} counted); "
             f"{percent(least.allowed)} are accepted")  # fmt: skip
    if least.rule is not None:
        rests = (f"{least.rule.source} asks for it; the landings ask for {habit.stand_back(least.by_landings)}, "
                 f"{wind}")  # fmt: skip
    return f"{side} by {side}", rests


def _in_which_wind(design: "Design") -> str:
    """Say in which wind its landings were worked out: one that nobody gave is none that the number holds in."""
    from bottlewright.field.numbers import speed_given

    return "in the wind given, whichever way it turns" if speed_given(design) else STILL


def rockets_here(project: "Project", progress: Progress | None = None, stop: Stop | None = None) -> list[Fit]:
    """Fly each rocket of the folder over the field of a project, in its wind.

    Raises
    ------
    StoppedError
        When `stop` said so.
    """
    with watching(progress, stop) as watch:
        names, found = designs_in(project.folder), []
        for done, name in enumerate(names):
            watch.say(f"flying {name}", done / len(names))
            found.append(_fit(project, name, watch))
        return found


def _fit(project: "Project", name: str, watch: "Watch") -> Fit:
    from bottlewright.field.trials import Trials, fly_sample
    from bottlewright.project.project import read

    try:
        other = project.design if name == project.file.name else read(project.folder / name).design
    except BottlewrightError as error:
        return Fit(name, name, "not known", "open", f"it can't be read: {str(error).splitlines()[0]}")
    own = project.design.weather
    wind = {"wind_speed": own.wind_speed, "wind_from": own.wind_from, "gust": own.gust}
    weather = other.weather.model_copy(update=wind)
    design = other.model_copy(update={"weather": weather})
    trials = Trials.of(design, project.site, watch.fly, lambda *_: None, design.scatter.seed)
    sample = fly_sample(trials, FLIGHTS)
    if len(sample.stuck) < FLIGHTS:
        raise KeyboardInterrupt
    if not len(sample.landings) or sample.stuck.mean() > 0.5:
        return Fit(name, design.name, "not known", "stop", "most flights stay on the launcher")
    level, words = _standing(trials.exposures(sample.landings))
    side, _ = _words(_smallest(design, sample.landings), design)
    return Fit(name, design.name, smallest_briefly(side, design), level, words)


def _standing(seen: "list[Exposure]") -> tuple[Level, str]:
    from bottlewright.design.unit_text import percent

    if not seen:
        return "open", "no field is drawn"
    asked = [one for one in seen if one.kind.name != "spectators"] or seen  # so few flights say nothing of those
    worst = max(asked, key=lambda one: one.chance.high / max(one.allowed, 1e-9))
    said = f"{worst.name}: {worst.chance}, accepted {percent(worst.allowed)}"
    if worst.chance.value > worst.allowed:
        return "stop", f"too much for this field. {said}"
    if worst.chance.high > worst.allowed:
        return "look", f"not settled by {FLIGHTS} flights. {said}"
    return "none", f"nothing found against it by {FLIGHTS} flights. {said}"
