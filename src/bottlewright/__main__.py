"""`python -m bottlewright`, the same as `bottlewright`."""

from bottlewright.cli import start

start()
