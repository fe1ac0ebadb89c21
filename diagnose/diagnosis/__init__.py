"""Causes in order, what speaks for and against each, and what to test next. The one home of numpy."""
