"""The logbook beside the designs: entered, imported, merged, shown and exported."""

import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError
from bottlewright.project.foretelling import as_flown, prediction_of

if TYPE_CHECKING:
    from pydantic import BaseModel

    from bottlewright.logbook.book import Book
    from bottlewright.logbook.day_book import DayBook
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.project.after_launch import AfterLaunch
    from bottlewright.project.project import Project

__all__ = ["Logbook", "now"]


def now() -> datetime:
    """Return the time on this computer. Nothing else of the logbook looks at a clock."""
    return datetime.now().replace(microsecond=0)


@dataclass(frozen=True)
class Logbook:
    """The logbook of a folder of designs.

    Parameters
    ----------
    beside
        The folder in which the designs lie; the logbook's own folder is inside it.
    """

    beside: Path

    @property
    def folder(self) -> Path:
        """Where its files lie."""
        from bottlewright.logbook.files import FOLDER

        return self.beside / FOLDER

    def read(self) -> "Book":
        """Return all of it, with what a crash left in the journals brought into the bottles' files.

        Raises
        ------
        DesignError
            When a file can't be read: with its line.
        """
        from bottlewright.logbook.book import read_book
        from bottlewright.logbook.vessels import carry_over

        if self.folder.is_dir():
            carry_over(self.folder)
        return read_book(self.folder)

    # --- bottles ------------------------------------------------------------------------------------------------

    def begin_bottle(self, name: str, given: Mapping[str, object]) -> Path:
        """Begin the file of a bottle; `given` are its keys ``bottle``, ``opened`` and ``earlier``.

        Raises
        ------
        InputError
            When there is one of that id, or an answer can't be taken.
        """
        from bottlewright.logbook.records import VesselFile
        from bottlewright.logbook.vessels import new_vessel

        return new_vessel(self.folder, _record(VesselFile, {"id": name, **given}))

    def enter(self, name: str, what: str, given: Mapping[str, object]) -> str:
        """Enter what happened to a bottle; return its file in a line.

        Parameters
        ----------
        what
            "pumped", "test", "inspection", "hard", "work" or "warm".
        given
            The keys of the entry; ``at`` is now when left out.

        Raises
        ------
        InputError
            When nobody knows the bottle, or an answer can't be taken.
        """
        from bottlewright.logbook import records
        from bottlewright.logbook.history import vessel_line
        from bottlewright.logbook.vessels import add_entries

        models: Mapping[str, type[records.Happened]] = {
            "pumped": records.Pressurised, "test": records.VesselTest, "inspection": records.Inspection,
            "hard": records.Happened, "work": records.WorkDone, "warm": records.Heated,
        }  # fmt: skip
        said = {key: value for key, value in given.items() if value is not None}
        entry = _record(models[what], {"entry": _name(), "at": now().isoformat(), **said})
        self._not_ahead(entry.at)
        return vessel_line(add_entries(self.folder, name, [entry]))

    def _not_ahead(self, at: str) -> None:
        if at > now().isoformat():
            raise InputError(f"{at} is still to come: write what happened once it has")

    # --- launches -----------------------------------------------------------------------------------------------

    def enter_flight(self, project: "Project", given: Mapping[str, object], measured: Mapping[str, str]) -> Path:
        """Enter a launch of a design; return its file.

        The prediction is made here and now, and kept only where the launch has not been yet; of one that has been only
        what is allowed on the gauge is kept. A day that is kept stops where its bottle held more than that.

        Parameters
        ----------
        given
            Keys of the launch's file beside those that the design answers.
        measured
            Such as ``{"height": "48 m ± 2 m"}``, and ``how`` it was measured; of several readings each for itself,
            as ``"height how"``.

        Raises
        ------
        InputError
            When an answer can't be taken, or the day that is kept has a launch of this rocket in hand.
        """
        from bottlewright.logbook.book import flight_file
        from bottlewright.logbook.by_hand import check_by_hand
        from bottlewright.logbook.files import write_record, writing
        from bottlewright.logbook.records import FlightFile
        from bottlewright.project.overshoot import allowed_then, stop_the_day

        at = str(given.get("at") or now().isoformat())
        check_by_hand(self.folder, project.name, project.design.vessel.id, at)
        ahead = at >= now().isoformat()
        tables: dict[str, object] = {
            "entry": _name(), "day": at[:10], "at": at, "number": self._next_number(at[:10]), "rocket": project.name,
            "vessel": project.design.vessel.id, "digest": project.digest, "design": as_flown(project),
            "prediction": prediction_of(project, now().isoformat()) if ahead else None,
            "measured": _readings(measured),
            **{key: value for key, value in given.items() if key != "at"},
        }  # fmt: skip
        if not ahead and (allowed := allowed_then(project, at)) is not None:
            loaded = given.get("loaded")
            tables["loaded"] = {**(loaded if isinstance(loaded, Mapping) else {}), "allowed": allowed}
        flight = _record(FlightFile, {key: value for key, value in tables.items() if value is not None})
        _readable(flight.measured)
        with writing(self.folder):
            write_record(path := flight_file(self.folder, flight), flight)
        stop_the_day(self.beside, flight, now().isoformat(), str(given.get("by") or ""))
        return path

    def _next_number(self, day: str) -> int:
        return 1 + max((one["number"] for one in self.read().flights.values() if one["day"] == day), default=0)

    def measure(self, entry: str, measured: Mapping[str, str], given: Mapping[str, object], by: str = "") -> Path:
        """Add measurements, and what was seen, to a launch; an answer that is put right stays in the file.

        Raises
        ------
        InputError
            When there is no such launch, or an answer can't be taken.
        """
        from bottlewright.logbook.launches import add_to_launch, check_left, launch_of
        from bottlewright.logbook.records import Measurement

        at = now().isoformat()
        lists = [{**one, "at": at} for one in _readings(measured)]
        _readable([_record(Measurement, one) for one in lists])
        if lists:
            check_left(launch_of(self.folder, entry))
        add_to_launch(self.folder, entry, {"measured": lists}, given, at, by or None)
        return self.folder / "flights"

    def read_in(self, launch: str, kind: str, given: Mapping[str, str], by: str = "") -> None:
        """Enter a reading of the field into the file of a launch; see `bottlewright.project.measuring.enter`.

        Raises
        ------
        InputError
            When there is no such launch, or an answer can't be taken.
        """
        from bottlewright.project.measuring import enter

        enter(self.beside, launch, kind, given, now().isoformat(), by)

    def after(self, launch: str) -> "AfterLaunch":
        """Return a launch as it was: what was read, beside what was foretold; see `bottlewright.project.after_launch`.

        Raises
        ------
        InputError
            When there is no such launch.
        """
        from bottlewright.project.after_launch import after_launch

        return after_launch(self.beside, launch)

    def save_card(self, launch: str, out: Path) -> None:
        """Write the card of a launch as a page; nothing that is there is replaced.

        Raises
        ------
        InputError
            When there is no such launch, or the page can't be written.
        """
        from bottlewright.design.writing import write_new

        html = self.after(launch).card()
        try:
            write_new(out, html)
        except FileExistsError:
            raise InputError(f"{out} is there already: say another name") from None
        except OSError as error:
            raise InputError(f"{out} can't be written: {error.strerror}") from None

    # --- a day ----------------------------------------------------------------------------------------------------

    def day(self, name: str, judge: Callable[[str], Any] | None = None) -> "DayBook":
        """Return a day that is kept, such as "2027-03-20": entries are decided, written down and carried on.

        No step towards a flight is taken that the rocket's design of now bars, whoever asks.

        Parameters
        ----------
        judge
            Gives project and verdict of a design file; reads and judges it when left out.
        """
        from bottlewright.logbook.day_book import DayBook
        from bottlewright.project.day_against_design import asked_now
        from bottlewright.project.day_answers import judged_now

        judged = judge or (lambda file: judged_now(self.beside, file))
        return DayBook(self.folder, name, lambda rocket, event: asked_now(rocket, event, judged))

    def rocket(self, project: "Project", pad: str) -> "DayRocket":
        """Return a design as a rocket of the day, with what the verdict allows it.

        Parameters
        ----------
        pad
            The launcher that it stands on.
        """
        from bottlewright.project.day_basis import day_rocket

        return day_rocket(project, project.verdict(), pad)

    # --- all of it ----------------------------------------------------------------------------------------------

    def take_in(self, path: Path) -> list[str]:
        """Bring in another copy of a logbook, the file of a launch or of a bottle, or a logger's file as it is.

        Returns
        -------
        list
            What the two say differently, or under which name a logger's file is kept.

        Raises
        ------
        InputError
            When it can't be read; a file that can't be read as a record is refused with its line.
        """
        from bottlewright.logbook.book import Book, merge_folders, merged, open_questions, read_book, write_book
        from bottlewright.logbook.files import read_record, tables_of, writing
        from bottlewright.logbook.raw import keep_raw, stored_name
        from bottlewright.logbook.records import FlightFile, VesselFile

        if path.is_dir():
            return [str(one) for one in merge_folders(self.folder, _logbook_in(path))]
        if not path.is_file():
            raise InputError(f"{path} does not exist")
        if path.suffix == ".toml":
            if path.parent.name == "vessels":
                vessel = read_record(path, VesselFile)
                more = Book(vessels={vessel.id: tables_of(vessel)})
            else:
                flight = read_record(path, FlightFile)
                more = Book(flights={flight.entry: tables_of(flight)})
            with writing(self.folder):
                both = merged(read_book(self.folder), more)
                write_book(self.folder, both)
            return [str(one) for one in open_questions(both)]
        with writing(self.folder):
            return [f"kept as raw/{stored_name(keep_raw(self.folder, path.name, path.read_bytes()))}"]

    def words(self) -> str:
        """Return the logbook in lines: bottles, launches, what copies say differently, what was spoiled."""
        from bottlewright.logbook.words import book_words

        return book_words(self.read(), self.folder)

    def document(self) -> dict[str, Any]:
        """Return all of it as one document."""
        from bottlewright.logbook.export import document

        return document(self.read())

    def files(self) -> dict[str, str]:
        """Return the tables and the document of an export, by name."""
        from bottlewright.logbook.export import cycles_csv, document, flights_csv
        from bottlewright.report.json_text import json_text

        book = self.read()
        return {"flights.csv": flights_csv(book), "cycles.csv": cycles_csv(book),
                "logbook.json": json_text(document(book))}  # fmt: skip

    def save(self, out: Path) -> None:
        """Write an export into a folder; a file there that this program did not write is never replaced.

        Raises
        ------
        InputError
            When the folder holds anything else, or can't be written.
        """
        from bottlewright.project.results_folder import check_place, results_folder

        check_place(out)
        files = self.files()
        with results_folder(out, "log") as fresh:
            for name, text in files.items():
                (fresh / name).write_text(text, encoding="utf-8", newline="")


def _name() -> str:
    return secrets.token_hex(6)


def _record(model: "type[Any]", tables: Mapping[str, object]) -> Any:
    """Return a record of answers, or say what is wrong with them."""
    from pydantic import ValidationError

    from bottlewright.design.validation_messages import problems_of

    given = {key: value for key, value in tables.items() if value is not None}
    try:
        return model.model_validate(given)
    except ValidationError as error:
        raise InputError("\n".join(map(str, problems_of(error, given, model)))) from None


def _readings(measured: Mapping[str, str]) -> list[dict[str, str]]:
    """Return the entries of what was measured, each with its own way: two readings are seldom taken in one way."""
    values = {what: value for what, value in measured.items() if what.split(" ")[-1] != "how"}
    apart = [what.removesuffix(" how") for what in measured if what.endswith(" how")]
    if strange := next((what for what in apart if what not in values), None):
        raise InputError(f"it says how {strange} was measured, and no {strange}: give that too")
    if "how" in measured and len(values) > 1:
        each = " ".join(f'--how {what}="…"' for what in values)
        raise InputError(f"{measured['how']!r} would stand for {' and '.join(values)}: say of each how it was measured "
                         f"({each})")  # fmt: skip
    return [{"entry": _name(), "what": what, "value": value,
             "how": measured.get(f"{what} how") or measured.get("how") or "not said"}
            for what, value in values.items()]  # fmt: skip


def _readable(measured: "Sequence[BaseModel]") -> None:
    from bottlewright.logbook.export import check_entered
    from bottlewright.quantities import QuantityError

    for one in measured:
        try:
            check_entered(one.what, one.value)  # type: ignore[attr-defined]
        except QuantityError as error:
            raise InputError(f"{one.what} {error}") from None  # type: ignore[attr-defined]


def _logbook_in(path: Path) -> Path:
    from bottlewright.logbook.files import FOLDER

    return path / FOLDER if (path / FOLDER).is_dir() else path
