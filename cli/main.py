"""The command ``heavyspot``: parse, call, print. One file a command."""

import sys

from cli.interrupts import end_at_once, interrupt_again

# Nothing else is imported up here: Ctrl-C while Python reads modules would show a trace.

_LONGEST = 1000  # letters of a message: a hostile value is quoted in part


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
    end_at_once()
    try:
        _run()
    finally:
        interrupt_again()


def _run() -> None:
    import io

    from balance.errors import HeavyspotError, MissingInputError
    from cli.app import app

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
