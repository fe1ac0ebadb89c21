"""Strict YAML: every value is text that knows its file, line and column."""

from diagnose.yamlfile.node import ListNode, MapNode, Node, TextNode
from diagnose.yamlfile.place import InputError, Place, Problem, Problems, did_you_mean, short
from diagnose.yamlfile.reader import read_file, read_text
from diagnose.yamlfile.record import Record

__all__ = [
    "InputError",
    "ListNode",
    "MapNode",
    "Node",
    "Place",
    "Problem",
    "Problems",
    "Record",
    "TextNode",
    "did_you_mean",
    "read_file",
    "read_text",
    "short",
]
