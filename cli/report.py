"""heavyspot report: the pictures and the sheets."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.arguments import AsJson, JobFile

if TYPE_CHECKING:
    from balance.sheet.results import Results


class Picture(StrEnum):
    """File formats of a picture."""

    png = "png"
    svg = "svg"


class Paper(StrEnum):
    """Paper sizes of a sheet."""

    a4 = "a4"
    letter = "us-letter"


def report(
    job: JobFile,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write into; by default beside the job file.")
    ] = None,
    picture: Annotated[Picture, typer.Option(help="Format of the pictures.")] = Picture.png,
    paper: Annotated[Paper, typer.Option(help="Size of the sheets.")] = Paper.a4,
    json: AsJson = False,
) -> int:
    """Write the work sheet, the balance record and the pictures of a job."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.papers import write_papers
    from cli.printing import bullets, heading, next_step, print_json, title

    results = Results(read_job(job))
    folder = out or job.parent / f"{job.stem}-report"
    written, lacking = write_papers(results, folder, picture=picture, paper=paper)
    code = 0 if all(paper.missing for paper in lacking) else 1
    if json:
        said = [str(paper) for paper in lacking]
        print_json({"written": [str(path) for path in written], "lacking": said})
        return code
    title("Report", results.job)
    bullets(str(path) for path in written)
    if lacking:
        heading("Could not be made yet")
        bullets(map(str, lacking))
    if _planned(results):
        next_step("print the work sheet and take it to the drill.")
    else:
        next_step(f"print the work sheet; heavyspot check {job} says what comes next.")
    return code


def _planned(results: "Results") -> bool:
    """Return whether there is a hole to drill or a slug to fit."""
    from balance.errors import MissingInputError

    try:
        corrected = results.corrected
    except MissingInputError:
        return False
    plan = corrected.crank.plan
    return bool(plan.holes or plan.slugs or any(disc.plan.holes for disc in corrected.discs))
