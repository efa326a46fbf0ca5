"""The folder of results: the user's files stay, other commands' results stay, nothing is left behind."""

import contextlib
import json
import os
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

import pytest

from bottlewright.cli import main
from bottlewright.errors import InputError
from bottlewright.project import results_folder as module
from bottlewright.project.results_folder import MANIFEST, check_place, place_for, results_folder

CURLEW = str(Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml")


def write(out, command="fly", **files):
    with results_folder(out, command) as folder:
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8")


def content(folder):
    return {path.name: path.read_text() for path in folder.iterdir() if path.name != MANIFEST}


def test_results_replace_the_results_of_the_same_command(tmp_path):
    out = tmp_path / "new" / "out"
    write(out, old="1", both="1")
    write(out, both="2")
    assert content(out) == {"both": "2"}
    assert [entry.name for entry in out.parent.iterdir()] == ["out"]


def test_results_of_other_commands_stay(tmp_path):
    write(tmp_path / "out", "fly", flight="1")
    write(tmp_path / "out", "fire", firing="1")
    write(tmp_path / "out", "fly", flight="2")
    assert content(tmp_path / "out") == {"flight": "2", "firing": "1"}


@pytest.mark.parametrize("theirs", ["notes.txt", "old"])
def test_what_the_user_put_there_or_changed_is_never_touched(tmp_path, theirs):
    out = tmp_path / "out"
    write(out, old="1")
    (out / theirs).write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=theirs):
        write(out, old="2")
    assert content(out) == {"old": "1", theirs: "mine"}
    assert [entry.name for entry in tmp_path.iterdir()] == ["out"]


def test_a_folder_of_the_users_own_is_never_touched(tmp_path):
    (tmp_path / "diary.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=r"diary\.txt"):
        write(tmp_path, old="1")
    assert content(tmp_path) == {"diary.txt": "mine"}


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "out").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="is a file"):
        write(tmp_path / "out", old="1")


def test_a_file_where_a_folder_has_to_be_is_named(tmp_path):
    (tmp_path / "notes").write_text("mine", encoding="utf-8")
    folder = results_folder(tmp_path / "notes" / "sub" / "out", "fly")
    with pytest.raises(InputError, match="notes is a file, not a folder"), folder:
        pytest.fail("nothing can be written there")


def test_a_failure_half_way_leaves_nothing_behind(tmp_path):
    write(tmp_path / "out", old="1")
    with pytest.raises(TypeError):
        write(tmp_path / "out", half="x", broken=None)
    assert content(tmp_path / "out") == {"old": "1"}
    assert [entry.name for entry in tmp_path.iterdir()] == ["out"]


# --- what comes while a command runs ----------------------------------------------------------------------------


def put_a_note(out):
    (out / "notes.txt").write_text("mine", encoding="utf-8")


def edit_a_file(out):
    (out / "old").write_text("mine", encoding="utf-8")


def make_a_folder(out):
    (out / "drafts").mkdir()


def link_to_something(out):
    (out / "link").symlink_to(out.parent)


@pytest.mark.parametrize("act", [put_a_note, edit_a_file, make_a_folder, link_to_something])
def test_what_the_user_does_there_while_a_command_runs_stays(tmp_path, act, monkeypatch):
    out = tmp_path / "out"
    write(out, old="1")
    real = module._working_folder

    @contextmanager
    def while_it_works(place):
        with real(place) as work:
            act(out)
            yield work

    monkeypatch.setattr(module, "_working_folder", while_it_works)
    with pytest.raises(InputError, match=r"while the command ran: its results are in .*out-2"):
        write(out, old="2")
    before = sorted(path.name for path in out.iterdir())
    assert (out / "old").read_text() == ("mine" if act is edit_a_file else "1")
    assert len(before) == (2 if act is edit_a_file else 3)
    assert content(tmp_path / "out-2") == {"old": "2"}
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["out", "out-2"]


def test_what_the_user_puts_there_at_the_very_last_moment_stays_too(tmp_path, monkeypatch):
    out, real = tmp_path / "out", module._keep_others
    write(out, old="1")

    def after_the_last_look(place, *rest):
        real(place, *rest)
        put_a_note(place)

    monkeypatch.setattr(module, "_keep_others", after_the_last_look)
    with pytest.raises(InputError, match=r"notes\.txt"):
        write(out, old="2")
    assert content(out) == {"old": "1", "notes.txt": "mine"}
    assert content(tmp_path / "out-2") == {"old": "2"}


def test_commands_at_once_on_one_folder_keep_each_others_results(tmp_path):
    with results_folder(tmp_path / "out", "fly") as first, results_folder(tmp_path / "out", "fire") as second:
        (first / "flight").write_text("1", encoding="utf-8")
        (second / "firing").write_text("1", encoding="utf-8")
    assert content(tmp_path / "out") == {"flight": "1", "firing": "1"}


def test_many_commands_at_once_drop_nothing(tmp_path):
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda name: write(tmp_path / "out", name, **{name: name}), "abcdefgh"))
    assert content(tmp_path / "out") == {name: name for name in "abcdefgh"}
    assert [entry.name for entry in tmp_path.iterdir()] == ["out"]


def test_a_look_while_another_command_puts_its_results_in_place_is_taken_again(tmp_path, monkeypatch):
    out, locked = tmp_path / "out", module._locked
    write(out, a="1")
    (out / "half").write_text("of the other command, which has the lock", encoding="utf-8")

    @contextlib.contextmanager
    def waited_for(folder):
        (out / "half").unlink()  # by now it is done
        with locked(folder):
            yield

    monkeypatch.setattr(module, "_locked", waited_for)
    assert check_place(out) == out.resolve()


def test_a_command_that_holds_the_lock_too_long_is_named(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "_PATIENCE", 0.1)
    with module._locked(tmp_path), pytest.raises(InputError, match="another command has been writing"):
        write(tmp_path / "out", old="1")


# --- killed -----------------------------------------------------------------------------------------------------

KILLED = """
import os, signal, sys
from pathlib import Path
from bottlewright.project import results_folder as module
def die(*_, **__):
    os.kill(os.getpid(), signal.SIGKILL)
{}
with module.results_folder(Path(sys.argv[1]), "fly") as folder:
    (folder / "half").write_text("x")
    {}
"""


def killed(out, before="", inside=""):
    done = subprocess.run([sys.executable, "-c", KILLED.format(before, inside), str(out)], timeout=60, check=False)
    assert done.returncode == -signal.SIGKILL
    assert any(entry.name.startswith(".") for entry in out.parent.iterdir())


def test_what_a_killed_command_leaves_is_cleared_by_the_next(tmp_path):
    killed(tmp_path / "out", inside="die()")
    write(tmp_path / "another", new="1")
    assert [entry.name for entry in tmp_path.iterdir()] == ["another"]


@pytest.mark.parametrize("moment", ["module._known_files = lambda path: {} if path.name != 'old' else die()",
                                    "module.shutil.rmtree = die"])
def test_killed_after_the_swap_the_new_results_stand(tmp_path, moment):
    write(tmp_path / "out", "fly", old="1")
    killed(tmp_path / "out", before=moment)
    write(tmp_path / "out", "fire", firing="1")
    assert content(tmp_path / "out") == {"half": "x", "firing": "1"}
    assert [entry.name for entry in tmp_path.iterdir()] == ["out"]


def test_killed_in_the_middle_of_the_swap_the_old_results_come_back(tmp_path):
    write(tmp_path / "out", "fly", old="1")
    killed(tmp_path / "out", before="""
real = Path.rename
Path.rename = lambda self, target: die() if self.name == "new" else real(self, target)
""")
    assert not (tmp_path / "out").exists()
    write(tmp_path / "another", new="1")
    assert content(tmp_path / "out") == {"old": "1"}
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["another", "out"]


def test_folders_that_only_look_like_ours_stay(tmp_path):
    theirs = tmp_path / ".bottlewright-work-diary"
    theirs.mkdir()
    (theirs / "diary.txt").write_text("mine", encoding="utf-8")
    (theirs / "working-folder.json").write_text('{"about": "mine", "place": "out"}', encoding="utf-8")
    (tmp_path / ".bottlewright-work-link").symlink_to(theirs)
    write(tmp_path / "out", new="1")
    assert (theirs / "diary.txt").read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 3


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_stop_leaves_nothing_behind_and_the_old_results(tmp_path, number):
    write(tmp_path / "out", "fly", old="1")
    body = "import time\nfrom bottlewright.cli.stopping import stop_when_asked\nw = stop_when_asked()\nw.__enter__()\n"
    inside = f"os.kill(os.getpid(), {int(number)}); time.sleep(9)"
    command = [sys.executable, "-c", KILLED.format(body, inside), str(tmp_path / "out")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (130, "\nstopped\n")
    assert content(tmp_path / "out") == {"old": "1"}
    assert [entry.name for entry in tmp_path.iterdir()] == ["out"]


# --- places that can't be written to ----------------------------------------------------------------------------


def refused(out):
    with pytest.raises(InputError) as told:
        check_place(out)
    return str(told.value)


def test_a_name_that_is_too_long_is_refused(tmp_path):
    assert "longer than 255 bytes" in refused(tmp_path / ("x" * 300))
    assert "longer than 255 bytes" in refused(tmp_path / "new" / ("ü" * 130) / "out")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("text", [
    '{"files": []}', '{"files": {"a": 3}}', '{"files": {"a": {}}}', "[]", "3", "[" * 200_000, "\udcff", "",
    '{"files": {"../diary.txt": {"command": "fly", "sha256": "0"}}}', '{"files": {"a": {"sha256": null}}}',
])  # fmt: skip
def test_a_list_of_files_that_we_did_not_write_is_the_users(tmp_path, text):
    out = tmp_path / "out"
    out.mkdir()
    (out / MANIFEST).write_bytes(text.encode(errors="surrogateescape"))
    put_a_note(out)
    assert "which this program did not write" in refused(out)


def test_a_list_does_not_reach_out_of_its_folder(tmp_path):
    (tmp_path / "diary.txt").write_text("mine", encoding="utf-8")
    out = tmp_path / "out"
    out.mkdir()
    entry = {"command": "fly", "sha256": module._digest(tmp_path / "diary.txt")}
    (out / MANIFEST).write_text(json.dumps({"files": {"../diary.txt": entry}}), encoding="utf-8")
    write(out, "fire", firing="1")
    assert content(out) == {"firing": "1"}
    assert (tmp_path / "diary.txt").read_text() == "mine"


def test_a_pipe_in_the_folder_is_refused_and_not_read(tmp_path):
    write(tmp_path / "out", old="1")
    (tmp_path / "out" / "old").unlink()
    os.mkfifo(tmp_path / "out" / "old")
    assert "did not write" in refused(tmp_path / "out")


@contextmanager
def nobody(folder):
    """Take this process's access to a folder away."""
    folder.chmod(0)
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o700)


def test_a_place_without_access_is_refused(tmp_path):
    write(tmp_path / "mine" / "out", old="1")
    with nobody(tmp_path / "mine"):
        assert "Permission denied" in refused(tmp_path / "mine" / "out")
        assert "Permission denied" in refused(tmp_path / "mine" / "new" / "out")
    assert content(tmp_path / "mine" / "out") == {"old": "1"}


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="a place where nobody can make a folder")
def test_a_place_where_no_folder_can_be_made_is_refused():
    assert "/proc/results can't be written" in refused(Path("/proc/results"))


def test_a_place_where_a_disk_is_attached_is_refused():
    assert "a disk is attached" in refused(Path("/"))


@pytest.mark.parametrize("command", ["study", "make"])
def test_a_place_of_our_own_choice_is_looked_at_before_the_work(command, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    for work in ("bottlewright.study.study", "bottlewright.make.build.finish", "bottlewright.flight.fly.fly"):
        monkeypatch.setattr(work, lambda *_: pytest.fail("the work was begun"))
    (tmp_path / f"curlew-{command}").write_text("mine", encoding="utf-8")
    with pytest.raises(SystemExit) as left:
        main([command, CURLEW])
    assert left.value.code == 2
    assert f"curlew-{command} is a file" in capsys.readouterr().err


def test_a_long_name_makes_a_place_that_any_disk_takes():
    assert len(str(place_for("Möwe " * 100, "study")).encode()) < 255
