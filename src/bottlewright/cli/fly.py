"""`bottlewright fly`: one flight."""

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, with_notes
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.printing import json_text, say
from bottlewright.cli.results_folder import results_folder

__all__ = ["fly"]


def fly(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None) -> int:
    """Fly the rocket once, from the release to the ground, in the weather of the design file."""
    design = load(file, sets, out)
    notice_compiling()
    from bottlewright.flight.fly import fly as fly_once
    from bottlewright.flight.results import findings_of, flight_document, series_csv
    from bottlewright.flight.summary_text import flight_words

    flight = fly_once(design, series=json or out is not None)
    if out is not None:
        from bottlewright.flight.chapters import fly_chapter
        from bottlewright.report.style import save_picture

        with results_folder(out, "fly") as folder:
            document = with_notes(flight_document(design, flight), design)
            series = document.pop("series")
            (folder / "fly.json").write_text(json_text(document), encoding="utf-8")
            (folder / "flight.csv").write_text(series_csv(series), encoding="utf-8")
            for picture in fly_chapter(design, flight).section.pictures:
                save_picture(picture, folder)
        say(f"Written to {out}")
    document = with_notes(flight_document(design, flight), design)
    return answer(json, document, flight_words(design, flight), findings_of(design, flight))
