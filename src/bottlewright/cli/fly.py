"""`bottlewright fly`: one flight."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, with_verdict
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.judged import with_cures
from bottlewright.cli.printing import json_text, say
from bottlewright.cli.results_folder import results_folder
from bottlewright.findings import Stage

__all__ = ["fly"]


def fly(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None) -> int:
    """Fly the rocket once, from the release to the ground, in the weather of the design file."""
    design = load(file, sets, out)
    notice_compiling()
    from bottlewright.flight.fly import fly as fly_once
    from bottlewright.flight.results import flight_document, series_csv
    from bottlewright.flight.summary_text import flight_words
    from bottlewright.verdict import judge_alone

    flight = fly_once(design, series=json or out is not None)
    verdict, cures = with_cures(design, file.parent, judge_alone(design, file.parent, flight=flight))
    document = with_verdict(flight_document(design, flight), design, verdict, cures)
    if out is not None:
        from bottlewright.flight.chapters import fly_chapter
        from bottlewright.report.style import save_picture

        with results_folder(out, "fly") as folder:
            figures = {key: value for key, value in document.items() if key != "series"}
            (folder / "fly.json").write_text(json_text(figures), encoding="utf-8")
            (folder / "flight.csv").write_text(series_csv(document["series"]), encoding="utf-8")
            for picture in fly_chapter(design, flight).section.pictures:
                save_picture(picture, folder)
        say(f"Written to {out}")
    return answer(json, document, flight_words(design, flight), verdict, Stage.SKETCH, Stage.FLY)
