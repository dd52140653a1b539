"""heavyspot report: the pictures and the sheets."""

from pathlib import Path
from typing import Annotated

import typer

from cli.arguments import AsJson, JobFile


def report(
    job: JobFile,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write into; by default beside the job file.")
    ] = None,
    json: AsJson = False,
) -> int:
    """Write the work sheet and the pictures of a job."""
    raise NotImplementedError
