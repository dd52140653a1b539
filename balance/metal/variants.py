"""Other good plans for the same crank, that differ in kind from the least one."""

import dataclasses
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

from balance.errors import InputError, instance_of, one_positive
from balance.metal._clock import by_steps, now
from balance.metal._task import Task
from balance.metal.planning import Plan, make

__all__ = ["Alternative", "alternatives", "other_ways"]

_ASKED_S = 30.0  # who asks for other ways waits for them; the plan itself comes sooner
_MORE_HOLES = 2  # a shallower plan may take this many holes more
_SHARE = 1 / 3  # of the time left for one trial
_SHALLOWER = (0.5, 0.65, 0.8)  # of the deepest hole


@dataclass(frozen=True, eq=False)
class Alternative:
    """A plan of another kind: ``kind`` says in words what it saves."""

    kind: str
    plan: Plan


def alternatives(plan: Plan, *, time_limit_s: float | None = None) -> tuple[Alternative, ...]:
    """Return plans that a shop may like better than the one of fewest holes and least metal.

    One drill for all holes (no tool change); holes near one end of the crank only (one set-up);
    shallower holes, with up to two more of them. Only plans that exist and differ are returned,
    each the best of its kind, as far as its own ``optimal`` says.

    Parameters
    ----------
    plan : Plan
        A plan that can be drilled.
    time_limit_s : float [s], optional
        For all plans that are tried together; that of the plan itself when left out.

    Raises
    ------
    InputError
        When the plan is not one that can be drilled, or the time is not above zero.

    Examples
    --------
    >>> from balance.metal.planning import Counterweight, plan
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan([1500, 200], [100, 500], counterweights=weights, drills_mm=[8, 16],
    ...             tolerance_gmm=[60, 60])
    >>> [other.kind for other in alternatives(made)]
    ['one drill, 8 mm', 'no hole deeper than 5 mm']

    Source: common practice, no source.
    """
    if instance_of("plan", plan, Plan).feasible is not True:
        raise InputError(f"plan must be one that can be drilled, got one without: {plan.reason}")
    limit = plan.task.time_limit_s
    if time_limit_s is not None:
        limit = one_positive("time_limit_s", time_limit_s)
    trial = _Trial(plan.task if plan.slugs else dataclasses.replace(plan.task, slugs=None), limit)
    found: list[Alternative] = []
    for kind in (_one_drill, _one_end, _shallower):
        best = min(kind(plan, trial), key=lambda other: _rank(other.plan), default=None)
        if best and all(best.plan.holes != p.holes for p in [plan, *(a.plan for a in found)]):
            found.append(best)
    return tuple(found)


def other_ways(plan: Plan) -> tuple[Alternative, ...]:
    """Return the alternatives of a job's plan, the same whenever they are asked for.

    Parameters
    ----------
    plan : Plan
        A plan of holes alone; of any other there are none.

    Examples
    --------
    >>> from balance.metal.planning import Counterweight, plan
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan([1500, 200], [100, 500], counterweights=weights, drills_mm=[8, 16],
    ...             tolerance_gmm=[60, 60])
    >>> [other.kind for other in other_ways(made)]
    ['one drill, 8 mm', 'no hole deeper than 5 mm']

    Source: as for :func:`alternatives`.
    """
    if not (plan.feasible and plan.holes) or plan.slugs:
        return ()
    with by_steps():
        return alternatives(plan, time_limit_s=_ASKED_S)


class _Trial:
    """The task of a plan, made again with other rules while there is time."""

    def __init__(self, task: Task, limit_s: float) -> None:
        self.task, self._deadline = task, now() + limit_s

    def make(self, *, only: Collection[int] | None = None, **other: Any) -> Plan | None:
        """Return a plan in a share of the time that is left, if one is found that drills."""
        left = self._deadline - now()
        if left <= 0:
            return None
        task = dataclasses.replace(self.task, **other, time_limit_s=_SHARE * left)
        made = make(task, only=only)
        return made if made.feasible is True and made.holes else None


def _rank(plan: Plan) -> tuple[int, float]:
    return len(plan.holes), plan.removed_g


def _one_drill(plan: Plan, trial: _Trial) -> Iterator[Alternative]:
    """Yield the plan of each single drill, unless the plan changes no tool anyway."""
    if len({hole.diameter_mm for hole in plan.holes}) < 2:
        return
    rules = trial.task.rules
    for drill in rules.drills_mm:
        made = trial.make(rules=dataclasses.replace(rules, drills_mm=(drill,)))
        if made:
            yield Alternative(f"one drill, {drill:g} mm", made)


def _one_end(plan: Plan, trial: _Trial) -> Iterator[Alternative]:
    """Yield the plans that drill only near one end, unless the plan does so anyway."""
    places = [cw.z_mm for cw in trial.task.counterweights]
    middle = (min(places) + max(places)) / 2
    ends = {
        "the nose": {n for n, z in enumerate(places) if z <= middle},
        "the flywheel": {n for n, z in enumerate(places) if z > middle},
    }
    if any({hole.counterweight for hole in plan.holes} <= end for end in ends.values()):
        return
    for name, end in ends.items():
        made = trial.make(only=end)
        if made:
            yield Alternative(f"holes near the end of {name} only", made)


def _shallower(plan: Plan, trial: _Trial) -> Iterator[Alternative]:
    """Yield the shallowest plan of not many more holes."""
    deepest = max((hole.depth_mm for hole in plan.holes), default=0.0)
    for share in _SHALLOWER:
        cap = share * deepest
        if cap < trial.task.rules.min_depth_mm:
            continue
        shallow = tuple(
            dataclasses.replace(cw, max_depth_mm=min(cw.max_depth_mm, cap))
            for cw in trial.task.counterweights
        )
        made = trial.make(counterweights=shallow)
        if made and len(made.holes) <= len(plan.holes) + _MORE_HOLES:
            deep = max(hole.depth_mm for hole in made.holes)
            yield Alternative(f"no hole deeper than {deep:g} mm", made)
            return
