import json

import pytest

from bottlewright.cli import main
from bottlewright.design import complete, read_design


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
    assert [entry.name for entry in tmp_path.iterdir()] == ["dabchick.toml"]


def test_begin_never_overwrites(run, tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text("# by hand", encoding="utf-8")
    code, _, err = run(*ANSWERS[:1], "mine.toml", *ANSWERS[1:])
    assert code == 2
    assert "stays as it is" in err
    assert path.read_text(encoding="utf-8") == "# by hand"
    assert len(list(tmp_path.iterdir())) == 1


def test_begin_can_answer_in_json(run):
    code, out, _ = run(*ANSWERS, "--json")
    document = json.loads(out)
    assert code == 0
    assert document["file"] == "dabchick.toml"
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
        ((*ANSWERS, "--fins", "99"), "--fins: has to be a whole number from 0 to 12"),
        ((*ANSWERS, "--parachute", "50"), "--parachute: has no unit"),
        ((*ANSWERS, "--fins", "three"), "--fins"),
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
    import io

    class Terminal(io.StringIO):
        def isatty(self):
            return True

    answers = ["Teal", "carbonated-150", "still-1500", "4", "3 bar", "-", "-", "", "", "-"]
    monkeypatch.setattr("sys.stdin", Terminal("\n".join(answers) + "\n"))
    code, _, err = run("begin")
    assert code == 0
    assert "did you mean" in err
    assert "no unit" in err
    design = read_design(tmp_path / "teal.toml")
    assert (design.vessel.bottle, design.charge.pressure.value) == ("still-1500", 3e5)
    assert (design.nose.shape, design.fins.count, design.recovery.kind) == ("ogive", 3, "none")
