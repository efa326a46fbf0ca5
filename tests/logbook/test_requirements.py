"""The twenty requirements of a day in the field: each is held by the tests that docs/logbook.md names for it."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOLD = (ROOT / "docs" / "logbook.md").read_text(encoding="utf-8")
TABLE = re.findall(r"^\| (\d+) \| ([^|]+) \| ([^|]+) \|$", TOLD, re.MULTILINE)
TESTS = {path.name: {node.name for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
                     if isinstance(node, ast.FunctionDef)}
         for path in (ROOT / "tests").rglob("test_*.py")}  # fmt: skip


def test_there_are_twenty():
    assert [int(number) for number, _, _ in TABLE] == list(range(1, 21))


@pytest.mark.parametrize(("number", "says", "tests"), TABLE, ids=[number for number, _, _ in TABLE])
def test_each_has_its_tests_by_name(number, says, tests):
    named = re.findall(r"`(test_\w+\.py)`: ([^`]+?)(?:; |$)", tests.strip())
    assert named, says
    for file, names in named:
        for name in names.split(", "):
            assert f"test_{name.strip().replace(' ', '_')}" in TESTS[file], f"{number}: {file} has no {name}"
