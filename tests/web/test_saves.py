"""A file that is being saved when the power goes is the old one or the new one, never a half."""

import os
import subprocess
import sys
import time

import pytest
from conftest_web import CURLEW

from bottlewright.design import parse_design

KILLS = int(os.environ.get("BOTTLEWRIGHT_KILLS", "8"))
"""The whole, once: BOTTLEWRIGHT_KILLS=200."""

SAVES = """
import itertools, sys
from pathlib import Path
from bottlewright.project.editing import saved
from bottlewright.project.project import parse
file = Path(sys.argv[1])
text = file.read_text(encoding="utf-8")
projects = [parse(text.replace("42 g", f"{grams} g"), file) for grams in (40, 44)]
print("saving", flush=True)
for project in itertools.cycle(projects):
    saved(project)
"""


@pytest.mark.parametrize("place", range(4))
def test_a_killed_save_leaves_a_whole_file(tmp_path, place):
    file = tmp_path / "rocket.toml"
    for kill in range(place, KILLS, 4):
        file.write_bytes((CURLEW / "rocket.toml").read_bytes())
        with subprocess.Popen([sys.executable, "-c", SAVES, str(file)], stdout=subprocess.PIPE) as saving:
            saving.stdout.readline()
            time.sleep(kill * 997 % 50 / 1000.0)
            saving.kill()
        text = file.read_text(encoding="utf-8")
        assert parse_design(text).name == "Curlew"
        assert text.endswith((CURLEW / "rocket.toml").read_text(encoding="utf-8")[-40:])
