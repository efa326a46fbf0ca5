"""The command `bottlewright prove`: words, JSON, files, exit codes."""

import json
from pathlib import Path

import pytest

from bottlewright.cli import main

CURLEW = str(Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml")


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(["prove", *arguments])
    code = left.value.code
    return code if isinstance(code, int) else 0


def test_curlew_is_told_in_words_with_its_number_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(CURLEW) == 0
    shown = capsys.readouterr().out
    assert "On the gauge: not over 4.83 bar" in shown
    assert "Local rules and the person in charge of the site come first." in shown


def test_a_stop_comes_first_and_gives_exit_code_1(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(CURLEW, "--set", 'charge.pressure="6 bar"') == 1
    shown = capsys.readouterr().out
    assert shown.index("STOP") < shown.index("How hard you may pump it")
    assert "LOOK" not in shown[: shown.index("STOP")]


def test_json_is_one_document_on_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(CURLEW, "--json") == 0
    captured = capsys.readouterr()
    document = json.loads(captured.out)
    assert document["allowed"]["gauge_Pa"] == pytest.approx(4.83e5, rel=1e-3)
    assert captured.err == ""


def test_a_pump_that_never_gets_there_still_gives_valid_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(CURLEW, "--json", "--set", 'launcher.pump.clearance="200 mL"') == 1
    assert json.loads(capsys.readouterr().out)["pumping"]["strokes"] is None


def test_out_writes_the_sheet_and_the_numbers_and_can_be_repeated(tmp_path: Path) -> None:
    for _ in range(2):
        assert run(CURLEW, "--out", str(tmp_path / "proof")) == 0
    assert {path.name for path in (tmp_path / "proof").iterdir()} >= {"proof-test.html", "proof.json"}


@pytest.mark.parametrize(
    "wrong", ['charge.pressure="4.5"', 'launcher.hose.lenght="4 m"', "launcher.cord.count=3", 'vessel.age="-1 day"',
              'launcher.release.kind="spring"', 'launcher.stakes.count=-1'],
)  # fmt: skip
def test_bad_input_is_told_with_its_key_and_exit_code_2(wrong: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(CURLEW, "--set", wrong) == 2
    captured = capsys.readouterr()
    assert wrong.split("=")[0].rsplit(".", 1)[0].split(".")[0] in captured.err
    assert "Traceback" not in captured.err
    assert captured.out == ""
