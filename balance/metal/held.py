"""What stands in a plan's place while holes wait for a spin: nothing to drill, and why."""

import dataclasses

import numpy as np
from numpy.typing import NDArray

from balance.metal.discs import DiscPlan
from balance.metal.planning import Counterweight, Plan, empty_plan

__all__ = ["held_disc", "held_plan", "why_held"]


def held_plan(
    made: Plan,
    unbalance: NDArray[np.complex128],
    counterweights: tuple[Counterweight, ...],
    reason: str,
) -> Plan:
    """Return a plan of nothing, neither possible nor ruled out, for a crank as it stands now.

    Parameters
    ----------
    made : Plan
        The plan as the last spin left it; its rules are kept.
    unbalance : array (2,) complex [g mm]
        By the holes drilled since.
    counterweights : tuple of Counterweight
        With those holes.
    reason : str
        From :func:`why_held`.

    Examples
    --------
    >>> from balance.metal.planning import plan
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan([900, 600], [100, 500], counterweights=weights, drills_mm=[10, 12],
    ...             tolerance_gmm=[60, 60])
    >>> held = held_plan(made, made.residual, made.task.counterweights, why_held(2))
    >>> held.holes, held.feasible
    ((), None)
    """
    task = dataclasses.replace(made.task, unbalance=unbalance, counterweights=counterweights)
    return empty_plan(task, reason, feasible=None)


def held_disc(unbalance: complex, reason: str) -> DiscPlan:
    """Return a plan of nothing, neither possible nor ruled out, for a bolted part as it is now.

    Examples
    --------
    >>> held = held_disc(12j, why_held(1))
    >>> held.holes, held.feasible
    ((), None)
    """
    return DiscPlan((), unbalance, 0.0, 0, None, reason)


def why_held(count: int) -> str:
    """Return in words why nothing is planned.

    Examples
    --------
    >>> why_held(1)
    '1 hole was drilled since the last spin: spin first, then plan anew'
    """
    holes = "hole was" if count == 1 else "holes were"
    return f"{count} {holes} drilled since the last spin: spin first, then plan anew"
