"""Read what people write by hand: an ordinary file of bounded size, in whichever encoding their editor saved it.

UTF-8 is what we ask for. A byte order mark, UTF-16 and Windows-1252 are understood where there is one way to read
them, and the reader is told so; anything else is refused with the cure.
"""

import os
import re
import stat
import unicodedata
from pathlib import Path
from typing import NamedTuple

from bottlewright.errors import BottlewrightError

__all__ = ["TextFile", "TextFileError", "bad_character", "decode_text", "printable", "read_file", "read_text_file"]


class TextFile(NamedTuple):
    """A text and what there is to say about how it was read."""

    text: str
    notes: tuple[str, ...] = ()


class TextFileError(BottlewrightError, ValueError):
    """The file can't be used as text: `why`, and what would be `right`."""

    def __init__(self, why: str, right: str = "") -> None:
        self.why, self.right = why, right
        super().__init__(f"{why}; {right}" if right else why)


def read_text_file(path: str | Path, most: int, what: str = "text") -> TextFile:
    """Return the text of an ordinary file; see `read_file`.

    Raises
    ------
    TextFileError
        With what is wrong; `why` reads on from the file's name.
    """
    return decode_text(read_file(path, most, what))


def read_file(path: str | Path, most: int, what: str = "text") -> bytes:
    """Return what an ordinary file holds; a pipe, a device or a huge file is refused before it is read.

    Parameters
    ----------
    path
        The file.
    most
        Bytes it may have.
    what
        What the file is meant to be, such as ``"a design file"``.

    Raises
    ------
    TextFileError
        With what is wrong; `why` reads on from the file's name.
    """
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0))
    except (FileNotFoundError, ValueError):
        raise TextFileError("does not exist") from None
    except OSError as error:
        raise TextFileError(f"can't be read: {error.strerror}") from None
    try:
        size, raw = _bytes(handle, most)
    except OSError as error:
        raise TextFileError(f"can't be read: {error.strerror}") from None
    finally:
        os.close(handle)
    if size > most:
        raise TextFileError(f"is {size / 1e6:.1f} MB, too big for {what}", f"it may have {most / 1e6:.1f} MB")
    return raw


def _bytes(handle: int, most: int) -> tuple[int, bytes]:
    """Return the size of an ordinary file and its bytes; none of them where there are too many."""
    about = os.fstat(handle)
    if stat.S_ISDIR(about.st_mode):
        raise TextFileError("is a folder")
    if not stat.S_ISREG(about.st_mode):
        raise TextFileError("is not an ordinary file")
    if about.st_size > most:
        return about.st_size, b""
    with os.fdopen(handle, "rb", closefd=False) as file:
        raw = file.read(most + 1)
    return len(raw), raw


_WINDOWS_SIGNS = frozenset("±°²³µ·×§€–—‘’‚“”„«»‹›…•½¼¾\u00a0")


def decode_text(raw: bytes) -> TextFile:
    """Return the text of bytes, with a note where it is not plain UTF-8.

    Raises
    ------
    TextFileError
        If it is no text, or could be read in more than one way; names the line.
    """
    if raw.startswith(b"\xef\xbb\xbf"):
        return TextFile(_utf8(raw[3:]).text, ("starts with a byte order mark, which was left out",))
    if (order := _utf16(raw)) is not None:
        try:
            text = raw.decode(order).removeprefix("\ufeff")
        except UnicodeDecodeError:
            raise TextFileError("is not text") from None
        if "\0" not in text:
            return TextFile(text, ("is saved as UTF-16, and was read as that",))
    if b"\0" in raw:
        raise TextFileError("is not text", "save it as plain text, UTF-8")
    return _utf8(raw)


def _utf16(raw: bytes) -> str | None:
    """Return the byte order of UTF-16: of its mark, or of the zeros that Western text is half made of."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    half = len(raw) // 2
    if not half or len(raw) % 2:
        return None
    if raw[1::2].count(0) > 0.8 * half and 0 not in raw[::2]:
        return "utf-16-le"
    return "utf-16-be" if raw[::2].count(0) > 0.8 * half and 0 not in raw[1::2] else None


def _utf8(raw: bytes) -> TextFile:
    try:
        return TextFile(raw.decode("utf-8"))
    except UnicodeDecodeError as error:
        line, wrong = raw.count(b"\n", 0, error.start) + 1, raw[error.start]
    cure = 'save it as UTF-8 (in the editor: "Save as", encoding UTF-8)'
    try:
        text = raw.decode("cp1252")
    except UnicodeDecodeError:
        raise TextFileError(f"is not text: line {line} has the byte {wrong:#04x}, which is no letter", cure) from None
    if _some_utf8(raw):
        raise TextFileError(f"mixes two encodings: line {line} is not UTF-8, and other lines are", cure)
    odd = next((letter for letter in text if ord(letter) > 0x7F and not _western(letter)), None)
    if odd is not None or _control(text):
        raise TextFileError(f"is not UTF-8 (line {line}), and what else it is can't be told", cure)
    return TextFile(text, (f"is saved as Windows-1252, not as UTF-8 (line {line}), and was read as that",))


def _some_utf8(raw: bytes) -> bool:
    return re.search(rb"[\xc2-\xdf][\x80-\xbf](?![\x80-\xbf])|[\xe0-\xef][\x80-\xbf]{2}", raw) is not None


def _western(letter: str) -> bool:
    return letter in _WINDOWS_SIGNS or unicodedata.category(letter) in ("Lu", "Ll")


def _control(text: str) -> bool:
    return any(unicodedata.category(letter) == "Cc" and letter not in "\t\n\r\f" for letter in text)


def printable(text: str) -> str:
    """Return a text on one line, with its code in the place of each letter that prints nothing or hides others."""
    return "".join(letter if letter.isprintable() or unicodedata.category(letter) == "Zs" else
                   " " if letter.isspace() else f"‹U+{ord(letter):04X}›" for letter in text)  # fmt: skip


def bad_character(text: str, lines: bool = False) -> str | None:
    """Return what a name must not hold, in words: a line break, a control character, half a letter, a non-letter.

    Parameters
    ----------
    text
        A name or, with `lines`, a text that may have several lines.
    lines
        Line breaks and tabs are no mistake.
    """
    for letter in text:
        if lines and letter in "\n\r\t":
            continue
        kind, code = unicodedata.category(letter), ord(letter)
        if letter in "\n\r" or kind in ("Zl", "Zp"):
            return "a line break"
        if kind == "Cc":
            return "a tab" if letter == "\t" else f"a control character (U+{code:04X})"
        if kind == "Cs":
            return f"half a letter (U+{code:04X}, a lone surrogate)"
        if code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF:
            return f"a code that is no letter (U+{code:04X})"
    return None
