"""What lets the canopy out, to build and to try: sizes of pack, seat, door and flap, drawings, folding, words."""
