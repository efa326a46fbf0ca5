"""What can be fetched beside the pages: pictures, files of the pack, the proof-test sheet, drawings of words."""

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route

from bottlewright.errors import InputError
from bottlewright.project.content_policy import own_policy
from bottlewright.project.words import word_picture
from bottlewright.web.office import Office
from bottlewright.web.views.make import LARGE, SMALL

__all__ = ["fetched_routes"]

_FRESH = {"Cache-Control": "no-store"}
_FRAMED = "frame-ancestors 'none'"
"""A file can't say it of itself."""


def fetched_routes(office: Office) -> list[Route]:
    """Return a route for each kind of thing."""

    async def picture(request: Request) -> Response:
        svg = await run_in_threadpool(office.picture, request.path_params["of"], request.path_params["name"])
        if svg is None:
            raise HTTPException(404)
        return Response(svg, media_type="image/svg+xml", headers=_FRESH)

    async def word_drawing(request: Request) -> Response:
        svg = word_picture(request.path_params["name"])
        if svg is None:
            raise HTTPException(404)
        return Response(svg, media_type="image/svg+xml")

    async def proof_sheet(_: Request) -> Response:
        html = await run_in_threadpool(office.proof_sheet)
        if html is None:
            raise HTTPException(404)
        return HTMLResponse(html, headers={**_FRESH, "Content-Security-Policy": f"{own_policy(html)}; {_FRAMED}"})

    async def file(request: Request) -> Response:
        content = await run_in_threadpool(office.made_file, request.path_params["name"])
        if content is None:
            raise HTTPException(404)
        kind = "application/pdf" if request.path_params["name"].endswith(".pdf") else "application/octet-stream"
        return Response(content, media_type=kind)

    async def page(request: Request) -> Response:
        pack, dots = await run_in_threadpool(office.pack), request.path_params["dots"]
        if pack is None or dots not in (SMALL, LARGE):
            raise HTTPException(404)
        try:
            png = await run_in_threadpool(pack.page_picture, request.path_params["number"], dots)
        except InputError:
            raise HTTPException(404) from None
        return Response(png, media_type="image/png", headers={"Cache-Control": "private, max-age=3600"})

    async def chosen(request: Request) -> Response:
        pack = await run_in_threadpool(office.pack)
        if pack is None:
            raise HTTPException(404)
        try:
            pdf = await run_in_threadpool(pack.chosen, request.query_params.getlist("sheet"))
        except InputError as error:
            return PlainTextResponse(f"{str(error)[:1].upper()}{str(error)[1:]}.", 422)
        name = {"Content-Disposition": 'attachment; filename="sheets.pdf"'}
        return Response(pdf, media_type="application/pdf", headers={**_FRESH, **name})

    async def calendar(_: Request) -> Response:
        ics = await run_in_threadpool(office.calendar)
        if not ics:
            raise HTTPException(404)
        name = {"Content-Disposition": 'attachment; filename="build.ics"'}
        return Response(ics, media_type="text/calendar", headers={**_FRESH, **name})

    return [
        Route("/page/{dots:int}/{number:int}.png", page),
        Route("/chosen.pdf", chosen),
        Route("/build.ics", calendar),
        Route("/words/picture/{name}.svg", word_drawing),
        Route("/picture/{of}/{name}.svg", picture),
        Route("/file/{name:path}", file),
        Route("/sheet/proof-test.html", proof_sheet),
    ]
