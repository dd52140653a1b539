"""The commands, in the order of the work."""

import functools
import sys
from collections.abc import Callable

import typer

from cli.bobweight import bobweight
from cli.check import check
from cli.correct import correct
from cli.demo import demo
from cli.drilled import drilled
from cli.explain import explain
from cli.export import export
from cli.import_ import import_
from cli.interrupts import STOPPED, interrupt_again
from cli.match import match
from cli.new import new
from cli.practice import practice
from cli.prove import prove
from cli.report import report
from cli.schema import schema
from cli.shake import shake
from cli.spin import spin
from cli.stack import stack
from cli.weigh import weigh


def _with_exit_code(command: Callable[..., int]) -> Callable[..., None]:
    """Return a command whose number becomes the exit code: 0 done, 1 not good enough yet."""

    @functools.wraps(command)
    def run(*args: object, **options: object) -> None:
        interrupt_again()
        try:
            code = command(*args, **options)
        except KeyboardInterrupt:
            print("heavyspot: stopped", file=sys.stderr)
            code = STOPPED
        sys.stdout.flush()
        raise typer.Exit(code)

    return run


def _called(command: Callable[..., int]) -> str:
    """Return what a command is called: its function's name, an underscore inside as a hyphen.

    >>> def weigh_again_(): ...
    >>> _called(weigh_again_)
    'weigh-again'
    """
    return command.__name__.rstrip("_").replace("_", "-")


COMMANDS = [
    (_called(command), _with_exit_code(command))
    for command in (
        demo,
        new,
        check,
        weigh,
        import_,
        match,
        bobweight,
        shake,
        prove,
        spin,
        stack,
        correct,
        drilled,
        report,
        export,
        explain,
        practice,
        schema,
    )
]
