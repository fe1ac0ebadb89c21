"""`diagnose explain`: one stage of the road, alone."""

from __future__ import annotations

import click

from diagnose.cli.workshop import Benches, book_option, cases, engine_option, report
from diagnose.report.stages import STAGES
from diagnose.yamlfile import InputError


@click.command()
@click.argument("file")
@click.option("--at", "stage", type=click.Choice(list(STAGES)), required=True, help="The stage to print.")
@book_option
@engine_option
@click.pass_context
def explain(ctx: click.Context, file: str, stage: str, book: str, engine: str) -> None:
    """Print one stage of a work-up, with rule ids and file:line.

    Is the reading put into the right band (findings)? Did the rule fire (firings)? How was the cause
    ranked (causes)? What follows (plan)?

    Example:  diagnose explain cases/white-van-acid.yaml --at firings
    """
    problems: list[InputError] = []
    benches = Benches(book, engine)
    for case in cases([file], problems):
        bench = benches.for_case(case)
        plan = bench.work_up(bench.visit(case))
        click.echo("\n".join(STAGES[stage](plan, bench.book)))
    report(problems, ctx)
