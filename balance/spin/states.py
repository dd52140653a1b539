"""The states of a crank between its spins: which spins saw the same metal."""

from collections.abc import Sequence

from balance.job.appended import SpinPage
from balance.job.model import Job

__all__ = ["alike_spins", "part_of", "state_of"]


def part_of(job: Job, mark: str) -> str:
    """Return the part of a stack that a hole is in: a bolted part by its name, else the crank.

    Parameters
    ----------
    job : Job
        As read from its file.
    mark : str
        As a hole is recorded: the mark of a counterweight or the name of a bolted part.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> part_of(job, "W3"), part_of(job, "flywheel")
    ('crank', 'flywheel')
    """
    return mark if any(part.name == mark for part in job.bolted) else "crank"


def state_of(job: Job, on: Sequence[str], drilled: int) -> int:
    """Return how many of the first ``drilled`` holes are in parts of a stack.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> state_of(read_job(files("cli.examples") / "flat-four.toml"), ["crank"], 3)
    0
    """
    return sum(part_of(job, hole.part) in on for hole in job.standing_holes(last=drilled))


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
