"""heavyspot explain: how a number came about: formula, numbers, result, source."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.arguments import AsJson, JobFile, refuse_options

if TYPE_CHECKING:
    from balance.sheet.results import Results

_OPTIONS = ("--html", "--json", "--help")


def explain(
    job: JobFile,
    what: Annotated[
        list[str] | None,
        typer.Argument(
            help="A step, a part's mark, hole 1, a plane, a word (limit), or a printed number."
        ),
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

    refuse_options(what or (), _OPTIONS)
    results, asked = Results(read_job(job)), " ".join(what or ())
    found = answer(results, asked)
    if html is not None:
        _write(html, results, asked)
    elif json:
        print_json(found.lines)
    else:
        show_working(results, found)
    return 0


def _write(path: Path, results: Results, asked: str) -> None:
    from balance.sheet.working_html import working_page
    from cli.papers import keep
    from cli.printing import next_step, say

    keep(path, working_page(results, asked).encode("utf-8"))
    say(f"Wrote {path}.")
    next_step(f"open {path} in a browser; it needs no network.")
