"""Every output of three rockets read back: one value for each number that people act on, in every unit shown.

The verdict in `summary.json` is what all is held against. What is printed is found by the words round it (`SAYINGS`); a
limit may be rounded down and a distance up, by no more than one step of the last figure shown.
"""

import contextlib
import csv
import io
import json
import math
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pymupdf
import pytest
from base_designs import changed_text

from bottlewright.cli import main

pytest.importorskip("bottlewright.verdict", reason="the verdict is not written yet")

QUICK = {"scatter.flights": 400, "tune.flights": 8}

ROCKETS = {
    "tested": ("plain", {}),
    "in psi and feet": ("inches", {}),
    "never tested": ("dabchick", {}),
}
"""Base design and what is changed in it."""

COMMANDS = ("study", "prove", "fly", "tune", "scatter", "make")
"""In this order: the study keeps its landings, and every command after it knows them."""


# --- reading a number as it is printed ------------------------------------------------------------------------------

UNITS = {
    "bar": 1e5, "psi": 6894.757293168, "kPa": 1e3, "m": 1.0, "ft": 0.3048, "m/s": 1.0, "mph": 0.44704,
    "mL": 1e-6, "L": 1e-3,
}  # fmt: skip
ONE = r"\d+(?:\.\d+)?[\s\u00a0\u202f]?(?:m/s|mph|bar|psi|kPa|mL|m|ft|L)\b"
QUANTITY = rf"(?P<said>{ONE}(?:\s\({ONE}\))?)"


def readings(said: str) -> Iterator[tuple[float, float]]:
    """Yield the SI value of each number in a printed quantity, and half a step of its last figure."""
    for number, unit in re.findall(r"(\d+(?:\.\d+)?)[\s\u00a0\u202f]?(m/s|mph|bar|psi|kPa|mL|m|ft|L)\b", said):
        step = 10.0 ** -len(number.partition(".")[2])
        if number.endswith("0") and "." not in number:
            step = 10.0 ** (len(number) - len(number.rstrip("0")))
        yield float(number) * UNITS[unit], step * UNITS[unit]


def agrees(said: str, value: float) -> bool:
    """Say whether every number of a printed quantity is this value, to a step of its last figure."""
    return all(abs(shown - value) <= step * (1.0 + 1e-6) for shown, step in readings(said))


def test_a_printed_number_is_read_in_both_its_units():
    assert list(readings("71.6 psi (4.93 bar)")) == [(pytest.approx(493664.6, abs=0.1), pytest.approx(689.5, abs=0.1)),
                                                     (493000.0, pytest.approx(1000.0))]  # fmt: skip
    assert agrees("71.6 psi (4.93 bar)", 4.94e5)
    assert not agrees("71.6 psi (4.83 bar)", 4.94e5)
    assert agrees("41 ft (12.5 m)", 12.45)
    assert not agrees("25 m", 15.24)


# --- reading every output -------------------------------------------------------------------------------------------


class _Text(HTMLParser):
    """The words of a page, drawings included, without scripts and styles."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.hidden = 0

    def handle_starttag(self, tag, attrs):  # noqa: ARG002
        self.hidden += tag in ("script", "style")

    def handle_endtag(self, tag):
        self.hidden -= tag in ("script", "style")
        if tag in ("td", "th", "p", "li", "tr", "dd", "dt", "h1", "h2", "h3", "div"):
            self.words.append(" \n")

    def handle_data(self, data):
        if not self.hidden:
            self.words.append(data)


def text_of(path: Path) -> str:
    """Return what a person reads in a file."""
    if path.suffix == ".pdf":
        return "\n".join(page.get_text() for page in pymupdf.open(path))
    if path.suffix in (".html", ".svg"):
        page = _Text()
        page.feed(path.read_text(encoding="utf-8"))
        return "".join(page.words)
    if path.suffix == ".csv":
        return "\n".join(" ; ".join(row) for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    return ""


def squeezed(text: str) -> str:
    return re.sub(r"\s+", " ", text)


class Read:
    """All outputs of one rocket."""

    def __init__(self, folder: Path, spoken: dict[str, str]) -> None:
        self.summary = json.loads((folder / "study" / "summary.json").read_text(encoding="utf-8"))
        self.verdict = self.summary["verdict"]
        self.documents = {
            path.relative_to(folder).as_posix(): json.loads(path.read_text(encoding="utf-8"))
            for path in folder.rglob("*.json")
        }
        self.texts = {f"{command}, in words": squeezed(words) for command, words in spoken.items()}
        for path in sorted(folder.rglob("*")):
            text = squeezed(text_of(path)) if path.is_file() else ""
            if text.strip():
                self.texts[path.relative_to(folder).as_posix()] = text


@pytest.fixture(scope="module", params=ROCKETS)
def read(request, tmp_path_factory) -> Read:
    base, changes = ROCKETS[request.param]
    folder = tmp_path_factory.mktemp("rocket")
    file = folder / "rocket.toml"
    file.write_text(changed_text(base, {**changes, **QUICK}), encoding="utf-8")
    spoken = {}
    for command in COMMANDS:
        words = io.StringIO()
        with contextlib.redirect_stdout(words), pytest.raises(SystemExit) as left:
            main([command, str(file), "--out", str(folder / command)])
        assert left.value.code in (0, 1, None), f"{command} ended with {left.value.code}"
        spoken[command] = words.getvalue()
    return Read(folder, spoken)


# --- what is said, and of which number it speaks --------------------------------------------------------------------


def spectators(verdict):
    """Return every distance that spectators may be told: one a sector."""
    sectors = verdict["distances"]["spectators"]
    return [] if sectors is None else [sector["distance_m"] for sector in sectors]


def one(value):
    return [] if value is None else [value]


NUMBERS = {
    "allowed pressure": lambda verdict: one(verdict["allowed_gauge_Pa"]),
    "allowed after a test": lambda verdict: one((verdict["after_test"] or {}).get("allowed_gauge_Pa")),
    "test for that": lambda verdict: one((verdict["after_test"] or {}).get("test_gauge_Pa")),
    "proof test": lambda verdict: one(verdict["proof_gauge_Pa"]),
    "pumper": lambda verdict: one(verdict["distances"]["pumper_m"]),
    "operator": lambda verdict: one(verdict["distances"]["operator_m"]),
    "spectators": spectators,
    "wind": lambda verdict: [limit["in_hand_m_s"] for limit in verdict["wind_limits"] or []],
    "load pressure": lambda verdict: one((verdict["load"] or {}).get("gauge_Pa")),
    "load water": lambda verdict: one((verdict["load"] or {}).get("water_m3")),
}
"""The values that the verdict has for each number; none where it has none."""

SAYINGS = [
    ("allowed pressure", r"On the gauge: not over {q}"),
    ("allowed pressure", r"The gauge reads {q} at the most"),
    ("allowed pressure", r"relief valve opens at {q} or below"),
    ("allowed pressure", r"allowed (?:pressure|reading)[^.;\d]{0,30}{q}"),
    ("test for that", r"After a passed water test at {q}"),
    ("allowed after a test", r"After a passed water test at (?:[^.]|\.\d)*? it would be {q} at most"),
    ("proof test", r"test each full of water to {q}"),
    ("proof test", r"proof test, full of water[ ;]*{q}"),
    ("pumper", r"[Ww]hoever pumps {q}"),
    ("pumper", r"The pumper stands {q} away"),
    ("pumper", r"Mark the lines: operator [^,]*?, pumper {q}"),
    ("pumper", r"Nobody nearer than {q} once pumping has begun"),
    ("operator", r"[Ww]hoever pulls the cord {q}"),
    ("operator", r"pumper stands [^,]*? away, the operator {q}"),
    ("operator", r"Mark the lines: operator {q}"),
    ("spectators", r"Stand back at a launch: (?:[^.]|\.\d)*?spectators {q}"),
    ("spectators", r"Mark the lines: (?:[^.]|\.\d)*?spectators {q}"),
    ("spectators", r"the operator [^,]*?, spectators {q}"),
    ("spectators", r"spectators stand back at least[ ;]*{q}"),
    ("spectators", r"people stand {q} away"),
    ("wind", r"Wind: not over {q}"),
    ("wind", r"launch in no gust over {q}"),
    ("wind", r"Measure the wind: under {q}"),
    ("load pressure", r"Pressure to pump to: {q}"),
    ("load pressure", r"the pressure to pump to \({q}\)"),
    ("load pressure", r"Pressure to pump to, never more: {q}"),
    ("load water", r"Fill in {q} of water"),
]
"""Words round a number, and which number they speak of."""


def said_of(read: Read, number: str) -> list[tuple[str, str]]:
    """Return where and how a number is printed."""
    found = []
    for place, text in read.texts.items():
        for name, words in SAYINGS:
            if name == number:
                found += [(place, hit["said"]) for hit in re.finditer(words.replace("{q}", QUANTITY), text)]
    return found


@pytest.mark.parametrize("number", list(NUMBERS))
def test_every_output_says_the_number_of_the_verdict_and_no_other(read, number):
    values = NUMBERS[number](read.verdict)
    for place, said in said_of(read, number):
        assert any(agrees(said, value) for value in values), f"{place} says {said} for {number}, the verdict {values}"


@pytest.mark.parametrize("number", ["allowed pressure", "pumper", "operator", "spectators", "load pressure"])
def test_words_and_paper_both_say_it_where_the_verdict_has_it(read, number):
    if not NUMBERS[number](read.verdict) or (number == "load pressure" and read.verdict["before_pumping"]):
        return  # no sheet says to pump before the hold points are met
    places = {place for place, _ in said_of(read, number)}
    assert any(place.endswith(".pdf") for place in places), places
    if number != "load pressure":
        assert {f"{command}, in words" for command in COMMANDS} <= places


def test_a_number_that_the_verdict_does_not_have_is_printed_nowhere(read):
    for number, values in NUMBERS.items():
        if not values(read.verdict):
            assert not said_of(read, number), number


# --- documents ------------------------------------------------------------------------------------------------------

SAME = (
    "allowed_gauge_Pa", "allowed_because", "after_test", "distances", "wind_limits", "proof_gauge_Pa",
)  # fmt: skip


def walk(node, path=""):
    if isinstance(node, dict):
        yield path, node
        for key, value in node.items():
            yield from walk(value, f"{path}/{key}")
    elif isinstance(node, list):
        for number, value in enumerate(node):
            yield from walk(value, f"{path}/{number}")


def test_every_document_carries_the_same_verdict(read):
    carried = {name: document["verdict"] for name, document in read.documents.items()
               if isinstance(document, dict) and "verdict" in document}  # fmt: skip
    written = {"study/summary.json", "prove/proof.json", "fly/fly.json", "scatter/scatter.json", "tune/tune.json"}
    assert written <= set(carried)
    for name, verdict in carried.items():
        for key in SAME:
            assert verdict[key] == read.verdict[key], f"{name}: {key}"


def test_no_document_has_another_number_under_the_same_name(read):
    named = {"allowed_gauge_Pa": {read.verdict["allowed_gauge_Pa"]}, "proof_gauge_Pa": {read.verdict["proof_gauge_Pa"]}}
    after = read.verdict["after_test"]
    if after is not None:
        named["allowed_gauge_Pa"].add(after["allowed_gauge_Pa"])
    for name, document in read.documents.items():
        for path, table in walk(document):
            for key, values in named.items():
                assert table.get(key, next(iter(values))) in values, f"{name}{path}/{key}"


def test_a_stop_is_a_stop_in_every_output(read):
    stopped = read.verdict["level"] == "stop"
    assert (read.verdict["load"] is None) == stopped
    for command in COMMANDS:
        assert read.texts[f"{command}, in words"].startswith("STOP") == stopped, command
    for place, text in read.texts.items():
        if place.endswith("pack-a4.pdf"):
            assert ("Do not go on:" in text) == stopped
            assert ("do not pump or launch" in text) == stopped


def test_nothing_reassures(read):
    for place, text in read.texts.items():
        for word in (r"\bGO\b", r"\bis safe\b", r"\bFine\b", "✓", "✔"):
            assert not re.search(word, text), f"{place} says {word}"


def test_the_wind_limits_name_their_height(read):
    for limit in read.verdict["wind_limits"] or []:
        assert limit["height_m"] > 0.0
        assert math.isfinite(limit["speed_m_s"])
        assert 0.0 <= limit["in_hand_m_s"] <= limit["speed_m_s"]
