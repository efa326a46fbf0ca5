"""`bottlewright launch`: a day in the field prepared, printed and served."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bottlewright.cli.common import Json
from bottlewright.cli.make import Paper
from bottlewright.cli.open import serve_folder
from bottlewright.cli.printing import print_json, say, tell_text
from bottlewright.cli.runners import bars, stop_once
from bottlewright.errors import BottlewrightError, FieldsError, InputError

if TYPE_CHECKING:
    from bottlewright.project.day_needs import DayNeeds
    from bottlewright.project.launch_day import LaunchDay

__all__ = ["launch"]


def _text(about: str) -> object:
    return typer.Option(help=about, show_default=False)


Text = str | None


def launch(
    folder: Annotated[Path, typer.Argument(help="Where your design files lie.")] = Path(),
    rocket: Annotated[list[str] | None, typer.Option(
        "--rocket", metavar="FILE=LAUNCHES", show_default=False,
        help="A design that flies, and how often, such as rocket.toml=2; with who and the launcher, "
             "rocket.toml=2:Herons:B. In the order of turns; may be repeated.")] = None,
    charge: Annotated[Text, _text("The person in charge, an adult with no other role.")] = None,
    pump: Annotated[Text, _text("Who pumps: initials or a number will do.")] = None,
    pull: Annotated[Text, _text("Who pulls the cord.")] = None,
    watch: Annotated[Text, _text("Who watches the field.")] = None,
    record: Annotated[Text, _text("Who writes down what is read aloud.")] = None,
    adult: Annotated[list[str] | None, typer.Option(
        "--adult", show_default=False, help="An adult who may answer for something; may be repeated.")] = None,
    ratio: Annotated[Text, _text("Supervision ratio that holds here, such as 1:5.")] = None,
    owner: Annotated[Text, _text("The site owner's permission: from whom, of when.")] = None,
    emergency: Annotated[Text, _text("Emergency number.")] = None,
    lightning: Annotated[Text, _text("Lightning rule that holds here.")] = None,
    landings: Annotated[bool, typer.Option(
        "--landings/--no-landings", help="Work out the landings of rockets that have none yet: without them no wind "
                                         "limit is known, and nothing is pumped.")] = True,
    cards: Annotated[Path | None, typer.Option(
        "--cards", metavar="DIR", show_default=False, help="Print the packs of the day into this folder: cards and "
                                                           "sheets with the same steps on paper.")] = None,
    paper: Paper = None,
    serve: Annotated[bool, typer.Option("--serve/--no-serve", help="Serve the day's page.")] = True,
    port: Annotated[int | None, typer.Option(min=1, max=65535, show_default=False, help="Of this computer.")] = None,
    lan: Annotated[bool, typer.Option("--lan", help="Let phones on this network join, with a passcode.")] = False,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open your browser.")] = True,
    json: Json = False,
) -> int:  # fmt: skip
    """Prepare a day in the field, print its packs, and serve its page; without --rocket the day that is kept."""
    from bottlewright.project.day_document import day_document, day_words
    from bottlewright.project.day_needs import needs_json, needs_words
    from bottlewright.project.launch_day import LaunchDay

    day = LaunchDay(folder)
    roles = {"charge": charge, "pump": pump, "pull": pull, "watch": watch, "record": record}
    local = {"ratio": ratio, "owner": owner, "emergency": emergency, "lightning": lightning}
    given = _given(rocket or (), roles, adult or (), local)
    files = [key.partition(".")[2] for key in given if key.startswith("launches.")]
    if files:
        if landings:
            _land(folder, files)
        _prepare(day, given)
    if cards is not None:
        _print(day, cards, paper)
    needs, told = _needs(day), day_document(day)
    if json:
        print_json({**told, **({"needs": needs_json(needs)} if needs else {})})
    else:
        tell_text(lambda _: day_words(told))
        if needs:
            tell_text(lambda _: f"\n{needs_words(needs)}".rstrip())
    if serve and not json:
        serve_folder(folder, port, browser, lan, "launch")
        return 0
    barred = any(one["barred"] for one in told.get("rockets", ()))
    return int(barred or (day.day is not None and any(one.stops for one in day.day.plan.rockets.values())))


def _given(rockets: "list[str] | tuple[str, ...]", roles: dict[str, str | None], adults: "list[str] | tuple[str, ...]",
           local: dict[str, str | None]) -> dict[str, str]:  # fmt: skip
    """Return the answers as the page's form has them."""
    given = {f"role.{name}": who for name, who in roles.items() if who}
    given |= {f"adult.{name}": "yes" for name, who in roles.items() if who in adults}
    given |= {f"local.{name}": text for name, text in local.items() if text}
    given["adults"] = ", ".join(adults)
    for place, one in enumerate(rockets, 1):
        file, _, rest = one.partition("=")
        launches, _, more = rest.partition(":")
        who, _, pad = more.partition(":")
        given |= {f"launches.{file}": launches or "1", f"who.{file}": who, f"pad.{file}": pad,
                  f"turn.{file}": str(place)}  # fmt: skip
    return given


def _land(folder: Path, files: list[str]) -> None:
    """Work out the landings of designs that have none yet."""
    from bottlewright.project.day_answers import judged_now

    for file in files:
        if not (folder / file).is_file():
            raise InputError(f"{file}: there is no such design file in {folder}")
        project, verdict = judged_now(folder, file)
        if verdict.wind_limits is None:
            say(f"{project.name}: working out where it comes down")
            with stop_once() as stop, bars() as progress:
                project.scatter(True, progress, stop)


def _prepare(day: "LaunchDay", given: dict[str, str]) -> None:
    try:
        day.prepare(given)
    except FieldsError as error:
        wrong = "\n".join(f"--{name.partition('.')[2] or name}: {why}" for name, why in error.fields.items())
        raise InputError(wrong) from None


def _needs(day: "LaunchDay") -> "DayNeeds | None":
    """Return what the day that is kept takes; None where none is, or a design of it can't be read any more.

    What became of the design stands in the words of the day. Its page is served all the same: there is a stop on it.
    """
    from bottlewright.project.day_needs import day_needs
    from bottlewright.project.day_paper import planned_launches

    launches = planned_launches(day.day.plan) if day.day else {}
    try:
        return day_needs(day.folder, launches, day.now().date().isoformat()) if launches else None
    except (BottlewrightError, OSError):
        return None


def _print(day: "LaunchDay", cards: Path, paper: str | None) -> None:
    """Write the pack of each rocket of the day, and the day's own sheets."""
    from bottlewright.project.project import read
    from bottlewright.project.results_folder import check_place, place_for

    if day.day is None:
        raise InputError("no day is kept: say with --rocket what flies")
    for one in day.day.plan.rockets.values():
        if not one.file:
            continue
        place = cards / place_for(one.name, "day").name
        cards.mkdir(parents=True, exist_ok=True)
        check_place(place)
        result = read(day.folder / one.file).make(paper)
        result.save(place)
        say(f"Print {place / f'pack-{result.paper}.pdf'} at 100\u202f%")
    _print_day(day, cards, paper)


def _print_day(day: "LaunchDay", cards: Path, paper: str | None) -> None:
    """Write the day's sheet and the cards of its rockets: the fallback for when no device works."""
    from bottlewright.project.day_paper import day_pdf, planned_launches
    from bottlewright.project.results_folder import check_place, results_folder

    assert day.day is not None, "it was asked before"
    launches, place = planned_launches(day.day.plan), cards / "sheets"
    if launches:
        check_place(place)
        made = day_pdf(day.folder, day.now().date().isoformat(), launches, day.day.plan, paper, by_hand=day.by_hand())
        with results_folder(place, "launch") as fresh:
            (fresh / "day.pdf").write_bytes(made)
        say(f"Print {place / 'day.pdf'}: the day's sheet, and a card for each rocket")
