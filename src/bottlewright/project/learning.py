"""What the flights of a rocket taught: worked out from its launches in the logbook, kept, and drawn from afterwards."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.errors import InputError
from bottlewright.project.result import Result

if TYPE_CHECKING:
    from bottlewright.design.learned import Learned
    from bottlewright.learn.fit import Fit
    from bottlewright.learn.from_the_book import LeftOut
    from bottlewright.learn.launches import Launch
    from bottlewright.learn.meant import Meant
    from bottlewright.learn.next_words import NextWords
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["LearnResult", "learn"]


@dataclass(frozen=True, eq=False, repr=False)
class LearnResult(Result):
    """What the launches of one rocket say.

    Parameters
    ----------
    fit
        What was worked out.
    learned
        As a design takes it on.
    left_out
        Launches that were not used, and why.
    meant
        What it means, in words.
    at_hand
        Names of instruments that the next launch may be measured with; all where none is said.
    """

    command: ClassVar[str] = "learn"
    stages: ClassVar[tuple[str, ...]] = ("fly",)
    fit: "Fit"
    learned: "Learned"
    left_out: "Sequence[LeftOut]"
    meant: "Meant"
    at_hand: Sequence[str] = ()

    @cached_property
    def next(self) -> "NextWords | None":
        """What to launch and measure next; None while a number looks wrong."""
        from bottlewright.project.next_launch import next_of

        parting = [path for group in self.meant.together for path in group.paths]
        return None if self.meant.wrong else next_of(self.project, self.fit, parting, self.at_hand)

    def keep(self) -> Path:
        """Keep it in the logbook; a design with ``[learned] from = "logbook"`` draws from it then.

        Raises
        ------
        InputError
            When a measurement looks as if it was written in another unit or column: nothing is kept that rests on it.
        """
        from bottlewright.learn.learned_file import write_learned
        from bottlewright.project.logbook import now

        if self.meant.wrong:
            raise InputError(f"nothing is kept: {' '.join(self.meant.wrong)} Put it right in the logbook, or leave the "
                             "launch out (--without)")  # fmt: skip
        told: Mapping[str, Any] = {"made": now().isoformat()}
        return write_learned(self.project.folder, self.project.name, self.learned, told)

    def _judge(self) -> "Verdict":
        return self.project.fly().verdict

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        ahead = self.next.document() if self.next else {"offered": False, "why_not": self.meant.wrong}
        return {"rocket": self.project.name, **self.meant.document(), "next": ahead}

    def words(self) -> str:
        """See `Result.words`."""
        return self.meant.text(self.next)

    def columns(self) -> Mapping[str, Any]:
        """Return each measurement beside what was foretold of it, by the design alone and after all flights; SI."""
        rows = [one.as_json() for one in self.meant.compared]
        return {name: [row[name] for row in rows] for name in rows[0]}

    def _pictures(self) -> "list[Picture]":
        from bottlewright.learn.picture import learned_pictures

        return learned_pictures(self.meant)


def learn(
    project: "Project", without: Collection[str] = (), seed: int = 0, firings: "Sequence[Path]" = (),
    at_hand: Sequence[str] = (),
) -> LearnResult:
    """Work out what the launches of a rocket in the logbook beside its design say.

    Parameters
    ----------
    without
        Launches that are left out, such as "2027-03-20-03".
    seed
        Of draws.
    firings
        Files of a thrust stand: the design as it is, held still and let go.
    at_hand
        Instruments that the next launch may be measured with, such as "stopwatch"; all where none is said.

    Raises
    ------
    InputError
        When there is no launch of it that anything was measured of, none of a name that is to be left out, no firing
        can be read from a file, or nobody knows an instrument.
    """
    from bottlewright.learn.fit import fit
    from bottlewright.learn.from_the_book import LeftOut, launches_of
    from bottlewright.learn.learned_file import file_of, learned_of
    from bottlewright.learn.meant import meant_by
    from bottlewright.project.logbook import Logbook
    from bottlewright.project.next_launch import instruments_of

    instruments_of(at_hand)
    book = Logbook(project.folder).read()
    launches, left_out = launches_of(book, project.name)
    strange = [name for name in without if name not in {one.name for one in launches}]
    if strange:
        raise InputError(f"there is no launch {strange[0]} to leave out: "
                         f"{', '.join(one.name for one in launches) or 'none'} can be learned from")  # fmt: skip
    left_out += [LeftOut(name, "you left it out") for name in dict.fromkeys(without)]
    launches = [*(_firing(project, path) for path in firings), *(one for one in launches if one.name not in without)]
    if not launches:
        why = "; ".join(f"{one.launch}: {one.why}" for one in left_out[:3])
        raise InputError(f"nothing can be learned of {project.name} yet: "
                         f"{why or 'no launch of it stands in the logbook beside the design'}")  # fmt: skip
    try:
        found = fit(launches, seed=seed)
    except ValueError as error:
        raise InputError(f"nothing can be learned of {project.name}: {error}") from None
    file = file_of(project.folder, project.name)
    learned = learned_of(found, f"logbook/learned/{file.name}")
    meant = meant_by(project.design, book, found, left_out)
    return LearnResult(project, fit=found, learned=learned, left_out=left_out, meant=meant, at_hand=at_hand)


def _firing(project: "Project", path: Path) -> "Launch":
    """Return a firing on the stand as the fit wants it: what a thrust stand's file says, of the design as it is."""
    from bottlewright.design.learned import FIRING
    from bottlewright.learn.launches import Launch
    from bottlewright.project.importing import look_at

    try:
        content = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path} can't be read: {error.strerror}") from None
    read = look_at(project.folder, path.name, content).read
    said = [one for one in read.readings if one.what in ("impulse", "water out", "true pressure")]
    if "thrust" not in read.course.record.more or not said:
        raise InputError(f"{path.name} says nothing of a firing: {'; '.join(read.doubts) or 'it has no thrust'}")
    return Launch(f"{FIRING}{path.name}", project.design, said, held=True)
