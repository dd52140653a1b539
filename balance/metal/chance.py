"""The chance that a plan ends inside the tolerance, and the plan for a wanted chance."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance._work import Progress, Stop, in_order
from balance.errors import InputError, not_negative, one_real
from balance.metal._drilling import Errors
from balance.metal._lots import Chance, Lots, Tally, lots_of
from balance.metal._sites import Site
from balance.metal._task import Task
from balance.metal.planning import Counterweight, Plan, make, plan, sites_of

__all__ = ["Aimed", "Chance", "Errors", "chance_of", "chances_at", "plan_for_chance"]

_LEAST_MARGIN = 0.1  # closer to zero the chance hardly grows, and fine steps get hard to place
_CLOSE = 0.03  # of the tolerance: margins this close are not told apart by their chance


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
    plan: Plan,
    *,
    errors: Errors | None = None,
    draws: int = 100_000,
    seed: int = 1,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Stop | None = None,
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
    draws, seed, workers, progress, stop
        As for :func:`chances_at`.

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

    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method; from
    memory.
    """
    depths = [[hole.depth_mm for hole in plan.holes]]
    found = chances_at(
        plan,
        depths,
        errors=errors,
        draws=draws,
        seed=seed,
        workers=workers,
        progress=progress,
        stop=stop,
    )
    return found[0]


def chances_at(
    plan: Plan,
    depths_mm: ArrayLike,
    *,
    errors: Errors | None = None,
    draws: int = 100_000,
    seed: int = 1,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> tuple[Chance, ...]:
    """Return how often a plan ends inside when its holes are drilled to these depths, row by row.

    All rows meet the same luck, so that they can be compared. Drillings are made 20 000 at a time,
    each lot from a seed of its own: memory does not grow with ``draws``, and the answer is the
    same for any number of workers.

    Parameters
    ----------
    plan : Plan
        The plan; what it was made from is kept with it.
    depths_mm : array, shape (rows, holes) [mm]
        Full-diameter depths meant, as in the plan or less.
    errors : Errors, optional
        What may be off; see :class:`Errors` for the defaults.
    draws : int
        Number of virtual drillings.
    seed : int
        Seed of the draws: the same seed gives the same answer.
    workers : int
        Threads that share the work.
    progress : callable, optional
        Called with the drillings done and ``draws``.
    stop : callable, optional
        Asked between lots; when it returns True the chances come from the drillings made by then,
        and ``Chance.draws`` says how many.

    Raises
    ------
    InputError
        When there is no plan to drill, no draws, or not one depth for each hole.

    Examples
    --------
    >>> webs = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan_for_chance([900, 600], [100, 500], counterweights=webs, drills_mm=[10, 12],
    ...                        tolerance_gmm=[60, 60]).plan
    >>> whole = [hole.depth_mm for hole in made.holes]
    >>> at_once, half = chances_at(made, [whole, [depth / 2 for depth in whole]], draws=30_000)
    >>> half.inside < at_once.inside, half.draws
    (True, 30000)

    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method; from
    memory.
    """
    depths = _check(plan, depths_mm, draws)
    lots = Lots(plan, depths, errors or Errors(), seed)
    done, total = 0, Tally.empty(len(depths))
    for tally in in_order(lots.drill, enumerate(lots_of(draws)), workers=workers, stop=stop):
        total += tally
        done += tally.draws
        if progress is not None:
            progress(done, draws)
    return total.chances(plan)


def _check(plan: Plan, depths_mm: ArrayLike, draws: int) -> NDArray[np.float64]:
    """Return the rows of depths."""
    if plan.feasible is not True:
        raise InputError(f"plan must be one that can be drilled, got one without: {plan.reason}")
    if draws < 1:
        raise InputError(f"draws must be at least 1, got {draws!r}")
    depths = not_negative("depths_mm", depths_mm)
    if depths.ndim != 2 or depths.shape[1] != len(plan.holes) or not len(depths):
        raise InputError(
            f"depths_mm must be rows of {len(plan.holes)} depths, one for each hole, "
            f"got {depths_mm!r}"
        )
    return depths


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

    Source: chance constraint met by search on the margin; JCGM 101:2008, from memory, for the
    chance itself.
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

    @cached_property
    def _sites(self) -> list[Site]:
        """Return the candidates, which are the same for every aim."""
        return sites_of(self.least.task)

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
            made = make(aim, sites=self._sites)
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
        reason=(
            f"aimed at {margin:.2f} of the limit, so that it ends inside in spite of what may be "
            "off; drills that cut wide are allowed for"
        ),
        task=dataclasses.replace(task, margin=margin),
    )
