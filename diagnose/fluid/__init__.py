"""The physics of coolant: glycol, water, boiling, mixing, flushing, units. Pure functions, no rulebooks."""
