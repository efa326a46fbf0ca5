"""Which water, which pressure, which bore: what to load and what to change, and why."""
