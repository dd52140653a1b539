"""heavyspot report: the pictures and the sheets."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.arguments import AsJson, SureOfHoles

if TYPE_CHECKING:
    from balance.sheet.results import Results


JobOrFolder = Annotated[
    Path, typer.Argument(metavar="JOB", help="The job file, or a folder of job files.")
]


class Picture(StrEnum):
    """File formats of a picture."""

    png = "png"
    svg = "svg"


class Paper(StrEnum):
    """Paper sizes of a sheet."""

    a4 = "a4"
    letter = "us-letter"


def report(
    job: JobOrFolder,
    *,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write into; by default beside the job file.")
    ] = None,
    picture: Annotated[Picture, typer.Option(help="Format of the pictures.")] = Picture.png,
    paper: Annotated[Paper, typer.Option(help="Size of the sheets.")] = Paper.a4,
    again: Annotated[
        bool, typer.Option("--again", help="Of a folder: also what is up to date.")
    ] = False,
    sure: SureOfHoles = False,
    json: AsJson = False,
) -> int:
    """Write the work sheet, the balance record and the pictures of a job.

    Of a folder, those of all its jobs; what is up to date stays as it is.
    """
    from balance.errors import InputError

    if job.is_dir():
        if sure:
            raise InputError("--sure is said of one crank: name its job file, not a folder")
        from cli.report_folder import report_folder

        return report_folder(job, out, picture=picture, paper=paper, again=again, as_json=json)
    from cli.kept_report import Order, made_by, make_report, read_for_report
    from cli.printing import bullets, heading, next_step, print_json, title
    from cli.show_reports import earlier, held_up

    folder = out or job.parent / f"{job.stem}-report"
    read = read_for_report(job, sure=sure)
    made = make_report(read, folder, Order(picture, paper, made_by(), sure))
    written = [folder / name for name in made.written]
    code = 1 if made.impossible else 0
    if json:
        said = [str(paper) for paper in made.lacking]
        print_json({"written": [str(path) for path in written], "lacking": said})
        return code
    title("Report", read.results.job)
    bullets(str(path) for path in written)
    if made.lacking:
        heading("Could not be made yet")
        bullets(f"{', '.join(names)}: {why}" for why, names in held_up(made.lacking))
    if made.removed or made.foreign:
        heading("Papers of an earlier report")
        bullets(earlier(made))
    if _planned(read.results):
        next_step("print the work sheet and take it to the drill.")
    elif _done(read.results):
        next_step("print the record, sign it and hand it over; keep the job file with it.")
    else:
        next_step(f"print the work sheet; heavyspot check {job} says what comes next.")
    return code


def _done(results: "Results") -> bool:
    """Return whether nothing keeps the job from being done."""
    from balance.errors import MissingInputError
    from balance.sheet.still_open import still_open

    try:
        return still_open(results) is None
    except MissingInputError:
        return False


def _planned(results: "Results") -> bool:
    """Return whether there is a hole to drill or a slug to fit."""
    from balance.errors import MissingInputError

    try:
        corrected = results.corrected
    except MissingInputError:
        return False
    plan = corrected.crank.plan
    return bool(plan.holes or plan.slugs or any(disc.plan.holes for disc in corrected.discs))
