"""The states of a crank between its spins: which spins saw the same metal."""

from collections.abc import Sequence

from balance.job.appended import SpinPage
from balance.job.model import Job

__all__ = ["alike_spins", "state_of"]


def state_of(job: Job, on: Sequence[str], drilled: int) -> int:
    """Return how many of the first ``drilled`` holes are in parts of a stack.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> state_of(read_job(files("cli.examples") / "flat-four.toml"), ["crank"], 3)
    0
    """
    bolted = {part.name for part in job.bolted}
    return sum(
        hole.part in on or ("crank" in on and hole.part not in bolted)
        for hole in job.standing_holes(last=drilled)
    )


def alike_spins(job: Job, on: tuple[str, ...], drilled: int) -> list[SpinPage]:
    """Return the spins of a stack whose parts had the same holes as after ``drilled`` entries.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> len(alike_spins(job, ("crank",), 0))
    1
    """
    state = state_of(job, on, drilled)
    return [s for s in job.standing_spins if s.on == on and state_of(job, on, s.drilled) == state]
