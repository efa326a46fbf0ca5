"""What is wrong with a design file, all of it at once, in words for the builder."""

from collections.abc import Iterable
from dataclasses import dataclass

from bottlewright.design.text_files import printable
from bottlewright.errors import BottlewrightError

__all__ = ["DesignError", "Problem"]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong.

    Parameters
    ----------
    path
        Dotted path of the key, such as ``"nozzle.bore"``; empty when it is the file as a whole.
    why
        What is wrong with it; reads on from the path.
    right
        What would be right, where that is not in `why` already.
    line
        Line of the file, 0 when unknown.
    mark
        That a change on the command line made it, such as ``"(--set)"``; only the whole message says it, for a page
        has no command line.
    """

    path: str
    why: str
    right: str = ""
    line: int = 0
    mark: str = ""

    def __post_init__(self) -> None:
        for name in ("why", "right", "mark"):  # they quote the file, and a letter in it may hide others on a screen
            object.__setattr__(self, name, printable(getattr(self, name)))

    @property
    def place(self) -> str:
        """The path as it can be shown: a key can hold any letters, and any number of them."""
        return printable(self.path if len(self.path) <= 120 else f"{self.path[:117]}...")

    @property
    def told(self) -> str:
        """What is wrong, as the command line tells it."""
        return f"{self.mark} {self.why}" if self.mark else self.why

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line else ""
        return f"{where}{self.place}{' ' if self.path else ''}{self.told}{f'; {self.right}' if self.right else ''}"


class DesignError(BottlewrightError, ValueError):
    """The design can't be used; `problems` says why, every reason with the path of its key."""

    def __init__(self, problems: Iterable[Problem], source: str = "") -> None:
        self.problems = tuple(problems)
        self.source = source
        super().__init__("\n".join(str(problem) for problem in self.problems))
