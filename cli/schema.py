"""heavyspot schema: the JSON Schema of the job file, so that editors can complete it."""


def schema() -> int:
    """Print the JSON Schema of the job file for an editor."""
    import json

    from balance.job.model import Job

    print(json.dumps(Job.model_json_schema(), indent=2))
    return 0
