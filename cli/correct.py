"""heavyspot correct: which holes and slugs, where, which drill, how deep."""

from typing import TYPE_CHECKING, Annotated

import typer

from cli.arguments import AsJson, JobFile, SureOfHoles

if TYPE_CHECKING:
    from balance.sheet.results import Results


def correct(
    job: JobFile,
    json: AsJson = False,
    others: Annotated[
        bool, typer.Option("--others", help="Plan in other ways too: one drill, one end, shallow.")
    ] = False,
    drillings: Annotated[
        int | None,
        typer.Option(min=1, metavar="N", help="Judge the plan by so many virtual drillings."),
    ] = None,
    sure: SureOfHoles = False,
) -> int:
    """Plan the holes and slugs that bring every part inside its limit."""
    from balance.errors import InputError
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.correction_json import correction_for_programs
    from cli.printing import busy, print_json
    from cli.show_metal import show_correction

    if others and drillings:
        raise InputError("--others and --drillings are two questions: ask one at a time")
    results = Results(read_job(job), sure=sure)
    with busy("planning the holes ..."):
        _ = results.others if others else results.corrected
    if drillings and not results.stop and "crank" not in results.corrected.waiting:
        return _drill(results, drillings, command=f"heavyspot correct {job}", json=json)
    if json:
        print_json(correction_for_programs(results, others=others))
    else:
        show_correction(results, others=others)
    return 0 if results.corrected.feasible and not results.stop else 1


def _drill(results: "Results", count: int, *, command: str, json: bool) -> int:
    """Drill the plan so often; Ctrl-C ends it early, and what was made is shown."""
    from balance.metal.drilling_steps import drill_job
    from cli.interrupts import STOPPED
    from cli.printing import print_json
    from cli.show_drillings import show_drillings
    from cli.watching import cores, watched

    with watched("drillings", quiet=json) as watch:
        drilled = drill_job(
            results.job,
            results.corrected,
            draws=count,
            workers=cores(),
            progress=watch.progress,
            stop=watch.stop,
        )
    if json:
        print_json({"stopped": drilled.stopped, "drillings": drilled})
    else:
        show_drillings(results, drilled, command=command)
    return STOPPED if drilled.stopped else 0
