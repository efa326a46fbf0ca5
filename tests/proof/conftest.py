from collections.abc import Callable
from pathlib import Path

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.design.document import Design

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="session")
def curlew() -> Callable[..., Design]:
    """Return Curlew, completed, with values overridden as on the command line."""
    text = CURLEW.read_text(encoding="utf-8")
    return lambda *sets: complete(parse_design(text, sets))
