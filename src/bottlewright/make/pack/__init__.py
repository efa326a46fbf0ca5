"""The printed pack: what it says, the drawing on its cover, and the typesetter."""
