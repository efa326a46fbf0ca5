"""Say in the builder's words why a line of a TOML file can't be read, and what it should look like."""

import json
import re

from bottlewright.design.text_files import bad_character

__all__ = ["explain"]

_USUAL = 'a line looks like  bore = "9 mm"'
_LONGEST = 160  # letters of what would be right: it repeats the key and the value, which may be of any length
_NUMBER = r"[+-]?\d+(?:[.,]\d+)?"


def explain(statement: str, message: str) -> tuple[str, str]:
    """Return what is wrong with a statement and what would be right.

    Parameters
    ----------
    statement
        A header, or a key with its value, as it stands in the file.
    message
        The parser's own, for what is known under no other name.
    """
    bad = bad_character(statement, lines=True)
    if bad:
        return f"holds {bad}", "take it out"
    why, right = _explained(statement, message)
    return why, right if len(right) <= _LONGEST else f"{right[: _LONGEST - 3]}..."


def _explained(statement: str, message: str) -> tuple[str, str]:
    line = statement.strip()
    if line.startswith("["):
        return _header(line)
    if line.startswith(("//", ";", "--", "%")):
        return f"can't be read: {_short(line)}", "a comment starts with #"
    key, equals, value = line.partition("=")
    if not equals:
        return _no_key(line)
    key, value = key.strip(), value.strip()
    if not re.fullmatch(r"[\w-]+(?:\s*\.\s*[\w-]+)*|\"[^\"]*\"|'[^']*'", key, re.ASCII):
        return _wrong_key(key, value)
    return _wrong_value(key, value, message)


def _short(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= 60 else f"{text[:57]}..."


def _quoted(text: str) -> str:
    return json.dumps(text.strip().strip("\"'„“”‟‘’‚′″").strip(), ensure_ascii=False)


def _header(line: str) -> tuple[str, str]:
    if line.count("[") != line.count("]"):
        return f"opens a bracket and does not close it: {_short(line)}", "a table starts with its name: [vessel]"
    return f"names no table: {_short(line)}", "a table starts with its name, letters and dots: [vessel]"


def _no_key(line: str) -> tuple[str, str]:
    pair = re.match(r"([\w.-]+)\s*:\s*(.+)", line) or re.match(r"([a-z_.]+)\s+(.+)", line)
    if pair:
        value = _uncommented(pair[2])
        plain = re.fullmatch(r"[1-9]\d*|0|true|false", value)
        return f"has no = sign: {_short(line)}", f"write  {pair[1]} = {value if plain else _quoted(value)}"
    return f"is neither a table nor a key: {_short(line)}", _USUAL


def _wrong_key(key: str, value: str) -> tuple[str, str]:
    if not key:
        return f"has no key before the = sign: {_short(value)}", _USUAL
    name = re.sub(r"[^\w.]+", "_", key, flags=re.ASCII).strip("_").lower()
    if " " in key and ":" not in key and name:
        return f"has a space in its key: {_short(key)}", f"write  {name} = {_short(value)}"
    return f"has a key that is none: {_short(key)}", "a key is made of the letters a to z, digits, _ and -"


def _uncommented(value: str) -> str:
    """Return a value without the comment behind it, as far as its quotes tell."""
    return re.sub(r"\s*#[^\"']*$", "", value).strip()


def _wrong_value(key: str, value: str, message: str) -> tuple[str, str]:
    bare = _uncommented(value)
    if not bare:
        return "has no value", f'write one behind the = sign, such as  {key} = "9 mm"'
    said = _wrong_quotes(key, bare) or _wrong_brackets(bare) or _wrong_number(key, bare) or _wrong_word(key, bare)
    if said:
        return said
    if "escape" in message or ("\\" in bare and bare.startswith('"')):
        return f"has a backslash: {_short(bare)}", "write / in its place, or put the text in single quotes"
    return f"can't be read: {_short(bare)}", _USUAL


def _wrong_quotes(key: str, bare: str) -> tuple[str, str] | None:
    if re.search("[„“”‟‘’‚′″]", bare) and not bare.startswith(("'", "[", "{")):
        return f"has curly quotes: {_short(bare)}", f"write straight ones:  {key} = {_quoted(bare)}"
    if bare[0] in "\"'":
        mark = bare[0]
        if bare.count(mark) == 1:
            return f"has a quote that is never closed: {_short(bare)}", f"write  {key} = {_quoted(bare)}"
        inside, _, behind = bare[1:].partition(mark)
        if behind.strip() and "\\" not in inside:
            inches = mark == behind.strip() == '"' and inside[-1:].isnumeric()
            whole = f"{inside} in" if inches else f"{inside} {behind.strip()}".replace(mark, "")
            return f"has something behind its closing quote: {_short(bare)}", f"write  {key} = {_quoted(whole)}"
    return None


def _wrong_brackets(bare: str) -> tuple[str, str] | None:
    if bare[0] not in "[{":
        return None
    opened, closed = sum(map(bare.count, "[{")), sum(map(bare.count, "]}"))
    if opened > closed:
        return f"opens a bracket that is never closed: {_short(bare)}", "close it with ] or }"
    if closed > opened:
        return f"closes more brackets than it opens: {_short(bare)}", "take one away"
    return f"has a list or table that can't be read: {_short(bare)}", (
        'texts stand in straight quotes with a comma between them, such as  ["20 m", "35 m"]')


def _wrong_number(key: str, bare: str) -> tuple[str, str] | None:
    if re.fullmatch(r"[+-]?\d+,\d+", bare):
        return f"has a decimal comma: {bare}", f"write  {key} = {bare.replace(',', '.')}"
    if re.fullmatch(r"[+-]?0\d+(?:\.\d+)?", bare):
        return f"starts with a zero: {bare}", f"write  {key} = {bare.lstrip('+').lstrip('0') or '0'}"
    if re.match(rf"{_NUMBER}\s*\S", bare) or re.match(r"[+-]?\.\d", bare):
        return f"has no quotes: {_short(bare)}", f"write  {key} = {_quoted(bare)}"
    return None


def _wrong_word(key: str, bare: str) -> tuple[str, str] | None:
    if bare.lower() in ("true", "yes", "on"):
        return f"is {bare}", f"write  {key} = true"
    if bare.lower() in ("false", "no", "off"):
        return f"is {bare}", f"write  {key} = false"
    if re.match(r"[^\W\d_]", bare):
        return f"has no quotes: {_short(bare)}", f"write  {key} = {_quoted(bare)}"
    return None
