"""`diagnose vet`: everything that is wrong with a rulebook."""

from __future__ import annotations

import click

from diagnose.cli.workshop import shown
from diagnose.rulebook.find import find_book
from diagnose.vet.from_book import vet as vet_folder
from diagnose.vet.shown import FORMATS, checks


@click.command()
@click.argument("book", required=False, default="")
@click.option(
    "--as",
    "form",
    type=click.Choice(sorted(FORMATS)),
    default="text",
    show_default=True,
    help="The form of the result.",
)
@click.option("--checks", "list_checks", is_flag=True, help="List every check with what it asks, and stop.")
@click.pass_context
def vet(ctx: click.Context, book: str, form: str, list_checks: bool) -> None:
    """Check the rulebook BOOK: a shipped one's name, or a folder of your own.

    Finds what the reader refuses, and what only shows in the whole: names nothing asks for, causes no
    finding reaches or puts first, cars for which no rule decides. Each problem comes with file, line and
    column, and with a way to mend it; 'excused' at an entry lets one pass. The exit code is 0 where
    nothing is to be mended, 1 where something is, 2 where there is no book to check.

    Example:  diagnose vet passenger-car
    """
    if list_checks:
        click.echo(checks(), nl=False)
        return
    if not book:
        raise click.UsageError("name a rulebook, or ask for '--checks'")
    folder = find_book(book)
    vetting = vet_folder(folder, shown(folder))
    click.echo(FORMATS[form](vetting), nl=False)
    if vetting.problems:
        ctx.exit(1)
