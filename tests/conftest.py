import os
from datetime import date

import pytest
from hypothesis import settings

# The first call of a compiled function may compile it, which is no sign of a slow test.
# The same examples every time: what held yesterday is not upset by a lucky draw today. For a wider search run pytest
# with --hypothesis-profile=search.
settings.register_profile("bottlewright", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None)
settings.load_profile("bottlewright")


@pytest.fixture(scope="session", autouse=True)
def _cache_of_the_tests(tmp_path_factory):
    """Keep the landings that tests work out in a folder of their own, never in the user's cache."""
    before = os.environ.get("BOTTLEWRIGHT_CACHE")
    os.environ["BOTTLEWRIGHT_CACHE"] = str(tmp_path_factory.mktemp("cache"))
    yield
    if before is None:
        del os.environ["BOTTLEWRIGHT_CACHE"]
    else:
        os.environ["BOTTLEWRIGHT_CACHE"] = before


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    """Let every test be run on one day, before the launch days of the examples."""
    monkeypatch.setattr("bottlewright.proof.judged_day.today", lambda: date(2027, 3, 1))
