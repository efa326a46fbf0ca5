"""Import: what does the logger's file say, and is it read rightly?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bottlewright.errors import BottlewrightError
from bottlewright.project.after_launch import launches_of
from bottlewright.project.logger_look import Curve, Look, kept_files
from bottlewright.web.views.page import Width

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["LoggerPage", "logger_page"]


@dataclass(frozen=True, kw_only=True)
class LoggerPage:
    """The page on which a logger's file is brought in.

    Parameters
    ----------
    key, look
        The file; "" and None where none is held.
    curves
        Its curve, for each width by name.
    whole
        Whether the whole record is shown, and not the flight alone.
    launch, launches
        That it shall be taken into, and those there are: name and rocket.
    kept
        Files that the logbook keeps: the beginning of their digest, and their name.
    trouble
        Why the logbook can't be read.
    """

    key: str
    look: Look | None
    curves: Sequence[tuple[str, Curve]]
    whole: bool
    launch: str
    launches: Sequence[tuple[str, str]]
    kept: Sequence[tuple[str, str]]
    trouble: str
    revision: int

    @property
    def answer(self) -> str:
        """The heading."""
        if self.look is None:
            return "Which file did the logger write?"
        says = dict(self.look.says)
        for name in ("height of the highest point", "true pressure at the release", "impulse on the thrust stand"):
            if name in says:
                return f"{name[:1].upper()}{name[1:]}: {says[name]}"
        return "It says nothing of the flight yet" if self.look.file else "It can’t be read yet"


def logger_page(office: "Office", key: str, width: Width) -> LoggerPage:
    """Return the page of a file that is held."""
    held = office.logger_files.held(key) if key else None
    launches: list[tuple[str, str]] = []
    kept: list[tuple[str, str]] = []
    trouble = ""
    try:
        launches = [(one.name, one.rocket) for one in launches_of(office.folder)]
        kept = kept_files(office.folder)
    except BottlewrightError as error:
        trouble = str(error)
    curves = []
    if held is not None:
        for name in ("wide", "narrow"):
            drawn = held.shown.curve(name == "narrow", held.span) if width in (name, "both") else None
            curves += [(name, drawn)] if drawn else []
    return LoggerPage(
        key=key if held else "", look=held.shown if held else None, curves=curves,
        whole=held is not None and held.span is None, launch=held.launch if held else "", launches=launches, kept=kept,
        trouble=trouble, revision=held.revision if held else 1,
    )  # fmt: skip
