"""A served folder for the tests of the pages."""

import pytest
from conftest_web import CURLEW, served


@pytest.fixture
def empty(tmp_path):
    with served(tmp_path) as pages:
        yield pages


@pytest.fixture
def curlew(tmp_path):
    for name in ("rocket.toml", "field.geojson", "prices.csv"):
        if (CURLEW / name).exists():
            (tmp_path / name).write_bytes((CURLEW / name).read_bytes())
    with served(tmp_path) as pages:
        yield pages


@pytest.fixture(scope="module")
def browser():
    from conftest_browser import launched

    with launched() as browser:
        yield browser
