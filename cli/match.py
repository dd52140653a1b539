"""heavyspot match: which piston with which pin and rod, on which throw, and what to cut."""

from pathlib import Path
from typing import Annotated

import typer

from cli.arguments import AsJson, JobFile


def match(
    job: JobFile,
    *,
    bin_: Annotated[
        list[Path] | None,
        typer.Option(
            "--bin",
            metavar="LIST",
            help="Sort a bin of parts from this CSV, XLSX or ODS; may be said again.",
        ),
    ] = None,
    unit: Annotated[
        str | None, typer.Option(help="Unit of bare numbers in those lists [the job's].")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(help="File for the sets of a bin; by default JOB-sets.csv."),
    ] = None,
    json: AsJson = False,
) -> int:
    """Match pistons, pins and rods into sets with the least metal cut.

    With --bin, sort a whole bin from lists into as many sets for this job's engine as possible,
    nothing cut; a bin of pistons alone as well.
    """
    if bin_:
        from cli.match_bin import match_bin

        return match_bin(job, bin_, unit=unit, out=out, as_json=json)
    from balance.errors import InputError, MissingInputError
    from balance.job.load import read_job
    from balance.parts.alone import pistons_alone
    from balance.sheet.results import Results
    from cli.printing import print_json
    from cli.show_parts import show_alone, show_match

    for option, value in (("--out", out), ("--unit", unit)):
        if value is not None:
            raise InputError(f"{option} is for a bin: name its lists with --bin")
    results = Results(read_job(job))
    try:
        sure = results.matched.sure  # what cannot be matched is said before anything is printed
    except MissingInputError:
        alone = pistons_alone(results.job)
        if alone is None or json:
            raise
        show_alone(results.job, alone)
        return 1
    if json:
        found = {"match": results.matched}
        placed = {cylinder: each for cylinder, each in results.placed if cylinder}
        print_json({**found, "set_at_cylinder": placed} if placed else found)
    else:
        show_match(results)
    return 0 if sure else 1
