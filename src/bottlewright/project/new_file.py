"""A new file that somebody asked for: never over another one."""

import re
from pathlib import Path

from bottlewright.errors import InputError
from bottlewright.system import file_name_of, kept_for_a_device

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
        If something is there already, the place can't be written to, or the name is none on every system.
    """
    from bottlewright.design.writing import write_new

    if kept_for_a_device(path.name):
        raise InputError(f"{path} is a name that Windows keeps for a device, and folders travel; give another one")
    try:
        write_new(path, text)
    except FileExistsError:
        raise InputError(f"{path} is there already and stays as it is; give another file name") from None
    except OSError as error:
        raise InputError(f"{path} can't be written: {error.strerror}") from None
