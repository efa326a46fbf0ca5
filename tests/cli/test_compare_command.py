"""Designs side by side on the command line."""

import json
from pathlib import Path

import pytest

from bottlewright.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
CURLEW, DABCHICK = (str(EXAMPLES / name / "rocket.toml") for name in ("curlew", "dabchick"))


def run(*arguments):
    with pytest.raises(SystemExit) as left:
        main(arguments)
    return left.value.code


def test_two_designs_stand_side_by_side_with_what_each_may_take(capsys):
    run("compare", CURLEW, DABCHICK)
    words = capsys.readouterr().out
    assert words.index("The verdict") < words.index("On the gauge") < words.index("Goes up")
    assert words.count("Curlew: ") >= words.count("Dabchick: ") > 8
    run("compare", CURLEW, DABCHICK, "--json")
    told = json.loads(capsys.readouterr().out)
    assert [one["name"] for one in told["designs"]] == ["Curlew", "Dabchick"]
    assert all(one["flight"]["apogee_m"] > 10.0 for one in told["designs"])


def test_one_design_alone_is_refused_in_words(capsys):
    assert run("compare", CURLEW) == 2
    assert "choose two or three designs" in capsys.readouterr().err
