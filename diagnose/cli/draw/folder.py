"""All diagrams of a book into one folder: what is kept beside the rulebooks, so that a review shows what changed."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path

import click

from diagnose.cli.draw.page import page
from diagnose.cli.draw.what import bench_of, road_of
from diagnose.graph.from_rulebook import rule_map, themes
from diagnose.graph.from_tree import from_tree
from diagnose.graph.model import Graph
from diagnose.graph.tree import compile_tree
from diagnose.report.diagram import FORMS

CORES = 2
TREE_FORMS = {".dot": "dot", ".svg": "svg"}
MAP_FORMS = {".dot": "dot", ".svg": "svg"}
ENDS = (".dot", ".svg", ".md")


def draw_all(book: str, folder: Path) -> None:
    """Trees as DOT, SVG and a page with Mermaid; a map for each theme as DOT and SVG.

    Drawings of trees and themes that the book no longer has are taken away; other files are left alone.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        files = all_files(book)
        for name, made in files.items():
            (folder / name).write_bytes(made)
        for path in folder.iterdir():
            if path.name.startswith(("tree-", "rules-")) and path.suffix in ENDS and path.name not in files:
                path.unlink()
    except OSError as error:
        raise click.UsageError(f"{folder} can't be written: {error.strerror}") from None
    click.echo(f"{folder} is renewed", err=True)


def all_files(book: str, pictures: bool = True) -> dict[str, bytes]:
    """File names with their contents, in order; without `pictures` only what needs no Graphviz."""
    bench = bench_of(book)
    files: dict[str, bytes] = {}
    trees = tree_graphs(book, tuple(bench.book.entries))
    for entry in bench.book.entries.values():
        graph = trees[entry.id]
        files |= _forms(f"tree-{entry.id}", graph, TREE_FORMS, bench.book.language, pictures)
        files[f"tree-{entry.id}.md"] = page(graph).encode()
    for theme in themes(bench.book):
        files |= _forms(f"rules-{theme}", rule_map(bench.book, theme), MAP_FORMS, bench.book.language, pictures)
    return dict(sorted(files.items()))


def _forms(name: str, graph: Graph, forms: dict[str, str], language: str, pictures: bool) -> dict[str, bytes]:
    wanted = {end: form for end, form in forms.items() if pictures or form != "svg"}
    return {f"{name}{end}": FORMS[form](graph, language) for end, form in wanted.items()}


def tree_graphs(book: str, entries: tuple[str, ...]) -> dict[str, Graph]:
    """Each tree in a process of its own, as many at a time as there are cores for it."""
    found: dict[str, Graph] = {}
    if not entries:
        return found
    click.echo(f"{book}: {len(entries)} trees, {CORES} at a time", err=True)
    with ProcessPoolExecutor(min(CORES, len(entries)), mp_context=get_context("spawn")) as pool:
        waiting = {pool.submit(tree_graph, book, entry): entry for entry in entries}
        for done in as_completed(waiting):
            found[waiting[done]] = done.result()
            click.echo(f"{book}: {waiting[done]} is done, {len(found)} of {len(entries)}", err=True)
    return found


def tree_graph(book: str, entry: str) -> Graph:
    """One tree's diagram, from the book's name."""
    bench = bench_of(book)
    return from_tree(compile_tree(road_of(bench), bench.book.entries[entry]), bench.book)
