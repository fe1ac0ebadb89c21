"""Work up a failed coolant test from rules that an instructor can read."""
