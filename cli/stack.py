"""heavyspot stack: what each bolted part adds, and how it is best bolted up."""

from cli.arguments import AsJson, JobFile


def stack(job: JobFile, json: AsJson = False) -> int:
    """Show what damper, flywheel and clutch cover each add, and how they are best bolted up."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from balance.spin.stack_steps import stack_job
    from cli.printing import print_json
    from cli.show_stack import show_stack

    results = Results(read_job(job))
    stacked = stack_job(results.job, results.spun)
    if json:
        print_json(stacked)
    else:
        show_stack(results, stacked)
    return 0
