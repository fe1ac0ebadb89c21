"""What the commands on cases share: options, reading files, and one bench for each rulebook."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

import click

from diagnose.case.from_yaml import read_case
from diagnose.case.model import Case
from diagnose.cli.kept import compiled
from diagnose.diagnosis.shop import EVERY_TOOL
from diagnose.diagnosis.shop_from_yaml import read_shop
from diagnose.pipeline import Bench
from diagnose.yamlfile import InputError

DEFAULT_BOOK = "passenger-car"
F = TypeVar("F", bound=Callable[..., object])


def book_option(command: F) -> F:
    says = "A shipped rulebook's name, or a folder of your own. Default: the case's own book."
    return click.option("--book", "book", default="", metavar="NAME-OR-FOLDER", help=says)(command)


def engine_option(command: F) -> F:
    says = "How rules are matched: durable_rules, plain Python, or whichever is there."
    choice = click.Choice(["auto", "durable", "plain"])
    return click.option("--engine", type=choice, default="auto", show_default=True, help=says)(command)


class Benches:
    """Compiles each rulebook once, when the first case asks for it."""

    def __init__(self, book: str, engine: str, shop: str = "") -> None:
        self._book = book
        self._engine = engine
        self._shop = shop
        self._made: dict[str, Bench] = {}

    def for_case(self, case: Case) -> Bench:
        return self.named(case.book)

    def named(self, wanted: str) -> Bench:
        """The bench for the book that a case names; '' where it names none."""
        name = self._book or wanted or DEFAULT_BOOK
        if name not in self._made:
            with _kept():
                read, belief = compiled(name)
                shop = read_shop(Path(self._shop), read, self._shop) if self._shop else EVERY_TOOL
                self._made[name] = Bench(read, self._engine, shop=shop, belief=belief)
        return self._made[name]


@contextmanager
def _kept() -> Iterator[None]:
    """What is made inside stays to the end of the program: nobody looks for rubbish in it, now or later."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
        gc.freeze()
    finally:
        if collecting:
            gc.enable()


def shown(folder: Path) -> str:
    """A folder as messages name it: from here on, where it lies below the working directory."""
    here = Path.cwd()
    return str(folder.relative_to(here)) if folder.is_absolute() and here in folder.parents else str(folder)


def cases(files: Sequence[str], problems: list[InputError]) -> Iterator[Case]:
    """The cases that can be read; what is wrong with the others is put into `problems`."""
    for name in files:
        try:
            yield read_case(Path(name), name)
        except InputError as error:
            problems.append(error)


def report(problems: Sequence[InputError], ctx: click.Context) -> None:
    """Say everything that was wrong and leave with 2, or do nothing."""
    if not problems:
        return
    for error in problems:
        click.echo(str(error), err=True)
    ctx.exit(2)
