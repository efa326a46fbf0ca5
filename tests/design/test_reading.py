import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design import DesignError, complete, parse_design, read_design, stood_on
from bottlewright.design.rewriting import rewritten
from strategies import designs

GOOD = """
[vessel]
bottle = "carbonated-1500"
[charge]
pressure = "4 bar"
"""


def refused(text: str, *overrides: str) -> dict[str, str]:
    """Return what is said about each path of a design that must be refused."""
    with pytest.raises(DesignError) as caught:
        parse_design(text, overrides)
    said = {problem.path: f"{problem.told}; {problem.right}" for problem in caught.value.problems}
    assert all(said.values())
    return said


def with_lines(**tables: str) -> str:
    """Return the good design with lines added to its tables."""
    text = GOOD
    for table, lines in tables.items():
        header = f"[{table}]\n"
        text = text.replace(header, header + lines + "\n") if header in text else f"{text}{header}{lines}\n"
    return text


def test_two_tables_make_a_design():
    design = parse_design(GOOD)
    assert design.vessel.bottle == "carbonated-1500"
    assert design.charge.pressure.value == 4e5
    assert design.charge.pressure.text == "4 bar"


@given(designs())
def test_every_generated_design_is_accepted(text):
    assert parse_design(text).charge.pressure.value > 0.0


@pytest.mark.parametrize(
    ("key", "table", "line", "words"),
    [
        ("nozzle.boer", "nozzle", 'boer = "9 mm"', "did you mean 'bore'"),
        ("vessel.bore", "vessel", 'bore = "9 mm"', "neck_bore"),
        ("charge.wind_speed", "charge", 'wind_speed = "3 m/s"', "belongs to [weather]"),
        ("charge.tilt", "charge", 'tilt = "3 deg"', "[launcher] or [stand]"),
        ("nozzle.presure", "nozzle", 'presure = "3 bar"', "did you mean 'pressure' of"),
        ("chrage", "chrage", 'water = "500 mL"', "did you mean 'charge'"),
        ("zzz", "zzz", "a = 1", "a table here can be"),
        ("nozzle.bore", "nozzle", 'bore = "9"', "no unit"),
        ("nozzle.bore", "nozzle", "bore = 9", "no unit"),
        ("nozzle.bore", "nozzle", 'bore = "9 g"', "has to be a length"),
        ("nozzle.bore", "nozzle", 'bore = "-9 mm"', "has to be from 1 mm"),
        ("nozzle.bore", "nozzle", 'bore = "9 km"', "to 150 mm"),
        ("nozzle.bore", "nozzle", "bore = 2026-05-09", "has to be a length"),
        ("nozzle.bore", "nozzle", "bore = nan", "no unit"),
        ("nozzle.bore", "nozzle", 'bore = "nan mm"', "can't be read"),
        ("nozzle.bore", "nozzle", 'bore = ["9 mm"]', "has to be a length"),
        ("nozzle.bore", "nozzle", 'bore = {value = "9 mm"}', "has to be a length"),
        ("nozzle.velocity_coefficient", "nozzle", "velocity_coefficient = inf", "can't be read"),
        ("nozzle.velocity_coefficient", "nozzle", "velocity_coefficient = 0x" + "f" * 6000, "far too large"),
        ("nozzle.velocity_coefficient", "nozzle", "velocity_coefficient = true", "plain number"),
        ("nozzle.shape", "nozzle", 'shape = "round"', "did you mean 'rounded'"),
        ("fins.count", "fins", "count = 3.5", "a whole number"),
        ("fins.count", "fins", "count = 0x" + "f" * 6000, "far too long"),
        ("fins.count", "fins", "count = -3", "at least 1"),
        ("fins.count", "fins", "count = true", "is true; it has to be a whole number"),
        ("vessel.count", "vessel", 'count = "2"', "a whole number"),
        ("launcher.cord.count", "launcher.cord", "count = 3", "at most 2"),
        ("prices.each.card", "prices.each", 'card = "3"', "a number"),
        ("vessel.proof.0.date", "vessel", 'proof = [{pressure = "7 bar", hold = "9 s", date = 09:30:00}]', "a day"),
        ("workshop.start", "workshop", "start = 2027-03-06T10:00:00", "write a day"),
        ("vessel.water", "vessel", 'water = "500 mL"', "belongs to [charge]"),
        ("fins.outline.0.1", "fins", 'outline = [["1 mm"], ["2 mm", "3 mm"], ["3 mm", "0 mm"]]', "two entries"),
        ("fins.outline", "fins", 'outline = [["1 mm", "1 mm"]]', "at least 3"),
        ("model.gas", "model", 'gas = "wet"', '"moist", "dry" or an exponent'),
        ("model.gas", "model", "gas = 7.0", "an exponent from 1 to 1.7"),
        ("model.gas", "model", "gas = nan", "an exponent"),
        ("model.stretch", "model", 'stretch = "perhaps"', "true or false"),
        ("weather.humidity", "weather", 'humidity = "120 %"', "to 100 %"),
        ("weather.temperature", "weather", 'temperature = "-400 °C"', "absolute zero"),
        ("weather.seed", "weather", "seed = -1", "at least 0"),
        ("name", "site", "[name]\na = 1", "text in quotes"),
        ("nose.length", "nose", 'length = "150"', "no unit"),
        ("mass", "mass", 'name = "one bracket only"', "a list"),
        ("vessel.proof", "vessel", 'proof = "passed"', "a list"),
        ("vessel.proof.0.hold", "vessel", 'proof = [{pressure = "7 bar"}]', "is missing"),
        ("schema", "", "schema = 2", "it has to be 1"),
        ("name", "", f'name = "{"x" * 200}"', "at most 120"),
    ],
)
def test_one_wrong_value_is_named_with_what_would_be_right(key, table, line, words):
    text = with_lines(**{table: line}) if table else f"{line}\n{GOOD}"
    said = refused(text)
    assert list(said) == [key]
    assert words in said[key]
    assert len(said[key]) < 400


@pytest.mark.parametrize(
    ("key", "tables", "words"),
    [
        ("charge.water", {"charge": 'water = "2 L"'}, "1555 mL brim-full"),
        ("nozzle.bore", {"nozzle": 'bore = "25 mm"'}, "wider than the neck, 21.74 mm"),
        ("launcher.tube_diameter", {"launcher": 'tube_diameter = "25 mm"'}, "wider than the hole"),
        ("launcher.tube_diameter", {"launcher": 'tube_diameter = "12 mm"', "nozzle": 'bore = "9 mm"'}, "9.000 mm"),
        ("launcher.tube_diameter", {"launcher": 'tube_length = "120 mm"'}, "needs its outer diameter"),
        ("launcher.tube_diameter", {"launcher": 'tube_length = "2 mm"\ntube_diameter = "0.9 mm"'}, "at least 1.000 mm"),
        (
            "launcher.tube_length", {"launcher": 'tube_length = "1 m"\ntube_diameter = "20 mm"'},
            "longer than the vessel",
        ),
        ("vessel.bottle", {"charge": 'water = "1 mL"', "vessel": ""}, "did you mean 'carbonated-1500'"),
        ("vessel.wall", {"vessel": 'wall = "10 mm"\ndiameter = "20 mm"'}, "nothing inside"),
        ("vessel.neck_bore", {"vessel": 'neck_bore = "100 mm"'}, "wider than the bottle"),
        ("vessel.volume", {"vessel": 'volume = "50 mL"\nneck_length = "500 mm"'}, "less than the neck alone holds"),
        ("vessel.diameter", {"vessel": 'volume = "60 L"\ndiameter = "30 mm"'}, "m long"),
        (
            "vessel.diameter", {"vessel": 'diameter = "60 mm"\nprofile = [["0 mm", "10 mm"], ["99 mm", "40 mm"]]'},
            "narrower",
        ),
        ("vessel.volume", {"vessel": 'volume = "2 L"\nprofile = [["0 mm", "10 mm"], ["99 mm", "40 mm"]]'}, "encloses"),
        (
            "vessel.profile.2", {"vessel": 'profile = [["0 mm", "9 mm"], ["20 mm", "9 mm"], ["10 mm", "9 mm"]]'},
            "folds back",
        ),
        ("vessel.profile.0", {"vessel": 'profile = [["5 mm", "10 mm"], ["20 mm", "10 mm"]]'}, "nozzle exit"),
        (
            "vessel.profile.1.1", {"vessel": 'profile = [["0 mm", "9 mm"], ["20 mm", "0 mm"], ["30 mm", "9 mm"]]'},
            "closes",
        ),
        ("vessel.profile.1.1", {"vessel": 'profile = [["0 mm", "10 mm"], ["20 mm", "-9 mm"]]'}, "has to be from 0 mm"),
        (
            "vessel.profile.1.1", {"vessel": 'profile = [["0 mm", "10 mm"], ["20 mm", "9 mm"], ["99 mm", "40 mm"]]'},
            "narrower than the nozzle",
        ),
        (
            "vessel.profile.1.1",
            {"vessel": 'volume = "1 L"\nprofile = [["0 mm", "9 mm"], ["60 mm", "45 um"], ["200 mm", "45 mm"]]'},
            "waist 0.09000 mm wide",
        ),
        ("vessel.profile.0.1", {"vessel": 'profile = [["0 mm", "1 mm"], ["99 mm", "40 mm"]]'}, "from 3 mm to 600 mm"),
        ("vessel.profile", {"vessel": 'profile = [["0 mm", "4 mm"], ["99 mm", "4 mm"]]'}, "encloses 4.98 mL a bottle"),
        ("nose.diameter", {"nose": 'diameter = "0 mm"'}, "from 1 mm"),
        ("vessel.wall", {"vessel": 'wall = "10 mm"\ndiameter = "20 mm"', "fins": "", "sleeve": 'length = "9 mm"'},
         "nothing inside"),
        ("fins.position", {"fins": 'position = "400 mm"\nroot = "100 mm"'}, "off the rocket"),
        ("fins.span", {"fins": 'span = "0 mm"'}, "without area"),
        (
            "fins.outline", {"fins": 'outline = [["0 mm","0 mm"],["50 mm","50 mm"],["0 mm","50 mm"],["50 mm","0 mm"]]'},
            "crosses",
        ),
        (
            "fins.outline", {"fins": 'outline = [["0 mm","9 mm"],["50 mm","50 mm"],["0 mm","50 mm"]]'},
            "start on the body",
        ),
        ("fins.material", {"fins": 'material = "balsam"'}, "did you mean 'balsa'"),
        ("measured.balance_point", {"measured": 'balance_point = "2 m"'}, "off the rocket"),
        (
            "measured.dry_mass", {"measured": 'dry_mass = "30 g"', "vessel": 'empty_mass = "40 g"'},
            "less than the parts",
        ),
        ("recovery.diameter", {"recovery": 'kind = "parachute"'}, "needs its diameter"),
        ("recovery.length", {"recovery": 'kind = "streamer"\nwidth = "50 mm"'}, "needs its length"),
        (
            "recovery.delay", {"recovery": 'kind = "parachute"\ndiameter = "400 mm"\nrelease = "delay"'},
            "needs the time",
        ),
        ("sleeve.position", {"sleeve": 'length = "50 mm"\nposition = "900 mm"'}, "off the rocket"),
    ],
)
def test_values_that_are_impossible_together_are_refused(key, tables, words):
    text = with_lines(**tables)
    if key == "vessel.bottle":
        text = text.replace("carbonated-1500", "carbonated-150")
    said = refused(text)
    assert list(said) == [key]
    assert words in said[key]


def test_a_mass_beside_the_rocket_is_refused():
    text = f'{GOOD}\n[[mass]]\nname = "clay"\nmass = "20 g"\nposition = "3 m"\n'
    assert "off the rocket" in refused(text)["mass.0.position"]


def test_what_was_weighed_may_be_a_little_over_the_whole_within_its_spread():
    tables = {"measured": 'dry_mass = "40 g ± 1 g"', "vessel": 'empty_mass = "41 g ± 1 g"'}
    assert parse_design(with_lines(**tables)).measured.dry_mass.value == pytest.approx(0.04)


def test_nobody_but_the_builder_chooses_pressure_and_bottle():
    assert {"vessel.bottle", "charge.pressure"} == set(refused('name = "Curlew"'))


def test_everything_wrong_is_told_at_once_with_its_line():
    text = '[vessel]\nbottel = "x"\nwall = 3\n\n[nozzle]\nbore = "9 kg"\n\n[[mass]]\nname = "a"\n'
    with pytest.raises(DesignError) as caught:
        parse_design(text)
    assert [(problem.line, problem.path) for problem in caught.value.problems] == [
        (0, "charge.pressure"), (2, "vessel.bottel"), (3, "vessel.wall"), (6, "nozzle.bore"), (8, "mass.0.mass"),
        (8, "mass.0.position"),
    ]


def test_what_contradicts_is_told_beside_what_can_not_be_read():
    text = with_lines(charge='water = "2 L"', weather='humidity = "2 kg"', nozzle='bore = "25 mm"')
    assert set(refused(text)) == {"charge.water", "weather.humidity", "nozzle.bore"}


def test_a_profile_that_folds_hides_neither_the_water_nor_the_bore():
    profile = '[["0 mm", "10 mm"], ["100 mm", "45 mm"], ["60 mm", "45 mm"], ["280 mm", "45 mm"]]'
    more = {"nozzle": 'bore = "30 mm"', "charge": 'water = "3 L"\npressure = "4 bar"'}
    for vessel in ('volume = "1.5 L"', 'bottle = "carbonated-1500"', ""):
        tables = {"vessel": f"{vessel}\nprofile = {profile}"} | more
        said = refused("\n".join(f"[{table}]\n{lines}" for table, lines in tables.items()))
        assert set(said) == {"vessel.profile.2", "nozzle.bore", "charge.water"}


def test_a_volume_that_can_not_be_read_hides_neither_the_water_nor_the_bore():
    more = '[nozzle]\nbore = "30 mm"\n[charge]\npressure = "4 bar"\nwater = "3 L"\n'
    assert set(refused(f'[vessel]\nbottle = "carbonated-1500"\nvolume = "2 kg"\n{more}')) == {
        "vessel.volume", "nozzle.bore", "charge.water",
    }
    profile = 'profile = [["0 mm", "10 mm"], ["60 mm", "45 mm"], ["280 mm", "45 mm"]]'
    assert set(refused(f"[vessel]\nvolume = 1.5\n{profile}\n{more}")) == {
        "vessel.volume", "nozzle.bore", "charge.water",
    }
    assert set(refused(f'[vessel]\nvolume = "x"\nneck_bore = "21 mm"\n{more}')) == {"vessel.volume", "nozzle.bore"}


def test_a_misspelt_key_is_not_taken_for_one_left_out():
    assert set(refused(GOOD.replace("bottle", "botle"))) == {"vessel.botle"}
    assert set(refused(with_lines(vessel='nek_bore = "30 mm"', nozzle='bore = "25 mm"'))) == {"vessel.nek_bore"}
    assert set(refused(with_lines(vessel='volum = "3 L"', charge='water = "2 L"'))) == {"vessel.volum"}


def test_a_value_that_can_not_be_read_makes_no_trouble_elsewhere():
    text = with_lines(charge='water = "2 L"', vessel='volume = "3"', fins='position = "500 mm"', nose='length = "300"')
    assert set(refused(text)) == {"vessel.volume", "nose.length"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("  \n\n ", "is empty"),
        ("bore 9 mm", 'has no = sign: bore 9 mm; write  bore = "9 mm"'),
        ("[vessel]\n[vessel]\n", "line 2: vessel is written twice: [vessel] stands first in line 1"),
        ("a = " + "[" * 100_000, "too deep"),
        ("a = " + "9" * 5000, "too long"),
        ("a" + ".a" * 50_000 + " = 1", "too deep"),
        ("a = 1\na = 2", "line 2: a is written twice, first in line 1"),
        ("a = " + "{a = " * 400 + "1" + "}" * 400, "too deep"),
    ],
)
def test_what_is_no_design_at_all_is_refused_in_a_line(text, words):
    with pytest.raises(DesignError) as caught:
        parse_design(text)
    assert words in str(caught.value)
    assert len(str(caught.value)) < 800


def test_a_file_with_thousands_of_mistakes_is_told_some_and_that_there_are_more():
    said = refused("".join(f"k{i} = 1\n" for i in range(20_000)))
    assert len(said) == 201
    assert "more problems than these 200" in said[""]


def test_files_that_are_no_design_are_refused(tmp_path):
    big = tmp_path / "big.toml"
    with big.open("wb") as file:
        file.truncate(50_000_000)
    binary = tmp_path / "binary.toml"
    binary.write_bytes(bytes(range(256)))
    for path, words in [
        (big, "50.0 MB"), (binary, "is not text"), (tmp_path, "is a folder"),
        (tmp_path / "none.toml", "does not exist"),
        (tmp_path / ("x" * 5000), "can't be read"), ("nul\0.toml", "does not exist"), ("/dev/null", "ordinary file"),
    ]:
        with pytest.raises(DesignError, match=words) as caught:
            read_design(path)
        assert caught.value.source == str(path)


def test_a_byte_order_mark_and_windows_line_ends_are_no_mistake(tmp_path):
    path = tmp_path / "rocket.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert read_design(path) == parse_design(GOOD)


@given(st.binary(max_size=300))
def test_no_bytes_do_more_than_be_read_or_refused(tmp_path_factory, raw):
    path = tmp_path_factory.getbasetemp() / "bytes.toml"
    path.write_bytes(raw)
    with pytest.raises(DesignError):
        read_design(path)


@given(designs(), st.data())
def test_a_damaged_design_is_read_or_refused_with_reasons(text, data):
    start = data.draw(st.integers(0, len(text) - 1))
    end = data.draw(st.integers(start, min(start + 10, len(text))))
    damaged = text[:start] + data.draw(st.text(max_size=5)) + text[end:]
    try:
        pressure = parse_design(damaged).charge.pressure
        reasons = [f"no reason: it was read, with {pressure}"]
    except DesignError as error:
        reasons = [problem.why for problem in error.problems]
    assert all(reasons)


def test_an_override_takes_the_place_of_the_file():
    design = parse_design(GOOD, ['charge.pressure="5 bar"', "nozzle.bore=9 mm", "fins.count=4", "model.gas=1.2"])
    assert design.charge.pressure.value == 5e5
    assert design.nozzle.bore.value == pytest.approx(0.009)
    assert design.fins.count == 4
    assert design.model.gas == 1.2
    assert {path: quantity.source for path, quantity in stood_on(design)} == {
        "charge.pressure": "--set on the command line", "nozzle.bore": "--set on the command line",
    }


def test_a_date_may_be_written_with_or_without_quotes():
    for day in ("2026-05-09", '"2026-05-09"'):
        text = with_lines(vessel=f'proof = [{{pressure = "7 bar", hold = "60 s", date = {day}}}]')
        assert parse_design(text).vessel.proof[0].date == "2026-05-09"


def test_an_override_without_a_value_takes_the_key_out():
    text = with_lines(charge='temperature = "4 °C"')
    assert parse_design(text).charge.temperature is not None
    assert parse_design(text, ["charge.temperature="]).charge.temperature is None
    assert parse_design(text, ["charge.temperature= ", "measured.dry_mass=", "mass.7.mass="]).charge.temperature is None
    assert "charge.pressure" in refused(text, "charge.pressure=")


def test_the_number_after_a_lists_last_adds_an_entry():
    added = ["mass.0.name=clay", "mass.0.mass=20 g", "mass.0.position=30 mm"]
    one = parse_design(GOOD, added)
    assert [(item.name, item.mass.text) for item in one.mass] == [("clay", "20 g")]
    two = parse_design(GOOD, [*added, "mass.1.name=tape", "mass.1.mass=3 g", "mass.1.position=40 mm"])
    assert [item.name for item in two.mass] == ["clay", "tape"]
    assert "mass.5.mass" in refused(GOOD, *added, "mass.5.mass=3 g")


def test_a_design_knows_the_text_that_it_was_read_from():
    design = complete(parse_design(GOOD, ["charge.pressure=5 bar"]))
    assert (design.written.text, design.written.overrides) == (GOOD, ("charge.pressure=5 bar",))
    again = rewritten(design, (("charge.water", "300 mL"), ("nozzle.bore", "")))
    assert (again.charge.pressure.value, again.charge.water.value) == pytest.approx((5e5, 0.3e-3))
    assert design == complete(parse_design(f"{GOOD}\n", ["charge.pressure=5 bar"])), "the text is no part of it"


def test_an_override_reaches_into_lists():
    text = f'{GOOD}\n[[mass]]\nname = "clay"\nmass = "20 g"\nposition = "3 mm"\n'
    assert parse_design(text, ["mass.0.mass=30 g"]).mass[0].mass.value == pytest.approx(0.03)


@pytest.mark.parametrize(
    ("override", "path", "words"),
    [
        ("charge.pressure", "--set", "can't be read"),
        ("=5 bar", "--set", "can't be read"),
        ("charge..pressure=5 bar", "--set", "can't be read"),
        ("a" + ".a" * 5000 + "=1", "--set", "can't be read"),
        ("charge.pressure=5", "charge.pressure", "(--set) has no unit"),
        ("charge.pressure=5 bar\nx = 1", "charge.pressure", "(--set) has an unknown unit"),
        ("charge.presure=5 bar", "charge.presure", "did you mean 'pressure'"),
        ("mass.0.mass=5 g", "mass.0.name", "(with --set mass.0.mass) is missing"),
        ("mass.3.mass=5 g", "mass", "a list"),
        ("charge.pressure.x=5 bar", "charge.pressure.x", "not a place"),
        ("charge.water=9 L", "charge.water", "(--set) is 9000 mL"),
        ("charge . water = 9 L", "charge.water", "(--set) is 9000 mL"),
        ('nozzle={bore="30 mm"}', "nozzle.bore", "(--set) is 30.00 mm, wider than the neck"),
        ("charge={}", "charge.pressure", "(--set) is missing"),
    ],
)
def test_a_wrong_override_is_named_as_one(override, path, words):
    said = refused(GOOD, override)
    assert words in said[path]


def test_a_mistake_that_an_override_makes_elsewhere_names_the_override():
    text = with_lines(nozzle='bore = "9 mm"')
    said = refused(text, "vessel.neck_bore=5 mm")
    assert said["nozzle.bore"].startswith("(with --set vessel.neck_bore) is 9.000 mm, wider than the neck, 5.000 mm")
    assert refused(text.replace("9 mm", "50 mm"), "weather.humidity=5 %")["nozzle.bore"].startswith("is 50.00 mm")


def test_a_wrong_override_does_not_hide_what_is_wrong_in_the_file():
    assert set(refused(with_lines(charge='water = "9 L"'), "nonsense", "a.b=1")) == {"--set", "a", "charge.water"}


def test_joined_bottles_make_room_for_fins_further_aft():
    two = GOOD.replace('1500"', '1500"\ncount = 2') + '\n[fins]\nposition = "400 mm"\nroot = "100 mm"\n'
    assert parse_design(two).fins.position.value == pytest.approx(0.4)


def test_a_forgotten_pressure_does_not_hide_what_else_is_wrong():
    with pytest.raises(DesignError) as caught:
        parse_design(
            '[vessel]\nbottle = "carbonated-1500"\n[charge]\nwater = "9 L"\n[nozzle]\nbore = "60 mm"\n[fins]\nspan = 3'
        )
    paths = {problem.path for problem in caught.value.problems}
    assert {"charge.pressure", "nozzle.bore", "fins.span", "charge.water"} <= paths


@pytest.mark.parametrize(
    ("old", "new"),
    [('[launcher]\nheading = "60 deg"', "leans_towards"), ('[fins]\ncount = 3\nedge = "square"', "blunt"),
     ('[fins]\ncount = 3\nedge = "sharp"', "bevelled"), ('[fins]\ncount = 3\nedge = "rounded"', "round")],
)  # fmt: skip
def test_an_old_name_is_refused_with_the_new_one(old, new):
    with pytest.raises(DesignError) as caught:
        parse_design(f'schema = 1\nname = "Old"\n[vessel]\nbottle = "carbonated-1500"\n{old}\n')
    assert any(f"called {new!r} now" in problem.right for problem in caught.value.problems)
