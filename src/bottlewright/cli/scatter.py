"""`bottlewright scatter`: where it will come down."""

from typing import Annotated

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, with_verdict
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.judged import with_cures
from bottlewright.cli.printing import json_text, say
from bottlewright.cli.results_folder import results_folder
from bottlewright.cli.runners import Cluster, Flights, Seed, flying
from bottlewright.cli.stopping import STOPPED
from bottlewright.findings import Stage

__all__ = ["scatter"]

NoWinds = Annotated[bool, typer.Option("--no-winds", help="Leave out wind limits and proposals, which take longest.")]


def scatter(
    file: DesignFile,
    sets: Sets = None,
    flights: Flights = None,
    seed: Seed = None,
    no_winds: NoWinds = False,
    cluster: Cluster = None,
    json: Json = False,
    out: Out = None,
) -> int:
    """Say where the rocket comes down, the chance of leaving the field, the wind it stands and where people stand.

    Ctrl-C stops the flights and reports on those that are done, with exit code 130.
    """
    from bottlewright.design import with_values
    from bottlewright.field.site import field_site

    design = load(file, sets, out)
    sampled = {"scatter.seed": seed, "scatter.flights": flights}
    design = with_values(design, {key: value for key, value in sampled.items() if value is not None})
    site = field_site(design.site, file.parent)
    notice_compiling()
    from bottlewright.cures.judging import WholeJudge
    from bottlewright.field.chapters import field_files, field_pictures
    from bottlewright.field.numbers import keep
    from bottlewright.field.results import scatter_document, scatter_words
    from bottlewright.field.scatter import scatter as scatter_flights
    from bottlewright.report.style import save_picture, write_file
    from bottlewright.verdict import judge_alone, open_words

    try:
        with flying(cluster, keep=True) as (fly, tell):
            found = scatter_flights(design, site, fly=fly, say=tell, winds=not no_winds)
    except KeyboardInterrupt:
        say("\nStopped before the first flights were done: nothing is kept.")
        return STOPPED
    numbers = keep(design, found)
    verdict, cures = with_cures(
        design, file.parent, judge_alone(design, file.parent, field=numbers), WholeJudge(file.parent, design, found)
    )
    document = with_verdict(scatter_document(design, found), design, verdict, cures)
    if out is not None:
        with results_folder(out, "scatter") as folder:
            (folder / "scatter.json").write_text(json_text(document), encoding="utf-8")
            for name, content in field_files(found).items():
                write_file(folder / name, content)
            for picture in field_pictures(design, found):
                save_picture(picture, folder)
        say(f"Written to {out}")
    beside = f"  {open_words(verdict).capitalize()}.\n" if found.calls else ""
    code = answer(json, document, scatter_words(design, found) + beside, verdict, Stage.FIELD)
    if found.stopped:
        beside = " and the wind limits" if found.limits else "; no wind limits, and no hour is judged"
        say(f"\nStopped: {found.flights + found.lost} of {found.wanted} flights are kept{beside}.")
        return STOPPED
    return code
