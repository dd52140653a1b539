"""heavyspot correct: which holes and slugs, where, which drill, how deep."""

from typing import Annotated

import typer

from cli.arguments import AsJson, JobFile


def correct(
    job: JobFile,
    json: AsJson = False,
    others: Annotated[
        bool, typer.Option("--others", help="Plan in other ways too: one drill, one end, shallow.")
    ] = False,
) -> int:
    """Plan the holes and slugs that bring every part inside its limit."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.printing import busy, print_json
    from cli.show_metal import show_correction

    results = Results(read_job(job))
    with busy("planning the holes ..."):
        _ = results.others if others else results.corrected
    if json and others:
        print_json({"plan": results.corrected, "others": results.others})
    elif json:
        print_json(results.corrected)
    else:
        show_correction(results, others=others)
    return 0 if results.corrected.feasible else 1
