"""`bottlewright tune`: what to load and what to change, and why."""

import shutil
import textwrap

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, cured, load, save
from bottlewright.cli.printing import tell_notes
from bottlewright.cli.runners import Cluster, Engine, EngineName, Seed, bars, flyer

__all__ = ["tune"]


def tune(
    file: DesignFile, sets: Sets = None, seed: Seed = None, cluster: Cluster = None, engine: Engine = EngineName.CPU,
    json: Json = False, out: Out = None,
) -> int:  # fmt: skip
    """Say what to load, what it brings, what holds it back and what to measure next.

    What is aimed at and what may be changed stand in [tune] of the design file. Ctrl-C stops it with nothing kept: half
    a search recommends nothing. A lower tune.flights is quicker.
    """
    project = load(file, sets, out)
    if seed is not None:
        project = project.changed({"tune.seed": seed})
    tell_notes(project.site.notes)
    with bars() as progress, flyer(cluster, engine) as fly_many:
        result = project.tune(progress, fly_many=fly_many)
    result = cured(result)
    save(result, out)
    width = min(shutil.get_terminal_size().columns, 100)
    words = "\n\n".join(textwrap.fill(text, width) for text in result.paragraphs()) + "\n" + result.flown_by()
    return answer(json, result, lambda: typer.echo(words))
