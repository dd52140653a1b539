"""All commands as one application: what they are called, and what belongs to all of them."""

import os
from typing import Annotated

import typer

from cli.commands import COMMANDS

# A job must read the same whatever else is installed, and looking for plug-ins takes time.
os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"

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
    # These take numbers that may be negative; they say themselves when an option was mistyped.
    settings = {"ignore_unknown_options": name in ("drilled", "explain", "weigh")}
    app.command(name, context_settings=settings)(command)
