"""What the YAML parser says, in plain words."""

from __future__ import annotations

from diagnose.yamlfile.place import Place

_QUOTES = "put the whole text in quotes"
_NO_FIT = ("this does not fit what stands before it", "compare the indentation, the quotes and the brackets")

_IN_WORDS = (
    ("could not find expected ':'", "a key without its ': ' stands here", "write 'key: value'"),
    ("unexpected end of stream", "a quote is opened and never closed", "close it, or double it inside the text"),
    ("expected ',' or", "a comma or a closing bracket is missing before this", "compare with the brackets before it"),
    ("node content", "a value is missing here", "write it, or delete the comma or bracket"),
    ("cannot start any token", "a text can't begin with this character", _QUOTES),
    ("unknown escape character", "this text in double quotes holds a backslash", "use single quotes"),
    ("expected alphabetic or numeric", "a text can't begin with '&', '*' or '!'", _QUOTES),
)
"""Parts of the parser's sentences (with libyaml and without) that mean one thing only."""


def syntax_in_words(problem: str, text: str, place: Place) -> tuple[str, str]:
    """The parser's `problem` at `place` of `text` as a sentence and a hint."""
    lines = text.splitlines()
    line = lines[place.line - 1] if place.line <= len(lines) else ""
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return "this line is indented with a tab", "indent with spaces"
    if "mapping values are not allowed" in problem:
        if ": " in line[: place.column - 1]:
            return "a second ': ' stands in this line", _QUOTES
        hint = "compare the indentation; a space belongs after the colon of the key above"
        return "no key can stand here", hint
    return next(((says, hint) for part, says, hint in _IN_WORDS if part in problem), _NO_FIT)
