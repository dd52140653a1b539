"""The chance that a plan ends inside the tolerance, and the plan for a wanted chance."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance._work import Progress, Stop, in_order
from balance.errors import (
    InputError,
    called,
    instance_of,
    not_negative,
    one_positive,
    one_real,
    whole,
)
from balance.metal._clock import now, spend
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
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan_for_chance([900, 600], [100, 500], counterweights=weights, drills_mm=[10, 12],
    ...                        tolerance_gmm=[60, 60])
    >>> made.reached, chance_of(made.plan).inside > 0.94
    (True, True)

    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method; from
    memory.
    """
    depths = [[hole.depth_mm for hole in instance_of("plan", plan, Plan).holes]]
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
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan_for_chance([900, 600], [100, 500], counterweights=weights, drills_mm=[10, 12],
    ...                        tolerance_gmm=[60, 60]).plan
    >>> whole = [hole.depth_mm for hole in made.holes]
    >>> at_once, half = chances_at(made, [whole, [depth / 2 for depth in whole]], draws=30_000)
    >>> half.inside < at_once.inside, half.draws
    (True, 30000)

    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method; from
    memory.
    """
    depths = _check(plan, depths_mm)
    whole("draws", draws, least=1)
    _check_how(errors, seed=seed, workers=workers, progress=progress, stop=stop)
    lots = Lots(plan, depths, errors or Errors(), seed)
    done, total = 0, Tally.empty(len(depths))
    for tally in in_order(lots.drill, enumerate(lots_of(draws)), workers=workers, stop=stop):
        total += tally
        done += tally.draws
        if progress is not None:
            progress(done, draws)
    return total.chances(plan)


def _check(plan: Plan, depths_mm: ArrayLike) -> NDArray[np.float64]:
    """Return the rows of depths."""
    if instance_of("plan", plan, Plan).feasible is not True:
        raise InputError(f"plan must be one that can be drilled, got one without: {plan.reason}")
    depths = not_negative("depths_mm", depths_mm)
    if depths.ndim != 2 or depths.shape[1] != len(plan.holes) or not len(depths):
        raise InputError(
            f"depths_mm must be rows of {len(plan.holes)} depths, one for each hole, "
            f"got {depths_mm!r}"
        )
    return depths


def _check_how(
    errors: object, *, seed: object, workers: object, progress: object, stop: object
) -> None:
    """Raise when what says how to drill is of the wrong kind."""
    if errors is not None:
        instance_of("errors", errors, Errors)
    whole("seed", seed, least=0)
    whole("workers", workers, least=1)
    called("progress", progress)
    called("stop", stop)


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
    time_limit_s: float = 10,
    start: Plan | None = None,
    **rules: Any,
) -> Aimed:
    """Return the plan that ends inside the tolerance with a wanted chance for little extra metal.

    The margin is halved between the whole tolerance and a tenth of it; each trial plan is aimed so
    that what drills cut too wide on average is allowed for. Of the plans that reach the chance
    the one of fewest holes, then least metal is kept; if none does, the one of best chance. Where
    holes alone can do it with the whole tolerance, no trial plan has slugs.

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
    time_limit_s : float [s]
        For the least plan (half of it) and all trial plans together; then the best so far is kept.
    start : Plan, optional
        A plan for the same crank that is known already: it is one of the trials, and with the
        whole tolerance it is not made again.
    **rules
        Further arguments of ``plan``, but not ``margin``.

    Raises
    ------
    InputError
        When an argument cannot be right, or no plan exists (the message gives the reason).

    Examples
    --------
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan_for_chance([900, 600], [100, 500], counterweights=weights, drills_mm=[10, 12],
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
    limit = one_positive("time_limit_s", time_limit_s)
    deadline = now() + limit
    if errors is not None:
        instance_of("errors", errors, Errors)
    whole("draws", draws, least=1)
    whole("seed", seed, least=0)
    if start is not None and instance_of("start", start, Plan).task.margin == 1.0:
        least, others = start, []
    else:
        others = [] if start is None else [start]
        least = plan(
            unbalance,
            planes_mm,
            counterweights=counterweights,
            drills_mm=drills_mm,
            tolerance_gmm=tolerance_gmm,
            margin=1.0,
            time_limit_s=limit / 2,
            **rules,
        )
    known = [each for each in (least, *others) if each.feasible is True]
    if not known:
        raise InputError(f"unbalance cannot be planned away: {least.reason}")
    task = dataclasses.replace(least.task, time_limit_s=limit)
    how = {"errors": errors or Errors(), "draws": draws, "seed": seed}
    return _Search(task, known, chance, how, deadline).run()


class _Search:
    """Halving of the margin; keeps the best trial."""

    def __init__(
        self, task: Task, known: list[Plan], wanted: float, how: dict[str, Any], deadline: float
    ) -> None:
        self.task, self.wanted, self._how, self._deadline = task, wanted, how, deadline
        self._least = known[0] if known[0].task.margin == 1.0 else None
        self._slugs = task.slugs if known[0].slugs else None
        self.best, *others = [self._aimed(_with(each, task), each.task.margin) for each in known]
        for trial in others:
            self._keep(trial)

    def run(self) -> Aimed:
        low, high = _LEAST_MARGIN, 1.0
        if self.best.reached and self.best.margin == 1.0:
            return self.best
        if self.best.reached:
            low = self.best.margin
        while high - low > _CLOSE and now() < self._deadline:
            middle = (low + high) / 2
            trial = self._try(middle)
            # where no plan is found none is to be found that keeps closer to zero
            low, high = (low, middle) if trial and not trial.reached else (middle, high)
        return self.best

    @cached_property
    def _sites(self) -> list[Site]:
        """Return the candidates, which are the same for every aim."""
        return sites_of(self.task)

    def _try(self, margin: float) -> Aimed | None:
        """Return the plan at a margin, aimed off by the bias of the best so far if that fits."""
        for bias in (self.best.chance.bias, np.zeros(2)):
            left = self._deadline - now()
            if left <= 0:
                return None
            aim = dataclasses.replace(
                self.task,
                unbalance=self.task.unbalance - bias,
                margin=margin,
                slugs=self._slugs,
                time_limit_s=left / 4,
            )
            made = make(aim, sites=self._sites)
            if made.feasible is True:
                trial = self._aimed(_back(made, self.task, margin), margin)
                self._keep(trial)
                return trial
        return None

    def _aimed(self, made: Plan, margin: float) -> Aimed:
        spend("drilling", self._how["draws"] * len(made.holes))
        chance = chance_of(made, **self._how)
        extra = made.removed_g - self._least.removed_g if self._least else None
        return Aimed(made, chance, margin, extra, chance.inside >= self.wanted)

    def _keep(self, trial: Aimed) -> None:
        """Keep a trial that is better: chance reached, then holes, then metal; else chance."""
        if trial.reached and self.best.reached:
            better = _cost(trial.plan) < _cost(self.best.plan)
        else:
            better = (trial.reached, trial.chance.inside) > (
                self.best.reached,
                self.best.chance.inside,
            )
        self.best = trial if better else self.best


def _cost(plan: Plan) -> tuple[int, int, float]:
    return len(plan.slugs), len(plan.holes), plan.removed_g


def _with(made: Plan, task: Task) -> Plan:
    """Return a plan with the time limit of the whole search."""
    limit = task.time_limit_s
    return dataclasses.replace(made, task=dataclasses.replace(made.task, time_limit_s=limit))


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
