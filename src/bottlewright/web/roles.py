"""What a phone that joined may look at and write, by its role; what is not named here is refused."""

import re
from collections.abc import Mapping

from bottlewright.project.people import IN_CHARGE, ROLES

__all__ = ["JOINING", "may_look", "may_post", "posts_of"]

JOINING = ("/join", "/join/ask", "/join/state")
"""Paths for whoever is not let in yet; the first of them for whoever has no passcode, with its style."""

_LOOKS = re.compile(
    r"/(sketch|prove|tune|fly|field|make|launch|need|words|day|designs|compare|learn|logbook)?|/launch/[a-z]+(\.pdf)?|/compare/launches|/lesson|/lesson/worksheet\.pdf|/look/[^/]+|/page/[^/]+/[^/]+"
    r"|/(chosen\.pdf|build\.ics)|/words/[^/]+|/words/picture/[^/]+|/picture/[^/]+/[^/]+|/file/.+|/sheet/[^/]+|/photo/[^/]+"
    r"|/static/.+|/live/(first|need|designs|sketch|prove|tune|fly|field|make|launch|learn|logbook|here|(measure|class|import)(~[\w.-]+)?)|/card/[^/]+"
)

_DESIGN = frozenset({
    "/do/first", "/do/need", "/do/change", "/do/changes", "/do/undo", "/do/redo", "/do/sure", "/do/add-part",
    "/do/take-part", "/do/measured-here", "/do/forget-measured", "/do/test", "/do/take-out-test", "/do/test-into-file",
    "/do/begin-bottle",
    "/do/draw",
    "/do/import", "/do/wind", "/do/write-wind", "/do/view", "/do/part", "/do/workshop",
    "/do/card", "/do/foretell", "/do/payload", "/do/damage", "/do/damage-done", "/do/fresh-bottle", "/do/theirs",
    "/do/mine", "/do/use-learned", "/do/leave-learned", "/do/tries", "/do/tries-named",
    "/do/tries-anew",
    "/start/tune", "/start/scatter", "/start/make", "/start/fits", "/start/release", "/start/learn",
    "/stop/tune", "/stop/scatter", "/stop/make", "/stop/fits", "/stop/release", "/stop/learn",
})  # fmt: skip
"""What belongs to the design: an adult who is in charge may write it from a phone too."""

_DAY = frozenset({"/do/stop", "/do/day", "/do/turn"})
"""What belongs to the day in the field. Stop is anybody's; of the rest the day itself says whose it is."""

_MEASURE = frozenset({"/do/measure"})
"""What is measured of a launch: whoever has a role of the day may read a watch."""

_CLASS = frozenset({"/do/contest", "/do/team", "/do/logger", "/do/logger-column", "/do/logger-event", "/do/logger-view",
                    "/do/logger-take"})  # fmt: skip
"""Teams and rule of a contest, a logger's file: whoever is in charge, and whoever writes down what is read aloud."""

_POSTS: Mapping[str, frozenset[str]] = {
    name: _DAY | (_MEASURE if role.writes else frozenset()) | (_DESIGN if name == IN_CHARGE else frozenset())
    | (_CLASS if name == IN_CHARGE or role.name == "record" else frozenset())
    for name, role in ROLES.items()
}  # fmt: skip
"""By role. What people see and count in the field comes by another way, which asks for the role's own fields."""


def may_look(path: str) -> bool:
    """Say whether somebody who was let in may fetch a path, or open it as a socket."""
    return _LOOKS.fullmatch(path) is not None


def may_post(role: str, path: str) -> bool:
    """Say whether a role may write what a path writes."""
    return path in _POSTS.get(role, frozenset())


def posts_of(role: str) -> tuple[str, ...]:
    """Return all paths that a role may write to, for a page that hides what is refused."""
    return tuple(sorted(_POSTS.get(role, ())))
