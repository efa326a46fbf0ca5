"""`bottlewright tune`: what to load and what to change, and why."""

import shutil
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, with_verdict
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.judged import with_cures
from bottlewright.cli.printing import json_text, say, tell_notes
from bottlewright.cli.results_folder import results_folder
from bottlewright.cli.runners import Cluster, Seed, flying
from bottlewright.findings import Stage

if TYPE_CHECKING:
    from bottlewright.design import Design

__all__ = ["tune"]


def tune(
    file: DesignFile, sets: Sets = None, seed: Seed = None, cluster: Cluster = None, json: Json = False, out: Out = None
) -> int:
    """Say what to load, what it brings, what holds it back and what to measure next.

    What is aimed at and what may be changed stand in [tune] of the design file. Ctrl-C stops it with nothing kept: half
    a search recommends nothing. A lower tune.flights is quicker.
    """
    from bottlewright.design import with_values

    design = load(file, sets, out)
    if seed is not None:
        design = with_values(design, {"tune.seed": seed})
    room = _room(design, file.parent)
    notice_compiling()
    from bottlewright.tune.advice import advise
    from bottlewright.tune.chapters import tune_pictures
    from bottlewright.tune.pressure_limit import ceiling_of
    from bottlewright.tune.results import advice_document, advice_words
    from bottlewright.tune.summary_text import findings_of
    from bottlewright.verdict import judge_alone

    with flying(cluster) as (fly, tell):
        advice = advise(design, ceiling_of(design), room, fly=fly, say=lambda words: tell(words, 0.0))
    verdict, cures = with_cures(design, file.parent, judge_alone(design, file.parent, more=findings_of(advice)))
    document = with_verdict(advice_document(design, advice), design, verdict, cures)
    if out is not None:
        from bottlewright.report.style import save_picture

        with results_folder(out, "tune") as folder:
            (folder / "tune.json").write_text(json_text(document), encoding="utf-8")
            for picture in tune_pictures(design, advice):
                save_picture(picture, folder)
        say(f"Written to {out}")
    width = min(shutil.get_terminal_size().columns, 100)
    words = "\n\n".join(textwrap.fill(text, width) for text in advice_words(design, advice)) + "\n"
    return answer(json, document, words, verdict, Stage.TUNE)


def _room(design: "Design", folder: Path) -> tuple[Callable[[Any], Any], float] | None:
    """Return how far landings lie inside the field, and the accepted chance of leaving; None without a boundary."""
    from bottlewright.field.exposure import room_inside
    from bottlewright.field.site import field_site

    site = field_site(design.site, folder)
    tell_notes(site.notes)
    return room_inside(site, design.scatter.leaving)
