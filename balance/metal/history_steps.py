"""What was drilled held against what the next spin showed, correction by correction."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from balance.engine.bobweights import Bobweight
from balance.errors import InputError
from balance.job.model import Job
from balance.metal.drilled_holes import holes_in, merged, taken_between, taken_by
from balance.spin.check_spin import REACH, putty_gmm
from balance.spin.check_spin_steps import putty_of
from balance.spin.history import Check, CorrectionStep, Learned, check_step, learn
from balance.spin.planes import transfer
from balance.spin.steps import StackReading, stack_states
from balance.units import show
from balance.vectors import degrees, turn

__all__ = ["CheckedStep", "History", "history_job"]

Complex = NDArray[np.complex128]


@dataclass(frozen=True)
class CheckedStep:
    """One stack, spun, drilled and spun again: from how many holes to how many, and the check.

    ``unrecorded`` when one hole more than is recorded is the simplest thing that explains it.
    """

    on: tuple[str, ...]
    before: StackReading
    after: StackReading
    check: Check
    unrecorded: bool = False


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
        """What the latest spin of the crank alone says against the holes that are recorded.

        While it stands, the metal is not as the file says: no further hole may rest on it. One
        spin in twenty disagrees by chance; one in a thousand is taken for a mistake.
        """
        crank = [step.check for step in self.steps if step.on == ("crank",)]
        if not crank or np.all(np.abs(crank[-1].difference) <= REACH * crank[-1].u_gmm):
            return ""
        return crank[-1].message


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
    moves = [_move(job, step.before, step.after) for step in known]
    u = max(_u(step.before, step.after) for step in steps)
    try:
        return History(steps, learn(moves, u_reading_gmm=u))
    except InputError:  # no correction went about as planned: there is nothing to learn from
        return History(steps, None)


def _steps(job: Job, bobweights: Sequence[Bobweight]) -> Iterator[CheckedStep]:
    stacks = sorted(dict.fromkeys(spin.on for spin in job.standing_spins), key=len)
    for on in stacks if job.standing_holes() else ():
        states = stack_states(job, on, bobweights)
        for before, after in pairwise(states):
            move = _move(job, before, after)
            u = _u(before, after)
            fitted = dict(_unrecorded(job, move))
            other = dict(_otherwise(job, move, before, after))
            check = check_step(move, u_reading_gmm=u, alternatives=other, fitted=fitted)
            missing = bool(check.explanations) and check.explanations[0].text in fitted
            yield CheckedStep(on, before, after, check, missing)


def _otherwise(
    job: Job, move: CorrectionStep, before: StackReading, after: StackReading
) -> Iterator[tuple[str, Complex]]:
    """Yield what would have changed with one recorded hole not drilled, or with putty still on."""
    parts = _parts(job, before.on)
    first = [hole for part in parts for hole in holes_in(job, part, before.drilled)]
    entered = job.standing_holes(before.drilled, after.drilled)
    new = [hole for hole in entered if hole.part in parts]
    for hole in new if len(new) > 1 else ():  # of one hole alone the check itself knows
        rest = [other for other in new if other is not hole]
        more = taken_by(job, merged([*first, *new])) - taken_by(job, merged([*first, *rest]))
        place = f"{hole.part} at {hole.angle:g} degrees"
        yield f"the hole recorded in {place} was not drilled", move.correction + more
    if job.check_spins and job.crank is not None:
        putty = [putty_of(job, stuck) for stuck in job.check_spins[-1].stuck]
        stuck_on = putty_gmm(putty, job.crank.bearings)
        yield "the putty of the check spin was still on", move.correction + stuck_on


def _unrecorded(job: Job, move: CorrectionStep) -> Iterator[tuple[str, Complex]]:
    """Yield, for each counterweight, the one hole more there that comes nearest to the reading.

    With shares s of its place in the bearing planes, ``x = s . (correction - change) / s . s`` is
    the unbalance that such a hole took: it must point into the counterweight's sector.
    """
    crank = job.crank
    if crank is None:
        return
    for page in crank.counterweights:
        share = np.real(transfer(1.0, page.z, crank.bearings))
        x = complex(share @ (move.correction - move.change) / (share @ share))
        if abs(turn(degrees(x) - page.centre)) <= page.half_span:
            yield (
                (
                    f"a hole that is not recorded, of about {show(abs(x), 'unbalance', 'g mm')} at "
                    f"{degrees(x):.0f} degrees in counterweight {page.mark} (record it with "
                    "heavyspot drilled)"
                ),
                move.correction - x * share,
            )


def _move(job: Job, before: StackReading, after: StackReading) -> CorrectionStep:
    taken = taken_between(job, _parts(job, before.on), before.drilled, after.drilled)
    return CorrectionStep(before.unbalance, -taken, after.unbalance)


def _parts(job: Job, on: Sequence[str]) -> list[str]:
    """Return everything of a stack that may have been drilled: counterweights and bolted parts."""
    weights = [page.mark for page in job.crank.counterweights] if job.crank else []
    return [*weights, *(name for name in on if name != "crank")]


def _u(before: StackReading, after: StackReading) -> float:
    """Return the larger uncertainty of the two; no machine is taken to read better than 1 g mm."""
    return float(max(before.u_machine_gmm.max(), after.u_machine_gmm.max(), 1.0))
