"""`diagnose books`: which rulebooks there are."""

from __future__ import annotations

import click

from diagnose.rulebook.find import list_books
from diagnose.rulebook.from_yaml import read_book


@click.command()
def books() -> None:
    """List the shipped rulebooks, with what each holds and where it stands."""
    for folder in list_books():
        book = read_book(folder)
        click.echo(f"{book.id}  {book.title}, edition {book.edition}")
        click.echo(f"    {len(book.causes)} causes, {len(book.rules)} rules, {len(book.tests)} tests; in {folder}")
