"""`bottlewright fire`: a static firing on a thrust stand."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, with_verdict
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.judged import with_cures
from bottlewright.cli.printing import json_text, say
from bottlewright.cli.results_folder import results_folder
from bottlewright.findings import Stage

__all__ = ["fire"]


def fire(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None) -> int:
    """Fire the bottle on a thrust stand, held still: thrust, pressure and water against time."""
    design = load(file, sets, out)
    notice_compiling()
    from bottlewright.flight.fly import fire as fire_once
    from bottlewright.flight.results import firing_document, series_csv
    from bottlewright.flight.summary_text import firing_words
    from bottlewright.verdict import judge_alone

    firing = fire_once(design)
    rocket = design.stand is None or design.fins is not None
    verdict, cures = with_cures(design, file.parent, judge_alone(design, file.parent, flies=rocket))
    document = with_verdict(firing_document(design, firing), design, verdict, cures)
    if out is not None:
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.flight.chapters import firing_picture
        from bottlewright.report.style import save_picture

        with results_folder(out, "fire") as folder:
            (folder / "firing.csv").write_text(series_csv(document["series"]), encoding="utf-8")
            figures = {key: value for key, value in document.items() if key != "series"}
            (folder / "fire.json").write_text(json_text(figures), encoding="utf-8")
            save_picture(firing_picture(firing, unit_habit(design)), folder)
        say(f"Written to {out}")
    return answer(json, document, firing_words(design, firing), verdict, Stage.PROVE)
