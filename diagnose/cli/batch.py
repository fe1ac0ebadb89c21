"""Many cases: worked up one after the other, or by several processes at once where that pays."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from itertools import chain
from pathlib import Path
from typing import NamedTuple

from diagnose.case.from_yaml import read_case
from diagnose.cli.workshop import Benches
from diagnose.pipeline import Wishes
from diagnose.report import FORMATS
from diagnose.report.model import WorkUp
from diagnose.yamlfile import InputError, Problem

PAYS = 2.0
"""Seconds of work beyond which more processes are begun; each takes a third of one to start."""
SECONDS, ROLLED_OUT, SHAKEN = 0.01, 0.2, 10.0
"""What one case takes, about; with --rollout; with --shake."""
TOGETHER = 20
"""So many cases at most are handed to a process at a time."""


class Order(NamedTuple):
    """What is wanted of each case, as it was given on the command line."""

    book: str
    engine: str
    shop: str
    wishes: Wishes
    form: str


class Done(NamedTuple):
    """A rendered work-up, or what is wrong with the case."""

    text: str
    problems: tuple[Problem, ...] = ()


def work_up(files: Sequence[str], order: Order) -> Iterator[Done]:
    """Every case in the order given, each as soon as it and those before it are done."""
    wishes = order.wishes
    each = SHAKEN if wishes.shake is not None else ROLLED_OUT if wishes.rollout else SECONDS
    cores = min(_cores(), len(files)) if each * len(files) > PAYS else 1
    if cores < 2:
        benches = Benches(order.book, order.engine, order.shop)
        yield from (_done(file, order, benches) for file in files)
        return
    from concurrent.futures import ProcessPoolExecutor  # not before: both take their time to load
    from multiprocessing import get_context

    size = max(1, min(TOGETHER, len(files) // (4 * cores)))
    parts = [files[start : start + size] for start in range(0, len(files), size)]
    with ProcessPoolExecutor(cores, mp_context=get_context("spawn"), initializer=_begin, initargs=(order,)) as pool:
        yield from chain.from_iterable(pool.map(_part, parts))


def _cores() -> int:
    affinity = getattr(os, "sched_getaffinity", None)  # where the system can tell, only those we may use
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


def _done(file: str, order: Order, benches: Benches) -> Done:
    try:
        one = read_case(Path(file), file)
        bench = benches.for_case(one)
        plan = bench.work_up(bench.visit(one), order.wishes)
        made = WorkUp(plan, bench.book, bench.moved(one, len(one.visits), plan))
    except InputError as error:
        return Done("", error.problems)
    return Done(FORMATS[order.form].one(made))


_at: list[tuple[Order, Benches]] = []
"""In a process of its own: what it was begun for."""


def _begin(order: Order) -> None:
    _at.append((order, Benches(order.book, order.engine, order.shop)))


def _part(files: Sequence[str]) -> list[Done]:
    order, benches = _at[0]
    return [_done(file, order, benches) for file in files]
