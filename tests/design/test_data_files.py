"""The program's tables are for people who know no programming: what a slip of the pen does, it says."""

import re
from importlib.resources import files
from pathlib import Path

import pytest

from bottlewright import data_file as reading
from bottlewright.data_file import DataFileError, data_file
from bottlewright.design import tables
from bottlewright.field import keep_out_kinds, landings
from bottlewright.flight import findings
from bottlewright.logbook import day_table, wind_by_hand
from bottlewright.make.launcher import stand
from bottlewright.make.plan import glues
from bottlewright.proof import defaults, rules
from bottlewright.report import glossary

PACKAGE = Path(str(files("bottlewright")))
ALL = sorted((path.parts[-3], path.stem) for path in PACKAGE.glob("*/data/*.toml"))

LOADERS = {
    ("design", "bottles"): (tables.bottles, "volume", '[[row]]'),
    ("design", "materials"): (tables.materials, "density", "[[row]]"),
    ("proof", "rules"): (rules.rule_table, "value", "[[rule]]"),
    ("proof", "launcher"): (defaults._defaults, "value", "[[value]]"),
    ("field", "keep_outs"): (keep_out_kinds.kinds, "allowed", "[[kind]]"),
    ("field", "failures"): (landings._table, "value", "[[failure]]"),
    ("flight", "limits"): (findings._limits, "", "[margin_most]"),
    ("logbook", "wind"): (wind_by_hand.forces, "", "[[force]]"),
    ("logbook", "day"): (day_table.day_table, "", "[[state]]"),
    ("make", "glues"): (glues.glues, "", "[[glue]]"),
    ("make", "stand"): (stand._usual, "value", "[[row]]"),
    ("report", "glossary"): (glossary._data, "", "[[word]]"),
}  # fmt: skip
"""What reads a table, a column of it with a unit, and how its rows begin."""


def forget():
    for loader, *_ in LOADERS.values():
        loader.cache_clear()
    for one in (tables._file, keep_out_kinds._table, glues._table, defaults.launcher_table):
        one.cache_clear()


@pytest.fixture
def spoilt(monkeypatch):
    """Return a function that reads a table with another text."""
    original = reading.text_of

    def read(place, change):
        before = original(*place)
        text = change(before)
        assert text != before
        monkeypatch.setattr(reading, "text_of", lambda *asked: text if asked == place else original(*asked))
        forget()
        with pytest.raises(DataFileError) as refused:
            (LOADERS[place][0] if place in LOADERS else lambda: data_file(*place))()
        return str(refused.value), text

    yield read
    monkeypatch.undo()
    forget()


def second_row(text, head):
    """Return where the second row of a table begins and ends."""
    starts = [hit.start() for hit in re.finditer(rf"^{re.escape(head)}", text, re.MULTILINE)]
    start = starts[1] if len(starts) > 1 else starts[0]
    end = text.find("\n[", start + 1)
    return start, end if end > 0 else len(text)


def in_second_row(head, change):
    def changed(text):
        start, end = second_row(text, head)
        return text[:start] + change(text[start:end]) + text[end:]

    return changed


def line_at(text, start):
    return text.count("\n", 0, start) + 1


def test_all_tables_are_looked_at():
    assert len(ALL) > 20
    assert set(LOADERS) <= set(ALL)
    for place in ALL:
        assert data_file(*place)


@pytest.mark.parametrize("place", ALL, ids="/".join)
@pytest.mark.parametrize(("slip", "says"), [
    (lambda line: line.rpartition('"')[0], "its last quote may be missing"),
    (lambda line: re.sub(r'"(.*)"', r"about \1", line), "needs quotes around it"),
    (lambda line: re.sub(r'".*"', "9 mm", line), "a number with a unit is a text"),
], ids=["quote lost", "no quotes", "number with a unit"])  # fmt: skip
def test_a_slip_in_any_table_is_told_with_file_line_and_what_would_be_right(spoilt, place, slip, says):
    text = reading.text_of(*place)
    found = re.search(r'^[\w-]+ = "[^"\n]+"$', text, re.MULTILINE)
    assert found
    said, _ = spoilt(place, lambda text: text.replace(found[0], slip(found[0]), 1))
    assert said.startswith(f"bottlewright/{place[0]}/data/{place[1]}.toml, line {line_at(text, found.start())}, reads:")
    assert says in said


@pytest.mark.parametrize("place", LOADERS, ids="/".join)
def test_a_column_that_is_gone_is_named_with_its_row(spoilt, place):
    head = LOADERS[place][2]
    start, end = second_row(reading.text_of(*place), head)
    columns = re.findall(r"^(source|says|sees|value|kind)\b", reading.text_of(*place)[start:end], re.MULTILINE)
    wanted = "value" if place == ("make", "stand") else columns[-1]
    said, text = spoilt(place, in_second_row(head, lambda row: re.sub(rf"(?m)^{wanted} = .*\n?", "", row, count=1)))
    assert f"bottlewright/{place[0]}/data/{place[1]}.toml, line {line_at(text, start)}, " in said
    assert f"{wanted} is missing" in said or f"'{wanted}' is missing" in said


@pytest.mark.parametrize("place", [place for place, (_, column, _) in LOADERS.items() if column], ids="/".join)
def test_a_unit_that_is_gone_is_asked_for_with_row_and_column(spoilt, place):
    _, column, head = LOADERS[place]
    whole = reading.text_of(*place)
    row = next(hit for hit in re.finditer(rf"(?ms)^{re.escape(head)}\n.*?(?=\n\n|\Z)", whole)
               if re.search(rf'^{column} = "[\d.]+ [^"]', hit[0], re.MULTILINE))  # fmt: skip
    bare = re.sub(rf'(?m)^({column} = )"[\d.]+ [^"]*"', r'\1"some"', row[0], count=1)
    said, _ = spoilt(place, lambda text: text.replace(row[0], bare, 1))
    assert f", line {line_at(whole, row.start())}, " in said
    assert f": {column} " in said
    assert "'some'" in said


@pytest.mark.parametrize(("place", "old", "new", "says"), [
    (("design", "bottles"), "wall =", "wal =", "there is no column wal; is wall meant?"),
    (("proof", "rules"), "advice =", "advise =", "there is no column advise"),
    (("flight", "limits"), "says =", "say =", "there is no column say"),
    (("report", "glossary"), "also =", "als =", "there is no column als"),
    (("proof", "rules"), 'subject = "field width"', 'subject = "field with"', "field with"),
])  # fmt: skip
def test_a_misspelt_column_is_not_passed_over(spoilt, place, old, new, says):
    said, _ = spoilt(place, lambda text: re.sub(rf"(?m)^{old}", new, text, count=1))
    assert says in said
    assert re.search(r", line \d+, ", said)


def test_a_row_that_stands_twice_is_refused_with_both_places(spoilt):
    place = ("design", "bottles")
    start, end = second_row(reading.text_of(*place), "[[row]]")
    said, _ = spoilt(place, lambda text: f"{text}\n{text[start:end]}")
    assert said.count("line ") == 2
    assert "the name carbonated-500 stands here and at" in said


def test_a_file_that_is_not_saved_as_utf_8_says_so(tmp_path, monkeypatch):
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "bottles.toml").write_bytes('volume = "530 mL ± 8 mL"'.encode("cp1252"))
    monkeypatch.setattr(reading, "files", lambda _: tmp_path)
    with pytest.raises(DataFileError, match=r"bottles\.toml: byte 17 is no UTF-8; save the file as UTF-8"):
        data_file("design", "bottles")


def test_whoever_breaks_a_table_reads_it_on_the_command_line(monkeypatch, capsys):
    from bottlewright.cli import main

    original = reading.text_of
    place = ("design", "bottles")
    broken = original(*place).replace('wall = "0.30 mm', 'wall = "0.30 mn', 1)
    monkeypatch.setattr(reading, "text_of", lambda *asked: broken if asked == place else original(*asked))
    forget()
    with pytest.raises(SystemExit) as left:
        main(["begin", "--bottle", "1.5 litre fizzy", "--pressure", "2 bar"])
    monkeypatch.undo()
    forget()
    assert left.value.code == 2
    said = capsys.readouterr().err
    assert "bottlewright/design/data/bottles.toml, line 1" in said
    assert "carbonated-330: wall has an unknown unit 'mn'" in said
