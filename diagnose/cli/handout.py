"""`diagnose handout`: what an instructor prints for a class."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from diagnose.case.from_yaml import read_case
from diagnose.cli.workshop import engine_option, shown
from diagnose.diagnosis.belief import Belief
from diagnose.findings.from_case import find
from diagnose.firings.from_findings import RuleEngine
from diagnose.graph.from_diagnosis import entry_for, path_of
from diagnose.graph.from_tree import from_tree
from diagnose.graph.road import Road
from diagnose.graph.tree import compile_tree
from diagnose.graph.tree_model import Tree
from diagnose.report.diagram.engine import need_graphviz
from diagnose.report.diagram.refused import Refused
from diagnose.report.handout.lesson_sheets import lessons
from diagnose.report.handout.sections import TooLong
from diagnose.report.handout.sheets import (
    PAPERS,
    NoGlyph,
    Paper,
    Sheet,
    printed,
    sheet_for_case,
    sheet_for_lesson,
    sheet_for_poster,
    sheets_for_book,
    sheets_for_tree,
)
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.report.paper.press import NoPress, need_press
from diagnose.rulebook.find import find_book
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book, Entry
from diagnose.yamlfile import did_you_mean, short


@click.command()
@click.argument("book")
@click.option("--lesson", metavar="N", help="Only the sheet of this lesson.")
@click.option("--entry", metavar="ID", help="Only the tree that begins with this entry of the book.")
@click.option("--case", "case_file", metavar="FILE", help="Only the way of this recorded case through its tree.")
@click.option("--paper", type=click.Choice(PAPERS), default="a4", show_default=True, help="What it is printed on.")
@click.option("--seed", default="", metavar="WORD", help="Another word leaves other boxes blank on the worksheets.")
@click.option("--poster", is_flag=True, help="Only the whole trees, each over several sheets for a wall.")
@click.option("-o", "folder", default="handouts", show_default=True, metavar="FOLDER", help="Where the PDFs are put.")
@engine_option
def handout(
    book: str,
    lesson: str | None,
    entry: str | None,
    case_file: str | None,
    paper: Paper,
    seed: str,
    poster: bool,
    folder: str,
    engine: str,
) -> None:
    """Print the rulebook BOOK for a class, as PDFs: a shipped one's name, or a folder of your own.

    Each decision tree as charts with a numbered key, as a worksheet with blanks and as the answers that lie over
    it; a card for each test; what is believed and not so; and the rules of each lesson. With --poster each tree
    as one drawing over several sheets instead. Needs the extra 'draw'.

    Example:  diagnose handout passenger-car --entry ph_out --paper letter
    """
    if sum(each is not None for each in (lesson, entry, case_file)) > 1:
        raise click.UsageError("choose one of '--lesson', '--entry' and '--case'")
    if poster and (lesson is not None or case_file is not None):
        raise click.UsageError("'--poster' prints trees: leave out '--lesson' and '--case', or '--poster'")
    source = find_book(book)
    read = read_book(source, shown(source))
    try:
        need_press()
        if lesson is None and case_file is None:
            need_graphviz()
        for sheet in _sheets(read, lesson, entry, case_file, seed, poster, engine):
            _write(Path(folder), f"{sheet.name}.{paper}.pdf", printed(sheet, read, paper))
    except (NoGlyph, NoPress, Refused, TooLong) as error:
        raise click.ClickException(str(error)) from None


def _sheets(
    book: Book, lesson: str | None, entry: str | None, case_file: str | None, seed: str, poster: bool, engine: str
) -> Iterator[Sheet]:
    if lesson is not None:
        if lesson not in lessons(book):
            known = ", ".join(lessons(book)) or "none"
            raise click.UsageError(f"no rule of this book stands in lesson '{short(lesson)}'; lessons are: {known}")
        yield sheet_for_lesson(book, lesson)
        return
    if case_file is not None:
        yield _case_sheet(book, case_file, seed, engine)
        return
    if entry is not None and entry not in book.entries:
        hint = did_you_mean(entry, book.entries, f"entries are: {', '.join(book.entries) or 'none'}")
        raise click.UsageError(f"this book has no entry '{short(entry)}'; {hint}")
    if poster and not book.entries:
        raise click.UsageError("this book has no entries, so it has no tree to print")
    if entry is None and not poster:
        yield from sheets_for_book(book)
        yield from (sheet_for_lesson(book, each) for each in lessons(book))
    if book.entries:
        road = Road(book, RuleEngine(book, engine), Belief(book))
        for each in book.entries.values():
            if entry in (None, each.id):
                trees = TreeSheets(from_tree(_tree(road, each), book), book, seed)
                yield from (sheet_for_poster(trees),) if poster else sheets_for_tree(trees)


def _case_sheet(book: Book, case_file: str, seed: str, engine: str) -> Sheet:
    findings = find(read_case(Path(case_file), case_file), book)
    entry = entry_for(findings, book)
    if entry is None:
        known = ", ".join(each.label for each in book.entries.values()) or "none"
        raise click.UsageError(f"{case_file}: the case came in with nothing that this book has a tree for ({known})")
    road = Road(book, RuleEngine(book, engine), Belief(book))
    tree = _tree(road, entry)
    trees = TreeSheets(from_tree(tree, book), book, seed)
    return sheet_for_case(trees, path_of(findings, tree, book), road.plan(road.rules.run(findings)))


def _tree(road: Road, entry: Entry) -> Tree:
    """One tree, with a word on how far it is."""
    click.echo(f"{entry.label}: working up the tree ...", err=True)

    def told(done: int, most: int) -> None:
        if done % 25 == 0:
            click.echo(f"{entry.label}: {done} states of at most {most}", err=True)

    return compile_tree(road, entry, progress=told)


def _write(folder: Path, name: str, pdf: bytes) -> None:
    path = folder / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_bytes(pdf)
    except OSError as error:
        raise click.ClickException(
            f"{path} can't be written: {error.strerror}; name another folder with '-o'"
        ) from None
    click.echo(str(path))
