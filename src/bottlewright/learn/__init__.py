"""What the flights taught: from measurements to the values of a rocket, and to a better next prediction."""
