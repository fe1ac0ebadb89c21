"""What the YAML parser says, in plain words."""

from __future__ import annotations

from diagnose.yamlfile.place import Place

_QUOTES = "put the whole text in quotes"
_LINE_UP = ("this line does not line up with the lines before it", "give entries of one list the same indentation")

_IN_WORDS = (
    ("mapping values are not allowed", "a second ': ' stands in this line", _QUOTES),
    ("could not find expected ':'", "a key without its ': ' stands here", "write 'key: value'"),
    ("unexpected end of stream", "a quote is opened and never closed", "close it, or double it inside the text"),
    ("expected ',' or", "a comma or a closing bracket is missing before this", "compare with the brackets before it"),
    ("expected <block end>", *_LINE_UP),
    ("expected '-' indicator", *_LINE_UP),
    ("block sequence entries are not allowed", *_LINE_UP),
    ("block collection", *_LINE_UP),
    ("expected the node content", "a value is missing here", "write it, or delete the comma or bracket"),
    ("cannot start any token", "a text can't begin with this character", _QUOTES),
    ("unknown escape character", "this text in double quotes holds a backslash", "use single quotes"),
    ("expected alphabetic or numeric", "a text can't begin with '&', '*' or '!'", _QUOTES),
    ("expected <document start>", "something stands here that belongs to nothing before it", "check its indentation"),
)


def syntax_in_words(problem: str, text: str, place: Place) -> tuple[str, str]:
    """The parser's `problem` at `place` of `text` as a sentence and a hint."""
    lines = text.splitlines()
    line = lines[place.line - 1] if place.line <= len(lines) else ""
    indent = line[: len(line) - len(line.lstrip())]
    if "\t" in indent:
        return "this line is indented with a tab", "indent with spaces"
    for part, says, hint in _IN_WORDS:
        if part in problem:
            return says, hint
    return f"this is not YAML: {problem}", "compare the indentation and the quotes with the lines above"
