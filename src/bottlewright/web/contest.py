"""The class and its contest on a page: what is posted, and the sheets of the day and of the results to print."""

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.contest import Contest
from bottlewright.project.day_paper import day_pdf, planned_launches, results_pdf
from bottlewright.web.launching import judge_of

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["CLASS", "CONTEST_DOES", "class_named", "contest_of", "contest_routes"]

CLASS = "class"
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def class_named(page: str) -> str | None:
    """Return which day a page's path names, empty for today; None for another page."""
    name, _, day = page.partition("~")
    return day if name == CLASS and (not day or _DAY.fullmatch(day)) else None


def contest_of(office: "Office", day: str = "") -> Contest:
    """Return the contest of a day; of today where none is said."""
    return Contest(office.folder, day if _DAY.fullmatch(day) else office.launch.now().date().isoformat())


def _plan(office: "Office", given: Mapping[str, str]) -> None:
    contest_of(office, given.get("day", "")).plan(given)


def _team(office: "Office", given: Mapping[str, str]) -> None:
    flies = given.get("gone") != "yes"
    contest_of(office, given.get("day", "")).enter_team(
        given.get("team", ""), given.get("members", ""), given.get("rocket", ""), flies)


CONTEST_DOES: Mapping[str, Callable[["Office", dict[str, str]], Any]] = {"/do/contest": _plan, "/do/team": _team}
"""What is posted, by path."""


def contest_routes(office: "Office") -> list[Route]:
    """Return the routes of what is printed."""
    def printed(name: str, make: Callable[[str], bytes]) -> Callable[[Request], Any]:
        async def handler(request: Request) -> Response:
            try:
                pdf = await run_in_threadpool(make, request.query_params.get("day", ""))
            except BottlewrightError as error:
                return PlainTextResponse(f"{str(error)[:1].upper()}{str(error)[1:]}.", 422)
            headers = {"Cache-Control": "no-store", "Content-Disposition": f'inline; filename="{name}"'}
            return Response(pdf, media_type="application/pdf", headers=headers)

        return handler

    def results(day: str) -> bytes:
        contest = contest_of(office, day)
        return results_pdf(contest, contest.results())

    def cards(_: str) -> bytes:
        day = office.launch.day
        if day is None:
            raise InputError("no day is kept: prepare one first, on the page Launch")
        today, launches = contest_of(office).day, planned_launches(day.plan)
        return day_pdf(office.folder, today, launches, day.plan, judge=judge_of(office),
                       by_hand=office.launch.by_hand())  # fmt: skip

    return [
        Route("/launch/results.pdf", printed("results.pdf", results)),
        Route("/launch/cards.pdf", printed("cards.pdf", cards)),
    ]  # fmt: skip
