"""Rulebooks: the knowledge an instructor writes, read and checked."""
