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
        code = command(*args, **options)
        sys.stdout.flush()
        raise typer.Exit(code)

    return run


COMMANDS = [
    (command.__name__.rstrip("_"), _with_exit_code(command))
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
