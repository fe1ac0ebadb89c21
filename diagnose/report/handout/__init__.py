"""Handouts for a class: trees in sections with a numbered key, worksheets, cards of tests, lessons, misconceptions."""
