"""Files as people save them: understood and said so, or refused with the line and the cure; every mistake at once."""

import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design import DesignError, complete, parse_design, read_design
from bottlewright.design.text_files import TextFileError, bad_character, decode_text, read_text_file
from bottlewright.design.writing import write_design
from bottlewright.findings import Level, Stage

GOOD = """\
name = "Grünspecht"
[vessel]
bottle = "carbonated-1500"
volume = "1550 mL ± 4 mL"
[charge]
pressure = "4 bar ± 0.1 bar"
temperature = "17 °C ± 2 °C"
"""


LEAST = '[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "4 bar"\n'


def notes(design):
    return {note.code: note.found for note in design.reading_notes}


def problems(text):
    with pytest.raises(DesignError) as caught:
        parse_design(text)
    return [(problem.line, problem.path, f"{problem.why}; {problem.right}") for problem in caught.value.problems]


# --- how it is saved ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8-sig", "byte order mark"), ("utf-16", "UTF-16"), ("utf-16-le", "UTF-16"), ("utf-16-be", "UTF-16"),
        ("cp1252", "Windows-1252"),
    ],
)  # fmt: skip
def test_a_file_in_another_encoding_is_read_the_same_and_says_so(tmp_path, encoding, said):
    path = tmp_path / "rocket.toml"
    path.write_bytes(GOOD.encode(encoding))
    design = read_design(path)
    assert design == parse_design(GOOD)
    assert said in notes(design)["file-text"]


def test_a_file_in_plain_utf_8_with_every_spread_needs_no_note(tmp_path):
    path = tmp_path / "rocket.toml"
    path.write_text(GOOD, encoding="utf-8")
    assert read_design(path).reading_notes == ()


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"name = \"a\"\nb = \"\x81\"\n", "line 2"),
        (b"# \xc2\xb1\n# \xb1\n", "mixes two encodings: line 2"),
        (b"a\0b", "not text"),
        (b"# \xa5\xb9\n", "can't be told"),
        (b"\xff\xfe\x00", "not text"),
        ("a".encode("utf-32"), "not text"),
    ],
)
def test_what_can_be_read_in_more_than_one_way_is_refused_with_the_line_and_the_cure(raw, words):
    with pytest.raises(TextFileError, match=words) as caught:
        decode_text(raw)
    assert "UTF-8" in str(caught.value) or words == "not text"


@given(st.binary(max_size=60))
def test_no_bytes_do_more_than_be_read_or_refused(raw):
    try:
        text, said = decode_text(raw)
    except TextFileError:
        return
    assert said or text.encode() == raw


@given(st.text(st.characters(codec="cp1252", exclude_categories=["Cc"]), min_size=3))
def test_windows_text_is_read_as_it_was_written_or_refused(text):
    try:
        read, said = decode_text(text.encode("cp1252"))
    except TextFileError:
        return
    assert not said or read == text


def test_only_an_ordinary_file_of_bounded_size_is_read(tmp_path):
    pipe, sparse = tmp_path / "pipe", tmp_path / "sparse"
    os.mkfifo(pipe)
    with sparse.open("wb") as file:
        file.truncate(2_000_000_000)
    for path, words in [(pipe, "not an ordinary file"), ("/dev/zero", "not an ordinary file"), (sparse, "2000.0 MB"),
                        (tmp_path, "is a folder"), (tmp_path / "none", "does not exist")]:
        with pytest.raises(TextFileError, match=words):
            read_text_file(path, 1000)
        with pytest.raises(DesignError, match=words):
            read_design(path)


def test_a_change_is_written_into_a_file_in_another_encoding(tmp_path):
    path = tmp_path / "rocket.toml"
    path.write_bytes(GOOD.replace('"4 bar ± 0.1 bar"', "“4 bar”").encode("cp1252"))
    write_design(path, {"charge.pressure": "5 bar"})
    assert parse_design(path.read_text(encoding="utf-8")).charge.pressure.value == 5e5


# --- what stands in it -------------------------------------------------------------------------------------------


def test_a_decimal_comma_is_read_as_a_point_and_said():
    design = parse_design(GOOD.replace("4 bar ± 0.1 bar", "4,5 bar ± 0,1 bar"))
    assert (design.charge.pressure.value, design.charge.pressure.spread) == pytest.approx((4.5e5, 1e4))
    assert "charge.pressure '4,5 bar ± 0,1 bar' as '4.5 bar ± 0.1 bar'" in notes(design)["read-as"]


def test_a_comma_that_may_part_thousands_is_refused_with_both_readings():
    [(line, path, words)] = problems(GOOD.replace("1550 mL ± 4 mL", "1,550 mL"))
    assert (line, path) == (4, "vessel.volume")
    assert "1550 or 1.550" in words


def test_spaces_that_do_not_break_are_spaces():
    design = parse_design(GOOD.replace("17 °C", "17\u00a0°C").replace("[charge]\n", "[charge]\n\u00a0\u00a0"))
    assert (design.charge.pressure.value, design.charge.temperature.value) == (4e5, 290.15)
    assert "line 6" in notes(design)["file-text"]
    assert "charge.temperature" in notes(design)["read-as"]


@pytest.mark.parametrize("quotes", ["“”", "„“", "””", "‘’"])
def test_curly_quotes_are_read_as_straight_ones_and_said(quotes):
    first, last = quotes
    text = GOOD.replace('"carbonated-1500"', f"{first}carbonated-1500{last}  # “fizzy”")
    assert parse_design(text) == parse_design(GOOD)
    assert "curly quotes are read as straight ones (line 3)" in notes(parse_design(text))["file-text"]


def test_an_apostrophe_inside_curly_quotes_stays():
    assert parse_design(GOOD.replace('"Grünspecht"', "“Ida’s own”")).name == "Ida’s own"


def test_curly_quotes_inside_a_name_stay():
    assert parse_design(GOOD.replace("Grünspecht", "the “old” one")).name == "the “old” one"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("bore 9 mm", 'write  bore = "9 mm"'),
        ("count: 3", "write  count = 3"),
        ("bore: 9 mm", 'write  bore = "9 mm"'),
        ("bore = 9 mm", 'has no quotes: 9 mm; write  bore = "9 mm"'),
        ("bore = 9 mm ± 0.1 mm   # drilled", 'write  bore = "9 mm ± 0.1 mm"'),
        ("bore = 4,5", "decimal comma: 4,5; write  bore = 4.5"),
        ('bore = "9 mm', 'never closed: "9 mm; write  bore = "9 mm"'),
        ('bore = 9 mm"', 'write  bore = "9 mm"'),
        ('bore = "9" mm', 'behind its closing quote: "9" mm; write  bore = "9 mm"'),
        ('bore = “9 mm', 'curly quotes: “9 mm; write straight ones:  bore = "9 mm"'),
        ("bore =", "has no value"),
        ("= 9", "no key"),
        ("shape = rounded", 'write  shape = "rounded"'),
        ("stretch = True", "write  stretch = true"),
        ("stretch = no", "write  stretch = false"),
        ("count = 03", "write  count = 3"),
        ('wind speed = "3 m/s"', 'has a space in its key: wind speed; write  wind_speed = "3 m/s"'),
        ('län = "3 m"', "a key is made of"),
        ('hours = ["Sat 10:00-13:00"', "never closed"),
        ('hours = ["a" "b"]', "with a comma between"),
        ('hours = ["a"]]', "closes more brackets"),
        ('file = "C:\\prices"', "backslash"),
        ("// a comment", "a comment starts with #"),
        ("[nozzle", "does not close it"),
        ("[my nozzle]", "names no table"),
        ("rocket", "neither a table nor a key"),
        ('name = "a\x07b"', "a control character (U+0007)"),
        ("bore = ?", "can't be read: ?"),
    ],
)
def test_a_line_that_is_no_toml_is_explained_in_the_builders_words(line, words):
    said = problems(f"{GOOD}[workshop]\n{line}\npeople = 3\n")
    assert [number for number, _, _ in said] == [9]
    assert words in said[0][2]


def test_every_mistake_of_the_text_is_told_at_once_with_its_line_and_its_key():
    text = """\
[vessel]
bottle = carbonated-1500
[charge]
pressure = 4 bar
water = "500 mL
[fins
[weather]
temperature = "15 °C
[charge]
water = "1 L"
[[mass]]
name = "clay"
mass = "20 g"
mass = "21 g"
position = 3 cm
[workshop]
hours = ["Sat 10:00-13:00",
         "Sun 10:00-13:00"
people = 3
people = 4
"""
    said = problems(text)
    assert [(line, path) for line, path, _ in said] == [
        (2, "vessel.bottle"), (4, "charge.pressure"), (5, "charge.water"), (6, ""), (8, "weather.temperature"),
        (9, "charge"), (14, "mass.0.mass"), (15, "mass.0.position"), (17, "workshop.hours"), (20, "workshop.people"),
    ]
    assert "[charge] stands first in line 3" in said[5][2]
    assert "first in line 13" in said[6][2]


def test_a_header_that_is_not_closed_takes_no_line_with_it():
    assert [line for line, _, _ in problems(f"{GOOD}[fins\ncount: 3\nspan = 3 mm\n")] == [8, 9, 10]


def test_what_is_wrong_with_the_values_is_told_beside_lines_that_are_no_toml():
    nozzle, fins = '[nozzle]\nbore = "30 mm"\nlength = 6 mm\n', '[fins]\ncount = "x"\nspan = 3 mm\n'
    text = f"{GOOD}{nozzle}{fins}[weather]\nwind_from = west"
    assert {path: line for line, path, _ in problems(text)} == {
        "nozzle.bore": 9, "nozzle.length": 10, "fins.count": 12, "fins.span": 13, "weather.wind_from": 15,
    }


def test_a_value_that_is_no_toml_is_not_taken_for_one_left_out():
    assert [path for _, path, _ in problems(GOOD.replace('"4 bar ± 0.1 bar"', "4 bar"))] == ["charge.pressure"]
    assert [path for _, path, _ in problems(GOOD.replace('"carbonated-1500"', "fizzy"))] == ["vessel.bottle"]


def test_the_keys_of_a_table_whose_name_can_not_be_read_are_those_of_no_other():
    text = GOOD + '[weather\ntemperature = "15 °C"\nwind_speed = 3 m/s\ntemperature = "16 °C"\n'
    assert [(line, path) for line, path, _ in problems(text)] == [
        (8, ""), (10, "wind_speed"), (11, "temperature"),
    ]  # fmt: skip


def test_several_blocks_of_a_list_are_no_mistake_and_one_table_twice_says_how_to_write_them():
    block = '[[mass]]\nname = "a"\nmass = "1 g"\nposition = "3 mm"\n'
    assert len(parse_design(GOOD + 2 * block + "[fins]\nspan = “90 mm”\n").mass) == 2
    said = problems(GOOD + 2 * block.replace("[[", "[").replace("]]", "]"))
    assert any("write [[mass]] for each" in words for _, _, words in said)


def test_curly_quotes_on_the_command_line_are_quotes():
    assert parse_design(GOOD, ["charge.pressure=“5,5 bar”"]).charge.pressure.value == pytest.approx(5.5e5)


@given(st.text(st.sampled_from('[]{}"\'“”=.,#\n ab1\\"""'), max_size=60))
def test_whatever_is_written_is_read_or_refused_with_a_reason(text):
    try:
        whys = [note.found for note in parse_design(GOOD + text).reading_notes] or ["it was read"]
    except DesignError as error:
        whys = [problem.why for problem in error.problems]
    assert whys
    assert all(whys)


# --- names -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("name", 'name = "{}"\n' + GOOD.partition("\n")[2]),
        ("site.name", GOOD + '[site]\nname = "{}"\n'),
        ("site.map", GOOD + '[site]\nmap = "{}"\n'),
        ("mass.0.name", GOOD + '[[mass]]\nname = "{}"\nmass = "1 g"\nposition = "1 mm"\n'),
        ("site.keep_out.0.name", GOOD + '[[site.keep_out]]\nname = "{}"\nspot = ["1 m", "2 m"]\n'),
        ("weather.hours.0.at", GOOD + '[[weather.hours]]\nat = "{}"\nwind_speed = "1 m/s"\nwind_from = "W"\n'),
        ("prices.currency", GOOD + '[prices]\ncurrency = "{}"\n'),
        ("vessel.joint_adhesive", GOOD.replace("[charge]", 'joint_adhesive = "{}"\n[charge]')),
        ("workshop.glue", GOOD + '[workshop]\nglue = "{}"\n'),
    ],
)  # fmt: skip
@pytest.mark.parametrize(
    ("letter", "words"),
    [("\\n", "a line break"), ("\\t", "a tab"), ("\\u0007", "U+0007"), ("\\u2028", "a line break"),
     ("\\uFFFE", "U+FFFE"), ("\\u0085", "U+0085")],
)  # fmt: skip
def test_no_name_holds_what_spoils_files_and_sheets(path, line, letter, words):
    said = problems(line.replace("{}", f"a{letter}b"))
    assert [where for _, where, _ in said] == [path]
    assert words in said[0][2]


def test_a_key_that_is_a_name_is_held_to_the_same():
    assert "a line break" in problems(GOOD + '[stock.have]\n"a\\nb" = 1\n')[0][2]


def test_half_a_letter_from_the_command_line_is_no_name():
    with pytest.raises(DesignError, match="half a letter"):
        parse_design(GOOD, ["name=a\udcffb"])


def test_notes_may_have_lines_and_names_any_letters():
    design = parse_design('notes = "one\\ntwo"\n' + GOOD.replace("Grünspecht", "日本 🚀 żółw"))
    assert (design.notes, design.name) == ("one\ntwo", "日本 🚀 żółw")


@given(st.text())
def test_what_passes_for_a_name_can_be_written_to_xml_and_utf_8(text):
    if bad_character(text) is None:
        text.encode()
        assert not any(ord(letter) < 32 or letter in "\ufffe\uffff\u2028" for letter in text)
        assert text.splitlines() in ([], [text])


# --- everyday words ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "share"),
    [
        ("33 %", 0.33), ("33%", 0.33), ("33,5 %", 0.335), ("a third", 0.3333), ("one third", 0.3333), ("1/3", 0.3333),
        ("A third of the bottle", 0.3333), ("half", 0.5), ("two-thirds", 0.6667), ("2/5", 0.4), ("30 percent", 0.3),
        ("a quarter full", 0.25), ("⅓", 0.3333), ("40 % ± 2 %", 0.4),
    ],
)  # fmt: skip
def test_water_may_be_a_share_of_the_vessel(words, share):
    text = GOOD.replace("[charge]\n", f'[charge]\nwater = "{words}"\n').replace("bottle =", "count = 2\nbottle =")
    design = parse_design(text)
    water = complete(design).charge.water
    assert water.value == pytest.approx(share * 2 * 1.55e-3, rel=1e-3)
    assert "of the vessel" in water.source
    assert water.spread > 0.0
    assert f"charge.water {words!r} as" in notes(design)["read-as"]


def test_the_spread_of_a_share_is_that_of_the_water():
    water = complete(parse_design(GOOD.replace("[charge]\n", '[charge]\nwater = "40 % ± 2 %"\n'))).charge.water
    assert water.spread == pytest.approx(0.02 * 1.55e-3)


@pytest.mark.parametrize(
    ("water", "words"),
    [("100 %", "brim-full"), ("120 %", "a plain number"), ("a lot", "can't be read"), ("0/0", "unknown unit"),
     ("0.3", "no unit")],
)
def test_a_share_that_is_none_is_refused(water, words):
    [(_, path, why)] = problems(GOOD.replace("[charge]\n", f'[charge]\nwater = "{water}"\n'))
    assert path == "charge.water"
    assert words in why


def test_the_water_is_said_once():
    said = problems(GOOD.replace("[charge]\n", '[charge]\nwater = "300 mL"\nwater_share = "20 %"\n'))
    assert [path for _, path, _ in said] == ["charge.water_share"]


@pytest.mark.parametrize(
    ("words", "degrees"),
    [("NE", 45.0), ("west", 270.0), ("south-south-west", 202.5), ("from the South West", 225.0), ("N", 0.0),
     ("northeast", 45.0), ("wnw", 292.5), ("240 deg", 240.0)],
)
def test_a_direction_may_be_a_point_of_the_compass(words, degrees):
    design = parse_design(f'{GOOD}[weather]\nwind_from = "{words} ± 20 deg"\n[launcher]\nleans_towards = "{words}"\n')
    assert design.weather.wind_from.value == pytest.approx(degrees * 3.141592653589793 / 180.0)
    assert design.weather.wind_from.spread == pytest.approx(20.0 * 3.141592653589793 / 180.0)
    assert design.launcher.leans_towards.value == design.weather.wind_from.value
    assert "read-as" not in notes(design)


@pytest.mark.parametrize("bore", ['"3/4 inch"', "'0.75\"'", '"¾ in"'])
def test_a_unit_spelled_out_or_a_fraction_is_nothing_to_check(bore):
    design = parse_design(f"{GOOD}[nozzle]\nbore = {bore}\n")
    assert design.nozzle.bore.value == pytest.approx(0.01905)
    assert "read-as" not in notes(design)


@pytest.mark.parametrize(("words", "near"), [("nort", "'north'"), ("noth-west", "'north-west'"), ("up", "225 deg")])
def test_a_direction_that_is_none_is_refused_with_the_nearest(words, near):
    [(_, path, why)] = problems(f'{GOOD}[weather]\nwind_from = "{words}"\n')
    assert path == "weather.wind_from"
    assert near in why


@pytest.mark.parametrize(
    ("words", "row"),
    [
        ("1.5 litre fizzy", "carbonated-1500"), ("2 L fizzy drink bottle", "carbonated-2000"),
        ("500 ml still", "still-500"), ("sparkling water, 1,5 l", "carbonated-1500"),
        ("1 liter soda", "carbonated-1000"),
        ("carbonated-1500", "carbonated-1500"), ("still water 150 cl", "still-1500"),
    ],
)
def test_a_bottle_may_be_named_by_its_size_and_drink(words, row):
    design = parse_design(GOOD.replace("carbonated-1500", words).replace('volume = "1550 mL ± 4 mL"\n', ""))
    assert design.vessel.bottle == row
    assert (words == row) != ("read-as" in notes(design))


@pytest.mark.parametrize(
    ("words", "right"),
    [
        ("2 l bottle", "'carbonated-2000' if it held a fizzy drink or 'still-2000' if it held a still drink"),
        ("2 l non-carbonated", "'still-2000' if it held a still drink"),
        ("1.75 litre fizzy", 'volume = "1.75 L" and kind = "carbonated"'),
        ("carbonated-150", "did you mean 'carbonated-1500'"),
    ],
)
def test_a_bottle_that_may_be_two_is_refused_with_the_nearest_right_form(words, right):
    [(_, path, why)] = problems(GOOD.replace("carbonated-1500", words))
    assert path == "vessel.bottle"
    assert right in why


# --- what has no ± -----------------------------------------------------------------------------------------------


def test_a_value_without_a_spread_takes_the_usual_one_and_says_so():
    design = parse_design(GOOD.replace(" ± 0.1 bar", ""))
    pressure = complete(design).charge.pressure
    assert pressure.value == 4e5
    assert pressure.spread == pytest.approx(0.03 * 4e5)
    assert "± assumed: 3 %" in pressure.source
    assert design.charge.pressure.spread == 0.0
    assert notes(design)["assumed-spread"] == "charge.pressure"


@pytest.mark.parametrize("zero", ["± 0", "± 0 bar", "+/- 0 bar"])
def test_nought_behind_the_sign_means_exact(zero):
    design = parse_design(GOOD.replace("± 0.1 bar", zero))
    assert complete(design).charge.pressure.spread == 0.0
    assert "assumed-spread" not in notes(design)


def test_a_wind_typed_in_is_no_surer_than_one_left_out():
    silent = complete(parse_design(GOOD)).weather
    typed = complete(parse_design(f'{GOOD}[weather]\nwind_speed = "10 km/h"\n')).weather
    still = complete(parse_design(f'{GOOD}[weather]\nwind_speed = "0 m/s"\n')).weather
    assert typed.wind_speed.value == pytest.approx(10 / 3.6)
    assert min(typed.wind_speed.spread, still.wind_speed.spread) >= silent.wind_speed.spread


def test_no_launch_tube_stays_none():
    launcher = complete(parse_design(f'{GOOD}[launcher]\ntube_length = "0 mm"\ntube_diameter = "0 mm"\n')).launcher
    assert (launcher.tube_length.spread, launcher.tube_diameter.spread) == (0.0, 0.0)


def test_a_rocket_with_fins_of_no_size_hears_so_before_it_flies():
    design = parse_design(f"{GOOD}[fins]\ncount = 3\n")
    [note] = [note for note in design.reading_notes if note.code == "assumed-fins"]
    assert (note.level, note.stage) == (Level.UNCHECKED, Stage.SKETCH)
    assert "fins.root and fins.span" in note.found
    sized = parse_design(f'{GOOD}[fins]\nroot = "90 mm ± 1 mm"\nspan = "80 mm ± 1 mm"\n')
    assert sized.reading_notes == ()


# --- what a refusal quotes of the file -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ('"\\u202e" = 1', "‹U+202E›"), ('"\\u0007" = 1', "‹U+0007›"), ("vess\u200eel = 1", "‹U+200E›"),
        ("\ue000 = 1", "‹U+E000›"), ("'a\tb' = 1", "a b"),
    ],
)  # fmt: skip
def test_a_letter_that_prints_nothing_or_hides_others_is_shown_by_its_code(text, shown):
    with pytest.raises(DesignError) as caught:
        parse_design(f"{LEAST}[nose]\n{text}\n")
    assert shown in str(caught.value)
    assert all(letter.isprintable() or letter == "\n" for letter in str(caught.value))


def test_a_key_of_a_thousand_letters_is_not_told_in_full():
    with pytest.raises(DesignError) as caught:
        parse_design(f'{LEAST}"{"y" * 5_000}" = 1\n')
    assert len(str(caught.value)) < 600


def test_a_key_of_a_thousand_letters_behind_set_is_not_told_in_full():
    with pytest.raises(DesignError) as caught:
        parse_design("[vessel]\n", [f"{'y' * 5_000}.0=1"])
    assert all(len(line) < 900 for line in str(caught.value).split("\n"))


def test_what_would_be_right_does_not_repeat_a_value_of_thousands_of_letters():
    ((_, _, said),) = problems(f'{LEAST}temperature = "{"x" * 3_000}\n')
    assert "is never closed" in said
    assert len(said) < 300


def test_dates_in_a_list_are_quoted_as_they_stand_in_the_file():
    text = "[07:32:00, 1979-05-27, true]"
    ((_, _, said),) = problems(LEAST.replace('"4 bar"', text))
    assert f"not {text}" in said


def test_a_table_around_a_value_that_can_not_be_read_is_quoted_without_it():
    found = problems(f"{LEAST}[mass.0]\nmass = 1 g\n")
    assert [path for _, path, _ in found] == ["mass", "mass.0.mass"]
    assert found[0][2] == "is {0 = {mass = …}}; it has to be a list in brackets"


def test_a_key_without_a_name_is_told_with_its_line():
    assert [(line, path) for line, path, _ in problems(f'{LEAST}"" = 1\n')] == [(5, 'charge.""')]


def test_a_text_that_is_never_closed_makes_no_second_problem_out_of_nothing():
    assert [line for line, _, _ in problems(f'"""schema = 1\n{LEAST}')] == [1]
