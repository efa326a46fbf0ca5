import io
import json
import math
import re

import pytest

from bottlewright.cli import main
from bottlewright.design import complete, parse_design, read_design
from bottlewright.design.unit_habit import INCH_POUND, UnitHabit, unit_habit
from bottlewright.quantities import Basis


@pytest.fixture
def run(capsys, tmp_path, monkeypatch):
    """Run the command line in this process, in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def go(*words):
        with pytest.raises(SystemExit) as left:
            main(words)
        said = capsys.readouterr()
        return left.value.code, said.out, said.err

    return go


ANSWERS = ("begin", "--name", "Dabchick", "--bottle", "carbonated-2000", "--pressure", "4 bar")


def test_begin_writes_a_design_that_reads_and_completes(run, tmp_path):
    code, out, err = run(*ANSWERS, "--bore", "9 mm", "--water", "600 mL", "--parachute", "50 cm", "--fins", "4")
    assert (code, out) == (0, "")
    assert "study dabchick.toml" in err
    design = complete(read_design(tmp_path / "dabchick.toml"))
    assert design.name == "Dabchick"
    assert design.charge.water.value == pytest.approx(600e-6)
    assert (design.fins.count, design.recovery.kind) == (4, "parachute")
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["dabchick.svg", "dabchick.toml"]
    drawing = (tmp_path / "dabchick.svg").read_text(encoding="utf-8")
    assert "clay in the tip" in drawing
    assert "fin root 108" in drawing, "the drawing has the lengths of the file"


def test_an_age_is_said_in_months_as_people_say_it(run, tmp_path):
    code, _, err = run(*ANSWERS, "--age", "3 months ± 1 month")
    assert code == 0, err
    age = complete(read_design(tmp_path / "dabchick.toml")).vessel.age
    assert (age.value, age.spread) == pytest.approx((91.3125 * 86400.0, 30.4375 * 86400.0))


def test_a_drawing_that_is_there_stays_and_the_design_is_written_all_the_same(run, tmp_path):
    (tmp_path / "dabchick.svg").write_text("mine", encoding="utf-8")
    code, _, err = run(*ANSWERS)
    assert code == 0
    assert "dabchick.svg is there already and stays as it is" in err
    assert (tmp_path / "dabchick.svg").read_text(encoding="utf-8") == "mine"
    assert (tmp_path / "dabchick.toml").exists()


def test_more_water_than_the_guide_has_time_for_is_said(run):
    _, _, err = run(*ANSWERS, "--bore", "9 mm", "--water", "a third")
    assert "may turn over" in err
    _, _, err = run(*ANSWERS[:2], "Teal", *ANSWERS[3:], "--bore", "9 mm")
    assert "turn over" not in err


def test_begin_never_overwrites(run, tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text("# by hand", encoding="utf-8")
    code, _, err = run(*ANSWERS[:1], "mine.toml", *ANSWERS[1:])
    assert code == 2
    assert "stays as it is" in err
    assert path.read_text(encoding="utf-8") == "# by hand"
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize(("pressure", "opens"), [
    ("4 bar", "4 bar is more than the first"), ("2.6 bar", "At 2.6 bar a pump could pass what the first"),
    ("2 bar", ""),
])  # fmt: skip
def test_a_pressure_over_what_a_first_water_test_would_allow_is_said_with_what_would_do(run, pressure, opens):
    asked = ("begin", "--bottle", "1.5 litre fizzy", "--pressure", pressure, "--age", "20 days", "--cycles", "0")
    _, out, _ = run(*asked, "--name", "Swift", "--json")
    said = json.loads(out)["over_first_test"]
    assert said.startswith(opens)
    assert bool(said) == bool(opens)
    assert said in run(*asked, "--name", "Teal")[2]
    if said:
        would_do = re.search(r"Plan no more than ([\d.]+ bar)", said)[1]
        _, out, _ = run("begin", "--bottle", "1.5 litre fizzy", "--pressure", would_do, "--age", "20 days",
                        "--cycles", "0", "--json")  # fmt: skip
        assert json.loads(out)["over_first_test"] == ""


def test_begin_can_answer_in_json(run):
    code, out, _ = run(*ANSWERS, "--json")
    document = json.loads(out)
    assert code == 0
    assert (document["file"], document["drawing"]) == ("dabchick.toml", "dabchick.svg")
    assert document["stands_on"]["charge.pressure"] == "measured or chosen by you"
    assert document["stands_on"]["vessel.diameter"] == "from a table"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("begin",), "--bottle is missing"),
        (("begin", "--bottle", "carbonated-2000"), "--pressure is missing"),
        (("begin", "--bottle", "carbonated-200", "--pressure", "4 bar"), "did you mean 'carbonated-2000'"),
        ((*ANSWERS, "--pressure", "4"), "no unit"),
        ((*ANSWERS, "--water", "3 L"), "2070 mL brim-full"),
        ((*ANSWERS, "--bore", "30 mm"), "wider than the neck"),
        ((*ANSWERS, "--nose", "round"), "hemisphere"),
        ((*ANSWERS, "--fins", "99"), "--fins: has to be a whole number from 3 to 8"),
        ((*ANSWERS, "--fins", "2"), "fewer keep no rocket straight"),
        ((*ANSWERS[:3], "--bottle", "2 litre still", "--pressure", "2 bar"), "held a still drink: its wall is thinner"),
        ((*ANSWERS, "--age", "20"), "--age: has no unit"),
        ((*ANSWERS, "--parachute", "50"), "--parachute: has no unit"),
        ((*ANSWERS, "--fins", "three"), "--fins"),
        ((*ANSWERS, "--units", "ell"), "--units: has to be mm or inches, not 'ell'"),
        (("begin", "/dev/null/x.toml", *ANSWERS[1:]), "can't be written"),
    ],
)
def test_wrong_answers_are_told_and_nothing_is_written(run, tmp_path, words, said):
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def test_begin_asks_on_a_terminal_and_asks_again_after_a_wrong_answer(run, tmp_path, monkeypatch):
    answers = ["Teal", "2 l bottle", "1.5 litre still", "1.5 litre fizzy", "28", "28 cm", "20 days", "", "4", "3 bar",
               "-", "-", "", "", "none"]
    monkeypatch.setattr("sys.stdin", Terminal("\n".join(answers) + "\n"))
    code, _, err = run("begin")
    assert code == 0
    assert "'still-2000' if it held a still drink" in err
    assert "Take a bottle of a fizzy drink for a first rocket" in err
    assert err.count("no unit") == 2
    design = read_design(tmp_path / "teal.toml")
    assert (design.vessel.bottle, design.charge.pressure.value) == ("carbonated-1500", 3e5)
    assert (design.nose.shape, design.fins.count, design.recovery.kind) == ("ogive", 3, "none")
    assert design.vessel.diameter.value == pytest.approx(0.28 / math.pi, rel=2e-3)


def test_a_bottle_and_a_ruler_are_enough(run, tmp_path, monkeypatch):
    monkeypatch.setattr("sys.stdin", Terminal("\n1.5 litre fizzy\n286 mm\n\n\n\n\n\n\n\n\n"))
    code, _, err = run("begin")
    assert code == 0, err
    text = (tmp_path / "my-rocket.toml").read_text(encoding="utf-8")
    design = complete(parse_design(text))
    assert design.charge.pressure.value == 1.5e5, "a bottle of unknown age is taken for an old one"
    assert (design.vessel.diameter.text, design.vessel.diameter.basis) == ("91.04 ± 0.48 mm", Basis.MEASURED)


class Terminal(io.StringIO):
    """What somebody types, as if at a terminal."""

    def isatty(self):
        return True


@pytest.mark.parametrize(("answer", "pressure", "root"), [("inches", "20 psi", "in"), ("mm", "1.5 bar", "mm"),
                                                          ("", "1.5 bar", "mm")])  # fmt: skip
def test_begin_asks_once_in_which_units_where_no_answer_tells(run, tmp_path, monkeypatch, answer, pressure, root):
    monkeypatch.setattr("sys.stdin", Terminal(f"\n1.5 litre fizzy\n\nfurlongs\n{answer}\n" + 8 * "\n"))
    code, _, err = run("begin")
    assert code == 0, err
    assert err.count("Do you measure in mm and bar, or in inches and psi?") == 2, "again after a wrong answer only"
    assert "has to be mm or inches, not 'furlongs'" in err
    design = read_design(tmp_path / "my-rocket.toml")
    assert (design.charge.pressure.text, design.fins.root.text.split()[1]) == (pressure, root)


@pytest.mark.parametrize(("answer", "said"), [("", None), ("-", None), ("0", 0)])
def test_only_whoever_says_so_has_a_bottle_that_was_never_pumped_up(run, tmp_path, monkeypatch, answer, said):
    """It is tested and pumped harder for it: no bare Enter claims that."""
    monkeypatch.setattr("sys.stdin", Terminal(f"\n1.5 litre fizzy\n\nmm\n\n{answer}\n" + 6 * "\n"))
    assert run("begin")[0] == 0
    cycles = complete(read_design(tmp_path / "my-rocket.toml")).vessel.cycles
    assert (None if cycles is None else int(cycles)) == said


def test_whoever_has_a_size_that_the_table_lacks_is_told_what_the_question_takes(run, monkeypatch):
    monkeypatch.setattr("sys.stdin", Terminal("\n600 mL fizzy\n0.5 litre fizzy\n" + 10 * "\n"))
    code, _, err = run("begin")
    assert code == 0, err
    assert "no bottle of 0.6 L is in the table" in err
    assert "Take the nearest of them" in err
    assert "volume =" not in err, "that is for a design file, and nobody can answer it here"


@pytest.mark.parametrize("told", [("--pressure", "40 psi"), ("--round", "11 1/4 in"), ("--parachute", "20 in"),
                                  ("--units", "inches"), ("--bore", "3/8 in")])  # fmt: skip
def test_an_answer_in_inches_or_psi_tells_the_units_and_nobody_is_asked(run, tmp_path, monkeypatch, told):
    monkeypatch.setattr("sys.stdin", Terminal("\n1.5 litre fizzy\n" + 9 * "\n"))
    code, _, err = run("begin", *told)
    assert code == 0, err
    assert "Do you measure" not in err
    assert unit_habit(read_design(tmp_path / "my-rocket.toml")) == INCH_POUND
    drawing = (tmp_path / "my-rocket.svg").read_text(encoding="utf-8")
    assert "inches from" in drawing


def test_the_units_asked_for_by_name_go_before_a_bore_but_not_before_the_gauge(run, tmp_path):
    assert run(*ANSWERS, "--bore", "9 mm", "--units", "inches")[0] == 0
    design = read_design(tmp_path / "dabchick.toml")
    assert unit_habit(design) == UnitHabit(inches=True)
    assert (design.nozzle.bore.text, design.charge.pressure.text) == ("9 mm", "4 bar")


def test_a_file_in_inches_has_the_fractions_of_a_rule(run, tmp_path):
    assert run("begin", "--name", "Plover", "--bottle", "2 litre fizzy", "--pressure", "40 psi")[0] == 0
    text = (tmp_path / "plover.toml").read_text(encoding="utf-8")
    sizes = re.findall(r'^(?:root|tip|span|sweep|position|length) = "(.*) in"', text, re.MULTILINE)
    assert len(sizes) == 8
    assert all(re.fullmatch(r"(\d+ )?[1357]/[248]|\d+", size) for size in sizes), sizes


@pytest.mark.parametrize(("water", "share"), [("a third", 1 / 3), ("25 %", 0.25)])
def test_water_may_be_a_share(run, tmp_path, water, share):
    assert run(*ANSWERS, "--water", water)[0] == 0
    design = complete(read_design(tmp_path / "dabchick.toml"))
    assert design.charge.water.value == pytest.approx(share * 2.07e-3, rel=1e-3)


@pytest.mark.parametrize("name", ["a\nb", "a\x07b", "a\x7fb", "a\ud800b", "a\ufffeb"])
def test_a_name_that_spoils_files_is_refused(run, tmp_path, name):
    code, _, err = run("begin", "--name", name, *ANSWERS[3:])
    assert code == 2
    assert "name" in err
    assert list(tmp_path.iterdir()) == []
