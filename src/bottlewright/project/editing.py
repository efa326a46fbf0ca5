"""A design file edited as its owner would edit it: comments and order kept, written whole or not at all."""

import json
from collections.abc import Mapping
from pathlib import Path, PureWindowsPath

from bottlewright.errors import InputError
from bottlewright.project.project import Project, parse

__all__ = ["Values", "edited", "names_inside", "saved", "text_of", "tried"]

Values = Mapping[str, str | int | float | bool | list[str] | None]
"""New values by key, as the file has them; None takes a key out."""


def tried(project: Project, values: Values) -> Project:
    """Return the project that `edited` gives, thirty times as quick: its text stays as it was.

    Raises
    ------
    DesignError
        When the text would be refused; `edited` says it in the file's own words.
    """
    return project.changed({key: None if value is None else json.dumps(value, ensure_ascii=False)
                            for key, value in values.items()})  # fmt: skip


def edited(project: Project, values: Values) -> Project:
    """Return a project whose text has other values.

    Raises
    ------
    DesignError
        When the text would be refused.
    """
    from bottlewright.design.writing import changed_text

    return parse(changed_text(project.text, values), project.file)


def names_inside(new: Project, old: Project) -> None:
    """See to it that a change names no file outside the folder of the design, which only the file's owner may.

    Raises
    ------
    InputError
        When it does; what the old one named already may stay.
    """
    for name in new.files_beside():
        path = PureWindowsPath(name)  # which knows the marks of every system
        if name not in old.files_beside() and (path.drive or path.root or ".." in path.parts):
            raise InputError(f"{name} leads out of the folder: put the file beside {new.file.name} and give its name "
                             f"alone. Another place can only be written into {new.file.name} itself")  # fmt: skip


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
