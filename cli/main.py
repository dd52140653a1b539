"""The command ``heavyspot``: parse, call, print. One file a command."""

import sys
from typing import Annotated

import typer

from cli.commands import COMMANDS

app = typer.Typer(
    name="heavyspot",
    help="Balance a rotating assembly: weigh, match, bobweights, spin, holes, record.",
    epilog="A calculation aid: the person who signs the job decides.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(wanted: bool) -> None:
    if wanted:
        from balance import __version__

        print(f"heavyspot {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say which version.")
    ] = False,
) -> None:
    """Balance a rotating assembly: weigh, match, bobweights, spin, holes, record."""


for name, command in COMMANDS:
    app.command(name)(command)


def run() -> None:
    """Run the command line; wrong input is one line on stderr and exit code 2, never a trace."""
    from balance.errors import HeavyspotError, MissingInputError

    try:
        app()
    except MissingInputError as missing:
        print(f"heavyspot: {missing.step} needs more:", file=sys.stderr)
        for item in missing.needed:
            print(f"  - {item}", file=sys.stderr)
        sys.exit(2)
    except HeavyspotError as wrong:
        print(f"heavyspot: {wrong}", file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()  # the reader has gone (`| head`): nothing left to say
        sys.exit(0)
