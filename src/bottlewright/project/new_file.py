"""A new file that somebody asked for: never over another one."""

import re
from pathlib import Path

from bottlewright.errors import InputError
from bottlewright.system import file_name_of

__all__ = ["file_name", "save_new"]


def file_name(rocket: str) -> str:
    """Return the name of a design file, after its rocket."""
    words = re.sub(r"[\W_]+", "-", rocket.lower())[:60].strip("-")
    return file_name_of(f"{words or 'rocket'}.toml")


def save_new(path: Path, text: str) -> None:
    """Write a file that is not there yet.

    Raises
    ------
    InputError
        If something is there already, or the place can't be written to.
    """
    from bottlewright.design.writing import write_new

    try:
        write_new(path, text)
    except FileExistsError:
        raise InputError(f"{path} is there already and stays as it is; give another file name") from None
    except OSError as error:
        raise InputError(f"{path} can't be written: {error.strerror}") from None
