"""The folder of results: the user's files stay, other commands' results stay, nothing is left behind."""

import pytest

from bottlewright.cli.endings import InputError
from bottlewright.cli.results_folder import MANIFEST, results_folder


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
