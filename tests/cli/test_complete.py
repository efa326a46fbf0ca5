import pytest
from commands import ran

from bottlewright.design import complete, read_design, stood_on

TEXT = '[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "4 bar"\n[prices]\nfile = "prices.csv"\n'


@pytest.fixture
def rocket(tmp_path):
    path = tmp_path / "rocket.toml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def values(path, sets=()):
    return [(name, q.value, q.spread, q.basis) for name, q in stood_on(complete(read_design(path, sets)))]


def test_complete_prints_a_design_that_reads_back(rocket, tmp_path):
    done = ran("complete", rocket)
    assert done.code == 0
    again = tmp_path / "again.toml"
    again.write_text(done.out, encoding="utf-8")
    assert values(again) == values(rocket)


def test_complete_writes_a_new_file_with_the_overrides_in_it(rocket, tmp_path):
    out = tmp_path / "whole.toml"
    done = ran("complete", rocket, "--set", 'charge.pressure="5 bar"', "--out", out)
    assert (done.code, done.out) == (0, "")
    assert values(out) == values(rocket, ['charge.pressure="5 bar"'])
    assert "prices.csv" not in done.err


def test_complete_never_overwrites(rocket):
    done = ran("complete", rocket, "--out", rocket)
    assert (done.code, done.out) == (2, "")
    assert "is there already" in done.err
    assert rocket.read_text(encoding="utf-8") == TEXT


def test_complete_says_which_files_have_to_come_along(rocket, tmp_path):
    done = ran("complete", rocket, "--out", tmp_path / "elsewhere" / "whole.toml")
    assert done.code == 0
    assert "prices.csv" in done.err


def test_complete_answers_a_program(rocket, tmp_path):
    document = ran("complete", rocket, "--json").document
    again = tmp_path / "again.toml"
    again.write_text(document["design"], encoding="utf-8")
    assert values(again) == values(rocket)
    assert document["file"] is None
    assert document["stands_on"]["charge.pressure"] == "measured or chosen by you"
    assert document["stands_on"]["vessel.wall"] == "from a table"
