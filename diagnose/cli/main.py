"""The commands, and what becomes of an error: 2 for input, 3 for a bug of ours."""

from __future__ import annotations

import gc
import importlib
import keyword
import sys

import click

from diagnose.firings.matcher import EngineUnavailable
from diagnose.yamlfile import InputError

COMMANDS = {
    "bench": "Ask one question at a time at the car, and save each answer.",
    "books": "List the rulebooks that can be found.",
    "case": "Work up recorded cases.",
    "draw": "Draw a rulebook: its rules, or a tree of what to ask.",
    "explain": "Print one stage of a work-up, with rule ids and places.",
    "handout": "Print a rulebook's trees, tests and lessons for a class.",
    "mix": "Reckon protection, corrections and fills.",
    "sheet": "Make the customer's sheet or the work order.",
    "try": "Try a rulebook on its own examples and on cases.",
    "vet": "Check a rulebook for mistakes.",
}


class _Lazy(click.Group):
    """Imports a command's module when it is called, so that each start pays only for what it uses."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        name = f"{cmd_name}_" if keyword.iskeyword(cmd_name) else cmd_name
        command = getattr(importlib.import_module(f"diagnose.cli.{name}"), name)
        gc.enable()
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(sorted(COMMANDS.items()))


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="diagnose", message="%(version)s")
def main() -> None:
    """Work out why a coolant went bad, from rules that can be read.

    Start with a case file:  diagnose case cases/white-van-acid.yaml
    """


def run() -> None:
    """The console script."""
    gc.disable()  # what is imported stays: looking for rubbish in it only takes time
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    reconfigure = getattr(sys.stdin, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="surrogateescape")  # what is no text in the console's encoding is refused where it is used
    try:
        code = main(standalone_mode=False)
        sys.exit(code if isinstance(code, int) else 0)
    except click.exceptions.Abort:
        sys.exit(2)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except click.exceptions.Exit as error:
        sys.exit(error.exit_code)
    except (InputError, EngineUnavailable) as error:
        click.echo(str(error), err=True)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:  # the last line of defence: a person must not see a traceback
        click.echo(f"diagnose stumbled over a mistake of its own: {type(error).__name__}: {error}", err=True)
        click.echo("Nothing was changed. Please report it with the file that brought it about.", err=True)
        sys.exit(3)
