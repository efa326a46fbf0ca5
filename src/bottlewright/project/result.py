"""What every stage of the job gives: frozen, for one design, with verdict, numbers, words, pictures and files."""

import html
import importlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Self

from bottlewright.errors import InputError
from bottlewright.project.picture import Shown
from bottlewright.project.watch import PROCESSOR, Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.cures import Cure, Judge
    from bottlewright.design import Design
    from bottlewright.findings import Finding as Finding
    from bottlewright.project.effects import Effect
    from bottlewright.project.project import Project
    from bottlewright.report.act_on import ActOn
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["Result"]

TRYING = "trying what would put it right"


@dataclass(frozen=True, eq=False)
class Result:
    """What one stage of the job found for one design.

    Parameters
    ----------
    project
        What it was worked out for.
    cures
        Changes that were tried and remove a finding; `cured` looks for them.
    engine
        What flew its flights.
    """

    command: ClassVar[str]
    """The command that gives the same, and the name of its files."""
    stages: ClassVar[tuple[str, ...]]
    """The stages of the job that it speaks of."""

    project: "Project" = field(repr=False)
    cures: "tuple[Cure, ...]" = field(default=(), kw_only=True, repr=False)
    judged: "Verdict | None" = field(default=None, kw_only=True, repr=False)
    engine: str = field(default=PROCESSOR, kw_only=True, repr=False)

    @property
    def design(self) -> "Design":
        """The completed design."""
        return self.project.design

    @property
    def digest(self) -> str:
        """Short name of what it was worked out for; it changes with every value and ± of the design."""
        return self.project.digest

    # --- what it means -----------------------------------------------------------------------------------------

    @cached_property
    def verdict(self) -> "Verdict":
        """What is open, how hard the bottle may be pumped and who stands where, by all that is known now."""
        return self.judged or self._judge()

    @property
    def findings(self) -> "tuple[Finding, ...]":
        """All that was found, the most urgent first."""
        return self.verdict.findings

    @property
    def act(self) -> "ActOn":
        """The numbers that people act on, in the builder's units, each written once."""
        from bottlewright.verdict import act_on

        return act_on(self.verdict)

    def states(self) -> dict[str, tuple[str, str]]:
        """Return how each stage stands, by its name: the state, and its words."""
        from bottlewright.findings import Stage
        from bottlewright.report.html import state_of

        states = {str(stage).lower(): state_of(self.findings, stage) for stage in Stage}
        return {stage: (str(state), state.words) for stage, state in states.items()}

    def verdict_lines(self) -> list[str]:
        """Return the verdict in words, a line each, the level first."""
        from bottlewright.verdict import verdict_lines

        return list(verdict_lines(self.verdict))

    def told_findings(self) -> "list[Finding]":
        """Return the findings of this stage, and of the others what says stop or has to be there before pumping."""
        from bottlewright.findings import Level

        urgent = (Level.STOP, Level.HOLD)
        return [one for one in self.findings if one.stage.lower() in self.stages or one.level in urgent]

    def looks_elsewhere(self) -> dict[str, int]:
        """Return how many more there are to look at, by stage."""
        from collections import Counter

        from bottlewright.findings import Level

        return Counter(str(one.stage) for one in self.verdict.at(Level.LOOK) if one.stage.lower() not in self.stages)

    def flown_by(self) -> str:
        """Return a line that names what flew, where it was not this machine's processor."""
        return "" if self.engine == PROCESSOR else f"  Flown by: {self.engine}.\n"

    def _judge(self) -> "Verdict":
        raise NotImplementedError

    def _judge_of_changes(self) -> "Judge | None":
        """Return what judges a changed design; None for all but new landings."""
        return None

    def cured(self, progress: Progress | None = None, stop: Stop | None = None) -> Self:
        """Return the same with a tried cure beside each stop that has one; without a stop, the very same.

        Raises
        ------
        StoppedError
            When `stop` said so.
        """
        if self.verdict.level != "stop":
            return self

        def found() -> "tuple[tuple[Cure, ...], Verdict]":
            from bottlewright.cures import cured, cures_of

            cures = cures_of(self.design, self.project.folder, self.verdict, self._judge_of_changes(), watch.say)
            return cures, cured(self.verdict, cures)

        with watching(progress, stop) as watch:
            watch.say(TRYING)
            cures, judged = watch.run(found)
        return replace(self, cures=cures, judged=judged)

    @cached_property
    def effects(self) -> "Mapping[str, Effect]":
        """What each cure changes, before and after, by the code of its finding; each is flown once."""
        from bottlewright.project.effects import effects_of

        return effects_of(self.project, self.cures)

    # --- numbers, words, pictures, files -----------------------------------------------------------------------

    def document(self) -> dict[str, Any]:
        """Return everything as one document of plain values and arrays, SI, the unit in each name."""
        notes = [note.as_json() for note in self.design.reading_notes]
        tried = [cure.as_json() for cure in self.cures]
        return {"verdict": self.verdict.as_json(), "cures": tried, **self._numbers, "reading_notes": notes}

    def json(self, ascii_only: bool = False) -> str:
        """Return the document as JSON text; what is not a finite number becomes null."""
        from bottlewright.report.json_text import json_text

        return json_text(self.document(), ascii_only)

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        raise NotImplementedError

    def words(self) -> str:
        """Return what was worked out as text; `verdict` and `findings` are not in it."""
        raise NotImplementedError

    def columns(self) -> Mapping[str, Any]:
        """Return the table that `to_frame` shows: columns of one length by name, the unit in each name."""
        raise NotImplementedError

    def to_frame(self) -> Any:
        """Return the result's table as a pandas frame.

        Raises
        ------
        InputError
            When pandas is not installed.
        """
        try:
            pandas = importlib.import_module("pandas")
        except ImportError:
            raise InputError("to_frame needs pandas, which is not installed: pip install pandas") from None
        return pandas.DataFrame(dict(self.columns()))

    @cached_property
    def pictures(self) -> Mapping[str, Shown]:
        """The pictures by name; a notebook shows one by itself."""
        return {one.name: Shown(one) for one in self._pictures()}

    def _pictures(self) -> "list[Picture]":
        return []

    def files(self, progress: Progress | None = None, stop: Stop | None = None) -> dict[str, bytes]:
        """Return the files that the command of this stage writes, by name, pictures as SVG among them."""
        from bottlewright.report.style import picture_files

        def drawn() -> dict[str, bytes]:
            made = {name: text.encode() if isinstance(text, str) else text for name, text in self._own_files().items()}
            for picture in self.pictures.values():
                watch.say(f"drawing {picture.name}")
                made.update(picture_files(picture.drawn))
            return made

        with watching(progress, stop) as watch:
            return watch.run(drawn)

    def _own_files(self) -> "Mapping[str, str | bytes]":
        return {f"{self.command}.json": self.json()}

    def save(self, folder: str | Path, progress: Progress | None = None, stop: Stop | None = None) -> list[Path]:
        """Write the files into a folder, all of them or none, and return where each lies.

        A file there that this program did not write, or that was changed since, is never replaced.

        Raises
        ------
        InputError
            When the folder holds anything else, or can't be written.
        """
        from bottlewright.project.results_folder import check_place, results_folder
        from bottlewright.report.style import write_file

        check_place(Path(folder))
        files = self.files(progress, stop)
        with results_folder(Path(folder), self.command) as fresh:
            for name, content in files.items():
                write_file(fresh / name, content)
        return [Path(folder) / name for name in files]

    def _repr_html_(self) -> str:
        said = "\n".join([*self.verdict_lines(), "", self.words()])
        drawn = "".join(f"<figure>{one.svg[one.svg.index('<svg'):]}<figcaption>{html.escape(one.caption)}</figcaption>"
                        "</figure>" for one in self.pictures.values())  # fmt: skip
        return f"<pre>{html.escape(said)}</pre>{drawn}"
