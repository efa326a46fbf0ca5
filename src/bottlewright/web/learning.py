"""What the flights taught, as a page writes it into the design."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from bottlewright.errors import InputError
from bottlewright.project.using_learned import used

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["use_learned"]


def use_learned(office: "Office", given: Mapping[str, str]) -> None:
    """Keep what was worked out, and let the design draw from it; `by` and `day` where somebody takes new lines."""
    job = office.job
    if job is None:
        raise InputError("no design is open")
    with job.lock:
        job.settle()
        taught = office.work.result("learn", job.project)
        if taught is None:
            raise InputError("nothing is worked out for these launches yet: press the button above first")
        used(job.project, given)
        taught.found.keep()
        office.enter(used, given)
    job.look_around()  # where the file says it already, only what was learned is another
