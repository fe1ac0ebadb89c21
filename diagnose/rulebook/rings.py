"""Rings: what leads, by whatever way, back to itself."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.yamlfile import Place, Problems


def report_rings(arcs: Mapping[str, Mapping[str, Place]], kind: str, problems: Problems) -> None:
    """Report every ring in `arcs`: from a name to names, each with the place where it is written."""
    done: set[str] = set()
    for start in arcs:
        if start not in done:
            _walk(start, arcs, done, kind, problems)


def _walk(start: str, arcs: Mapping[str, Mapping[str, Place]], done: set[str], kind: str, problems: Problems) -> None:
    """Follow all arcs from `start`; the path is kept by hand, so that a long chain is no deep recursion."""
    path = [start]
    waiting = [iter(arcs.get(start, {}).items())]
    while waiting:
        step = next(waiting[-1], None)
        if step is None:
            waiting.pop()
            done.add(path.pop())
            continue
        target, place = step
        if target in path:
            ring = [*path[path.index(target) :], target]
            problems.add(place, "ring", f"{kind} in a ring: {' -> '.join(ring)}", "take one of the steps out")
        elif target not in done:
            path.append(target)
            waiting.append(iter(arcs.get(target, {}).items()))
