"""Flight: from a design to a flown rocket, one flight or many."""
