"""`bottlewright log`: what really happened, entered, brought in, shown and exported."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bottlewright.cli.common import Json, load
from bottlewright.cli.contest import ContestAsked, contest
from bottlewright.cli.printing import print_json, say
from bottlewright.errors import InputError

if TYPE_CHECKING:
    from bottlewright.project.logbook import Logbook

__all__ = ["log"]


def _text(about: str, name: str | None = None) -> object:
    return typer.Option(*([name] if name else []), help=about, show_default=False)


Text = str | None


def log(
    what: Annotated[str, typer.Argument(help="show, bottle, pumped, test, inspection, hard, warm, work, flight, "
                                             "measure, card, import, take, contest, team, results or "
                                             "export.")] = "show",
    name: Annotated[Text, typer.Argument(help="What is written on the bottle; of `flight` the design file, of "
                                              "`measure` the launch, such as 2027-03-20-03, of `take` what to bring "
                                              "in: another copy of a logbook, a record, a logger's file; of `import` "
                                              "a logger's file to be read; of `contest` "
                                              "and `results` the day, of `team` its name.",
                                         show_default=False)] = None,
    beside: Annotated[Path, typer.Option(metavar="DIR", help="The folder of the designs.")] = Path(),
    at: Annotated[Text, _text('When, such as 2027-03-20 or 2027-03-20T10:15; now when left out.')] = None,
    by: Annotated[Text, _text("Who writes this: initials or a number.")] = None,
    note: Annotated[Text, _text("Anything.")] = None,
    kind: Annotated[Text, _text('bottle: its size and drink, such as "1.5 litre fizzy".')] = None,
    opened: Annotated[Text, _text("bottle: the day on which it was opened.")] = None,
    earlier: Annotated[int | None, typer.Option(help="bottle: how often it was under pressure before; 0 for a new one.",
                                                show_default=False)] = None,
    peak: Annotated[Text, _text('pumped: highest reading of the gauge, such as "4.5 bar".')] = None,
    ended: Annotated[Text, _text("pumped: launched, vented, leak or burst.")] = None,
    pressure: Annotated[Text, _text("test, flight: on the gauge.")] = None,
    hold: Annotated[Text, _text('test: how long it was held, such as "60 s".')] = None,
    filled: Annotated[Text, _text("test: what the bottle was filled with, water or air.")] = None,
    held: Annotated[bool | None, typer.Option("--held/--failed", help="test: how it went.", show_default=False)] = None,
    adult: Annotated[Text, _text("inspection: who looked over the bottle.")] = None,
    fit: Annotated[bool | None, typer.Option("--fit/--unfit", help="inspection: what was found.",
                                             show_default=False)] = None,
    how: Annotated[list[str] | None, _text('warm: sun or "hot car"; work: what was done to the wall; flight, measure: '
                                           "how it was measured, of several readings each by its name, such as --how "
                                           'height="two stations" --how time=stopwatch.')] = None,
    water: Annotated[Text, _text("flight: what was really loaded.")] = None,
    height: Annotated[Text, _text('flight, measure: such as "48 m ± 2 m".')] = None,
    time: Annotated[Text, _text('flight, measure: in the air, such as "7.2 s ± 0.1 s".')] = None,
    away: Annotated[Text, _text("flight, measure: landing from the launcher.")] = None,
    seen: Annotated[Text, _text("flight, measure: what was seen.")] = None,
    landing: Annotated[Text, _text("flight, measure: soft, hard, tree, roof, water, road, power line or lost.")] = None,
    damage: Annotated[Text, _text("flight, measure: what broke; none where nothing did.")] = None,
    team: Annotated[Text, _text("flight: initials or a number.")] = None,
    reading: Annotated[Text, _text("measure: what was read: watch, sight, top, wind, loaded, place, down, photo, film, "
                                   "value or withdraw; its answers follow with --with.")] = None,
    answers: Annotated[list[str] | None, typer.Option("--with", metavar="NAME=VALUE", show_default=False,
                                                      help="measure: an answer of the reading, such as "
                                                           '--with away="50 m"; import: a column or an event, such as '
                                                           '--with height="3 ft" or --with apogee="2.6 s"; may be '
                                                           "given several times.")] = None,
    launch: Annotated[Text, _text("import: take what the file says into this launch; without it, it is only shown.")]
    = None,
    target: Annotated[Text, _text("flight: the height that the team says before it.")] = None,
    egg: Annotated[Text, _text("flight, measure: whole or broken, where one flew along.")] = None,
    counts: Annotated[bool | None, typer.Option("--counts/--out-of-contest", help="flight, measure: in the contest.",
                                                show_default=False)] = None,
    rule: Annotated[Text, _text("contest, results: by which it is scored, such as highest.")] = None,
    rules: Annotated[Text, _text("contest, results: the school's own rule file, beside the designs.")] = None,
    rounds: Annotated[Text, _text("contest: launches that each team has.")] = None,
    members: Annotated[Text, _text('team: initials or numbers, such as "K, 7".')] = None,
    rocket: Annotated[Text, _text("team: what it flies.")] = None,
    out_of_it: Annotated[bool, typer.Option("--gone", help="team: takes part no more.")] = False,
    out: Annotated[Path | None, typer.Option(metavar="PATH", show_default=False,
                                             help="export: the folder for flights.csv, cycles.csv and logbook.json; "
                                                  "results: for the sheet to print; card: the page to write.")] = None,
    as_json: Json = False,
) -> int:
    """Write down what really happened, or show it. The files lie in the folder logbook beside the designs."""
    from bottlewright.project.logbook import Logbook

    book = Logbook(beside)
    entry = {"at": at, "by": by, "note": note}
    details: dict[str, dict[str, object]] = {
        "pumped": {"peak": peak, "ended": ended},
        "test": {"pressure": pressure, "hold": hold, "medium": filled, "passed": held},
        "inspection": {"adult": adult, "fit": fit}, "hard": {}, "warm": {"how": _one_how(what, how)},
        "work": {"what": _one_how(what, how)},
    }  # fmt: skip
    by_hand = {"height": height, "time": time, "away": away}
    measured = {key: value for key, value in by_hand.items() if value} | _hows(how or [])
    told: dict[str, object] = {"seen": seen, "landing": landing, "damage": damage, "egg": egg, "counts": counts}
    if what in ("contest", "team", "results"):
        asked = ContestAsked(what, name, at, rule, rules, rounds, members, rocket, not out_of_it, out)
        return contest(beside, asked, as_json)
    if what in details:
        said = book.enter(_needed(what, name), what, {**entry, **details[what]})
    elif what == "bottle":
        path = book.begin_bottle(_needed(what, name), {"bottle": kind, "opened": opened, "earlier": earlier,
                                                       "notes": note})  # fmt: skip
        said = f"Began {path}. Write {name} on the bottle, and id = \"{name}\" under [vessel] in its design."
    elif what == "flight":
        loaded = {key: value for key, value in (("water", water), ("pressure", pressure)) if value}
        given = {"at": at, "team": team, "target": target, "loaded": loaded or None, **told}
        said = f"Wrote {book.enter_flight(load(Path(_needed(what, name))), given, measured)}."
    elif what == "measure":
        seen_there = {key: one for key, one in told.items() if one is not None}
        return _measure(book, _needed(what, name), (measured, seen_there), (reading, answers or [], by or ""), as_json)
    elif what == "import":
        return _import(beside, _needed(what, name), launch, (answers or [], by or ""), as_json)
    elif what == "card":
        return _card(book, _needed(what, name), out)
    elif what == "take":
        said = "\n".join(["Brought in.", *book.take_in(Path(_needed(what, name)))])
    elif what == "export":
        return _export(book, out)
    elif what == "show":
        said = book.words().rstrip("\n")
    else:
        raise InputError(f"log {what}: it can be show, bottle, pumped, test, inspection, hard, warm, work, flight, "
                         "measure, card, import, take, contest, team, results or export")
    if as_json:
        print_json(book.document())
    else:
        typer.echo(said)
    return 0


def _needed(what: str, name: str | None) -> str:
    if name is None:
        asked = {"flight": "which design file", "measure": "which launch", "card": "which launch",
                 "take": "what to bring in", "import": "which file"}  # fmt: skip
        raise InputError(f"log {what}: say {asked.get(what, 'what is written on the bottle')}")
    return name


def _one_how(what: str, hows: list[str] | None) -> str | None:
    if what in ("warm", "work") and hows and len(hows) > 1:
        raise InputError(f"log {what}: say --how once")
    return hows[0] if hows else None


def _hows(hows: list[str]) -> dict[str, str]:
    """Return how it was measured by the logbook's keys: "height how" of one reading, "how" of a lone one."""
    apart = [one.partition("=") for one in hows]
    found = {f"{name.strip()} how" if sign else "how": words if sign else name for name, sign, words in apart}
    if len(found) < len(hows):
        raise InputError("log: --how stands twice for one reading: say how each was measured, such as "
                         '--how height="two stations" --how time=stopwatch')  # fmt: skip
    return found


def _measure(
    book: "Logbook", launch: str, told: tuple[dict[str, str], dict[str, object]],
    read: tuple[str | None, list[str], str], as_json: bool,
) -> int:  # fmt: skip
    """Enter what was measured of a launch; with nothing to enter, say how it lies beside what was foretold."""
    (measured, seen), (kind, answers, by) = told, read
    if kind:
        book.read_in(launch, kind, _answers(answers), by)
    elif answers:
        raise InputError("log measure: --with goes with --reading, which says what was read")
    if measured or seen:
        book.measure(launch, measured, seen, by)
    after = book.after(launch)
    if as_json:
        print_json(after.document())
    else:
        typer.echo(f"Added to launch {launch}.\n{after.words()}" if kind or measured or seen else after.words())
    return 0


def _answers(answers: list[str]) -> dict[str, str]:
    apart = [one.partition("=") for one in answers]
    if bad := next((name for name, sign, _ in apart if not sign), None):
        raise InputError(f'--with {bad}: write it as a name and a value, such as --with away="50 m"')
    return {name.strip(): value for name, _, value in apart}


def _import(beside: Path, path: str, launch: str | None, told: tuple[list[str], str], as_json: bool) -> int:
    """Show how a logger's file is read; with a launch, take what it says into its file."""
    from bottlewright.project.importing import look_at, take_into
    from bottlewright.project.logbook import now

    file = Path(path)
    try:
        content = file.read_bytes()
    except OSError as error:
        raise InputError(f"{file} can't be read: {error.strerror}") from None
    found = look_at(beside, file.name, content, _answers(told[0]), launch or "")
    written = take_into(beside, launch, found, now().isoformat(), told[1]) if launch else []
    if as_json:
        print_json({**found.document(), "launch": launch, "taken": written})
    else:
        typer.echo(found.words())
        typer.echo("\n".join(["", f"Taken into launch {launch}:", *written] if launch else
                             ["", "Nothing was written. Put it right with --with, such as --with height=\"3 ft\" or "
                              "--with apogee=\"2.6 s\"; take it in with --launch."]))  # fmt: skip
    return 0


def _card(book: "Logbook", launch: str, out: Path | None) -> int:
    if out is None:
        raise InputError("log card: say which page to write with --out FILE")
    book.save_card(launch, out)
    say(f"Written to {out}")
    return 0


def _export(book: "Logbook", out: Path | None) -> int:
    if out is None:
        raise InputError("log export: say where with --out DIR")
    book.save(out)
    say(f"Written to {out}")
    return 0
