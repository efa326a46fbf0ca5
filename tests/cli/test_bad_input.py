import json
import os
import signal
import subprocess
import sys
import time

import pytest
from commands import bottlewright, ran

from bottlewright.cli import COMMANDS, common, printing
from bottlewright.errors import InputError
from bottlewright.findings import Finding, Level, Stage, by_urgency
from bottlewright.report.json_text import json_text

BAD = """
[vessel]
bottel = "carbonated-1500"
[nozzle]
bore = "9 kg"
[charge]
water = 3
"""
ON_A_DESIGN = [name for name in COMMANDS if name not in ("begin", "open", "launch", "log", "forget")]


@pytest.fixture
def bad(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text(BAD, encoding="utf-8")
    return path


@pytest.mark.parametrize("command", [one for one in ON_A_DESIGN if one != "compare"])  # which writes no folder
def test_a_bad_design_gets_every_reason_and_no_folder(command, bad, tmp_path):
    # One of them as a process of its own: whatever another prints or leaves behind shows there.
    done = (bottlewright if command == "fly" else ran)(command, bad, "--out", tmp_path / "out")
    assert (done.code, done.out) == (2, "")
    assert "4 things to put right" in done.err
    said = [
        "charge.pressure", "vessel.bottel", "did you mean 'bottle'", "nozzle.bore", "has to be a length",
        "charge.water", "line 7",
    ]  # fmt: skip
    assert [words for words in said if words not in done.err] == []
    assert "Traceback" not in done.err
    assert [entry.name for entry in tmp_path.iterdir()] == ["bad.toml"]


@pytest.mark.parametrize("command", ON_A_DESIGN)
def test_json_stays_silent_on_a_bad_design(command, bad):
    done = ran(command, bad, "--json")
    assert (done.code, done.out) == (2, "")


@pytest.mark.parametrize("words", [("nonsense",), ("begin", "--nonsense"), ("--nonsense",)])
def test_a_wrong_command_line_is_bad_input(words):
    done = bottlewright(*words)
    assert done.code == 2
    assert "Traceback" not in done.err


def test_help_lists_every_command_and_the_cautions():
    done = bottlewright("--help")
    assert done.code == 0
    assert all(name in done.out for name in COMMANDS)
    assert "person in charge" in " ".join(done.out.split())


@pytest.mark.parametrize("command", list(COMMANDS))
def test_every_command_has_help_of_its_own(command):
    done = ran(command, "--help")
    assert done.code == 0
    assert "--json" in done.out or command == "open"


def test_the_list_of_commands_is_cut_short_nowhere():
    assert "..." not in bottlewright("--help", env={**os.environ, "COLUMNS": "80"}).out.replace("[ARGS]...", "")


def test_the_version_is_told():
    assert bottlewright("--version").out.startswith("bottlewright ")


# --- what is printed -------------------------------------------------------------------------------------------

FINDINGS = [
    Finding(Level.NOTE, Stage.FLY, "a", "it drifts", "12 m", "30 m", "our judgement", "none"),
    Finding(Level.STOP, Stage.PROVE, "b", "it bursts", "9 bar", "6.21 bar", "NASA Glenn guide", "less pressure"),
]


def test_findings_say_their_level_in_words_the_most_urgent_first(capsys):
    printing.tell_findings(by_urgency(FINDINGS))
    out = capsys.readouterr().out
    assert out.index("STOP") < out.index("NOTE")
    assert "6.21 bar" in out
    assert "\x1b" not in out, "no colour where there is no terminal"


def test_colour_only_on_a_terminal_that_wants_it(monkeypatch):
    class Terminal:
        def isatty(self):
            return True

    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert "\x1b" in printing.styled("STOP", Terminal(), "red")
    monkeypatch.setenv("NO_COLOR", "1")
    assert printing.styled("STOP", Terminal(), "red") == "STOP"


def test_findings_fit_the_terminal_and_keep_their_lines_in_a_file(monkeypatch, capsys):
    long = "a sentence of many words that no narrow terminal holds in one line of sixty letters"
    finding = Finding(Level.LOOK, Stage.FLY, "code", long, long, long, long, long)
    printing.tell_findings([finding])
    assert capsys.readouterr().out.count(long) == 3  # hazard and remedy begin with a capital
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    printing.tell_findings([finding])
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 60
    assert " ".join(" ".join(lines).split()).count(long) == 3


def test_json_is_whole_on_a_terminal_without_unicode():
    code = "from bottlewright.cli.printing import print_json; print_json({'name': 'Brachvogel Ü ± 2 °'})"
    environment = {**os.environ, "PYTHONIOENCODING": "ascii:replace"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, env=environment, check=True)
    assert json.loads(done.stdout) == {"name": "Brachvogel Ü ± 2 °"}


def test_json_holds_no_number_that_json_has_not():
    numpy = pytest.importorskip("numpy")
    document = {
        "a": float("nan"), "b": [float("inf"), 1.5], "c": numpy.array([1.0, numpy.nan]), "d": numpy.float64(2.0),
        "e": FINDINGS[0], "f": (1, None, True, "x"),
    }
    read = json.loads(json_text(document))
    assert read == {"a": None, "b": [None, 1.5], "c": [1.0, None], "d": 2.0, "e": FINDINGS[0].as_json(),
                    "f": [1, None, True, "x"]}


# --- when it goes wrong --------------------------------------------------------------------------------------------

PROGRAM = """
import sys, types, bottlewright.cli as cli
module = types.ModuleType("pretend")
{}
sys.modules["pretend"] = module
cli.COMMANDS["pretend"] = ("pretend:run", "Pretend.")
cli.main(["pretend"])
"""


def pretend(body, **options):
    """Start the program with a command of that body."""
    code = PROGRAM.format(f"def run():\n{body}\nmodule.run = run")
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    return subprocess.Popen([sys.executable, "-c", code], **pipes, **options)


def ended(body, **options):
    """Run the program with a command of that body to its end."""
    with pretend(body, **options) as run:
        _, err = run.communicate(timeout=60)
    return run.returncode, err


def test_a_fault_of_the_program_is_said_to_be_one():
    fault = "    raise RuntimeError('pump fell over')"
    code, err = ended(fault)
    assert code == 70
    assert "pump fell over" in err
    assert "BOTTLEWRIGHT_DEBUG=1" in err
    assert "Traceback" not in err
    code, err = ended(fault, env=os.environ | {"BOTTLEWRIGHT_DEBUG": "1"})
    assert code == 70
    assert "Traceback" in err


def test_a_command_that_can_not_be_loaded_is_a_fault_of_the_program():
    code = "import bottlewright.cli as cli; cli.COMMANDS['x'] = ('no.such.module:x', 'X.'); cli.main(['x'])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.returncode == 70
    assert "No module named 'no'" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_command_hands_back_its_exit_code():
    assert ended("    return 1")[0] == 1
    assert ended("    return None")[0] == 0


def test_an_interrupt_leaves_quietly():
    with pretend("    import time\n    print('ready', flush=True)\n    time.sleep(60)") as run:
        assert run.stdout.readline() == "ready\n"
        run.send_signal(signal.SIGINT)
        assert run.wait(20) == 130
        assert "Traceback" not in run.stderr.read()


def test_a_reader_who_leaves_is_no_fault():
    with pretend("    for _ in range(100000):\n        print('a long line of text' * 5)") as run:
        run.stdout.readline()
        run.stdout.close()
        assert run.wait(20) == 141
        assert run.stderr.read() == ""


def test_help_comes_without_the_slow_libraries():
    code = (
        "import sys\nfrom bottlewright.cli import main\ntry:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('pydantic', 'numpy', 'numba', 'matplotlib', 'rich', 'tomlkit') if m in sys.modules])"
    )
    started = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
    assert time.perf_counter() - started < 20.0, "a hang, whatever the machine"


@pytest.mark.parametrize("below", ["notes", "notes/inside"])
def test_a_place_that_can_t_be_written_to_is_refused_before_anything_is_read(tmp_path, below):
    (tmp_path / "notes").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="notes is a file"):
        common.load(tmp_path / "no-such-design.toml", (), tmp_path / below)


# --- files as people write them ----------------------------------------------------------------------------------

COMMAS = """
name = “Teal”
[vessel]
bottle = "1.5 litre fizzy"
[fins]
count = 3
[charge]
pressure = "2,5 bar"
"""


@pytest.mark.parametrize("command", ["prove", "fly", "fire"])
def test_how_a_file_was_read_is_told_in_words_and_in_the_document(command, tmp_path):
    path = tmp_path / "teal.toml"
    path.write_bytes(COMMAS.encode("cp1252"))
    done = ran(command, path, "--json", "--out", tmp_path / "out")
    assert done.code in (0, 1)
    notes = {note["code"]: note["found"] for note in done.document["reading_notes"]}
    assert set(notes) == {"file-text", "read-as", "assumed-spread", "assumed-fins"}
    assert "Windows-1252" in notes["file-text"]
    assert "curly quotes are read as straight ones (line 2)" in notes["file-text"]
    assert "charge.pressure '2,5 bar' as '2.5 bar'" in notes["read-as"]
    assert [found for found in notes.values() if found not in done.err] == []
    names = {"prove": "proof.json"}
    kept = json.loads((tmp_path / "out" / names.get(command, f"{command}.json")).read_text(encoding="utf-8"))
    assert kept["reading_notes"] == done.document["reading_notes"]


def test_a_flight_says_which_spread_was_assumed(tmp_path):
    path = tmp_path / "teal.toml"
    path.write_text(COMMAS, encoding="utf-8")
    stood_on = ran("fly", path, "--json").document["stood_on"]
    assert "± assumed: 3 %" in stood_on["charge.pressure"]["source"]
    assert stood_on["charge.pressure"]["spread_SI"] == pytest.approx(7500.0)


def test_fins_of_no_size_are_said_before_anything_is_worked_out(tmp_path):
    path = tmp_path / "teal.toml"
    path.write_text(COMMAS, encoding="utf-8")
    err = ran("fly", path).err
    assert "the fins have no size of yours".casefold() in err.casefold()
    assert "fins.root and fins.span" in err


def test_all_that_is_no_toml_is_told_with_its_lines(tmp_path):
    path = tmp_path / "teal.toml"
    path.write_text("[vessel]\nbottle = carbonated-1500\n[charge\npressure = 4 bar\n[vessel]\n", encoding="utf-8")
    done = ran("fly", path)
    assert done.code == 2
    assert "4 things to put right" in done.err
    assert [f"line {n}" for n in (2, 3, 4, 5) if f"line {n}" not in done.err] == []


@pytest.mark.parametrize("flights", ["19", "1000001"])
def test_the_file_and_the_command_line_bound_the_flights_alike(tmp_path, flights):
    path = tmp_path / "teal.toml"
    path.write_text(COMMAS, encoding="utf-8")
    said = ran("scatter", path, "--flights", flights)
    assert said.code == 2
    assert "scatter.flights" in said.err
    assert ("at least 20" in said.err) or ("at most 1000000" in said.err)
    path.write_text(f"{COMMAS}[scatter]\nflights = {flights}\n", encoding="utf-8")
    said = ran("scatter", path)
    assert said.code == 2
    assert ("at least 20" in said.err) or ("at most 1000000" in said.err)


def test_a_pipe_in_place_of_the_map_holds_nothing_up(tmp_path):
    path = tmp_path / "teal.toml"
    path.write_text(COMMAS, encoding="utf-8")
    os.mkfifo(tmp_path / "pipe")
    started = time.perf_counter()
    done = bottlewright("scatter", path, "--set", "site.map=pipe")
    assert done.code == 2
    assert "not an ordinary file" in done.err
    assert time.perf_counter() - started < 60.0
