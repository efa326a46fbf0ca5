"""The project's own promises: every part pinned, no host named, one test command for everyone."""

import re
import tomllib
from pathlib import Path

from bottlewright.design import complete, read_design
from bottlewright.flight.fly import fly
from bottlewright.flight.summary_text import flight_words

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
CONSTRAINTS = (ROOT / "constraints.txt").read_text(encoding="utf-8")
PINS = [
    line for line in CONSTRAINTS.replace("\\\n", " ").splitlines() if not line.startswith("#")
]


def plain(name: str) -> str:
    return re.split(r"[\[<>=~! ]", name)[0].lower().replace("_", "-")


def test_every_dependency_is_pinned():
    build = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["build-system"]["requires"]
    wanted = PROJECT["dependencies"] + [name for group in PROJECT["optional-dependencies"].values() for name in group]
    assert {plain(name) for name in wanted + build} <= {plain(pin) for pin in PINS}


def test_the_pins_name_versions_and_hashes_and_no_host():
    marker = r"( ; [a-z_]+ [<!=]+ '[A-Za-z0-9.]+')?"
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


def test_the_readme_quotes_what_fly_says_today():
    """When a better model moves the numbers, `make tour` brings the page up to date."""
    curlew = complete(read_design(ROOT / "examples" / "curlew" / "rocket.toml"))
    said = [line.strip() for line in flight_words(curlew, fly(curlew)).splitlines() if line.strip()]
    quoted = [line.strip() for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()]
    assert [line for line in said if line not in quoted] == []


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
