"""`diagnose case`: from recorded cases to work-ups."""

from __future__ import annotations

from collections.abc import Iterator

import click

from diagnose.cli.batch import Done, Order, work_up
from diagnose.cli.workshop import book_option, engine_option, report
from diagnose.diagnosis.ahead import STEPS
from diagnose.diagnosis.shake import FACTOR, TIMES
from diagnose.pipeline import Wishes
from diagnose.report import FORMATS
from diagnose.yamlfile import InputError


class _Shaking(click.Command):
    """Lets the factor of --shake be left out, whatever comes after it."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        following = [*args[1:], ""][: len(args)]
        told = [
            f"--shake={FACTOR:g}" if arg == "--shake" and not is_number(after) else arg
            for arg, after in zip(args, following, strict=True)
        ]
        return super().parse_args(ctx, told)


def is_number(text: str) -> bool:
    """Whether it is written as a plain number."""
    return text.replace(".", "", 1).isdigit()


@click.command(cls=_Shaking)
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option(
    "--as",
    "form",
    type=click.Choice(sorted(FORMATS)),
    default="text",
    show_default=True,
    help="The form of the result.",
)
@click.option("--shop", default="", metavar="FILE", help="What your shop has: tools, minutes, labour rate.")
@click.option("--rollout", is_flag=True, help="Follow each of the best tests to the end; takes longer, chooses better.")
@click.option(
    "--shake",
    type=click.FloatRange(1, 20, min_open=True),
    metavar="[FACTOR]",
    help=f"Shake the judgement {TIMES} times by this factor ({FACTOR:g} if left out): how firm is the answer?",
)
@click.option("--ahead", type=click.IntRange(0, STEPS), default=0, metavar="N", help="Tell the next N steps.")
@book_option
@engine_option
@click.pass_context
def case(
    ctx: click.Context,
    files: tuple[str, ...],
    form: str,
    shop: str,
    rollout: bool,
    shake: float | None,
    ahead: int,
    book: str,
    engine: str,
) -> None:
    """Work up one or many case files.

    Prints what each reading means, which causes are probable and why, what to test next, what to do
    with the coolant and in which order. A file that can't be used is named at the end, the others
    are worked up all the same; the exit code is then 2.

    Example:  diagnose case cases/white-van-acid.yaml
    """
    form_of, many = FORMATS[form], len(files) > 1
    order = Order(book, engine, shop, Wishes(rollout, shake, ahead), form)
    problems: list[InputError] = []
    for text in form_of.joined(_usable(work_up(files, order), problems), many):
        click.echo(text, nl=False)
    report(problems, ctx)


def _usable(done: Iterator[Done], problems: list[InputError]) -> Iterator[str]:
    """What was rendered; what is wrong with the others is put into `problems`."""
    for each in done:
        if each.problems:
            problems.append(InputError(each.problems))
        else:
            yield each.text
