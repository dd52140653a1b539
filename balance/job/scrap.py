"""Parts that were replaced: they stay in the file with their readings, and count no more."""

from balance.job.model import Job

__all__ = ["without_scrap"]


def without_scrap(job: Job) -> Job:
    """Return a job without the parts that its file calls scrapped, and without their weighings.

    Parameters
    ----------
    job : Job
        As its file says it.
    """
    kinds = {kind: getattr(job.parts, kind) for kind in ("pistons", "pins", "rods")}
    gone = {part.mark for parts in kinds.values() for part in parts if part.scrapped}
    if not gone:
        return job
    left = {kind: tuple(p for p in parts if not p.scrapped) for kind, parts in kinds.items()}
    weighings = tuple(entry for entry in job.weighings if entry.part not in gone)
    parts = job.parts.model_copy(update=left)
    return job.model_copy(update={"parts": parts, "weighings": weighings})
