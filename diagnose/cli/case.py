"""`diagnose case`: from recorded cases to work-ups."""

from __future__ import annotations

import click

from diagnose.cli.workshop import Benches, book_option, cases, engine_option, report
from diagnose.plan.model import Plan
from diagnose.report import FORMATS
from diagnose.rulebook.model import Book
from diagnose.yamlfile import InputError


@click.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option("--as", "form", type=click.Choice(sorted(FORMATS)), default="text", show_default=True, help="The form of the result.")
@book_option
@engine_option
@click.pass_context
def case(ctx: click.Context, files: tuple[str, ...], form: str, book: str, engine: str) -> None:
    """Work up one or many case files.

    Prints what each reading means, which causes are probable and why, what to test next, what to do
    with the coolant and in which order. A file that can't be used is named at the end, the others
    are worked up all the same; the exit code is then 2.

    Example:  diagnose case cases/white-van-acid.yaml
    """
    benches = Benches(book, engine)
    problems: list[InputError] = []
    plans: list[tuple[Plan, Book]] = []
    for one in cases(files, problems):
        try:
            bench = benches.for_case(one)
            plans.append((bench.work_up(one), bench.book))
        except InputError as error:
            problems.append(error)
    if plans:
        click.echo(FORMATS[form](plans, many=len(files) > 1), nl=False)
    report(problems, ctx)
