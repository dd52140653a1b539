"""Arguments and options that several commands share."""

from pathlib import Path
from typing import Annotated

import typer

JobFile = Annotated[
    Path, typer.Argument(metavar="JOB", help="The job file (heavyspot new makes one).")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the result as JSON for programs.")]
