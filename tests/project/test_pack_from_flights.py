"""Where a design draws from its flights, the first paper of its pack says so, with the numbers of the page Learn."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pymupdf
import pytest

import bottlewright as bw
from bottlewright.design.learned import Learned
from bottlewright.design.taught import flown_as
from bottlewright.project import using_learned
from bottlewright.project.project import Project
from bottlewright.project.using_learned import as_before, before_after

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
DRAG = ("model.drag_factor",)


@pytest.fixture(scope="module")
def curlew():
    return bw.read(CURLEW)


def having_flown(project, count, newer=()):
    """Return a design that draws from so many flights, which showed more drag than the table has."""
    scores = np.random.default_rng(1).normal(1.5, 0.3, (100, 1))
    launches = tuple(f"2026-11-{n + 1:02d}-01" for n in range(count))
    known = Learned("logbook/learned/curlew.json", launches, DRAG, (1.0,), scores, flown_as(project.design, DRAG),
                    "d1", newer=newer)  # fmt: skip
    written = replace(project.design.written, teacher=lambda _: known)
    return Project(project.design.with_written(written), project.file).changed({"learned.from": "logbook"})


def first_paper(project):
    made = project.make(paper="a4").made()
    with pymupdf.open(stream=made.files["pack-a4.pdf"], filetype="pdf") as pack:
        return " ".join(pack[0].get_text().split()), min(page for _, _, page in pack.get_toc() if page > 1)


def test_the_first_paper_says_from_how_many_flights_and_what_they_changed(curlew, monkeypatch):
    monkeypatch.setattr(using_learned, "FLIGHTS", 60)
    project = having_flown(curlew, 3, newer=("2026-11-09-01",))
    cover, second = first_paper(project)
    assert second == 2, "the cover stays one page"
    assert "Predictions are learned from 3 flights; 1 newer one is not in it." in cover
    assert "Nothing that was learned raises an allowed pressure." in cover
    told = before_after(project, lambda: False)
    assert [one.what for one in told][:2] == ["height, eight flights in ten", "time in the air, eight in ten"]
    assert told[0].before != told[0].after
    for one in told:
        assert f"{one.what[:1].upper()}{one.what[1:]} {one.before} {one.after}" in cover
    again = using_learned._outcomes(as_before(project), project, lambda: False)
    assert told == again, "the page Learn has the same owner"


def test_without_anything_learned_nothing_is_flown_for_it_and_no_paper_speaks_of_it(curlew):
    assert before_after(curlew, lambda: False) == []
    assert curlew.make(paper="a4")._from_flights(lambda: False) is None
