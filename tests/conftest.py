from hypothesis import settings

# The first call of a compiled function may compile it, which is no sign of a slow test.
# The same examples every time: what held yesterday is not upset by a lucky draw today. For a wider search run pytest
# with --hypothesis-profile=search.
settings.register_profile("bottlewright", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None)
settings.load_profile("bottlewright")
