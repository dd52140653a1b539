"""The command ``heavyspot``: parse, call, print. One file a command."""

import io
import os
import sys
from typing import Annotated

import typer

from cli.commands import COMMANDS

# A job must read the same whatever else is installed, and looking for plug-ins takes time.
os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"

_LONGEST = 1000  # letters of a message: a hostile value is quoted in part

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


def _check_words(words: list[str]) -> None:
    """Refuse words that a terminal would obey, before anything repeats them."""
    from balance.errors import InputError
    from cli.printing import harmless

    for word in words:
        if harmless(word) != word or "\n" in word:
            raise InputError(f"{word!r} has a control character: write it without")


def _complain(message: str, *, start: str = "heavyspot: ") -> None:
    """Say what is wrong: one line for a program that reads it, folded for a person."""
    said = f"{start}{_one_line(message)}"
    if sys.stderr.isatty():
        import shutil
        import textwrap

        width = min(80, shutil.get_terminal_size().columns)
        said = textwrap.fill(said, width, subsequent_indent="  ", break_on_hyphens=False)
    print(said, file=sys.stderr)


def _one_line(message: str) -> str:
    """Return a message on one line of bearable length that no terminal obeys."""
    from cli.printing import harmless

    if len(message) > _LONGEST:
        half = _LONGEST // 2
        message = f"{message[:half]} ... {message[-half:]}"
    return harmless(message.replace("\n", "\\n"))


def run() -> None:
    """Run the command line; wrong input is one line on stderr and exit code 2, never a trace."""
    from balance.errors import HeavyspotError, MissingInputError

    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # what is no letter there becomes its number
            stream.reconfigure(errors="backslashreplace")
    try:
        _check_words(sys.argv[1:])
        app()
    except MissingInputError as missing:
        _complain(f"{missing.step} needs more:")
        for item in missing.needed:
            _complain(item, start="  - ")
        sys.exit(2)
    except HeavyspotError as wrong:
        _complain(str(wrong))
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()  # the reader has gone (`| head`): nothing left to say
        sys.exit(0)
