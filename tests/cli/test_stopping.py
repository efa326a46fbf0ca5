"""How the program ends when the computer does not play along, or when it is asked to stop."""

import os
import resource
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from bottlewright.cli import main
from bottlewright.study import Study
from bottlewright.verdict import judge_alone

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
PROGRAM = [sys.executable, "-m", "bottlewright"]
FULL = pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full")


def run(*words, **options):
    options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | options
    done = subprocess.run([*PROGRAM, *map(str, words)], text=True, timeout=60, check=False, **options)
    assert "Traceback" not in (done.stderr or "")
    assert "fault of the program" not in (done.stderr or "")
    return done


@FULL
@pytest.mark.parametrize("words", [("--help",), ("prove", "--help"), ("prove", CURLEW), ("--version",)])
def test_full_standard_output_is_said(words):
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = run(*words, stdout=full)
    assert (done.returncode, done.stderr) == (2, "The results can't be written: No space left on device\n")


@FULL
def test_when_standard_error_is_full_too_the_exit_code_still_tells():
    with open("/dev/full", "w", encoding="utf-8") as full:
        assert run("prove", CURLEW, stdout=full, stderr=full).returncode == 2


def closed(*numbers):
    def close():
        for number in numbers:
            os.close(number)

    return close


def test_closed_standard_output_is_said():
    done = run("prove", CURLEW, stdout=None, preexec_fn=closed(1))
    assert done.returncode == 2
    assert done.stderr.startswith("Standard output is closed")
    assert run("prove", CURLEW, stdout=None, stderr=None, preexec_fn=closed(1, 2)).returncode == 2


def test_closed_standard_input_and_error_do_no_harm(tmp_path):
    words = "begin", tmp_path / "new.toml", "--bottle", "carbonated-1500", "--pressure", "4 bar"
    assert run(*words, stderr=None, preexec_fn=closed(0, 2)).returncode == 0
    assert (tmp_path / "new.toml").is_file()


def test_a_limit_on_the_size_of_files_is_said_with_the_place_and_leaves_nothing(tmp_path):
    def limited():
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))

    done = run("prove", CURLEW, "--out", tmp_path / "out", preexec_fn=limited)
    assert done.returncode == 2
    assert "out can't be written: File too large" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_names_with_bytes_that_are_no_letters_are_taken(tmp_path, monkeypatch):
    for file in CURLEW.parent.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    design = tmp_path / os.fsdecode(b"rocket\xff.toml")
    (tmp_path / "rocket.toml").rename(design)
    out = tmp_path / os.fsdecode(b"out\xff")
    assert run("prove", design, "--out", out).returncode == 0
    assert any(out.iterdir())
    monkeypatch.setattr("bottlewright.study.study", lambda design, *_: Study(design, [], judge_alone(design)))
    with pytest.raises(SystemExit) as left:
        main(["study", str(design), "--out", str(tmp_path / "study")])
    assert left.value.code == 0
    assert "from rocket?.toml" in (tmp_path / "study" / "report.html").read_text(encoding="utf-8")


# --- asked to stop ----------------------------------------------------------------------------------------------

STOPPED_AT_AN_IMPORT = """
import builtins, os, sys
real = builtins.__import__
def asked(name, *rest, **more):
    if name == {name!r}:
        os.kill(os.getpid(), {number})
    return real(name, *rest, **more)
builtins.__import__ = asked
sys.argv = ["bottlewright", "fly", {design!r}]
from bottlewright.cli import start
start()
"""


def stopped(code):
    """Run a program that sends itself a signal, with Ctrl-C as a terminal has it."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=300, check=False,
                          preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler))  # fmt: skip
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    return done


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("name", ["typer.main", "pydantic", "numba"])
def test_a_stop_while_it_loads_ends_it_quietly(name, number):
    done = stopped(STOPPED_AT_AN_IMPORT.format(name=name, number=int(number), design=str(CURLEW)))
    assert (done.returncode, done.stdout, done.stderr.strip()) == (130, "", "stopped")


IN_SCATTER = """
import os, sys
from bottlewright.cli import start
from bottlewright.flight import batch
real, calls = batch.fly_batch, []
def fly(plans, **more):
    calls.append(len(plans))
    if len(calls) == {call}:
        os.kill(os.getpid(), {number})
    return real(plans, **more)
batch.fly_batch = fly
sys.argv = ["bottlewright", "scatter", {design!r}, "--flights", "1500"]
start()
"""


@pytest.mark.parametrize(("call", "number", "words"), [
    (1, signal.SIGINT, "nothing is kept"), (4, signal.SIGTERM, "512 of 1500 flights are kept"),
])  # fmt: skip
def test_a_stop_keeps_the_flights_that_are_done(call, number, words):
    done = stopped(IN_SCATTER.format(call=call, number=int(number), design=str(CURLEW)))
    assert done.returncode == 130
    assert words in done.stderr
    assert ("512 flights" in done.stdout) == (call == 4)



CLOSING = """
import atexit, sys, threading
from bottlewright.cli import start
class Last:
    def __del__(self):
        print("taken down")
last = Last()
last.itself = last
atexit.register(print, "put in order")
{more}
sys.argv = ["bottlewright", "prove", {design!r}]
start()
"""


def test_a_command_that_is_done_puts_in_order_what_asked_for_it_and_takes_nothing_down():
    done = subprocess.run([*PROGRAM, "prove", str(CURLEW)], capture_output=True, text=True, timeout=300, check=False)
    code = CLOSING.format(design=str(CURLEW), more="")
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=300, check=False)
    assert (ended.returncode, ended.stderr) == (done.returncode, done.stderr)
    assert ended.stdout == done.stdout + "put in order\n"


def test_a_thread_that_is_still_at_work_is_waited_for():
    more = "threading.Timer(0.5, print, ['said by a thread']).start()"
    code = CLOSING.format(design=str(CURLEW), more=more)
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=300, check=False)
    assert "said by a thread" in ended.stdout
