"""Compiled code between runs: damage is compiled anew, and nobody else's code is ever executed."""

import os
import tempfile

import pytest

from bottlewright.physics import before_compiling, code_cache, entry_jit


def twice(x):
    return 2.0 * x


@pytest.fixture
def kept(tmp_path, monkeypatch):
    monkeypatch.setattr(code_cache, "CODE_CACHE", tmp_path / "code")
    return tmp_path / "code"


def hits():
    """Call it as a new run would; return how often it came from the disk."""
    compiled = entry_jit(twice)
    assert compiled(2.0) == 4.0
    return sum(compiled.stats.cache_hits.values())


def test_code_is_kept_between_runs(kept):
    assert hits() == 0
    assert hits() == 1
    assert any(kept.rglob("*.nbi"))


@pytest.mark.parametrize("ending", ["nbi", "nbc"])
@pytest.mark.parametrize("damage", [
    lambda _: b"", lambda data: data[:1], lambda data: data[: len(data) // 2], lambda data: data[:-1],
    lambda data: bytes(len(data)), lambda _: b"\x80\x04K\x01.",
], ids=["empty", "one byte", "half", "the last byte gone", "zeros", "another pickle"])  # fmt: skip
def test_damaged_code_is_compiled_anew_and_kept_again(kept, ending, damage):
    hits()
    for path in kept.rglob(f"*.{ending}"):
        path.write_bytes(damage(path.read_bytes()))
    hits()
    assert hits() == 1


def test_a_flipped_bit_in_the_machine_code_is_noticed(kept):
    hits()
    [path] = kept.rglob("*.nbc")
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    assert hits() == 0


def test_where_nothing_can_be_kept_it_is_worked_out_all_the_same(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    monkeypatch.setattr(code_cache, "CODE_CACHE", tmp_path / "file")
    assert hits() == 0


def others(folder, how):
    folder.mkdir(parents=True)
    (folder / "evil.nbi").write_bytes(b"planted")
    if how == "writable by all":
        folder.chmod(0o777)
    elif how == "writable by the group":
        folder.chmod(0o770)
    elif how == "another user's":
        os.chown(folder, 65534, 65534)
    else:
        folder.rename(folder.with_name("elsewhere"))
        folder.symlink_to(folder.with_name("elsewhere"))


HOWS = ["writable by all", "writable by the group", "a link"] + ["another user's"] * (os.getuid() == 0)


@pytest.mark.parametrize("how", HOWS)
@pytest.mark.parametrize("depth", ["home", "folder"])
def test_a_folder_that_others_can_write_in_is_never_used(tmp_path, monkeypatch, how, depth):
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    monkeypatch.setattr(code_cache, "user_cache_path", lambda *_, **__: tmp_path / "cache" / "bottlewright")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "tmp"))
    (tmp_path / "tmp").mkdir()
    for home in (tmp_path / "cache" / "bottlewright", tmp_path / "tmp" / f"bottlewright-{os.getuid()}"):
        if depth == "folder":
            home.parent.mkdir(exist_ok=True)
            home.mkdir(mode=0o700)
        others(home if depth == "home" else home / "compiled-digest", how)
    chosen = code_cache._code_cache("digest")
    assert chosen.parent == tmp_path / "tmp"
    assert chosen.stat().st_uid == os.getuid()
    assert chosen.stat().st_mode & 0o777 == 0o700
    assert not any(chosen.iterdir())


def test_the_first_choice_is_the_users_cache_made_private(tmp_path, monkeypatch):
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    monkeypatch.setattr(code_cache, "user_cache_path", lambda *_, **__: tmp_path / "cache" / "bottlewright")
    chosen = code_cache._code_cache("digest")
    assert chosen == tmp_path / "cache" / "bottlewright" / "compiled-digest"
    assert chosen.stat().st_mode & 0o777 == 0o700


@pytest.mark.usefixtures("kept")
def test_a_wait_for_the_compiler_is_said_once_and_only_when_there_is_one():
    said = []
    before_compiling(lambda: said.append("wait"))
    hits()
    hits()
    assert said == ["wait"]
    before_compiling(lambda: said.append("again"))
    hits()
    assert said == ["wait"]


def test_code_of_an_older_copy_of_the_files_is_there_and_still_a_wait(kept):
    hits()
    for path in kept.rglob("*.nbi"):  # as numba finds it after the files were installed anew: their times are others
        path.write_bytes(path.read_bytes()[:40])
    said = []
    before_compiling(lambda: said.append("wait"))
    hits()
    assert said == ["wait"]
