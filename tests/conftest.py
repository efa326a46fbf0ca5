import os
from datetime import date

import pytest
from hypothesis import settings

# The first call of a compiled function may compile it, which is no sign of a slow test.
# The same examples every time: what held yesterday is not upset by a lucky draw today. Few of them, where a test does
# not say how many: --hypothesis-profile=whole takes more than three times as many, --hypothesis-profile=search others.
settings.register_profile("bottlewright", deadline=None, derandomize=True, max_examples=30)
settings.register_profile("whole", deadline=None, derandomize=True, max_examples=100)
settings.register_profile("search", deadline=None)
settings.load_profile("bottlewright")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Keep the tests of a file on one worker, of the rockets read back those of each rocket: what they share is dear.

    xdist_group would say the same, but xdist 3.8 writes the group into a name that pytest 9.2 no longer reads.
    """
    from xdist.scheduler import LoadScopeScheduling

    class Together(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            file, _, test = nodeid.partition("::")
            rocket = test.partition("[")[2].partition("-")[0] if file.endswith("test_read_back.py") else ""
            return f"{file} {rocket.rstrip(']')}"

    return Together(config, log) if config.getvalue("dist") == "loadgroup" else None


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
