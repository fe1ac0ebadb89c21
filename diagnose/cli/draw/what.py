"""Which diagram was asked for, and making it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import click

from diagnose.case.from_yaml import read_case
from diagnose.graph.editions import against as compared
from diagnose.graph.explore import Progress
from diagnose.graph.from_diagnosis import entry_for, mark_path, path_of
from diagnose.graph.from_rulebook import map_notes, rule_map, themes
from diagnose.graph.from_tree import from_tree
from diagnose.graph.model import Graph
from diagnose.graph.road import Road
from diagnose.graph.tree import compile_tree
from diagnose.pipeline import Bench
from diagnose.rulebook.find import find_book
from diagnose.rulebook.model import Book
from diagnose.yamlfile import did_you_mean

EVERY = 25
"""After so many states of a tree, progress is told."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the command line asks for; '' where it says nothing."""

    book: str
    tree: str
    rule_map: bool
    theme: str
    cause: str
    case_file: str
    against: str


def diagram(wanted: Wanted) -> tuple[Graph, str]:
    """The diagram, and the language of its book. Raises UsageError, InputError."""
    _check(wanted)
    bench = bench_of(wanted.book)
    book = bench.book
    graph = _case(wanted, bench) if wanted.case_file else _one(wanted, bench)
    if wanted.against:
        older = bench_of(wanted.against)
        graph = compared(graph, _one(wanted, older))
    return graph, book.language


def bench_of(book: str) -> Bench:
    """A book compiled. The plain matcher is used, so that the same book is drawn alike everywhere."""
    return Bench(find_book(book), "plain")


def road_of(bench: Bench) -> Road:
    return Road(bench.book, bench.rules, bench.belief)


def told(label: str) -> Progress:
    """Progress on stderr: a line now and then."""
    click.echo(f"{label}: asking the program", err=True)

    def progress(done: int, most: int) -> None:
        if done % EVERY == 0:
            click.echo(f"{label}: {done} of at most {most} states worked up", err=True)

    return progress


def _check(wanted: Wanted) -> None:
    maps = [name for name in ("rule_map", "theme", "cause") if getattr(wanted, name)]
    if wanted.theme and wanted.cause:
        raise click.UsageError("--theme and --cause can't stand together; choose one")
    if maps and (wanted.tree or wanted.case_file):
        raise click.UsageError("a map has no tree and no case on it; leave out --tree and --case, or the map")
    if not (maps or wanted.tree or wanted.case_file):
        raise click.UsageError("say what to draw: --tree ENTRY, --case FILE, --map, --theme, --cause or --all")
    if wanted.case_file and wanted.against:
        raise click.UsageError("--case and --against can't stand together; choose one")


def _one(wanted: Wanted, bench: Bench) -> Graph:
    book = bench.book
    if wanted.tree:
        entry = book.entries[_named(wanted.tree, book.entries, "entry", book)]
        return from_tree(compile_tree(road_of(bench), entry, progress=told(entry.label)), book)
    if wanted.cause:
        from diagnose.graph.network import around

        name = _named(wanted.cause, book.causes, "cause", book)
        part = around(rule_map(book), name, f"What bears on one cause: {book.causes[name].short}")
        return replace(part, notes=map_notes(part.nodes, book))
    if wanted.theme:
        return rule_map(book, _named(wanted.theme, themes(book), "theme", book))
    return rule_map(book)


def _case(wanted: Wanted, bench: Bench) -> Graph:
    book = bench.book
    case = read_case(Path(wanted.case_file), wanted.case_file)
    findings = bench.findings(case)
    entry = book.entries[_named(wanted.tree, book.entries, "entry", book)] if wanted.tree else None
    entry = entry or entry_for(findings, book)
    if entry is None:
        names = ", ".join(book.entries) or "none"
        raise click.UsageError(
            f"the case {case.id} came in with no entry of the book '{book.id}'\n"
            f"    hint: name one with --tree; its entries: {names}"
        )
    tree = compile_tree(road_of(bench), entry, progress=told(entry.label))
    firings = bench.rules.run(findings)
    return mark_path(from_tree(tree, book), path_of(firings.findings, tree, book), case.id)


def _named(name: str, known: Iterable[str], kind: str, book: Book) -> str:
    names = tuple(known)
    if name in names:
        return name
    hint = did_you_mean(name, names, f"there are: {', '.join(names) or 'none'}")
    raise click.UsageError(f"the book '{book.id}' has no {kind} '{name}'\n    hint: {hint}")
