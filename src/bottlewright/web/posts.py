"""What can be posted: a change of the design, a piece of long work begun or stopped, the answers of a form."""

import json
from collections.abc import Awaitable, Callable, Mapping
from typing import Any
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from bottlewright.errors import BottlewrightError, FieldsError, InputError
from bottlewright.project.as_built import filed_card
from bottlewright.project.bottle_file import begun_file
from bottlewright.project.damage import done_about_damage, entered_damage, fresh_bottle
from bottlewright.project.editing import Values
from bottlewright.project.fields import told_by_name
from bottlewright.project.ground_tests import confirmed_tries, counted_anew, entered_tries
from bottlewright.project.parts import entered_part
from bottlewright.project.payload import entered_payload
from bottlewright.project.project import Project
from bottlewright.project.proof_test import entered_test, has_own_file, test_of_its_file
from bottlewright.project.proof_test import test_into_its_file as into_its_file
from bottlewright.project.schedule import entered_workshop
from bottlewright.project.using_learned import not_used
from bottlewright.web.contest import CONTEST_DOES
from bottlewright.web.launching import prepare, work_out_landings
from bottlewright.web.learning import use_learned
from bottlewright.web.office import Office
from bottlewright.web.people import PEOPLE_DOES
from bottlewright.web.work import KINDS

__all__ = ["post_routes", "refused"]

Act = Callable[[Office, dict[str, str]], Any]
"""What a post does; the text that it returns is where the page goes next."""

def _enter_test(office: Office, given: dict[str, str]) -> None:
    """Enter a test of the bottle, as it happened: into its own file where it has one, else into the design."""
    if office.job is None or not has_own_file(office.job.project):
        office.enter(entered_test, given)
        return
    with office.job.lock:
        office.job.settle()
        test_of_its_file(office.job.project, given)
        office.job.look_around()


def _test_into_its_file(office: Office, given: dict[str, str]) -> None:
    """Write a test that stands only in the design, said in `words`, into the file of its bottle."""
    if office.job is None:
        raise InputError("No design is open")
    office.job.settle()
    into_its_file(office.job.project, given.get("words", ""))
    office.job.look_around()


_DOES: Mapping[str, Act] = {
    "begin": Office.begin, "first": Office.try_first, "need": Office.plan_day, "open": Office.open,
    "change": Office.change, "changes": Office.change_all, "undo": Office.undo, "redo": Office.redo,
    "sure": Office.sure, "add-part": Office.add_part, "take-part": Office.take_part,
    "measured-here": Office.measured_here, "forget-measured": Office.forget_measured,
    "test": _enter_test, "take-out-test": Office.take_out_test, "test-into-file": _test_into_its_file,
    "copy": Office.copy, "prepare": prepare, "landings": work_out_landings,
    "draw": Office.draw, "import": Office.import_map, "wind": Office.turn_wind,
    "write-wind": Office.write_wind, "view": Office.look_from,
    "use-learned": use_learned,
    "theirs": Office.take_theirs, "mine": Office.keep_mine, "anew": Office.write_anew,
}  # fmt: skip


_ENTERS: Mapping[str, Callable[[Project, Mapping[str, str]], Values]] = {
    "part": entered_part, "workshop": entered_workshop, "card": filed_card, "damage": entered_damage,
    "damage-done": done_about_damage, "fresh-bottle": lambda project, _: fresh_bottle(project),
    "payload": entered_payload, "leave-learned": lambda project, _: not_used(project),
    "begin-bottle": begun_file,
    "tries": entered_tries, "tries-named": confirmed_tries, "tries-anew": counted_anew,
}  # fmt: skip
"""What a form enters, by its name: the change of the design that it asks for."""


def post_routes(office: Office, changed: Callable[[], None]) -> list[Route]:
    """Return a route for each thing that can be posted; `changed` is called when one is done."""
    acts: dict[str, Act] = {f"/do/{name}": act for name, act in _DOES.items()} | dict(PEOPLE_DOES) | dict(CONTEST_DOES)
    acts |= {f"/do/{name}": _enters(values) for name, values in _ENTERS.items()}
    for kind in KINDS:
        acts[f"/start/{kind}"] = _begins(kind)
        acts[f"/stop/{kind}"] = _stops(kind)
    return [Route(path, _posted(office, act, changed), methods=["POST"]) for path, act in acts.items()]


def _enters(values: Callable[[Project, Mapping[str, str]], Values]) -> Act:
    return lambda office, given: office.enter(values, given)


def _begins(kind: str) -> Act:
    return lambda office, _: office.begin_work(kind)


def _stops(kind: str) -> Act:
    return lambda office, _: office.work.stop(kind)


def _posted(office: Office, act: Act, changed: Callable[[], None]) -> Callable[[Request], Awaitable[Response]]:
    """Return what answers a post: done, or refused in words, by field where the form has several."""

    async def handler(request: Request) -> Response:
        body = (await request.body()).decode("utf-8", "replace")
        try:
            given = dict(parse_qsl(body, keep_blank_values=True, max_num_fields=200))
        except ValueError:
            return _refused("that is more than any form of these pages has")
        try:
            answer = await run_in_threadpool(act, office, given)
        except (BottlewrightError, OSError) as error:
            return refused(error, given.get("key", ""))
        changed()
        return Response(answer or "", 200, {"X-Revision": str(office.revision)}, "text/plain")

    return handler


def refused(error: Exception, changed: str = "") -> Response:
    """Return the answer to what can't be taken or written: what is wrong, by field where a form has several.

    Parameters
    ----------
    changed
        The one key of the design that was changed, where there is one.
    """
    if isinstance(error, FieldsError):
        return _refused(str(error), {"X-Fields": json.dumps(error.fields)})
    if isinstance(error, OSError):
        return _refused(f"It can't be written: {error.strerror}")
    return _refused(told_by_name(error, changed))


def _refused(why: str, headers: Mapping[str, str] | None = None) -> Response:
    return Response(why, 422, headers, "text/plain")
