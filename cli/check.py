"""heavyspot check: what is there, what is missing, what looks wrong, what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cli.arguments import AsJson, JobFile

if TYPE_CHECKING:
    from balance.sheet.standing import Step


def check(job: JobFile, json: AsJson = False) -> int:
    """Say what a job file holds, what each step still needs, and what looks wrong.

    Of a folder, list its jobs and where each stands.
    """
    if job.is_dir():
        from cli.check_folder import check_folder

        return check_folder(job, as_json=json)
    from balance.job.load import read_job
    from balance.sheet.standing import standing
    from cli.printing import bullets, heading, next_step, print_json, table, title

    read = read_job(job)
    found = standing(read)
    code = 0 if found.ready else 1
    if json:
        print_json(found)
        return code
    title("Check", read)
    table(["step", ""], [[step.name, _state(step)] for step in found.steps], left=2)
    for step in found.steps:
        if step.needed:
            heading(f"{step.name} needs")
            bullets(found.needs_of(step))
    if found.wrong:
        heading("Stops a step")
        bullets(found.wrong)
    if found.warnings:
        heading("Looks wrong")
        bullets(found.warnings)
    next_step(found.next)
    return code


def _state(step: Step) -> str:
    if step.wrong:
        return "cannot be done, see below"
    if step.weigh_again:
        return f"weigh {step.weigh_again} again"
    lacking = len(step.needed)
    return f"needs {lacking} thing{'s' * (lacking > 1)}" if lacking else "ready"
