"""What the report tells of the launches so far: each beside what was foretold before it, under Fly."""

from dataclasses import replace
from pathlib import Path

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.unit_habit import unit_habit
from bottlewright.logbook.compared import compared, compared_document, sentence
from bottlewright.logbook.compared_picture import compared_picture
from bottlewright.logbook.files import FOLDER
from bottlewright.logbook.launches import all_launches, launch_name, number_in
from bottlewright.report.html import Chapter, place, prose

__all__ = ["with_launches"]

MOST = 3
"""Launches that the report shows, the latest; the logbook has all."""


def with_launches(chapter: Chapter, design: Design, beside: Path) -> Chapter:
    """Return the Fly chapter with the latest launches of a rocket of this name, as it was where there is none.

    A logbook that can't be read is said: it stops no report.
    """
    try:
        known = all_launches(beside / FOLDER)
    except DesignError as error:
        said = prose(f"The launches so far are not shown, because the logbook can't be read: {error}")
        return replace(chapter, section=replace(chapter.section, html=chapter.section.html + said))
    flights = [one for one in known if one.rocket == design.name and one.at][:MOST]
    if not flights:
        return chapter
    habit, html, pictures = unit_habit(design), [], []
    for flight in flights:
        name, says = f"launch-{launch_name(flight)}", sentence(flight, habit)
        html.append(prose(f"Launch {number_in(known, flight)} of {flight.day}, by the design as it was then. {says}"))
        if rows := compared(flight):
            pictures.append(compared_picture(rows, name, says, habit))
            html.append(place(name))
    section = replace(chapter.section, html=chapter.section.html + "".join(html),
                      pictures=[*chapter.section.pictures, *pictures])  # fmt: skip
    told = [{"launch": launch_name(one), **compared_document(one)} for one in flights]
    return replace(chapter, section=section, results={**chapter.results, "launches": told})
