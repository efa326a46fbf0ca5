"""What the vessel and the launcher can take, what it rests on, and where people stand."""
