"""A class and its contest: teams, rounds, the rule, and the results by the launches of the logbook."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import BottlewrightError, FieldsError, InputError
from bottlewright.project.logbook import Logbook, now

if TYPE_CHECKING:
    from bottlewright.logbook.contest import Results as Results
    from bottlewright.logbook.contest import Standing
    from bottlewright.logbook.records import ContestFile
    from bottlewright.logbook.scoring import Rule

__all__ = ["USUAL_RULE", "Contest", "said_near", "said_score"]

USUAL_RULE = "highest"
_MOST_RULES = 100_000
"""Bytes that a rule file may have."""


@dataclass(frozen=True)
class Contest:
    """The contest of one day of a folder's logbook.

    Parameters
    ----------
    beside
        The folder in which the designs lie.
    day
        Such as "2027-03-20".
    """

    beside: Path
    day: str

    @property
    def folder(self) -> Path:
        """Where the logbook's files lie."""
        return Logbook(self.beside).folder

    @property
    def file(self) -> "ContestFile | None":
        """What is written of it; None where nothing is.

        Raises
        ------
        DesignError
            When the file can't be read: with its line.
        """
        from bottlewright.logbook.files import contest_file, read_record
        from bottlewright.logbook.records import ContestFile

        path = contest_file(self.folder, self.day)
        return read_record(path, ContestFile) if path.is_file() else None

    def rules(self, name: str | None = None) -> "Mapping[str, Rule]":
        """Return the rules that may be chosen: the program's, and those of the school's own file.

        Parameters
        ----------
        name
            The school's file, seen from the folder of the designs; the one that the contest names when left out.

        Raises
        ------
        DesignError
            When it can't be read: with its line.
        """
        from bottlewright.design.errors import DesignError, Problem
        from bottlewright.design.text_files import TextFileError, read_text_file
        from bottlewright.logbook.scoring import own_rules, rules

        kept = self.file
        name = name or (kept.rules if kept else None)
        if not name:
            return rules()
        try:
            return own_rules(read_text_file(self.beside / name, _MOST_RULES, "a rule file").text)
        except TextFileError as error:
            raise DesignError([Problem("", error.why, error.right)], name) from None
        except DesignError as error:
            raise DesignError(error.problems, name) from None

    def results(self, rule: str | None = None, rules: str | None = None) -> "Results":
        """Return places and turns by what the launches of the day say now.

        Parameters
        ----------
        rule
            Another one than the contest's.
        rules
            Another rule file than the contest's.

        Raises
        ------
        InputError
            When there is no such rule.
        """
        from bottlewright.logbook.contest import results_of
        from bottlewright.logbook.launches import all_launches

        kept, known = self.file, self.rules(rules)
        chosen = rule or (kept.rule if kept else None) or USUAL_RULE
        if chosen not in known:
            raise InputError(f"there is no rule {chosen!r}: the rules are {', '.join(known)}")
        flights = [one for one in all_launches(self.folder) if str(one.day) == self.day]
        return results_of(kept, flights, known[chosen], known)

    # --- what is entered ----------------------------------------------------------------------------------------

    def plan(self, given: Mapping[str, str]) -> None:
        """Say by which rule and in how many rounds: `rule`, `rules` (a file beside the designs), `rounds`.

        Raises
        ------
        FieldsError
            With what is wrong, by the name of the answer.
        """
        answers: dict[str, Any] = {key: given[key].strip() or None for key in ("rule", "rules") if key in given}
        wrong = {}
        if given.get("rounds", "").strip():
            rounds = given["rounds"].strip()
            answers["rounds"] = int(rounds) if rounds.isascii() and rounds.isdecimal() and len(rounds) < 3 else 0
            if not 1 <= answers["rounds"] <= 20:
                wrong["rounds"] = f"has to be a whole number from 1 to 20, not {rounds!r}"
        name = answers.get("rules")
        if name and (Path(name).name != name or not name.endswith(".toml")):
            wrong["rules"] = "has to be a .toml file that lies beside the designs"
        else:
            try:
                known = self.rules(name)
                if answers.get("rule") and answers["rule"] not in known:
                    wrong["rule"] = f"there is no rule {answers['rule']!r}: the rules are {', '.join(known)}"
            except BottlewrightError as error:
                wrong["rules"] = str(error)
        if wrong:
            raise FieldsError(wrong)
        self._write(answers)

    def enter_team(self, team: str, members: str = "", rocket: str = "", flies: bool = True) -> None:
        """Enter a team, or enter it anew; `members` are initials or numbers, a comma between.

        Raises
        ------
        FieldsError
            With what is wrong, by the name of the answer.
        """
        from bottlewright.logbook.people import checked_name

        wrong, names = {}, list[str]()
        team = " ".join(team.split())
        if not 1 <= len(team) <= 40 or not team.isprintable():
            wrong["team"] = "needs a name, a number or initials, 40 letters at the most"
        for one in filter(None, (part.strip() for part in members.replace(";", ",").split(","))):
            try:
                names.append(checked_name(one))
            except InputError as error:
                wrong["members"] = f"{one}: {error}"
        if wrong:
            raise FieldsError(wrong)
        entry = {"entry": secrets.token_hex(6), "at": now().isoformat(), "team": team, "members": names,
                 "rocket": " ".join(rocket.split())[:120] or None, "flies": flies}  # fmt: skip
        self._write({"team": [entry]})

    def _write(self, more: Mapping[str, Any]) -> None:
        from bottlewright.logbook.files import contest_file, tables_of, write_record, writing
        from bottlewright.logbook.records import ContestFile

        with writing(self.folder):
            kept = self.file
            had = tables_of(kept) if kept else {"day": self.day}
            tables = {**had, **more, "team": [*had.get("team", []), *more.get("team", [])]}
            record = ContestFile.model_validate({key: value for key, value in tables.items() if value is not None})
            write_record(contest_file(self.folder, self.day), record)

    # --- what is shown ------------------------------------------------------------------------------------------

    def save(self, results: "Results", out: Path) -> None:
        """Write the results into a folder: the sheet to print and the document.

        Raises
        ------
        InputError
            When the folder holds anything else, or can't be written.
        """
        from bottlewright.project.day_paper import results_pdf
        from bottlewright.project.results_folder import check_place, results_folder
        from bottlewright.report.json_text import json_text

        check_place(out)
        sheet, document = results_pdf(self, results), json_text(self.document(results))
        with results_folder(out, "log") as fresh:
            (fresh / "results.pdf").write_bytes(sheet)
            (fresh / "results.json").write_text(document, encoding="utf-8")

    def words(self, results: "Results") -> str:
        """Return the results in lines."""
        lines = [f"{results.rule.name}: {results.rule.says}"]
        for one in results.standings:
            place = f"{one.placed.place}." if one.placed.place else "–"
            lines.append(f"  {place:>3} {one.team}{_members(one)}: {said_score(results.rule, one)}")
            lines += [f"      {text}" for text in filter(None, (one.placed.why, said_near(one)))]
        if results.next:
            lines.append("Next: " + ", ".join(f"{team} (round {number})" for team, number in results.next[:8]))
        if results.nobodys:
            lines.append(f"Of no team: {', '.join(results.nobodys)}")
        return "\n".join(lines) + "\n"

    def document(self, results: "Results") -> dict[str, Any]:
        """Return the results as one document; SI, a target's error and shares as plain numbers."""
        return {
            "day": self.day, "rule": results.rule.name, "says": results.rule.says, "rounds": results.rounds,
            "teams": [{
                "team": one.team, "members": list(one.members), "rocket": one.rocket, "place": one.placed.place,
                "score": one.placed.score, "spread": one.placed.spread, "why": one.placed.why,
                "within_the_spread_of": list(one.placed.near), "decided_by": one.placed.decided,
                "launches": [row.launch for row in one.flights],
            } for one in results.standings],
            "next": [{"team": team, "round": number} for team, number in results.next],
            "of_no_team": list(results.nobodys),
        }  # fmt: skip


def _members(one: "Standing") -> str:
    return f" ({', '.join(one.members)})" if one.members else ""


_UNITS = {"height": "m", "away": "m", "time": "s", "time share": "%"}


def said_score(rule: "Rule", one: "Standing") -> str:
    """Return a team's score as it is read, with its ±."""
    score, spread = one.placed.score, one.placed.spread
    if score is None:
        return "no score"
    share = bool(rule.target or rule.height or rule.parts)
    factor, unit = (100.0, "%") if share else (1.0, _UNITS[rule.measure or "height"])
    digits = 1 if factor * score < 1000 else 0
    pm = f" ± {factor * spread:.{digits}f}" if spread else ""
    off = " off" if rule.target or rule.height else ""
    return f"{factor * score:.{digits}f}{pm} {unit}{off}"


_DECIDED = {
    "shared": "they share the place", "next best": "the next best flight decided", "best": "the best flight decided",
    "fewer flights": "fewer flights decided", "lighter": "the lighter rocket decided",
    "a third team": "another team stands between them",
}  # fmt: skip


def said_near(one: "Standing") -> str:
    """Return in words which teams can't be told from this one, and what decided; empty where all can."""
    if not one.placed.near:
        return ""
    decided = _DECIDED.get(one.placed.decided, "")
    equal = "equal to" if not one.placed.spread else "within the ± of"
    return f"{equal} {', '.join(one.placed.near)}{f': {decided}' if decided else ''}"
