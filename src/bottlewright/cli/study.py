"""`bottlewright study`: everything into one folder."""

from pathlib import Path

from bottlewright.cli.common import (
    DesignFile,
    Json,
    Out,
    Sets,
    exit_code,
    json_text,
    load,
    print_json,
    results_folder,
    say,
    tell_findings,
)
from bottlewright.cli.flying import flying
from bottlewright.cli.waiting import say_if_first

__all__ = ["study"]


def study(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None) -> int:
    """Study the rocket: report, figures, tables and findings in one folder (NAME-study when --out is left out)."""
    from bottlewright.design import complete

    design = complete(load(file, sets))
    say_if_first()
    from bottlewright import study as rooms

    with flying(None) as (fly, tell):
        result = rooms.study(design, file, sets or (), fly, tell)
    folder = out or Path(f"{_folder_name(design.name)}-study")
    with results_folder(folder, "study") as fresh:
        written = list(rooms.write_study(result, fresh, file.name, json_text))
    if json:
        print_json(rooms.summary_of(result))
    else:
        print(f"{design.name}\n")
        for chapter in result.chapters:
            print(f"  {chapter.section.stage:<8}{chapter.section.state:<6}{chapter.section.title}")
        print()
        tell_findings(result.findings)
    say(f"{len(written)} files in {folder}; begin with {folder / 'report.html'}")
    return exit_code(result.findings)


def _folder_name(name: str) -> str:
    """Return a name that any file system takes."""
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split()) or "rocket"
