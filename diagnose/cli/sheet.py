"""`diagnose sheet`: the paper for the customer, and the work order."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import click

from diagnose.cli.workshop import Benches, book_option, cases, engine_option, report
from diagnose.report.layout import WIDTH
from diagnose.report.paper.press import NoPress
from diagnose.report.paper.sheet import PAPERS
from diagnose.report.paper.sheet import render as as_pdf
from diagnose.report.sheet import SHEETS
from diagnose.report.sheet.html import render as as_html
from diagnose.report.sheet.model import Sheet
from diagnose.report.sheet.text import render as as_text
from diagnose.yamlfile import InputError

NARROWEST = 30


@click.command()
@click.argument("case", metavar="CASE")
@click.option(
    "--for", "reader", type=click.Choice(list(SHEETS)), default="customer", show_default=True, help="Who reads it."
)
@click.option(
    "--as", "form", type=click.Choice(["text", "html", "pdf"]), default="text", show_default=True, help="Its form."
)
@click.option("--paper", type=click.Choice(list(PAPERS)), default="a4", show_default=True, help="The paper of a PDF.")
@click.option("--to", "target", metavar="FILE", help="Write into FILE; needed for a PDF unless it is piped on.")
@click.option("--shop", default="", metavar="FILE", help="What your shop has: tools, minutes, labour rate.")
@book_option
@engine_option
@click.pass_context
def sheet(
    ctx: click.Context,
    case: str,
    reader: str,
    form: str,
    paper: str,
    target: str | None,
    shop: str,
    book: str,
    engine: str,
) -> None:
    """Make the paper that goes with a car: for the customer, or the work order for the technician.

    What only the workshop knows - its name, the price, what was agreed - is left blank. A case with several
    visits is told as it stands at the last one.

    Example:  diagnose sheet cases/white-van-acid.yaml --as html --to sheet.html
    """
    problems: list[InputError] = []
    benches = Benches(book, engine, shop)
    for one in cases([case], problems):
        bench = benches.for_case(one)
        plan = bench.work_up(bench.visit(one))
        made = SHEETS[reader](plan, bench.book, bench.moved(one, len(one.visits), plan))
        if form == "pdf":
            _write(target, _pdf(made, paper))
        else:
            text = as_html(made) if form == "html" else as_text(made, _width(target))
            if target is None:
                click.echo(text, nl=False)
            else:
                _write(target, text.encode("utf-8"))
    report(problems, ctx)


def _width(target: str | None) -> int:
    return WIDTH if target else min(WIDTH, max(NARROWEST, shutil.get_terminal_size((WIDTH, 24)).columns))


def _pdf(made: Sheet, paper: str) -> bytes:
    try:
        return as_pdf(made, paper)
    except NoPress as error:
        raise click.ClickException(str(error)) from None


def _write(target: str | None, raw: bytes) -> None:
    if target is None:
        if sys.stdout.isatty():
            raise click.UsageError("a PDF is not for the screen; name a file with --to sheet.pdf")
        sys.stdout.buffer.write(raw)
        return
    try:
        Path(target).write_bytes(raw)
    except OSError as error:
        raise click.ClickException(f"{target} can't be written: {error.strerror}") from None
    click.echo(f"Written: {target}", err=True)
