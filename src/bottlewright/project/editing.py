"""A design file edited as its owner would edit it: comments and order kept, written whole or not at all."""

from collections.abc import Mapping
from pathlib import Path

from bottlewright.project.project import Project, parse

__all__ = ["edited", "saved", "text_of"]


def edited(project: Project, values: Mapping[str, str | int | bool | None]) -> Project:
    """Return a project whose text has other values; None takes a key out.

    Raises
    ------
    DesignError
        When the text would be refused.
    """
    from bottlewright.design.writing import changed_text

    return parse(changed_text(project.text, values), project.file)


def saved(project: Project) -> str:
    """Put a project's text in place of its file in one step, and return the text."""
    from bottlewright.design.writing import write_over

    write_over(project.file, project.text)
    return project.text


def text_of(file: Path) -> str:
    """Return the text of a design file as it lies on disk.

    Raises
    ------
    DesignError
        When it can't be read.
    """
    from bottlewright.design.reading import design_text

    return design_text(file).text
