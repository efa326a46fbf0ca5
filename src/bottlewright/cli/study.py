"""`bottlewright study`: everything into one folder."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.make import Paper
from bottlewright.cli.printing import json_text, say
from bottlewright.cli.results_folder import check_place, place_for, results_folder
from bottlewright.cli.runners import flying
from bottlewright.findings import Stage

__all__ = ["study"]


def study(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None, paper: Paper = None) -> int:
    """Study the rocket: report, figures, tables and findings in one folder (NAME-study when --out is left out)."""
    design = load(file, sets, out)
    folder = out or place_for(design.name, "study")
    check_place(folder)
    notice_compiling()
    from bottlewright import study as packages

    with flying(None) as (fly, tell):
        result = packages.study(design, file, sets or (), fly, tell, paper)
    with results_folder(folder, "study") as fresh:
        source = file.name.encode(errors="replace").decode()  # a name may hold bytes that are no letters
        written = list(packages.write_study(result, fresh, source, json_text))
    stages = (chapter.section for chapter in result.chapters)
    lines = [f"  {section.stage:<8}{section.state.words:<20}{section.title}" for section in stages]
    words = "\n".join([f"{design.name}\n", *lines, ""])
    code = answer(json, packages.summary_of(result), words, result.verdict, *Stage)
    say(f"{len(written)} files in {folder}; begin with {folder / 'report.html'}")
    return code
