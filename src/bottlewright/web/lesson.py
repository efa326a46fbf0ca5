"""A lesson on a page: one variable against height, with worksheet and key to print."""

from functools import lru_cache
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.book_shown import State, book_state
from bottlewright.project.lesson import VARIED, LessonResult, lesson

if TYPE_CHECKING:
    from bottlewright.project.project import Project
    from bottlewright.web.office import Office

__all__ = ["lesson_of", "lesson_routes"]


class _Asked:
    """A design as a key: the same digest and name, the same lesson."""

    def __init__(self, project: "Project") -> None:
        self.project = project
        self.key = project.digest, project.name, project.folder

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)


@lru_cache(4)
def _worked_out(asked: _Asked, vary: str, _: State) -> LessonResult:
    return lesson(asked.project, vary)


def lesson_of(office: "Office", vary: str) -> LessonResult:
    """Return the lesson of the design that is open, as its file and the logbook stand now.

    Raises
    ------
    InputError
        When none is open, or there is nothing to vary.
    """
    if office.job is None:
        raise InputError("no design is open")
    office.job.settle()
    return _worked_out(_Asked(office.job.project), vary if vary in VARIED else VARIED[0], book_state(office.folder))


def lesson_routes(office: "Office") -> list[Route]:
    """Return the routes of what is printed."""

    async def printed(request: Request) -> Response:
        name = request.path_params["name"]
        try:
            found = await run_in_threadpool(lesson_of, office, request.query_params.get("vary", ""))
            pdf = await run_in_threadpool(found.sheet, name == "key")
        except BottlewrightError as error:
            return PlainTextResponse(f"{str(error)[:1].upper()}{str(error)[1:]}.", 422)
        headers = {"Cache-Control": "no-store", "Content-Disposition": f'inline; filename="{name}.pdf"'}
        return Response(pdf, media_type="application/pdf", headers=headers)

    return [Route("/lesson/{name}.pdf", printed)]
