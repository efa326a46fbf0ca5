"""What instruments see of a flight, one small module each with its source: not what happened, and not the truth."""
