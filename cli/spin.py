"""heavyspot spin: what the machine's readings say about every part."""

from cli.arguments import AsJson, JobFile


def spin(job: JobFile, json: AsJson = False) -> int:
    """Turn the machine's readings into unbalance in the crank's frame, and judge it."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.printing import print_json
    from cli.show_spin import show_spin

    results = Results(read_job(job))
    if json:
        print_json(results.spun)
    else:
        show_spin(results)
    return 0 if all(part.verdict == "pass" for part in results.spun.parts) else 1
