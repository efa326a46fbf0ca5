"""The command `log`, as somebody types it after a day in the field."""

import csv
import json
import shlex
from datetime import datetime

import pytest
from commands import ran

import bottlewright as bw
from bottlewright.logbook.files import FOLDER

WREN = """schema = 1
name = "Wren"   # Ada's
[vessel]
id = "B07"
bottle = "carbonated-1500"
[charge]
pressure = "3 bar"
day = "2027-03-20"
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr("bottlewright.project.logbook.now", lambda: datetime(2027, 3, 20, 15, 0))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "wren.toml").write_text(WREN, encoding="utf-8")
    return tmp_path


def log(*words) -> str:
    done = ran("log", *words)
    assert (done.code, done.err) == (0, "") or words[0] in ("flight", "export", "card"), done.err
    assert done.code == 0, done.err
    return done.out


def test_the_command_that_prove_names_takes_a_test_of_the_design_into_its_bottles_file(folder):
    log("bottle", "B07", "--opened", "2027-02-18", "--earlier", "0")
    lone = '[[vessel.proof]]\npressure = "7.5 bar"\nhold = "60 s"\nmedium = "water"\ndate = "2027-03-07"\ncycles = 1\n'
    (folder / "wren.toml").write_text(WREN + lone, encoding="utf-8")
    project = bw.read(folder / "wren.toml")
    assert project.verdict().allowed.gauge_Pa is None
    _, command, *words = shlex.split(project.design.written.history.only_in_the_design[0].enter)
    assert command == "log"
    log(*words)
    assert bw.read(folder / "wren.toml").verdict().allowed.gauge_Pa > 3e5


def table(path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def begun() -> None:
    log("bottle", "B07", "--opened", "2027-02-18", "--earlier", "0")
    log("test", "B07", "--at", "2027-03-06T10:00", "--pressure", "7.5 bar", "--hold", "60 s", "--filled", "water",
        "--held")


@pytest.mark.usefixtures("folder")
def test_a_bottles_life_is_written_down_and_prove_rests_on_it():
    begun()
    assert "2 times under pressure" in log("pumped", "B07", "--peak", "4.4 bar", "--ended", "vented")
    proved = ran("prove", "wren.toml", "--json")
    assert proved.document["allowed"]["gauge_Pa"] > 3e5
    assert "bottle B07, by logbook/vessels/B07.toml" in proved.document["allowed"]["because"]
    log("hard", "B07")
    assert ran("prove", "wren.toml", "--json").document["allowed"]["gauge_Pa"] is None


@pytest.mark.usefixtures("folder")
def test_an_unknown_bottle_is_a_stop_for_every_command():
    assert ran("prove", "wren.toml").code == 1
    assert "B07" in ran("fly", "wren.toml").out


@pytest.mark.usefixtures("folder")
def test_show_tells_bottles_and_launches():
    begun()
    log("flight", "wren.toml", "--height", "48 m ± 2 m", "--how", "two stations", "--landing", "soft", "--team", "7")
    log("measure", "2027-03-20-01", "--time", "7.2 s", "--how", "one stopwatch", "--damage", "none")
    said = log()
    assert "bottle B07: 1 time under pressure, opened on 2027-02-18; last test on 2027-03-06, passed" in said
    assert "Wren, launch 1 of 2027-03-20 (2027-03-20-01); foretold " in said
    assert "height 48 m ± 2 m (two stations); time 7.2 s (one stopwatch)" in said


@pytest.mark.usefixtures("folder")
def test_height_and_time_of_one_launch_each_say_how_they_were_measured():
    begun()
    log("flight", "wren.toml", "--height", "48 m ± 2 m", "--time", "7.2 s", "--how", "height=two stations", "--how",
        "time=one stopwatch")  # fmt: skip
    assert "height 48 m ± 2 m (two stations); time 7.2 s (one stopwatch)" in log()


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(("ways", "said"), [
    (("two stations",), "'two stations' would stand for height and time: say of each how it was measured"),
    (("two stations", "a stopwatch"), "--how stands twice for one reading"),
    (("hight=two stations",), "it says how hight was measured, and no hight"),
])  # fmt: skip
def test_one_way_of_measuring_is_not_put_on_two_readings(ways, said):
    begun()
    words = [word for way in ways for word in ("--how", way)]
    done = ran("log", "flight", "wren.toml", "--height", "48 m ± 2 m", "--time", "7.2 s", *words)
    assert done.code == 2
    assert said in " ".join(done.err.split())
    assert "Wren" not in log()


def test_a_launch_keeps_its_design_whole_and_what_was_foretold_before_it(folder):
    begun()
    log("flight", "wren.toml", "--at", "2027-03-20T15:00:00", "--water", "480 mL")
    (path,) = (folder / FOLDER / "flights").glob("*.toml")
    assert path.name == "2027-03-20-01-wren.toml"
    text = path.read_text(encoding="utf-8")
    assert WREN in text.replace("\r\n", "\n")
    assert 'made = "2027-03-20T15:00:00"' in text


def test_nothing_is_foretold_of_a_launch_that_has_been(folder):
    begun()
    log("flight", "wren.toml", "--at", "2027-03-20T14:00:00")
    (path,) = (folder / FOLDER / "flights").glob("*.toml")
    assert "prediction" not in path.read_text(encoding="utf-8")


def test_the_day_counts_its_launches(folder):
    begun()
    for _ in range(2):
        log("flight", "wren.toml", "--at", "2027-03-20T14:00:00")
    names = sorted(path.name for path in (folder / FOLDER / "flights").glob("*.toml"))
    assert names == ["2027-03-20-01-wren.toml", "2027-03-20-02-wren.toml"]


def test_export_writes_tables_and_one_document(folder):
    begun()
    log("flight", "wren.toml", "--height", "48 m ± 2 m", "--pressure", "3 bar", "--at", "2027-03-20T14:00:00")
    log("export", "--out", "out")
    rows = table(folder / "out" / "flights.csv")
    assert [(row["rocket"], float(row["height_m"]), float(row["height_m_u"]), float(row["pressure_gauge_Pa"]))
            for row in rows] == [("Wren", 48.0, 2.0, 3e5)]
    cycles = table(folder / "out" / "cycles.csv")
    assert [(row["vessel"], row["what"], row["ended"]) for row in cycles] == [("B07", "test with water", "passed")]
    document = json.loads((folder / "out" / "logbook.json").read_text(encoding="utf-8"))
    assert document["vessels"]["B07"]["cycles"] == 1
    assert json.loads(log("show", "--json")) == document


def test_a_copy_on_a_stick_is_brought_in(folder):
    begun()
    log("bottle", "B08", "--beside", "stick", "--earlier", "3")
    assert "Brought in." in log("take", "stick")
    assert "B08" in log()
    log("take", folder / "stick" / FOLDER / "vessels" / "B08.toml")
    (folder / "altimeter.csv").write_bytes(b"1,2\r\n")
    assert "kept as raw/" in log("take", "altimeter.csv")
    assert log("take", "altimeter.csv") == log("take", "altimeter.csv")


def test_a_launch_is_measured_by_hand_and_lies_beside_what_was_foretold(folder):
    begun()
    log("flight", "wren.toml", "--at", "2027-03-20T15:00:00")
    for name, elevation in (("S", "20"), ("E", "21"), ("NW", "20.5")):
        log("measure", "2027-03-20-01", "--reading", "sight", "--with", "away=60 m", "--with", f"side={name}",
            "--with", f"elevation={elevation}", "--by", "K")
    log("measure", "2027-03-20-01", "--reading", "watch", "--with", "down=4.1")
    said = log("measure", "2027-03-20-01")
    assert "The height, 22.4 m ± 1.0 m, is inside" in said
    assert "eight flights in ten were foretold at" in said
    told = json.loads(log("measure", "2027-03-20-01", "--json"))
    assert told["compared"]["height"]["measured_m"] == pytest.approx(22.4, abs=0.05)
    assert told["compared"]["height"]["lies"] in ("low", "high", "inside", "unknown")
    log("export", "--out", "out")
    (row,) = table(folder / "out" / "flights.csv")
    assert float(row["height_m"]) == pytest.approx(22.4, abs=0.05)
    assert (float(row["time_s"]), float(row["time_s_u"])) == (4.1, 0.1)
    document = json.loads((folder / "out" / "logbook.json").read_text(encoding="utf-8"))
    assert [one["sentence"] for one in document["after"].values()] == [told["sentence"]]
    log("card", "2027-03-20-01", "--out", "card.html")
    assert "Wren" in (folder / "card.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(("words", "says"), [
    (("pumped", "B99", "--ended", "vented"), "nobody knows a bottle B99"),
    (("pumped", "B07"), "ended is missing"),
    (("pumped", "B07", "--ended", "gone"), "it has to be"),
    (("pumped", "B07", "--ended", "vented", "--peak", "4"), "has no unit"),
    (("pumped", "B07", "--ended", "vented", "--at", "2027-04-01"), "still to come"),
    (("test", "B07", "--pressure", "7 bar"), "is missing"),
    (("bottle", "B07"), "already"), (("bottle", "../B07"), "letters a to z"),
    (("flight",), "which design file"), (("measure", "2027-01-01-01", "--height", "3 m"), "no launch"),
    (("flight", "wren.toml", "--height", "48 kg"), "has to be a length"), (("take", "nothing"), "does not exist"),
    (("measure", "2027-01-01-01", "--reading", "watch", "--with", "down"), "a name and a value"),
    (("measure", "2027-01-01-01", "--with", "down=9"), "goes with --reading"),
    (("measure", "2027-01-01-01"), "no launch"), (("card", "2027-01-01-01"), "--out"),
    (("card", "2027-01-01-01", "--out", "x.html"), "no launch"), (("dance",), "it can be show"), (("export",), "--out"),
])
def test_what_can_not_be_taken_is_said_and_nothing_is_written(folder, words, says):
    begun()
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    done = ran("log", *words)
    assert done.code == 2
    assert says in done.err
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_an_export_that_somebody_changed_is_not_written_over(folder):
    begun()
    log("export", "--out", "out")
    (folder / "out" / "flights.csv").write_text("mine", encoding="utf-8")
    assert ran("log", "export", "--out", "out").code == 2
    assert (folder / "out" / "flights.csv").read_text(encoding="utf-8") == "mine"


def test_a_loggers_file_is_shown_taken_in_and_taken_in_anew(folder):
    """Rows of a canopy flight of 20 m at 10 Hz, with a spike at the launch that is no height."""
    ups = [(0.1 * n, 0.0) for n in range(12)]
    rise = [(1.2 + 0.1 * n, 20.0 - 20.0 * (1.0 - n / 16.0) ** 2) for n in range(17)]
    down = [(2.9 + 0.1 * n, max(20.0 - 0.6 * (n + 1), 0.0)) for n in range(60)]
    rows = [f"{1000 * t:.0f};{50.0 if round(t, 1) == 1.3 else h:.2f}".replace(".", ",")
            for t, h in [*ups, *rise, *down]]
    (folder / "alt.csv").write_text("\n".join(["t_ms;height_m", *rows]) + "\n", encoding="utf-8")
    log("flight", "wren.toml", "--at", "2027-03-20T14:00:00")
    shown = log("import", "alt.csv")
    assert "height: column 2, m" in shown
    assert "Nothing was written" in shown
    assert not (folder / FOLDER / "raw").exists()
    log("import", "alt.csv", "--launch", "2027-03-20-01")
    assert "was withdrawn" in log("import", "alt.csv", "--launch", "2027-03-20-01", "--with", "apogee=2.8 s ± 0.1 s")
    document = json.loads(log("show", "--json"))
    (flight,) = document["flights"]
    standing = [one for one in flight["measured"] if one["entry"] not in flight["withdrawn"]]
    height = next(one["value"] for one in standing if one["what"] == "height")
    assert 18.5 < float(height.split()[0]) < 21.5
    assert {one["what"] for one in standing} == {"height", "time up", "time", "sinking"}
    assert len(flight["raw"]) == 2
    (kept,) = (folder / FOLDER / "raw").glob("*alt.csv")
    assert kept.read_bytes() == (folder / "alt.csv").read_bytes()
    read = json.loads(log("import", "alt.csv", "--json"))
    assert read["columns"][0]["because"] == "as for the last file with this header"
    assert read["events"]["apogee"]["u_time_s"] > 0.0
