"""A served folder for the tests of the pages; and no page of a test stays open after it."""

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


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item):
    """Shut the pages that a test opened, before its server ends: it would wait for them, and they would look for it."""
    browser = item.funcargs.get("browser")
    if browser is None:
        return (yield)
    from conftest_browser import open_now, shut

    before = open_now(browser)
    try:
        return (yield)
    finally:
        shut(browser, before)
