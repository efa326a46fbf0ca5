from hypothesis import settings

# The first call of a compiled function may compile it, which is no sign of a slow test.
settings.register_profile("bottlewright", deadline=None)
settings.load_profile("bottlewright")
