"""`bottlewright study`: everything into one folder."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load
from bottlewright.cli.make import Paper
from bottlewright.cli.printing import say
from bottlewright.cli.runners import bars
from bottlewright.project.results_folder import check_place, place_for

__all__ = ["study"]


def study(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None, paper: Paper = None) -> int:
    """Study the rocket: report, figures, tables and findings in one folder (NAME-study when --out is left out)."""
    project = load(file, sets, out)
    folder = out or place_for(project.name, "study")
    check_place(folder)
    with bars() as progress:
        result = project.study(paper, progress)
        written = result.save(folder, progress)
    code = answer(json, result)
    say(f"{len(written)} files in {folder}; begin with {folder / 'report.html'}")
    return code
