"""heavyspot bobweight: the bobweight of every pin, itemised, or why none is needed."""

from cli.arguments import AsJson, JobFile


def bobweight(job: JobFile, json: AsJson = False) -> int:
    """Make up the bobweight card, or say why no bobweights are needed."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.printing import print_json
    from cli.show_engine import show_bobweights
    from cli.show_parts import show_match

    results = Results(read_job(job))
    if results.need.needed and not results.matched.sure:
        show_match(results)
        return 1
    if json:
        print_json(results.card)
    else:
        show_bobweights(results)
    return 0
