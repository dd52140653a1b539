"""What was drilled held against what the next spin showed, correction by correction."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from balance.engine.bobweights import Bobweight
from balance.errors import InputError
from balance.job.model import Job
from balance.metal.drilled_holes import taken_between
from balance.spin.history import Check, CorrectionStep, Learned, check_step, learn
from balance.spin.steps import StackReading, stack_states

__all__ = ["CheckedStep", "History", "history_job"]


@dataclass(frozen=True)
class CheckedStep:
    """One stack, spun, drilled and spun again: from how many holes to how many, and the check."""

    on: tuple[str, ...]
    before: StackReading
    after: StackReading
    check: Check


@dataclass(frozen=True)
class History:
    """Every correction of a job that was spun again, and what they teach of machine and drill.

    ``learned`` is None when no correction went about as planned.
    """

    steps: tuple[CheckedStep, ...]
    learned: Learned | None

    @property
    def agrees(self) -> bool:
        """Whether every reading is where the holes should have brought it."""
        return all(all(step.check.agrees) for step in self.steps)


def history_job(job: Job, bobweights: Sequence[Bobweight] = ()) -> History:
    """Return, for every stack that was spun again after drilling, prediction against reading.

    ``predicted = before - what the holes took``, in the bearing planes; what the bobweights leave
    in doubt is the same before and after and does not count.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> history_job(read_job(files("cli.examples") / "flat-four.toml")).steps
    ()

    Source: as for :func:`balance.spin.history.check_step`.
    """
    steps = tuple(_steps(job, bobweights))
    if not steps:
        return History((), None)
    moves = [_move(job, step.before, step.after) for step in steps]
    u = max(_u(step.before, step.after) for step in steps)
    try:
        return History(steps, learn(moves, u_reading_gmm=u))
    except InputError:  # no correction went about as planned: there is nothing to learn from
        return History(steps, None)


def _steps(job: Job, bobweights: Sequence[Bobweight]) -> Iterator[CheckedStep]:
    stacks = sorted(dict.fromkeys(spin.on for spin in job.standing_spins), key=len)
    for on in stacks if job.drilled else ():
        states = stack_states(job, on, bobweights)
        for before, after in pairwise(states):
            move = _move(job, before, after)
            check = check_step(move, u_reading_gmm=_u(before, after))
            yield CheckedStep(on, before, after, check)


def _move(job: Job, before: StackReading, after: StackReading) -> CorrectionStep:
    weights = [page.mark for page in job.crank.counterweights] if job.crank else []
    parts = [*weights, *(name for name in before.on if name != "crank")]
    taken = taken_between(job, parts, before.drilled, after.drilled)
    return CorrectionStep(before.unbalance, -taken, after.unbalance)


def _u(before: StackReading, after: StackReading) -> float:
    """Return the larger uncertainty of the two; no machine is taken to read better than 1 g mm."""
    return float(max(before.u_machine_gmm.max(), after.u_machine_gmm.max(), 1.0))
