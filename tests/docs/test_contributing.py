"""The guide for those who change the program: its map is that of today, and its recipes work as they stand."""

import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
GUIDE = (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")
STEP = re.compile(
    r"(Append to|Write|In)\s+`([\w./]+)`(?:, behind\s`([^\n]+?)`)?:\n\n```\w+\n(.*?)^```$", re.DOTALL | re.MULTILINE
)
RECIPE = re.compile(r"^### (.*?)\n(.*?)(?=^### |\Z)", re.DOTALL | re.MULTILINE)

RELEASE = """
import json, sys
import bottlewright as bw
from bottlewright.flight.release_choice import changes_to, ways_for

rocket = bw.begin(name="Wren", bottle="1.5 litre fizzy", pressure="1.5 bar")
print(json.dumps({"ways": ways_for(rocket.design), "keys": dict(changes_to(rocket.design, "door-servo-timer"))}))
"""

TRIED = """
import json, sys
from pathlib import Path
import bottlewright as bw
from starlette.testclient import TestClient
from bottlewright.proof.rules import rule_table
from bottlewright.web.app import make_app

rocket = bw.begin(name="Wren", bottle="1.6 litre fizzy", pressure="1.5 bar")
said = {"bottle": rocket.value("vessel.volume").source, "volume": rocket.value("vessel.volume").value}
windy = rocket.changed({"weather.wind_speed": "5 m/s"})
said["rule"] = [rule.value for rule in rule_table() if rule.id == "brambling-wind"]
said["judged"] = [one.found + one.source for one in windy.prove().findings if "Brambling" in one.source]
(Path("rocket.toml")).write_text(rocket.text, encoding="utf-8")
host = "127.0.0.1:8731"
app = make_app(Path().resolve(), frozenset({host}))
app.office.warm.ready.wait(300)
with TestClient(app, base_url=f"http://{host}", client=("127.0.0.1", 50000)) as pages:
    said["page"] = pages.get("/basis").text
print(json.dumps(said))
"""


def recipes():
    part = GUIDE.partition("## Five recipes")[2].partition("\n## ")[0]
    return {name.strip(): text for name, text in RECIPE.findall(part)}


def follow(text, folder):
    """Do what a recipe says to the files of a copy."""
    steps = STEP.findall(text)
    assert steps
    for what, path, marker, block in steps:
        file = folder / path
        if what == "Write":
            assert not file.exists()
            file.write_text(block, encoding="utf-8")
            continue
        before = file.read_text(encoding="utf-8")
        if what == "Append to":
            file.write_text(f"{before.rstrip()}\n\n{block}", encoding="utf-8")
        else:
            assert before.count(f"{marker}\n") == 1, f"{path} has lost {marker}"
            file.write_text(before.replace(f"{marker}\n", f"{marker}\n{block}"), encoding="utf-8")


def copied(folder, texts):
    """Return a copy of the program that recipes were followed in."""
    shutil.copytree(ROOT / "src", folder / "src", ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    (folder / "tests" / "published").mkdir(parents=True)
    for text in texts:
        follow(text, folder)
    return folder


def said_by(copy, program, place):
    """Return what the program of a copy says, in a folder of its own."""
    where = {**os.environ, "PYTHONPATH": str(copy / "src")}
    code = f"import bottlewright; assert bottlewright.__file__.startswith({str(copy)!r})\n{program}"
    done = subprocess.run([sys.executable, "-c", code], cwd=place, env=where, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    """Follow all but that of the release, which changes compiled packages, and compiling takes a while."""
    return copied(tmp_path_factory.mktemp("copy"), [text for name, text in recipes().items() if name != "A release"])


@pytest.fixture(scope="module")
def tried(copy, tmp_path_factory):
    return said_by(copy, TRIED, tmp_path_factory.mktemp("rockets"))


def test_there_are_five_recipes_and_each_is_short():
    assert list(recipes()) == ["A bottle", "A rule", "A release", "A check", "A page"]
    assert max(len(text.splitlines()) for text in recipes().values()) < 60


def test_a_bottle_that_was_added_is_known_by_its_size(tried):
    assert tried["volume"] == pytest.approx(1.64e-3)
    assert "Brambling Field" in tried["bottle"]


def test_a_rule_that_was_added_is_held_against_a_design(tried):
    assert tried["rule"] == [4.0]
    assert len(tried["judged"]) == 1
    assert "5 m/s" in tried["judged"][0]


def test_a_release_that_was_added_is_tried_on_every_rocket(tmp_path):
    changed = copied(tmp_path / "copy", [recipes()["A release"]])
    said = said_by(changed, RELEASE, tmp_path)
    assert "door-servo-timer" in said["ways"]
    assert said["keys"]["recovery.mechanism.way"] == "side door"
    assert said["keys"]["recovery.mechanism.trip"] == "servo timer"


def test_a_check_that_was_added_passes_and_fails_where_the_source_says_otherwise(copy):
    path = copy / "tests" / "published" / "test_laminar_friction.py"
    text = path.read_text(encoding="utf-8")
    for source, right in ((text, True), (text.replace("1.328 /", "1.4 /"), False)):
        names = {}
        exec(compile(source, path, "exec"), names)
        [test] = [one for name, one in names.items() if name.startswith("test_")]
        if right:
            test()
        else:
            with pytest.raises(AssertionError):
                test()


def test_a_page_that_was_added_is_served_with_the_verdict_on_top(tried):
    assert "What does every number rest on?" in tried["page"]
    assert "are assumed" in tried["page"]
    assert 'id="verdict"' in tried["page"]


def test_what_the_recipes_add_is_clean_python(copy):
    checks = [sys.executable, "-m", "ruff", "check", "--config", ROOT / "pyproject.toml"]
    done = subprocess.run([*checks, "src/bottlewright/web/views/basis.py"], cwd=copy, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout


@pytest.fixture(scope="module")
def drawn():
    spec = importlib.util.spec_from_file_location("package_map", ROOT / "tools" / "package_map.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_map_of_the_packages_is_that_of_the_imports(drawn):
    """When it fails: make map."""
    found = drawn.uses()
    assert drawn.page_with(GUIDE, found) == GUIDE
    assert (ROOT / "docs" / "figures" / "packages.svg").read_text(encoding="utf-8") == drawn.drawing(found)


def test_the_map_leaves_out_only_what_follows(drawn):
    found = {"a": {"b", "c"}, "b": {"c"}, "c": set()}
    assert drawn.nearest(found) == {"a": {"b"}, "b": {"c"}, "c": set()}
    assert drawn.levels(found) == {"a": 2, "b": 1, "c": 0}


@pytest.mark.parametrize("name", ["dangerous-number", "fault", "source", "wish"])
def test_what_a_report_needs_stands_in_a_plain_file(name):
    text = (ROOT / "docs" / "reporting" / f"{name}.md").read_text(encoding="utf-8")
    assert text.startswith("# Report: ")
    assert text.count("\n- ") >= 4
    assert f"docs/reporting/{name}.md" in GUIDE


def test_security_says_where_a_dangerous_number_and_where_a_hole_goes():
    text = (ROOT / "SECURITY.md").read_text(encoding="utf-8")
    assert "A number that could hurt somebody" in text
    assert "alone first" in text
    assert not re.search(r"https?://|@\w", text), "no host and no address is named"
