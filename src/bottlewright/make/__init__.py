"""From a design to things in the hand: patterns, parts, schedule, sheets, solids and the printed pack."""
