"""The plan of a job drilled over and over, at once and to its first cut, on the same luck."""

from dataclasses import dataclass

from balance._work import Progress, Stop
from balance.errors import InputError
from balance.job.model import Job
from balance.metal.chance import Chance, Errors, chances_at
from balance.metal.steps import Corrected, errors_of

__all__ = ["Drilled", "drill_job"]


@dataclass(frozen=True)
class Drilled:
    """Chances of the crank's plan, from ``draws`` virtual drillings of the ``wanted``.

    ``first_cut`` is None where the plan is all slugs. ``errors`` is what was taken to be off.
    """

    wanted: int
    draws: int
    seed: int
    at_once: Chance
    first_cut: Chance | None
    errors: Errors

    @property
    def stopped(self) -> bool:
        """Whether it was stopped before the wanted number."""
        return self.draws < self.wanted


def drill_job(
    job: Job,
    corrected: Corrected,
    *,
    draws: int,
    seed: int = 1,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Drilled:
    """Return how often the crank's plan ends inside, drilled at once and drilled to its first cut.

    Parameters
    ----------
    job : Job
        As read from its file.
    corrected : Corrected
        Its plan, from :func:`balance.metal.steps.correct_job`.
    draws, seed, workers, progress, stop
        As for :func:`balance.metal.chance.chances_at`.

    Raises
    ------
    InputError
        When there is no hole and no slug to judge, or no draws.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> found = drill_job(job, correct_job(job, spin_job(job)), draws=50_000)
    >>> found.draws, found.at_once.inside > 0.9
    (50000, True)

    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method; from
    memory.
    """
    crank = corrected.crank
    plan, staged = crank.plan, crank.stage
    if not (plan.holes or plan.slugs):
        raise InputError(f"nothing to drill virtually: the plan has no hole ({plan.reason})")
    depths = [[hole.depth_mm for hole in plan.holes]]
    if staged is not None:
        depths.append([cut.depth_mm for cut in staged.first_cut])
    errors = errors_of(job)
    at_once, *first = chances_at(
        plan,
        depths,
        errors=errors,
        draws=draws,
        seed=seed,
        workers=workers,
        progress=progress,
        stop=stop,
    )
    return Drilled(draws, at_once.draws, seed, at_once, first[0] if first else None, errors)
