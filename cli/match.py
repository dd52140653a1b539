"""heavyspot match: which piston with which pin and rod, on which throw, and what to cut."""

from cli.arguments import AsJson, JobFile


def match(job: JobFile, json: AsJson = False) -> int:
    """Match pistons, pins and rods into sets with the least metal cut."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.printing import print_json
    from cli.show_parts import show_match

    results = Results(read_job(job))
    sure = results.matched.sure  # what cannot be matched is said before anything is printed
    if json:
        print_json(
            {
                "match": results.matched,
                "set_at_cylinder": dict(
                    zip(results.card.cylinders, results.card.sets, strict=True)
                ),
            }
        )
    else:
        show_match(results)
    return 0 if sure else 1
