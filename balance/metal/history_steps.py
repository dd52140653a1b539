"""What was drilled held against what the next spin showed, correction by correction."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from balance.engine.bobweights import Bobweight
from balance.errors import InputError
from balance.job.appended import DrilledPage
from balance.job.model import Job
from balance.metal.causes import Respun, fitted_causes, known_causes
from balance.spin.check_spin import REACH
from balance.spin.first_states import added_by, all_states
from balance.spin.history import Check, Learned, check_step, learn

__all__ = ["CheckedStep", "History", "history_job"]


@dataclass(frozen=True)
class CheckedStep:
    """One stack, spun, drilled and spun again: what lies between, and the check.

    ``unrecorded`` when something that is not recorded is the simplest thing that explains it: a
    hole more, or a bolted part that went back on turned. ``there_before`` are holes that were
    recorded since, though the spin before shows them already.
    """

    on: tuple[str, ...]
    respun: Respun
    check: Check
    unrecorded: bool = False
    there_before: tuple[DrilledPage, ...] = ()

    @property
    def contradiction(self) -> str:
        """What the spin says against the recorded holes; empty where it may be chance."""
        if self.within(self.check.difference):
            return ""
        said = _there_before(self.there_before) or self.check.message
        return said if len(self.on) == 1 else f"{' + '.join(self.on)}: {said}"

    def within(self, unbalance: NDArray[np.complex128]) -> bool:
        """Return whether chance may bring an amount about, one time in a thousand at most."""
        return bool(np.all(np.abs(unbalance) <= REACH * self.check.u_gmm))


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

    @property
    def unexplained(self) -> str:
        """What the latest spins say against the holes that are recorded, the crank alone first.

        While it stands, the metal is not as the file says: no further hole may rest on it. One
        spin in twenty disagrees by chance; one in a thousand is taken for a mistake.
        """
        latest = {step.on: step for step in self.steps}
        return next(filter(None, (step.contradiction for step in latest.values())), "")


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
    known = [step for step in steps if not step.unrecorded]
    moves = [step.respun.move for step in known]
    u = max(step.respun.u_gmm for step in steps)
    try:
        return History(steps, learn(moves, u_reading_gmm=u))
    except InputError:  # no correction went about as planned: there is nothing to learn from
        return History(steps, None)


def _steps(job: Job, bobweights: Sequence[Bobweight]) -> Iterator[CheckedStep]:
    crank = job.crank
    if crank is None or not job.standing_holes():
        return
    states = all_states(job, bobweights)
    for readings in states.values():
        earlier = None
        for before, after in pairwise(readings):
            added = dict(added_by(job, states, before))
            step = _checked(Respun(job, crank, before, after, added))
            if earlier is not None and _shown_before(earlier, step):
                step = replace(step, there_before=tuple(step.respun.new))
            yield step
            earlier = step


def _shown_before(earlier: CheckedStep, step: CheckedStep) -> bool:
    """Whether the holes of a step are what the spin before it showed and nobody had recorded."""
    move = step.respun.move
    lacking = earlier.check.difference - move.correction
    both = np.hypot(earlier.check.u_gmm, step.check.u_gmm)
    return (
        bool(earlier.contradiction)
        and step.within(move.change)
        and bool(np.all(np.abs(lacking) <= REACH * both))
    )


def _there_before(holes: Sequence[DrilledPage]) -> str:
    if not holes:
        return ""
    places = ", ".join(f"{hole.part} at {hole.angle:g} degrees" for hole in holes)
    return (
        f"what was recorded since ({places}) was there at the spin before already: take both spins "
        "back (heavyspot spin --undo, twice) and enter the last one again (--add)"
    )


def _checked(respun: Respun) -> CheckedStep:
    fitted = dict(fitted_causes(respun))
    check = check_step(
        respun.move,
        u_reading_gmm=respun.u_gmm,
        alternatives=dict(known_causes(respun)),
        fitted=fitted,
        planes=[f"plane {z:g} mm" for z in respun.crank.bearings],
    )
    unrecorded = bool(check.explanations) and check.explanations[0].text in fitted
    return CheckedStep(respun.before.on, respun, check, unrecorded=unrecorded)
