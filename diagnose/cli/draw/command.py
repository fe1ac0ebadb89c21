"""`diagnose draw`: from a rulebook to a diagram."""

from __future__ import annotations

from pathlib import Path

import click

from diagnose.cli.draw.folder import draw_all
from diagnose.cli.draw.what import Wanted, diagram
from diagnose.report.diagram import FORMS, Refused


@click.command()
@click.argument("book", metavar="BOOK")
@click.option("--tree", metavar="ENTRY", default="", help="The decision tree for one entry symptom of the book.")
@click.option("--map", "rule_map", is_flag=True, help="The rule map of the whole book.")
@click.option("--theme", default="", help="The rule map of one theme: a file of rules.")
@click.option("--cause", default="", help="The part of the rule map around one cause.")
@click.option("--case", "case_file", metavar="FILE", default="", help="Mark the way that this case took on its tree.")
@click.option("--against", metavar="OLD", default="", help="Mark what changed against another edition of the book.")
@click.option("--as", "form", type=click.Choice(list(FORMS)), default="dot", show_default=True, help="The form.")
@click.option("-o", "out", metavar="FILE", default="", help="Write to this file. With --all: to this folder.")
@click.option("--all", "everything", is_flag=True, help="Every tree and theme, into the folder named by -o.")
def draw(
    book: str,
    tree: str,
    rule_map: bool,
    theme: str,
    cause: str,
    case_file: str,
    against: str,
    form: str,
    out: str,
    everything: bool,
) -> None:
    """Draw a rulebook: how its rules hang together, or what to ask first and where each answer leads.

    A tree does what the program does: every test drawn is the program's own choice, and every box at
    its end holds what the program finds on exactly those readings. BOOK is a shipped rulebook's name
    or a folder. svg, png and pdf need the extra 'draw'.

    Example:  diagnose draw passenger-car --tree ph_out --as svg -o ph.svg
    """
    try:
        if everything:
            if not out or tree or rule_map or theme or cause or case_file or against:
                raise click.UsageError("--all takes a folder with -o and nothing else, such as: --all -o graphs")
            draw_all(book, Path(out))
            return
        graph, language = diagram(Wanted(book, tree, rule_map, theme, cause, case_file, against))
        made = FORMS[form](graph, language)
    except Refused as error:
        raise click.UsageError(str(error)) from None
    if out:
        write(Path(out), made)
    else:
        click.echo(made, nl=False)


def write(path: Path, made: bytes) -> None:
    try:
        path.write_bytes(made)
    except OSError as error:
        raise click.UsageError(f"{path} can't be written: {error.strerror}") from None
