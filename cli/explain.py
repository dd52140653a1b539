"""heavyspot explain: how a number came about: formula, numbers, result, source."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.arguments import AsJson, JobFile

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.sheet.results import Results

_OPTIONS = ("--html", "--json", "--help")


def explain(
    job: JobFile,
    what: Annotated[
        list[str] | None,
        typer.Argument(help="A step, a part's mark, hole 1, a plane, or a printed number."),
    ] = None,
    html: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write one HTML page instead.")
    ] = None,
    json: AsJson = False,
) -> int:
    """Show how any number came about: formula, this job's numbers, result and source."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from balance.sheet.steps_of_working import answer
    from cli.printing import print_json
    from cli.show_working import show_working

    _refuse_options(what or ())
    results, asked = Results(read_job(job)), " ".join(what or ())
    found = answer(results, asked)
    if html is not None:
        _write(html, results, asked)
    elif json:
        print_json(found.lines)
    else:
        show_working(results, found)
    return 0


def _refuse_options(words: Iterable[str]) -> None:
    """Refuse a mistyped option; a number may be negative, no name begins with a hyphen."""
    import difflib
    import re

    from balance.errors import InputError

    for word in words:
        if word.startswith("-") and not re.match(r"-[.,]?\d", word):
            near = difflib.get_close_matches(word.partition("=")[0], _OPTIONS, n=1, cutoff=0.5)
            meant = f"did you mean {near[0]}?" if near else f"there are {', '.join(_OPTIONS)};"
            raise InputError(f"no option {word!r}: {meant} Only a number may begin with a hyphen")


def _write(path: Path, results: Results, asked: str) -> None:
    from balance.sheet.working_html import working_page
    from cli.papers import keep
    from cli.printing import next_step, say

    keep(path, working_page(results, asked).encode("utf-8"))
    say(f"Wrote {path}.")
    next_step(f"open {path} in a browser; it needs no network.")
