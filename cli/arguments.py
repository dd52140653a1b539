"""Arguments and options that several commands share."""

import difflib
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Annotated

import typer

from balance.errors import InputError

JobFile = Annotated[
    Path, typer.Argument(metavar="JOB", help="The job file (heavyspot new makes one).")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the result as JSON for programs.")]

SureOfHoles = Annotated[
    bool,
    typer.Option(
        "--sure", help="Plan on though the last spin contradicts the holes: they were measured."
    ),
]


def refuse_options(words: Iterable[str], options: Sequence[str]) -> None:
    """Refuse a mistyped option where a number may be negative: no name begins with a hyphen.

    For commands that are made with ``ignore_unknown_options``.
    """
    for word in words:
        if word.startswith("-") and not re.match(r"-[.,]?\d", word):
            near = difflib.get_close_matches(word.partition("=")[0], options, n=1, cutoff=0.5)
            meant = f"did you mean {near[0]}?" if near else f"there are {', '.join(options)};"
            raise InputError(f"no option {word!r}: {meant} Only a number may begin with a hyphen")
