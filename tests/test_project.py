"""The project's own promises: every part pinned, no host named, one test command for everyone."""

import json
import re
import tomllib
from pathlib import Path

import pytest

from bottlewright.design import complete, read_design
from bottlewright.design.validation_messages import RENAMED_KEYS, RENAMED_VALUES
from bottlewright.flight.fly import fly
from bottlewright.flight.results import flight_document
from bottlewright.flight.summary_text import flight_words
from bottlewright.verdict import judge_alone, verdict_lines

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
CONSTRAINTS = (ROOT / "constraints.txt").read_text(encoding="utf-8")
PINS = [
    line for line in CONSTRAINTS.replace("\\\n", " ").splitlines() if not line.startswith("#")
]


@pytest.fixture(scope="module")
def curlew_keys():
    return set(fly(complete(read_design(ROOT / "examples" / "curlew" / "rocket.toml"))).summary)


def plain(name: str) -> str:
    return re.split(r"[\[<>=~! ]", name)[0].lower().replace("_", "-")


def test_every_dependency_is_pinned():
    build = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["build-system"]["requires"]
    wanted = PROJECT["dependencies"] + [name for group in PROJECT["optional-dependencies"].values() for name in group]
    assert {plain(name) for name in wanted + build} <= {plain(pin) for pin in PINS}


def test_the_pins_name_versions_and_hashes_and_no_host():
    one = r"[a-z_]+ [<>!=]+ '[A-Za-z0-9.]+'"
    marker = rf"( ; {one}( and {one})*)?"
    form = rf"[A-Za-z0-9._-]+==[0-9][A-Za-z0-9.]*{marker}(\s+--hash=sha256:[0-9a-f]{{64}})+"
    for pin in PINS:
        assert re.fullmatch(form, pin), pin[:80]


def test_nothing_is_installed_that_has_no_pinned_hash():
    installs = re.findall(r"pip install (.*)", (ROOT / "Makefile").read_text(encoding="utf-8"))
    assert installs
    assert all("--require-hashes -r constraints.txt" in line or "--no-deps --no-build-isolation" in line
               for line in installs)  # fmt: skip


def test_the_continuous_check_runs_the_command_that_the_readme_gives():
    commands = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert commands[-1] == "make test"
    assert "\n    make test " in (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_readme_quotes_what_fly_says_today(monkeypatch, tmp_path):
    """When a better model moves the numbers, `make tour` brings the page up to date."""
    monkeypatch.setenv("BOTTLEWRIGHT_CACHE", str(tmp_path))  # nobody has worked out its landings
    curlew = complete(read_design(ROOT / "examples" / "curlew" / "rocket.toml"))
    flight, page = fly(curlew), (ROOT / "README.md").read_text(encoding="utf-8")
    said = [line.strip() for line in flight_words(curlew, flight).splitlines() if line.strip()]
    quoted = [line.strip() for line in page.splitlines()]
    assert [line for line in said if line not in quoted] == []
    verdict = verdict_lines(judge_alone(curlew, ROOT / "examples" / "curlew", flight=flight))
    assert [line for line in verdict if line not in " ".join(page.split())] == []


def test_the_readme_shows_how_the_json_of_fly_begins():
    curlew = complete(read_design(ROOT / "examples" / "curlew" / "rocket.toml", ['charge.pressure="4 bar"']))
    said = flight_document(curlew, fly(curlew))
    quoted = re.search(r'"cures": \[…\],\n(.*?),\n +…', (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)[1]
    shown = json.loads(f"{{{quoted}}}")
    assert list(shown) == list(said)[: len(shown)]
    assert len(shown) >= 6
    assert [shown[key] for key in ("name", "ending", "complete")] == ["Curlew", "landed", True]
    for key in shown.keys() - {"name", "ending", "complete"}:
        assert shown[key] == pytest.approx(said[key], rel=1e-9)


def test_the_list_of_changes_names_each_key_that_was_renamed_with_its_new_name():
    said = " ".join((ROOT / "CHANGELOG.md").read_text(encoding="utf-8").split())
    keys = {f"`{old}` is `{old.rpartition('.')[0]}.{new}`" for old, new in RENAMED_KEYS.items()}
    assert [words for words in keys if words not in said] == []
    for key, values in RENAMED_VALUES.items():
        old, new = (" and ".join(", ".join(names).rsplit(", ", 1)) for names in (values, values.values()))
        assert f"the values of `{key}`, {old}, are {new}" in said


@pytest.mark.parametrize(("old", "new"), [
    ("release_time_s", "canopy_out_time_s"), ("release_height_m", "canopy_out_height_m"),
    ("burnout_speed_m_s", "air_out_speed_m_s"),
])  # fmt: skip
def test_the_list_of_changes_names_keys_that_results_have(curlew_keys, old, new):
    said = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert (old in curlew_keys, new in curlew_keys) == (False, True)
    assert f"`{old}`" in said
    assert f"`{new}`" in said


def test_packages_are_called_packages():
    pages = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").rglob("*.md")]
    assert len(pages) > 10
    found = [page.name for page in pages if re.search(r"\brooms\b|<room>", page.read_text(encoding="utf-8"))]
    assert found == []


def test_the_pictures_of_the_readme_are_there():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    pictures = re.findall(r"!\[[^]]+\]\(([^)]+)\)", readme)
    assert pictures
    assert all((ROOT / picture).is_file() for picture in pictures)


def test_every_page_that_the_readme_points_to_is_there():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    pages = [page for page in re.findall(r"\]\(([^)]+)\)", readme) if "://" not in page]
    missing = [page for page in pages if not (ROOT / page).exists()]
    assert not missing


def test_no_file_holds_the_marks_of_a_merge_that_nobody_finished():
    marks = re.compile(r"^(<{7} |>{7} )", re.MULTILINE)
    texts = [path for place in ("src", "tests", "docs", "examples", "benchmarks") for path in (ROOT / place).rglob("*")
             if path.suffix in {".py", ".css", ".js", ".html", ".md", ".toml", ".typ", ".json"}]
    assert len(texts) > 500
    assert [str(path) for path in texts if marks.search(path.read_text(encoding="utf-8"))] == []


def test_no_two_test_modules_have_one_name():
    """Pytest imports them by name alone, and a worker that meets the second one fails."""
    names = [path.name for path in (ROOT / "tests").rglob("*.py") if path.name not in ("conftest.py", "__init__.py")]
    assert [name for name in names if names.count(name) > 1] == []
