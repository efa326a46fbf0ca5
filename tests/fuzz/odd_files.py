"""Files as they come from people, half right and half wrong: designs, maps, price lists, risk matrices, quantities.

Each starts from something sound that knows its format, and is then bent a few times: a key, a value, a line, a letter,
the encoding. So most of a file is read, and what is odd in it is met deep inside.
"""

import json
from collections.abc import Sequence
from copy import deepcopy
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from hypothesis import strategies as st

from bottlewright.design.reference import keys, sample
from bottlewright.quantities import UNITS
from strategies import designs, sparse_designs

__all__ = ["designs_as_saved", "maps_as_saved", "matrices_as_saved", "odd_quantities", "overrides", "prices_as_saved"]

T = TypeVar("T")
EXAMPLES = Path(__file__).parents[2] / "examples"
pick = st.sampled_from
steps = cache(st.integers)


def one(draw: Any, options: Sequence[T]) -> T:
    """Draw one of a few; building a strategy for them each time would cost more than all the rest."""
    return options[draw(steps(0, len(options) - 1))]


# --- letters and numbers that trip people and programs ----------------------------------------------------------------

ODD_LETTERS = [
    "\0", "\x07", "\x1b[31m", "\x7f", "\x85", "\t", "\r", "\n", "\u2028", "\u2029", "\u00a0", "\u202f", "\u3000",
    "\u200b", "\u200e", "\u202e", "\u2066", "\ufeff", "\ufffd", "\ufffe", "\U0001fffe", "\U000e0041", "\ue000",
    "\u0301" * 30, "שלום", "مرحبا", "٣", "½", "²", "🚀", "👩‍🚀", "“", "”", "„", "‘", "’", "«", "ß", "ﬁ", "µ", "−", "±",
    '"', "'", '"""', "'''", "\\", "\\u0000", "\\n", "#", "=", "[", "]", "{", "}", ",", ";", ":", ".", "$", "<b>",
]  # fmt: skip
LONG_NUMBER = "9" * 5_000
NUMBERS = [
    "0", "-0", "0.0", "1", "-1", "+4", "4,5", "1.500,5", "1,500", "1 500", "007", ".5", "5.", "1e5", "1e-320", "1e308",
    "-1e308", "1e400", "-1e400", "1e99999", "0.1e-9999", "1_000", "0x1F", "0b2", "inf", "-inf", "nan", "NaN", "٤",
    "1e", "--1", "1.2.3", str(2**63), str(2**64 + 1), LONG_NUMBER, f"0.{LONG_NUMBER}",
]  # fmt: skip
UNIT_NAMES = sorted({unit for table in UNITS.values() for unit in table})
ODD_UNITS = ["furlong", "Bar", "MM", "mm mm", "m/s/s", "%", "±", "1/", "1/s", "°", "\u00a0mm", "µµm", "x" * 90, "bar)"]
SPREADS = [" ± 2", " ± 5 %", " +/- 1 mm", " ± -1", " ± 1e400", " ±", " ± 1 ± 2", " ± nan", " +-0", " ± 0.1 bar"]
MARKS = [" (table)", " (assumed)", " (from a table)", " (guess)", " ()", "("]


numbers = st.one_of(st.floats(-1e4, 1e4).map(lambda x: f"{x:.4g}"), pick(NUMBERS))
units = st.one_of(pick(UNIT_NAMES), pick(UNIT_NAMES), pick(ODD_UNITS))


@st.composite
def odd_quantities(draw: Any, fitting: Sequence[str] = UNIT_NAMES) -> str:
    """Draw the text of a quantity, often a wrong one; half of them in one of the fitting units."""
    number, unit = draw(numbers), one(draw, fitting) if draw(st.booleans()) else draw(units)
    text = f"{number}{one(draw, [' ', '', '  '])}{unit}"
    extra = draw(steps(0, 9))
    if extra < 3:
        text += one(draw, SPREADS)
    if extra in (2, 3):
        text += one(draw, MARKS)
    if extra == 4:
        text = _with_letters(draw, text)
    return text


def _with_letters(draw: Any, text: str) -> str:
    at = draw(steps(0, len(text)))
    return text[:at] + one(draw, ODD_LETTERS) + text[at:]


@st.composite
def odd_texts(draw: Any) -> str:
    """Draw a name or a note: plain, long, or with letters that don't belong."""
    plain = one(draw, ["Curlew", "the road", "Grünspecht", "", " ", "a" * 121, "x" * 3_000, "None", "true"])
    return _with_letters(draw, plain) if draw(st.booleans()) else plain


# --- TOML: values, then lines -----------------------------------------------------------------------------------------

TOML_VALUES = [
    "", "true", "yes", "null", "None", '""', "''", '"""\n"""', "[]", "{}", "[[]]", "[[[[1]]]]", "[1, 'two', []]",
    "{a = 1}", "{a = {b = {c = 1}}}", "{a = 1, a = 2}", "1979-05-27", "07:32:00", "1979-05-27T07:32:00Z",
    "2023-02-30", "[1979-05-27]", "{d = 1979-05-27}", "[07:32:00, 1979-05-27T07:32:00]", "[nan, inf, true]",
    "“4 bar”", '“4 bar"', "4 bar", "4,5", '"4 bar', "'4 bar", '"4 bar" "5 bar"', '"a\\q"', '"\\u0007"', '"\\u0000"',
    '"\\ufffe"', '"\\u202e"', '"\\ud800"', '"\\U00110000"', '["4 bar", "5 bar"]', '["4 bar"', "{bar = 4", "]",
    "[" * 300,
    "[" * 40 + "]" * 40, "[" * 3_000 + "]" * 3_000, "{a=" * 200 + "1" + "}" * 200, "[" + "1," * 3_000 + "1]",
    '[["0 mm", "1 mm"], ["2 mm"]]', '[["0 mm", "1 mm"]]', '["20 m", "35 m"]', '["-30.001 deg", "52 m"]', '["N", "NE"]',
    '"NNE"', '"north-by"', '"Sat 10:00-13:00"', '"Sat 25:00-13:00"', '"' + "x" * 100_000 + '"',
    "'''" + "\n" * 500 + "'''",
]  # fmt: skip
KEY_LIKE = [
    "volum", "Volume", "water level", "übung", '"a b"', '""', "''", '"\\u0007"', '"\\u202e"', '"\\n"', "'\t'", "a.b.c",
    "mass", "mass.0", "vessel", "name", "schema", "x" * 400, '"' + "y" * 5_000 + '"', "1", "-", "__class__",
    "model_config",
    "model_fields", "_reading_notes", "bore", "square", "heading", "each.\u00e9", "be ta", ".", "a..b", "a.", "[x]",
    "a." * 40 + "b", "schema_", "each", "have", '"part\\u0000"',
]  # fmt: skip


def _json(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


odd_values = st.one_of(
    pick(TOML_VALUES), pick(NUMBERS), odd_quantities().map(_json), odd_quantities().map(_json), odd_texts().map(_json),
    odd_texts().map(lambda text: f'"{text}"'),
)  # fmt: skip


@cache
def _known_keys() -> list[tuple[str, str]]:
    """Return header and key with its example, for every key of the format."""
    return [(_header(key.table), key.example) for key in keys()]


def _header(table: str) -> str:
    shown = table.removesuffix(".*").replace(".*", "")
    return f"[[{shown}]]" if table.endswith("*") else f"[{shown}]"


@st.composite
def known_keys(draw: Any) -> str:
    """Draw a key of the format under its header, with a fitting value or an odd one."""
    header, example = one(draw, _known_keys())
    if draw(st.booleans()):
        example = f"{example.partition('=')[0]}= {draw(odd_values)}"
    return f"{header}\n{example}" if header != "[]" else example


def _new_value(draw: Any, line: str) -> str:
    return f"{line.partition('=')[0]}= {draw(odd_values)}" if "=" in line else line


def _new_key(draw: Any, line: str) -> str:
    _, equals, value = line.partition("=")
    new = one(draw, KEY_LIKE)
    return f"{new} ={value}" if equals else f"[{new}]" if draw(st.booleans()) else f"[[{new}]]"


def _fewer_signs(draw: Any, line: str) -> str:
    before, after = one(draw, [('"', "“"), ('"', ""), ("=", ":"), ("=", ""), (" ", "\u00a0"), (".", ","), ("]", "")])
    return line.replace(before, after)


def _twice(draw: Any, line: str) -> str:
    return f"{line}\n{line}" if draw(st.booleans()) else f"{line}\n{_new_value(draw, line)}"


LINE_CHANGES = [
    _new_value, _new_value, _new_value, _new_key, _fewer_signs, _twice, _with_letters,
    lambda _draw, _line: "", lambda draw, line: f"{line}\n{draw(known_keys())}",
    lambda draw, line: f"{draw(known_keys())}\n{line}",
    lambda draw, line: f"{line}\n{one(draw, KEY_LIKE)} = {draw(odd_values)}",
]  # fmt: skip


def _flooded(draw: Any, text: str) -> str:
    block = one(draw, ['[[mass]]\nname = "lead"\nmass = "1 g"\nposition = "5 mm"\n', "[[mass]]\n", "[mass]\n",
                       "[[vessel.proof]]\n", '[[site.keep_out]]\nname = "pond"\n', "x = 1\n", "[x]\n", "= 1\n"])
    return f"{text}\n{block * one(draw, [2, 101, 400])}"


def _cut(draw: Any, text: str) -> str:
    return text[: draw(steps(0, len(text)))]


def _doubled(draw: Any, text: str) -> str:
    return f"{text}\n{_cut(draw, text)}"


def _deep(draw: Any, text: str) -> str:
    depth = one(draw, [5, 14, 900])
    names = ".".join("a" * depth)
    return one(draw, [f"[{names}]\n{text}", f"{names} = 1\n{text}", f"{text}\n[{names}]\nx = 1\n"])


def _other_endings(draw: Any, text: str) -> str:
    return text.replace("\n", one(draw, ["\r\n", "\r", "\n\n", "\n\r", "\x0b", "\u2028", "\f"]))


TEXT_CHANGES = [_flooded, _cut, _doubled, _deep, _other_endings, _with_letters]


@st.composite
def bent_toml(draw: Any, sound: st.SearchStrategy[str]) -> str:
    """Draw a sound TOML text, bent up to five times."""
    text = draw(sound)
    for _ in range(draw(steps(0, 4))):
        lines = text.split("\n")
        at = draw(steps(0, len(lines) - 1))
        lines[at] = one(draw, LINE_CHANGES)(draw, lines[at])
        text = "\n".join(lines)
    if draw(steps(0, 4)) == 0:
        text = one(draw, TEXT_CHANGES)(draw, text)
    return text


# --- how it is saved --------------------------------------------------------------------------------------------------

ENCODINGS = ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252", "latin-1", "cp1251", "mac-roman",
    "utf-7"]
ODD_BYTES = [b"\0", b"\xff", b"\xed\xa0\x80", b"\xc0\xaf", b"\xf5", b"\xe4", b"\xb1", b"\x81", b"\xef\xbb\xbf",
    b"\xff\xfe",
             b"\xc3", b"\xf0\x9f\x9a", b"\x1a", b"PK\x03\x04", b"\x89PNG\r\n\x1a\n", b"\xc2\xb1 \xb1"]  # fmt: skip


@st.composite
def as_saved(draw: Any, texts: st.SearchStrategy[str]) -> bytes:
    """Draw the bytes of a text: UTF-8 as a rule, now and then saved some other way or spoilt."""
    text, way = draw(texts), draw(steps(0, 9))
    if way == 0:
        return text.encode(one(draw, ENCODINGS), "replace")
    raw = text.encode("utf-8", "surrogatepass")
    if way > 1:
        return raw
    at, rest = draw(steps(0, len(raw))), draw(st.booleans())
    odd = raw[:at] + one(draw, ODD_BYTES)
    return odd + raw[at:] if rest else odd + text[at:].encode(one(draw, ENCODINGS), "replace")


def _shipped() -> list[str]:
    texts = [path.read_text(encoding="utf-8") for path in sorted(EXAMPLES.glob("*/*.toml"))]
    return [*texts, (files("bottlewright.design") / "data" / "sample.toml").read_text(encoding="utf-8")]


LEAST = '[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "4 bar"\n'


def designs_as_saved() -> st.SearchStrategy[bytes]:
    """Draw the bytes of a design file."""
    sound = st.one_of(st.just(LEAST), st.just(LEAST), pick(["", *_shipped()]), st.one_of(designs(), sparse_designs()))
    return as_saved(bent_toml(sound))


bare_or_odd = st.one_of(odd_values, odd_quantities())


@cache
def _known_paths() -> list[str]:
    return [f"{key.table.replace('*', '0')}.{key.name}".strip(".") for key in keys()]


@st.composite
def overrides(draw: Any) -> list[str]:
    """Draw what stands behind --set, mostly nothing."""
    if draw(steps(0, 4)):
        return []
    key, value = one(draw, _known_paths() if draw(st.booleans()) else KEY_LIKE), draw(bare_or_odd)
    forms = [f"{key}={value}", f"{key} = {value}", key, f"={value}", f"{key}.0={value}"]
    return [one(draw, forms) for _ in range(draw(steps(0, 2)))]


def matrices_as_saved() -> st.SearchStrategy[bytes]:
    """Draw the bytes of a risk matrix."""
    plain = (files("bottlewright.make") / "data" / "matrix.toml").read_text(encoding="utf-8")
    short = 'likely = ["rare", "often"]\nbad = ["a plaster"]\ncells = [["low"], ["high"]]\n[means]\nlow = "go on"\n'
    short += 'high = "stop"\n[likelihood]\nseldom = "rare"\n'
    return as_saved(bent_toml(pick([plain, plain, short, "", sample()["name"]])))


# --- prices -----------------------------------------------------------------------------------------------------------

CELLS = [
    "part", "price", "Part", " price ", '"price"', "“price”", "", " ", "bottle", "1.20", "1,20", '"1,20"', "1.234",
    "1,234,567",
    "-1", "+1", "1e400", "1e3", "nan", "inf", "£1", "1.20 €", "=1+2", "=cmd|' /C calc'!A0", "@SUM(A1)", "-2+3", '"open',
    'mid"dle', '""', '"""', '"two\nlines"', "x" * 301, "y" * 140_000, "٣", "1\u00a0000", LONG_NUMBER, "10000000",
    "9999999",
]  # fmt: skip
cells = st.one_of(pick(CELLS), odd_texts(), st.floats(0.0, 50.0).map(lambda price: f"{price:.2f}"))


@st.composite
def price_texts(draw: Any) -> str:
    """Draw a price list."""
    separator = one(draw, [",", ",", ";", "\t", "|", ", "])
    sound = ["part", "price"]
    first = one(draw, [sound, sound, ["price", "part"], ["part", "size", "price"], ["part"], []])
    names = ["bottle", "fin sheet", "glue", "hose", "valve", "cone"]
    rows = [first, *([one(draw, names), f"{draw(st.floats(0.0, 50.0)):.2f}"] for _ in range(draw(steps(0, 4))))]
    for _ in range(draw(steps(0, 3))):
        row, cell = one(draw, rows), draw(cells)
        at, way = draw(steps(0, len(row))), draw(steps(0, 3))
        if way == 0:
            rows.append([cell, "1.00"])
        else:
            row[at : at + min(way, 2) - 1] = [cell]  # between two others, or in the place of one
    text = one(draw, ["\n", "\r\n", "\r"]).join(separator.join(row) for row in rows)
    change = draw(steps(0, 9))
    if change == 0:
        return one(draw, [_cut, _doubled, _with_letters, _other_endings])(draw, text)
    return text + "\nbottle 7,1" * 5_100 if change == 1 and draw(steps(0, 9)) == 0 else text


def prices_as_saved() -> st.SearchStrategy[bytes]:
    """Draw the bytes of a price list."""
    return as_saved(price_texts())


# --- maps -------------------------------------------------------------------------------------------------------------

JSON_VALUES: list[Any] = [
    None, True, False, 0, -1, 3.5, "", "x", [], {}, [[]], {"a": 1}, "@NaN", "@Infinity", "@-Infinity", "@1e400",
    "@-1e400",
    f"@{10**400}", f"@{LONG_NUMBER}", "@1e-400", 2**63, 1e308, "12", ["a"], [None], [1, "2"],
    "@" + "[" * 3_000 + "]" * 3_000,
    "@{\"a\":" * 900 + "1" + "}" * 900, "\x07", "\u202e", "@\"\\ud800\"", "@\"\\u0000\"", "n" * 2_000, "4,5 m",
    "-5 m", "3 %",
]  # fmt: skip
TYPES = ["Point", "LineString", "Polygon", "MultiPolygon", "MultiPoint", "GeometryCollection", "polygon", "Circle"]
ROLES = ["boundary", "launch point", "keep-out", "Boundary", "keep out"]
odd_json = pick(JSON_VALUES).map(deepcopy)
odd_words = st.one_of(odd_json, odd_texts(), odd_quantities())
SOUND_WORDS = {"name": "pond", "kind": "water", "width": "5 m", "allowed": "3 %"}
properties = st.lists(pick([*SOUND_WORDS, "stroke", "Höhe"]), max_size=3)


def _around(draw: Any, half: float) -> list[Any]:
    """Draw a ring of corners about the zero point, as a rule a sound one."""
    sound = [[-half, -half], [half, -half], [half, half], [-half, half], [-half, -half]]
    if draw(st.booleans()):
        return sound
    return one(draw, [sound, sound[:2], sound[::-1], []]) + draw(_positions(half))


@cache
def _positions(half: float) -> st.SearchStrategy[list[Any]]:
    near = st.tuples(st.floats(-half, half), st.floats(-half, half)).map(list)
    return st.lists(st.one_of(near, near, st.lists(st.floats(-200.0, 200.0), max_size=4), odd_json), max_size=4)


@st.composite
def map_features(draw: Any, half: float) -> dict[str, Any]:
    """Draw one feature of a map."""
    role = one(draw, ["keep-out", "keep-out", *ROLES])
    kind = one(draw, ["Polygon", "LineString", "Point", *TYPES] if role == "keep-out" else ["Polygon", *TYPES])
    ring = _around(draw, half)
    shapes = {"Point": ring[0] if ring else [], "LineString": ring, "Polygon": [ring], "MultiPolygon": [[ring]]}
    words: dict[str, Any] = {"role": role}
    for key in draw(properties):
        words[key] = SOUND_WORDS.get(key, "x") if draw(st.booleans()) else draw(odd_words)
    return {
        "type": "Feature", "properties": words,
        "geometry": {"type": kind, "coordinates": shapes.get(kind, one(draw, [ring, [ring], [[ring]]]))},
    }  # fmt: skip


CRS = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}


@st.composite
def map_texts(draw: Any) -> str:
    """Draw the text of a map."""
    metres = draw(st.booleans())
    half = one(draw, [50.0, 300.0]) * (1.0 if metres else 1e-5)
    corners = [[-half, -half], [half, -half], [half, half], [-half, half], [-half, -half]]
    field = {"type": "Feature", "properties": {"role": "boundary", "name": "field"},
             "geometry": {"type": "Polygon", "coordinates": [corners]}}  # fmt: skip
    features = [field] if draw(steps(0, 3)) else []
    features += draw(st.lists(map_features(half), max_size=3))
    document: dict[str, Any] = {"type": "FeatureCollection", "features": features} | ({"units": "m"} if metres else {})
    document |= one(draw, [{}, {}, {"crs": deepcopy(CRS)}, {"bbox": [0, 0, 1, 1]}, {"made by": "@NaN"}])
    for _ in range(one(draw, [0, 0, 1, 2])):
        _bend(draw, document)
    text = json.dumps(document, indent=one(draw, [None, 1]), ensure_ascii=draw(st.booleans()))
    text = _unquoted(text)
    change = draw(steps(0, 9))
    if change == 0:
        return one(draw, [_cut, _doubled, _with_letters, _other_endings])(draw, text)
    key, value = one(draw, ['"type"', '"role"', '"features"', '"coordinates"']), draw(odd_json)
    return text.replace(key, f"{key}: {_unquoted(json.dumps(value))}, {key}", 1) if change == 1 else text


def _unquoted(text: str) -> str:
    """Put what JSON has no way to say, such as a number too large, into the places kept for it."""
    for value in JSON_VALUES:
        if isinstance(value, str) and value.startswith("@"):
            for marked in (json.dumps(value), json.dumps(value, ensure_ascii=False)):
                text = text.replace(marked, value[1:])
    return text


def _bend(draw: Any, document: dict[str, Any]) -> None:
    """Put an odd value somewhere into nested lists and tables, or take one out."""
    node: Any = document
    while True:
        places = list(node) if isinstance(node, dict) else list(range(len(node)))
        place = one(draw, places)
        if not (isinstance(node[place], dict | list) and node[place]) or draw(steps(0, 3)) == 0:
            break
        node = node[place]
    if draw(steps(0, 4)):
        node[place] = draw(odd_words)
    else:
        del node[place]


def maps_as_saved() -> st.SearchStrategy[bytes]:
    """Draw the bytes of a map."""
    return as_saved(map_texts())
