"""`diagnose try`: a rulebook against its own examples, and against cases."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from diagnose.cli.workshop import DEFAULT_BOOK, cases, engine_option, report, shown
from diagnose.pipeline import Bench
from diagnose.rulebook.find import find_book
from diagnose.vet.trial import CaseTrial, Trial, try_case, try_examples
from diagnose.vet.trial_shown import FORMATS
from diagnose.yamlfile import InputError


@click.command("try")
@click.argument("book")
@click.argument("files", nargs=-1, metavar="[CASE...]")
@click.option(
    "--as",
    "form",
    type=click.Choice(sorted(FORMATS)),
    default="text",
    show_default=True,
    help="The form of the result.",
)
@engine_option
@click.pass_context
def try_(ctx: click.Context, book: str, files: tuple[str, ...], form: str, engine: str) -> None:
    """Try the rulebook BOOK on the examples of its rules and on CASEs: files, or folders of them.

    Every example must fire its rule or leave it silent, and every case must come out as its 'expect'
    says, each visit as its own 'expect' says; what does not is told with its place. Rules that never fired,
    and cases whose first suspect was not the outcome, are told too. The exit code is 0 where everything
    holds, 1 where something does not, 2 where the book or a case can't be used.

    Example:  diagnose try passenger-car cases
    """
    folder = find_book(book)
    bench = Bench(folder, engine, shown(folder))
    examples = try_examples(bench.book, bench.rules)
    problems: list[InputError] = []
    tried: list[CaseTrial] = []
    elsewhere = 0
    for case in cases(_in_folders(files), problems):
        if (case.book or DEFAULT_BOOK) != bench.book.id:
            elsewhere += 1
            continue
        try:
            tried += try_case(case, bench)
        except InputError as error:
            problems.append(error)
    trial = Trial(bench.book, examples, tuple(tried), elsewhere)
    click.echo(FORMATS[form](trial), nl=False)
    report(problems, ctx)
    if trial.problems:
        ctx.exit(1)


def _in_folders(names: Sequence[str]) -> list[str]:
    """Files as named, and every case file in the folders among them."""
    found: list[str] = []
    for name in names:
        path = Path(name)
        found += sorted(str(each) for each in path.rglob("*.yaml")) if path.is_dir() else [name]
    return found
