"""The chance that a plan ends inside the tolerance, and the plan for a wanted chance."""

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, one_real
from balance.metal._drilling import Errors, VirtualDrillings
from balance.metal._task import Task
from balance.metal.planning import Counterweight, Plan, make, plan

__all__ = ["Aimed", "Chance", "Errors", "chance_of", "plan_for_chance"]

_PART = 20_000
_LEAST_MARGIN = 0.1  # closer to zero the chance hardly grows, and fine steps get hard to place
_CLOSE = 0.03  # of the tolerance: margins this close are not told apart by their chance


@dataclass(frozen=True)
class Chance:
    """How often many virtual drillings of a plan end well.

    ``inside`` [1] the share that ends inside the tolerance in both planes, with its standard
    error ``inside_u``; ``overshoot`` [1] the share that ends outside, light where the crank was
    heavy: metal cannot be put back. ``bias`` (2,) complex [g mm] what the holes take more than
    planned on average (drills cut oversize).
    """

    inside: float
    inside_u: float
    overshoot: float
    bias: NDArray[np.complex128]


@dataclass(frozen=True, eq=False)
class Aimed:
    """A plan made for a wanted chance.

    ``margin`` [1] is the share of the tolerance that it was made with; ``extra_g`` [g] what it
    takes more than the least-metal plan with the whole tolerance (None without such a plan).
    ``reached`` says whether the wanted chance is met; if not, it is the best that was found.
    """

    plan: Plan
    chance: Chance
    margin: float
    extra_g: float | None
    reached: bool


def chance_of(
    plan: Plan, *, errors: Errors | None = None, draws: int = 100_000, seed: int = 1
) -> Chance:
    """Return how often a plan ends inside the tolerance when it is drilled many times.

    Each virtual drilling draws the true unbalance about the reading, and each hole's depth, angle
    and diameter about the plan; the exact unbalance of each hole is taken.

    Parameters
    ----------
    plan : Plan
        The plan; what it was made from is kept with it.
    errors : Errors, optional
        What may be off; see :class:`Errors` for the defaults.
    draws : int
        Number of virtual drillings.
    seed : int
        Seed of the draws: the same seed gives the same answer.

    Raises
    ------
    InputError
        When there is no plan to drill, or no draws.

    Examples
    --------
    >>> webs = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan_for_chance([900, 600], [100, 500], counterweights=webs, drills_mm=[10, 12],
    ...                        tolerance_gmm=[60, 60])
    >>> made.reached, chance_of(made.plan).inside > 0.94
    (True, True)

    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method.
    """
    _check(plan, draws)
    inside = overshot = 0
    left_in_all: Any = np.zeros(2)
    for part, size in enumerate(_parts(draws)):
        trial = VirtualDrillings(
            plan.holes,
            plan.task,
            errors or Errors(),
            draws=size,
            seed=(seed, part),
            slugs=plan.slugs,
        )
        left = trial.left([hole.depth_mm for hole in plan.holes])
        inside += int(trial.inside(left).sum())
        overshot += int(trial.overshot(left).sum())
        left_in_all = left_in_all + left.sum(axis=1)
    share = inside / draws
    return Chance(
        inside=share,
        inside_u=math.sqrt(share * (1 - share) / draws),
        overshoot=overshot / draws,
        bias=plan.residual - left_in_all / draws,
    )


def _parts(draws: int) -> list[int]:
    """Return the sizes of the parts in which draws are made: small enough for the cache."""
    whole, rest = divmod(draws, _PART)
    return [_PART] * whole + ([rest] if rest else [])


def _check(plan: Plan, draws: int) -> None:
    if plan.feasible is not True:
        raise InputError(f"plan must be one that can be drilled, got one without: {plan.reason}")
    if draws < 1:
        raise InputError(f"draws must be at least 1, got {draws!r}")


def plan_for_chance(
    unbalance: ArrayLike,
    planes_mm: ArrayLike,
    *,
    counterweights: Sequence[Counterweight],
    drills_mm: ArrayLike,
    tolerance_gmm: ArrayLike,
    chance: float = 0.95,
    errors: Errors | None = None,
    draws: int = 40_000,
    seed: int = 1,
    **rules: Any,
) -> Aimed:
    """Return the plan that ends inside the tolerance with a wanted chance for little extra metal.

    The margin is halved between the whole tolerance and a tenth of it; each trial plan is aimed so
    that what drills cut too wide on average is allowed for. Of the plans that reach the chance
    the one of least metal is kept; if none does, the one of best chance.

    Parameters
    ----------
    unbalance, planes_mm, counterweights, drills_mm, tolerance_gmm
        As for :func:`balance.metal.planning.plan` [g mm], [mm].
    chance : float [1]
        Wanted chance of ending inside.
    errors : Errors, optional
        What may be off.
    draws, seed : int
        Virtual drillings of each trial plan, and their seed.
    **rules
        Further arguments of ``plan``, but not ``margin``.

    Raises
    ------
    InputError
        When an argument cannot be right, or no plan exists (the message gives the reason).

    Examples
    --------
    >>> webs = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan_for_chance([900, 600], [100, 500], counterweights=webs, drills_mm=[10, 12],
    ...                        tolerance_gmm=[60, 60])
    >>> len(made.plan.holes), made.extra_g < 1.0
    (2, True)

    Source: chance constraint met by search on the margin; JCGM 101:2008 for the chance itself.
    """
    if not 0 < one_real("chance", chance) < 1:
        raise InputError(f"chance must be between 0 and 1, got {chance!r}")
    if "margin" in rules:
        raise InputError("margin must not be given: it is what is looked for")
    least = plan(
        unbalance,
        planes_mm,
        counterweights=counterweights,
        drills_mm=drills_mm,
        tolerance_gmm=tolerance_gmm,
        margin=1.0,
        **rules,
    )
    if least.feasible is not True:
        raise InputError(f"unbalance cannot be planned away: {least.reason}")
    return _Search(least, chance, errors or Errors(), draws, seed).run()


class _Search:
    """Halving of the margin; keeps the best trial."""

    def __init__(self, least: Plan, wanted: float, errors: Errors, draws: int, seed: int) -> None:
        self.least, self.wanted = least, wanted
        self._how: dict[str, Any] = {"errors": errors, "draws": draws, "seed": seed}
        self.best = self._aimed(least, 1.0)

    def run(self) -> Aimed:
        low, high = _LEAST_MARGIN, 1.0
        if self.best.reached:
            return self.best
        while high - low > _CLOSE:
            middle = (low + high) / 2
            trial = self._try(middle)
            low, high = (middle, high) if trial and trial.reached else (low, middle)
        return self.best

    def _try(self, margin: float) -> Aimed | None:
        """Return the plan at a margin, aimed off by the bias of the best so far if that fits."""
        task = self.least.task
        for bias in (self.best.chance.bias, np.zeros(2)):
            aim = dataclasses.replace(
                task,
                unbalance=task.unbalance - bias,
                margin=margin,
                time_limit_s=task.time_limit_s / 4,
            )
            made = make(aim)
            if made.feasible is True:
                trial = self._aimed(_back(made, task, margin), margin)
                self.best = trial if self._better(trial) else self.best
                return trial
        return None

    def _aimed(self, made: Plan, margin: float) -> Aimed:
        chance = chance_of(made, **self._how)
        extra = made.removed_g - self.least.removed_g
        return Aimed(made, chance, margin, extra, chance.inside >= self.wanted)

    def _better(self, trial: Aimed) -> bool:
        """Return whether a trial is to be kept: chance reached, then metal; else chance."""
        if trial.reached and self.best.reached:
            return trial.plan.removed_g < self.best.plan.removed_g
        return (trial.reached, trial.chance.inside) > (self.best.reached, self.best.chance.inside)


def _back(made: Plan, task: Task, margin: float) -> Plan:
    """Return a plan that was aimed off, judged against the unbalance that was read."""
    return dataclasses.replace(
        made,
        residual=made.residual + (task.unbalance - made.task.unbalance),
        optimal=False,
        reason=f"aimed for its chance: margin {margin:.2f}, wide drills allowed for",
        task=dataclasses.replace(task, margin=margin),
    )
