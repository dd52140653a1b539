"""heavyspot explain: how a number came about: formula, numbers, result, source."""

from pathlib import Path
from typing import Annotated

import typer

from cli.arguments import AsJson, JobFile


def explain(
    job: JobFile,
    what: Annotated[
        str,
        typer.Argument(help="A step, a part's mark, hole 1, a plane, or a printed number."),
    ] = "",
    html: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write one HTML page instead.")
    ] = None,
    json: AsJson = False,
) -> int:
    """Show how any number came about: formula, this job's numbers, result and source."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from balance.sheet.steps_of_working import working
    from balance.sheet.working_html import working_page
    from cli.printing import next_step, print_json, say
    from cli.show_working import show_working

    results = Results(read_job(job))
    if html is not None:
        from cli.papers import keep

        keep(html, working_page(results, what).encode("utf-8"))
        say(f"Wrote {html}.")
        next_step(f"open {html} in a browser; it needs no network.")
    elif json:
        print_json(working(results, what))
    else:
        show_working(results, working(results, what))
    return 0
