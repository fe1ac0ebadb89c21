"""`diagnose mix`: the shop arithmetic of glycol and water, one command for each job."""

from __future__ import annotations

import importlib

import click

COMMANDS = {
    "protection": ("protection", "What a mixture protects against, and whether that is enough."),
    "refractometer": ("readings", "What a refractometer's reading really says."),
    "hydrometer": ("readings", "What a hydrometer's reading really says."),
    "gauges": ("readings", "What refractometer and hydrometer say together."),
    "boiling": ("boiling", "Where a mixture boils under a cap, at an altitude."),
    "correct": ("correct", "How much to drain and what to add."),
    "replace": ("replace", "Drain, flush and fill: how often, how much, in which order."),
    "fill": ("replace", "Whether a refill took what it should, or air is trapped."),
    "water": ("water", "Whether a water is fit to be mixed in."),
    "two-waters": ("water", "What two waters make together, or how much of one it takes."),
    "loss": ("loss", "How much coolant got out between two readings."),
    "shrink": ("loss", "How much the level drops by cooling down alone."),
    "additive": ("additive", "Heavy-duty coolant: how many units of additive."),
    "convert": ("convert", "One amount in other units and on other scales."),
}


class _Jobs(click.Group):
    """Imports a job when it is called; lists them in the order of the work."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"diagnose.cli.mix.{COMMANDS[cmd_name][0]}")
        command = getattr(module, cmd_name.replace("-", "_"))
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Jobs"):
            formatter.write_dl([(name, says) for name, (_, says) in COMMANDS.items()])


@click.group(cls=_Jobs, context_settings={"help_option_names": ["-h", "--help"]})
def mix() -> None:
    """Reckon with glycol and water, and show each step.

    Amounts carry their unit: '9 L', '2.4 gal', '35 %' (by volume), '45 mass %', '-20 degF', '15 psi'.
    A reading that lies between two is written with two dots: '33..37 %'. The interval behind a
    result is what the stated errors leave open.

    Example:  diagnose mix correct --volume '9 L' --now '35 %' --want '50 %'
    """
