"""Windows and macOS, of which no machine is at hand: what they lack is taken away here, what they do is done here."""

import ast
import os
import re
import signal
import socket
import stat
import subprocess
import sys
import urllib.request
from importlib.resources import files
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from bottlewright import system
from bottlewright.design.writing import write_new, write_over
from bottlewright.errors import InputError
from bottlewright.field import numbers
from bottlewright.flight import ahead
from bottlewright.learn.learned_file import file_of
from bottlewright.logbook.journal import append_line, read_journal
from bottlewright.physics import code_cache
from bottlewright.project.new_file import file_name, save_new
from bottlewright.project.results_folder import results_folder
from bottlewright.report.png import typeface_folder
from bottlewright.web import serve
from bottlewright.web.app import make_app

PACKAGE = Path(str(files("bottlewright")))
LOOKED_AT = {"os", "signal", "socket", "stat", "shutil", "tempfile", "sys", "select", "subprocess", "resource",
             "multiprocessing", "asyncio", "webbrowser", "getpass", "time", "fcntl", "msvcrt", "pwd"}  # fmt: skip


def imported(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield (node.module or "").split(".")[0]


def modules_that_ask_the_system():
    return [path for path in sorted(PACKAGE.rglob("*.py"))
            if LOOKED_AT & set(imported(ast.parse(path.read_text(encoding="utf-8"))))]  # fmt: skip


def checked_for(platform, paths, cache):
    """Let mypy look at modules as a system has them; what they import of ours is not followed, and so it is quick."""
    command = [sys.executable, "-m", "mypy", "--config-file=", f"--platform={platform}", "--follow-imports=skip",
               "--ignore-missing-imports", f"--cache-dir={cache}", *map(str, paths)]  # fmt: skip
    return subprocess.run(command, capture_output=True, text=True, cwd=cache).stdout


@pytest.mark.parametrize("platform", ["win32", "darwin"])
def test_every_call_is_there_on_windows_and_macos_or_asked_for_first(platform, tmp_path):
    planted = tmp_path / "planted.py"
    planted.write_text("import os\n\nprint(os.sched_getaffinity(0))\n", encoding="utf-8")
    modules = modules_that_ask_the_system()
    assert len(modules) > 25
    said = checked_for(platform, [*modules, planted], tmp_path)
    found = [line for line in said.splitlines() if "error:" in line]
    assert len(found) == 1, said
    assert "planted.py:3" in found[0]
    assert '"sched_getaffinity"' in found[0]


def test_no_date_is_written_in_a_way_that_windows_refuses():
    texts = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    assert [path.name for path, text in texts.items() if any(f"%-{letter}" in text for letter in "dmHMSIjy")] == []


def opens_text_without_saying_how(call):
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name not in ("open", "read_text", "write_text", "fdopen") or any(one.arg == "encoding" for one in call.keywords):
        return False
    if name in ("read_text", "write_text"):
        return len(call.args) < (1 if name == "read_text" else 2)
    modes = [one.value for one in [*call.args, *(key.value for key in call.keywords)] if isinstance(one, ast.Constant)]
    of_os = isinstance(call.func, ast.Attribute) and getattr(call.func.value, "id", "") in ("os", "self", "webbrowser")
    return not (any("b" in str(mode) for mode in modes) or (name == "open" and of_os))


def test_every_text_is_read_and_written_as_utf_8_whatever_the_system_would_take():
    calls = [(path.name, node.lineno) for path in sorted(PACKAGE.rglob("*.py"))
             for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
             if isinstance(node, ast.Call) and opens_text_without_saying_how(node)]  # fmt: skip
    assert calls == []
    for wrong in ("open(path)", "path.read_text()", "os.fdopen(handle, 'w')"):
        assert opens_text_without_saying_how(ast.parse(wrong).body[0].value)


# --- cores, owners, signals ---------------------------------------------------------------------------------------


def test_where_nobody_says_which_cores_are_ours_all_are_counted(monkeypatch):
    monkeypatch.delattr(os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(os, "cpu_count", lambda: 6)
    assert system.cores() == 6
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert system.cores() == 1
    assert ahead._two_at_once() is False


@pytest.fixture
def windows(monkeypatch):
    """Take away what Windows has not."""
    for name in ("getuid", "sched_getaffinity", "O_CLOEXEC", "pread"):
        monkeypatch.delattr(os, name, raising=False)
    monkeypatch.delattr(signal, "SIGHUP", raising=False)


@pytest.mark.usefixtures("windows")
def test_compiled_code_and_landings_are_kept_where_users_have_no_numbers(tmp_path, monkeypatch):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    monkeypatch.delenv("BOTTLEWRIGHT_CACHE")
    assert code_cache._code_cache("digest") == tmp_path / "bottlewright" / "compiled-digest"
    assert numbers._folder() == tmp_path / "bottlewright" / "landings"


@pytest.mark.usefixtures("windows")
def test_a_file_or_a_link_is_no_folder_of_ours_without_numbers_either(tmp_path):
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    (tmp_path / "link").symlink_to(tmp_path)
    assert system.is_own(tmp_path.lstat())
    assert not system.is_own((tmp_path / "file").lstat())
    assert not system.is_own((tmp_path / "link").lstat())


@pytest.mark.usefixtures("windows")
def test_results_are_put_in_place_without_numbers_of_users(tmp_path):
    for words in ("first", "second"):
        with results_folder(tmp_path / "out", "fly") as folder:
            (folder / "flight.csv").write_text(words, encoding="utf-8")
    assert (tmp_path / "out" / "flight.csv").read_text(encoding="utf-8") == "second"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_windows_stops_on_ctrl_break_too_and_no_other_signal_is_asked_for(monkeypatch):
    assert system.stop_signals() == [signal.SIGINT, signal.SIGTERM]
    monkeypatch.setattr(signal, "SIGBREAK", 21, raising=False)
    monkeypatch.delattr(signal, "SIGTERM")
    assert system.stop_signals() == [signal.SIGINT, 21]


# --- files --------------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("windows")
def test_the_journal_of_a_day_closes_a_torn_line_without_pread(tmp_path):
    day = tmp_path / "days" / "2027-03-20.jsonl"
    append_line(day, {"entry": "a", "who": "Flügelwart"})
    with day.open("ab") as file:
        file.write(b'{"entry": "to')
    append_line(day, {"entry": "b"})
    kept = read_journal(day)
    assert [one["entry"] for one in kept.entries] == ["a", "b"]
    assert [one.text for one in kept.torn] == ['{"entry": "to']
    assert b"\r" not in day.read_bytes()


def test_bytes_are_asked_for_as_they_are_where_a_system_would_turn_line_ends(monkeypatch):
    monkeypatch.setattr(os, "O_BINARY", 1 << 30, raising=False)
    monkeypatch.setattr(os, "O_NOINHERIT", 1 << 29, raising=False)
    monkeypatch.delattr(os, "O_NONBLOCK", raising=False)
    assert system.whole_file_flags(waits=False) & (1 << 30)
    assert system.whole_file_flags() & (1 << 29)


def refusing(times, number):
    def replace(fresh, place, replace=os.replace):
        if left.pop():
            refused = PermissionError(13, "used by another process")
            refused.winerror = number
            raise refused
        replace(fresh, place)

    left = [False, *[True] * times]
    return replace


def test_a_file_that_another_program_has_open_for_a_moment_is_waited_for(tmp_path, monkeypatch):
    place = tmp_path / "rocket.toml"
    place.write_text("old", encoding="utf-8")
    monkeypatch.setattr(os, "replace", refusing(3, 32))
    write_over(place, "new")
    assert place.read_text(encoding="utf-8") == "new"
    assert [path.name for path in tmp_path.iterdir()] == ["rocket.toml"]


def test_what_is_refused_for_good_is_said_at_once_and_the_old_file_stays(tmp_path, monkeypatch):
    place = tmp_path / "rocket.toml"
    place.write_text("old", encoding="utf-8")
    monkeypatch.setattr(os, "replace", refusing(1, None))
    with pytest.raises(PermissionError):
        write_over(place, "new")
    assert place.read_text(encoding="utf-8") == "old"


@pytest.mark.parametrize("refusal", [
    PermissionError(1, "not permitted"), OSError(45, "not supported"), OSError(22, "incorrect function"),
    NotImplementedError(),
], ids=["a Linux mount", "a stick on macOS", "a stick on Windows", "no such call"])  # fmt: skip
def test_a_new_file_comes_whole_on_a_stick_that_knows_no_links(tmp_path, monkeypatch, refusal):
    def link(*_):
        raise refusal

    monkeypatch.setattr(os, "link", link)
    write_new(tmp_path / "rocket.toml", "new\n")
    assert (tmp_path / "rocket.toml").read_bytes() == b"new\n"
    with pytest.raises(FileExistsError):
        write_new(tmp_path / "rocket.toml", "other")
    assert (tmp_path / "rocket.toml").read_bytes() == b"new\n"


def test_a_lock_that_can_t_be_removed_while_it_is_held_stays_and_does_no_harm(tmp_path, monkeypatch):
    def unlink(self, **_):
        raise PermissionError(13, f"{self} is used by another process")

    monkeypatch.setattr(Path, "unlink", unlink)
    for _ in range(2):
        with results_folder(tmp_path / "out", "fly") as folder:
            (folder / "flight.csv").write_text("x", encoding="utf-8")
    assert (tmp_path / "out" / "flight.csv").exists()


@pytest.mark.parametrize(("rocket", "name"), [
    ("Aux", "aux-1.toml"), ("con", "con-1.toml"), ("COM1", "com1-1.toml"), ("LPT²", "lpt²-1.toml"),
    ("Großer Flügel", "großer-flügel.toml"), ("a<b>c:d\"e|f?g*h\\i/j", "a-b-c-d-e-f-g-h-i-j.toml"),
    ("Wren.", "wren.toml"), ("Console", "console.toml"),
])  # fmt: skip
def test_a_rocket_gets_a_file_name_that_every_system_takes(rocket, name):
    assert file_name(rocket) == name


def test_no_file_is_written_under_a_name_that_windows_keeps_for_a_device(tmp_path):
    with pytest.raises(InputError, match="a name that Windows keeps for a device, and folders travel"):
        save_new(tmp_path / "aux.toml", "mine")
    assert file_of(tmp_path, "Nul").name == "nul-1.json", "what was learned of a rocket of that name"


def test_names_that_differ_in_the_size_of_their_letters_only_are_one_file(tmp_path):
    assert file_name("Wren") == file_name("WREN")
    save_new(tmp_path / file_name("Wren"), "mine")
    with pytest.raises(InputError, match="there already"):
        save_new(tmp_path / file_name("wRen"), "other")


# --- ports, pages, consoles ---------------------------------------------------------------------------------------


class Noted:
    def __init__(self):
        self.set = []

    def setsockopt(self, _level, option, value):
        self.set.append((option, value))


def test_no_two_programs_get_one_port_on_windows(monkeypatch):
    elsewhere, there = Noted(), Noted()
    monkeypatch.delattr(socket, "SO_EXCLUSIVEADDRUSE", raising=False)
    system.share_no_port(elsewhere)
    monkeypatch.setattr(socket, "SO_EXCLUSIVEADDRUSE", -5, raising=False)
    system.share_no_port(there)
    assert (elsewhere.set, there.set) == ([(socket.SO_REUSEADDR, 1)], [(-5, 1)])


def test_a_port_that_is_taken_is_refused():
    with serve.listening(0) as first, pytest.raises(InputError, match="is taken"):
        serve.listening(first.getsockname()[1])


def test_scripts_are_scripts_whatever_the_registry_of_a_computer_says(tmp_path, monkeypatch):
    import mimetypes

    mimetypes.init()
    monkeypatch.setattr(mimetypes._db, "types_map", ({}, {**mimetypes._db.types_map[1], ".js": "text/plain"}))
    host = "127.0.0.1:8731"
    app = make_app(tmp_path, frozenset({host}))
    with TestClient(app, base_url=f"http://{host}", client=("127.0.0.1", 50000)) as pages:
        kinds = [pages.get(f"/static/{name}").headers["content-type"] for name in ("live.js", "style.css", "icon.svg")]
    assert [kind.partition(";")[0] for kind in kinds] == ["text/javascript", "text/css", "image/svg+xml"]


@pytest.mark.parametrize("coded", ["cp437", "cp1252"])
def test_a_console_without_our_signs_loses_the_signs_and_no_words(coded, tmp_path):
    given = [sys.executable, "-m", "bottlewright", "begin", "--name", "Flügel", "--bottle", "1.5 litre fizzy",
             "--pressure", "1.5 bar", "--json"]  # fmt: skip
    environment = {**os.environ, "PYTHONIOENCODING": coded, "PYTHONUTF8": "0"}
    done = subprocess.run(given, cwd=tmp_path, env=environment, capture_output=True)
    assert done.returncode == 0, done.stderr.decode(coded)
    assert '"stands_on"' in done.stdout.decode(coded)
    assert (tmp_path / "flügel.toml").read_text(encoding="utf-8").count("Flügel") >= 1


def test_a_folder_of_ours_is_readable_by_its_user_alone(tmp_path, monkeypatch):
    monkeypatch.setenv("BOTTLEWRIGHT_CACHE", str(tmp_path / "kept"))
    folder = numbers._folder()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    folder.chmod(0o777)
    assert numbers._folder() is None


BARE = """
import os, signal
import bottlewright.system as system


class Without:
    def __getattr__(self, name):
        if name in ("getuid", "sched_getaffinity", "O_CLOEXEC", "O_NONBLOCK"):
            raise AttributeError(name)
        return getattr(os, name)


def link(*_, **__):
    raise OSError(22, "incorrect function")


system.os = Without()
os.link = link
del os.pread, signal.SIGHUP
"""
"""Much of what Windows has not, taken away before the program starts; its libraries keep what they need here."""


@pytest.fixture
def bare(tmp_path):
    """Return how to run the program where that is missing: command, folder with a space and an umlaut, surroundings."""
    (tmp_path / "missing").mkdir()
    (tmp_path / "missing" / "sitecustomize.py").write_text(BARE, encoding="utf-8")
    folder = tmp_path / "Räder und Flügel"
    folder.mkdir()
    path = os.pathsep.join([str(tmp_path / "missing"), str(PACKAGE.parent)])
    environment = {**os.environ, "PYTHONPATH": path, "PYTHONUTF8": "0"}
    return [sys.executable, "-m", "bottlewright"], {"cwd": folder, "env": environment, "text": True}


def test_the_program_begins_flies_and_opens_where_all_of_that_is_missing(bare):
    command, options = bare
    look = "import os, bottlewright.system as s; print(hasattr(os, 'pread'), hasattr(s.os, 'getuid'), s.own_name())"
    seen = subprocess.run([sys.executable, "-c", look], capture_output=True, **options)
    assert seen.stdout == "False False user\n", "it is gone indeed"
    begin = ["begin", "--name", "Wren", "--bottle", "1.5 litre fizzy", "--pressure", "1.5 bar"]
    for words in (begin, ["fly", "wren.toml"]):
        done = subprocess.run([*command, *words], capture_output=True, timeout=120, **options)
        assert done.returncode == 0, done.stderr
    assert "apogee (highest point)" in done.stdout
    with subprocess.Popen([*command, "open", ".", "--no-browser"], stderr=subprocess.PIPE, **options) as opened:
        try:
            address = opened.stderr.readline().partition("http://")[2].split()[0]
            with urllib.request.urlopen(f"http://{address}", timeout=90) as page:
                assert "Wren" in page.read().decode()
        finally:
            opened.terminate()


def test_what_is_set_in_type_asks_for_no_font_of_the_system():
    texts = {path.name: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    setting = {name for name, text in texts.items() if "import typst" in text}
    assert setting == {"png.py", "typeset.py"}
    assert all("ignore_system_fonts=True" in texts[name] for name in setting)
    assert (Path(typeface_folder()) / "DejaVuSans.ttf").is_file()


def test_drawings_and_pages_name_fonts_of_each_system_and_a_last_resort():
    for sheet in ("web/static/style.css", "report/templates/style.css"):
        text = (PACKAGE / sheet).read_text(encoding="utf-8")
        families = re.findall(r"(?:--text|font-family): ([^;}]*Calibri[^;}]*)", text)
        assert families
        lists = [one.removesuffix(" !important").strip() for one in families]
        assert all("Seravek" in one and one.endswith("sans-serif") for one in lists), "macOS and Windows, and any"
