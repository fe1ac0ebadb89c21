"""The list of checks is complete, and its ids keep to one form."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import diagnose
from diagnose.rulebook.checks import CHECKS

PACKAGE = Path(diagnose.__file__).parent


def test_ids_are_kebab_case_and_every_check_is_one_line() -> None:
    for check, asks in CHECKS.items():
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", check)
        assert 10 < len(asks) < 100
        assert "\n" not in asks


def test_every_id_in_the_code_is_listed_and_every_listed_one_is_in_the_code() -> None:
    used: set[str] = set()
    listed: set[str] = set()
    for folder in ("rulebook", "yamlfile"):
        for path in (PACKAGE / folder).glob("*.py"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            if path.name != "checks.py":
                listed |= {str(node.value) for node in ast.walk(tree) if isinstance(node, ast.Constant)} & set(CHECKS)
            used |= {name for node in ast.walk(tree) if isinstance(node, ast.Call) for name in _check_of(node)}
    assert used <= set(CHECKS)
    assert listed == set(CHECKS)


def _check_of(call: ast.Call) -> set[str]:
    """The check id in `problems.add(place, id, ...)` or `Problem(place, id, ...)`."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name in ("add", "Problem") and len(call.args) >= 3 and isinstance(call.args[1], ast.Constant):
        return {str(call.args[1].value)}
    return set()
