"""What each part showed when it was first spun, and smaller stacks in the state of larger ones."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from balance.engine.bobweights import Bobweight
from balance.job.model import Job
from balance.spin.spun import StackReading
from balance.spin.states import state_of
from balance.spin.steps import stack_states

__all__ = ["States", "added_by", "all_states", "first_measured"]

States = Mapping[tuple[str, ...], tuple[StackReading, ...]]


def all_states(job: Job, bobweights: Sequence[Bobweight] = ()) -> States:
    """Return every state of every stack that was spun, smaller stacks first.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> states = all_states(read_job(files("cli.examples") / "flat-four.toml"))
    >>> [(len(on), len(readings)) for on, readings in states.items()]
    [(1, 1), (2, 1), (3, 1)]
    """
    stacks = sorted(dict.fromkeys(spin.on for spin in job.standing_spins), key=len)
    return {on: stack_states(job, on, bobweights) for on in stacks}


def added_by(job: Job, states: States, stack: StackReading) -> Iterator[tuple[str, complex]]:
    """Yield what each bolted part of a stack adds, of those that were spun with and without.

    Parameters
    ----------
    job : Job
        As read from its file.
    states : States
        From :func:`all_states`.
    stack : StackReading
        One of them; smaller stacks are taken with the holes that it has.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> states = all_states(job)
    >>> [(name, round(abs(u))) for name, u in added_by(job, states, [*states.values()][-1][0])]
    [('flywheel', 304), ('clutch cover', 229)]

    Source: statics.
    """
    for n in range(1, len(stack.on)):
        with_it, without = (_as_then(job, states, stack, stack.on[:k]) for k in (n + 1, n))
        if with_it is not None and without is not None:
            yield stack.on[n], complex((with_it.unbalance - without.unbalance).sum())


def first_measured(
    job: Job, bobweights: Sequence[Bobweight] = ()
) -> dict[str, NDArray[np.complex128]]:
    """Return what each part showed at first [g mm]: crank in two planes, bolted parts in theirs.

    A bolted part is first known where its stack and the one below were spun with the same holes.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> first = first_measured(read_job(files("cli.examples") / "flat-four.toml"))
    >>> {name: len(unbalance) for name, unbalance in first.items()}
    {'crank': 2, 'flywheel': 1, 'clutch cover': 1}

    Source: statics.
    """
    states = all_states(job, bobweights)
    first = {on[0]: readings[0].unbalance for on, readings in states.items() if len(on) == 1}
    for on, readings in states.items():
        for stack in readings if len(on) > 1 else ():
            added = dict(added_by(job, states, stack))
            if on[-1] in added:
                first.setdefault(on[-1], np.array([added[on[-1]]]))
    return first


def _as_then(
    job: Job, states: States, stack: StackReading, on: tuple[str, ...]
) -> StackReading | None:
    """Return a smaller stack as it was spun with the holes that a larger one had."""
    then = state_of(job, on, stack.drilled)
    alike = (each for each in states.get(on, ()) if state_of(job, on, each.drilled) == then)
    return next(alike, None)
