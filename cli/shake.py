"""heavyspot shake: what the engine shakes, and the factor question."""

from cli.arguments import AsJson, JobFile


def shake(job: JobFile, json: AsJson = False) -> int:
    """Show what the engine shakes at service speed, and what the balance factor does to it."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.printing import print_json
    from cli.show_engine import show_shake

    results = Results(read_job(job))
    if json:
        print_json(results.shook)
    else:
        show_shake(results)
    return 0
