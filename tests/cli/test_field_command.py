"""The command field-page: one file for the phones, never over another."""

import re
from pathlib import Path

from commands import ran

DABCHICK = Path(__file__).parent.parent.parent / "examples" / "dabchick" / "rocket.toml"


def test_it_writes_the_page_and_nothing_over_another_file(tmp_path):
    design = tmp_path / "rocket.toml"
    design.write_bytes(DABCHICK.read_bytes())
    asked = ["field-page", str(design), "--flights", "60", "--address", "http://192.168.7.20:8731"]
    done = ran(*asked)
    assert done.code in (0, 1), done.err
    written = (tmp_path / "field-dabchick.html").read_text(encoding="utf-8")
    assert "connect-src http://192.168.7.20:8731;" in written
    assert re.search(r"Dabchick at the field", written)
    again = ran(*asked, "--out", str(design))
    assert again.code == 2
    assert "is there already and stays as it is" in again.err
    assert design.read_bytes() == DABCHICK.read_bytes()
    assert "no address of a laptop" in ran("field-page", str(design), "--address", "laptop").err
