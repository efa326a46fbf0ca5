"""The launcher: sizes of the stand, its cut list and holes, and the drawings of stand, line and release."""
