"""`diagnose bench`: one question at a time at the car, every answer saved."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Iterable
from contextlib import ExitStack
from datetime import date, datetime
from pathlib import Path

import click

from diagnose.case.from_yaml import case_from_text
from diagnose.cli.workshop import Benches, book_option, engine_option
from diagnose.report.layout import WIDTH, wrap
from diagnose.report.text import render
from diagnose.report.text.moved import render as render_moved
from diagnose.session.model import Line, Question
from diagnose.session.session import Session
from diagnose.session.telling import unproven
from diagnose.session.words import command
from diagnose.yamlfile import InputError, Place, Problem
from diagnose.yamlfile.lock import Taken, only_one
from diagnose.yamlfile.saved import ChangedOutside, NotSaved, SavedFile

NARROWEST = 30
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]*")


@click.command()
@click.argument("case", required=False, metavar="[CASE]")
@click.option(
    "--date",
    "today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The date of a new case or a new visit. Default: today.",
)
@click.option("--shop", default="", metavar="FILE", help="What your shop has: tools, minutes, labour rate.")
@book_option
@engine_option
def bench(case: str | None, today: datetime | None, shop: str, book: str, engine: str) -> None:
    """Ask one question at a time, and save each answer.

    Begins the case file CASE, or goes on with it wherever it broke off. Each question takes a value with any
    unit, a range such as 9..11, a word or its beginning, 'unknown', or "can't do". 'why' tells what an
    answer would change, 'how' how it is done, 'help' the other words, 'stop' ends. Answers may also
    come from a file or another program, one in a line.

    Example:  diagnose bench my-car.yaml
    """
    try:
        name = case or _ask_name()
        _sit_down(name, today.date() if today else date.today(), Benches(book, engine, shop))
    except (EOFError, KeyboardInterrupt, click.Abort):
        click.echo()
        click.echo("Broken off. Every answer up to here is saved; the same command goes on from here.")


def _ask_name() -> str:
    _say(
        [
            Line("What shall the case be called? A short name without spaces, such as blue-estate."),
            Line("A file of that name in this folder is gone on with."),
        ]
    )
    while True:
        typed = _read("Name: ").strip()
        word, _ = command(typed)
        if word == "stop":
            raise EOFError
        if word:
            _say([Line("Write a short name, such as blue-estate; 'stop' ends. The other words work once it has one.")])
            continue
        if _NAME.fullmatch(typed.removesuffix(".yaml")):
            return typed
        _say([Line("Use letters, digits, '-' and '_' only, such as blue-estate.")])


def _sit_down(name: str, today: date, benches: Benches) -> None:
    path = Path(name) if name.endswith((".yaml", ".yml")) else Path(f"{name}.yaml")
    stem = path.name.rpartition(".")[0]
    if not _NAME.fullmatch(stem):
        raise _refuse(path, "bad-name", f"'{stem}' can't be the name of a case", "use letters, digits, '-' and '_'")
    if not path.parent.is_dir():
        raise _refuse(path, "no-such-folder", f"there is no folder '{path.parent}'", "make it first")
    with ExitStack() as held:
        try:
            held.enter_context(only_one(path))
        except Taken:
            hint = "go on there, or end it first"
            raise _refuse(path, "in-use", "another session has this case open", hint) from None
        except OSError as error:
            says = f"nothing can be written in this folder: {error.strerror}"
            raise _refuse(path, "not-writable", says, "choose a folder that you may write in") from None
        file = SavedFile(path, str(path))
        file.clear_rests()
        text = file.load()
        made = benches.named(case_from_text(text, str(path)).book if text else "")
        session = Session(made, text, str(path) if text else stem, today)
        _talk(session, file)


def _refuse(path: Path, check: str, says: str, hint: str) -> InputError:
    return InputError([Problem(Place(str(path)), check, says, hint)])


def _talk(session: Session, file: SavedFile) -> None:
    """Question and answer until the end; each answer is on the disk before the next question."""
    saved = session.text
    _say(session.opening())
    test = ""
    while (question := session.question()).kind != "over":
        if question.test != test:
            click.echo()
            _say(session.heading(question))
        test = question.test
        _ask(question)
        try:
            typed = _read(f"{question.label}: ")
        except EOFError:
            click.echo()
            _say([Line("No more answers.")])
            break
        reply = session.answer(typed)
        if session.text != saved:
            problem = _save(session, file)
            if problem:
                _say([Line(problem)])
                saved = session.text
                continue
            saved = session.text
        _say(reply.lines)
    _end(session, file)


def _save(session: Session, file: SavedFile) -> str:
    """Save; '' or the sentence that tells why not. What could not be saved is undone and asked again."""
    try:
        file.save(session.text)
    except ChangedOutside as error:
        session.unsaved()
        try:
            session.take_over(file.load())
        except InputError as broken:
            raise InputError(broken.problems) from error
        return f"{error}. What stands there now was taken over; your last answer was not written, give it again."
    except NotSaved as error:
        session.unsaved()
        return f"{error}. The file is as it was before this answer; make room and give it again, or 'stop'."
    return ""


def _end(session: Session, file: SavedFile) -> None:
    if session.standing is None:
        _say([Line("Nothing was recorded.")])
        return
    click.echo()
    click.echo(render(session.standing.plan, session.book, _width()), nl=False)
    whole = session.standing.whole
    moved = session.bench.moved(whole, len(whole.visits), session.standing.plan)
    if moved is not None:
        click.echo(render_moved(moved, _width()), nl=False)
    click.echo()
    _say([Line("STILL UNPROVEN"), *unproven(session.standing.plan)])
    click.echo()
    papers = f"'diagnose sheet {file.shown_as}' makes the papers"
    _say([Line(f"Saved in {file.shown_as}. The same command goes on from here; {papers}.")])


def _ask(question: Question) -> None:
    if question.before:
        _say([Line(question.before)])
    _say([Line(question.asks), Line(f"Takes: {question.takes}.", "  ")])


def _say(lines: Iterable[Line]) -> None:
    width = _width()
    for line in lines:
        for row in wrap(line.text, width, line.lead):
            click.echo(row)


def _width() -> int:
    """The terminal's width, and never wider than a page; COLUMNS where it is set."""
    return max(NARROWEST, min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))


def _read(prompt: str) -> str:
    """One line as it was typed, also when it is piped. Raises EOFError at the end of input."""
    *rows, last = wrap(prompt.rstrip(), _width())
    for row in rows:
        click.echo(row)
    click.echo(f"{last} ", nl=False)
    sys.stdout.flush()
    try:
        line = sys.stdin.readline()
    except OSError:  # the terminal is gone
        line = ""
    if not line:
        raise EOFError
    if not sys.stdin.isatty():
        click.echo(line.rstrip("\n"))  # so that a piped session reads like one at the car
    return line.rstrip("\r\n")
