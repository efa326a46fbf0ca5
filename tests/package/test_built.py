"""What is handed out: a source package, and a wheel that does the work where nothing but its dependencies is."""

import hashlib
import json
import os
import re
import subprocess
import sys
import sysconfig
import tarfile
import urllib.request
import zipfile
from pathlib import Path

import jsonschema
import pytest

import bottlewright

ROOT = Path(__file__).parents[2]
SOURCES = ROOT / "src" / "bottlewright"


def ours(folder):
    return {path.relative_to(folder.parent).as_posix(): path.read_bytes() for path in folder.rglob("*")
            if path.is_file() and "__pycache__" not in path.parts}  # fmt: skip


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """Return what `make package` prints, and the folder with both packages; nothing is left where it was built from."""
    out, before = tmp_path_factory.mktemp("built") / "dist", around()
    command = [sys.executable, ROOT / "tools" / "package.py", out]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert around() == before
    return done.stdout, out


def around():
    return {path for folder in (ROOT, ROOT / "src") for path in folder.iterdir()}


@pytest.fixture(scope="module")
def wheel(built):
    [found] = built[1].glob("*.whl")
    return found


@pytest.fixture(scope="module")
def program(wheel, tmp_path_factory):
    """Return the program of an environment that has the wheel and sees the libraries, but nothing of this folder."""
    home = tmp_path_factory.mktemp("empty")
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", home], check=True)
    python = home / "bin" / "python"
    subprocess.run([sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps", "--no-index",
                    "--no-compile", "--disable-pip-version-check", wheel], check=True, env=clean())  # fmt: skip
    [place] = home.glob("lib/python*/site-packages")
    (place / "libraries.pth").write_text(sysconfig.get_paths()["purelib"] + "\n", encoding="utf-8")
    where = subprocess.run([python, "-c", "import bottlewright; print(bottlewright.__file__)"], env=clean(),
                           capture_output=True, text=True, check=True).stdout  # fmt: skip
    assert Path(where.strip()).is_relative_to(home)
    return home / "bin" / "bottlewright"


def clean():
    return {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}


def run(program, *words, cwd):
    return subprocess.run([program, *words], cwd=cwd, env=clean(), capture_output=True, text=True, timeout=120)


@pytest.fixture(scope="module")
def begun(program, tmp_path_factory):
    """Return a folder, its name with a space and an umlaut, in which the installed program began a rocket."""
    folder = tmp_path_factory.mktemp("new") / "Räder und Flügel"
    folder.mkdir()
    done = run(program, "begin", "--name", "Wren", "--bottle", "1.5 litre fizzy", "--pressure", "1.5 bar", cwd=folder)
    assert done.returncode == 0, done.stderr
    return folder


def test_the_wheel_holds_every_file_of_the_program_and_nothing_else(wheel):
    with zipfile.ZipFile(wheel) as packed:
        inside = {name: packed.read(name) for name in packed.namelist() if ".dist-info/" not in name}
    there = ours(SOURCES)
    assert len([name for name in there if not name.endswith(".py")]) > 60
    assert sorted(inside) == sorted(there)
    assert [name for name in inside if inside[name] != there[name]] == []


def test_the_source_package_is_enough_to_test_and_build_anew(built):
    [source] = built[1].glob("*.tar.gz")
    with tarfile.open(source) as packed:
        inside = {name.partition("/")[2] for name in packed.getnames()}
    wanted = {"pyproject.toml", "constraints.txt", "Makefile", "README.md", "CHANGELOG.md", "LICENSE",
              "examples/curlew/rocket.toml", "docs/physics/gas.md", "tests/package/test_built.py"}  # fmt: skip
    assert wanted <= inside
    assert not [name for name in inside if "__pycache__" in name or name.startswith(("out/", ".git"))]


def test_the_hash_of_each_built_file_is_printed_and_kept_beside_it(built):
    said, out = built
    files = [path for path in out.iterdir() if path.name != "SHA256SUMS"]
    assert sorted(said.splitlines()) == sorted(
        f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}" for path in files
    )
    assert len(files) == 2
    assert (out / "SHA256SUMS").read_text(encoding="utf-8") == said


def test_package_program_changes_and_schema_say_one_version(wheel, program, tmp_path):
    version = bottlewright.__version__
    with zipfile.ZipFile(wheel) as packed:
        about = packed.read(f"bottlewright-{version}.dist-info/METADATA").decode()
    assert re.search(r"^Version: (.*)$", about, re.MULTILINE)[1] == version
    assert run(program, "--version", cwd=tmp_path).stdout == f"bottlewright {version}\n"
    newest = re.search(r"^## (\S+)", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)[1]
    assert newest.rstrip(",") == version
    schema = json.loads((SOURCES / "design" / "data" / "design.schema.json").read_text(encoding="utf-8"))
    assert schema["$id"] == f"urn:bottlewright:design:{version.rpartition('.')[0]}"
    jsonschema.Draft202012Validator.check_schema(schema)


def test_the_installed_program_begins_a_rocket(begun):
    assert {path.name for path in begun.iterdir()} == {"wren.toml", "wren.svg"}


def test_the_installed_program_studies_it(program, begun):
    few = ("--set", "scatter.flights=100", "--set", "tune.flights=8")
    done = run(program, "study", "wren.toml", *few, "--out", "out", cwd=begun)
    assert done.returncode == 0, done.stderr
    assert "no pressure is allowed yet" in done.stdout, "nobody has tested this bottle"
    report = (begun / "out" / "report.html").read_text(encoding="utf-8")
    assert "Wren" in report
    assert f"Bottlewright {bottlewright.__version__}" in report
    assert (begun / "out" / "make" / "pack-a4.pdf").read_bytes().startswith(b"%PDF")


def test_the_installed_program_opens_it_in_a_browser(program, begun):
    with subprocess.Popen([program, "open", ".", "--no-browser"], cwd=begun, env=clean(), text=True,
                          stderr=subprocess.PIPE, stdout=subprocess.DEVNULL) as opened:  # fmt: skip
        try:
            address = re.search(r"http://127\.0\.0\.1:\d+/", opened.stderr.readline())[0]
            with urllib.request.urlopen(address, timeout=90) as page:
                assert "Wren" in page.read().decode()
            with urllib.request.urlopen(f"{address}static/style.css", timeout=90) as style:
                assert style.status == 200
        finally:
            opened.terminate()
    assert not list(begun.glob(".bottlewright*")), "it leaves no mark of itself behind"
