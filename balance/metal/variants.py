"""Other good plans for the same crank, that differ in kind from the least one."""

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass

from balance.errors import InputError
from balance.metal._task import Task
from balance.metal.planning import Plan, make

__all__ = ["Alternative", "alternatives"]

_MORE_HOLES = 2  # a shallower plan may take this many holes more
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
        For each plan that is tried; that of the plan itself when left out.

    Raises
    ------
    InputError
        When the plan is not one that can be drilled.

    Examples
    --------
    >>> from balance.metal.planning import Counterweight, plan
    >>> webs = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan([1500, 200], [100, 500], counterweights=webs, drills_mm=[8, 16],
    ...             tolerance_gmm=[60, 60])
    >>> [other.kind for other in alternatives(made)]
    ['one drill, 8 mm', 'no hole deeper than 5 mm']

    Source: common practice, no source.
    """
    if plan.feasible is not True:
        raise InputError(f"plan must be one that can be drilled, got one without: {plan.reason}")
    task = plan.task
    if time_limit_s is not None:
        task = dataclasses.replace(task, time_limit_s=time_limit_s)
    found: list[Alternative] = []
    for kind in (_one_drill, _one_end, _shallower):
        best = min(kind(plan, task), key=lambda other: _rank(other.plan), default=None)
        if best and all(best.plan.holes != p.holes for p in [plan, *(a.plan for a in found)]):
            found.append(best)
    return tuple(found)


def _rank(plan: Plan) -> tuple[int, float]:
    return len(plan.holes), plan.removed_g


def _good(made: Plan) -> bool:
    return made.feasible is True and bool(made.holes)


def _one_drill(plan: Plan, task: Task) -> Iterator[Alternative]:
    """Yield the plan of each single drill, unless the plan changes no tool anyway."""
    if len({hole.diameter_mm for hole in plan.holes}) < 2:
        return
    for drill in task.rules.drills_mm:
        rules = dataclasses.replace(task.rules, drills_mm=(drill,))
        made = make(dataclasses.replace(task, rules=rules))
        if _good(made):
            yield Alternative(f"one drill, {drill:g} mm", made)


def _one_end(plan: Plan, task: Task) -> Iterator[Alternative]:
    """Yield the plans that drill only near one end, unless the plan does so anyway."""
    places = [cw.z_mm for cw in task.counterweights]
    middle = (min(places) + max(places)) / 2
    ends = {
        "the nose": {n for n, z in enumerate(places) if z <= middle},
        "the flywheel": {n for n, z in enumerate(places) if z > middle},
    }
    if any({hole.counterweight for hole in plan.holes} <= end for end in ends.values()):
        return
    for name, end in ends.items():
        made = make(task, only=end)
        if _good(made):
            yield Alternative(f"holes near the end of {name} only", made)


def _shallower(plan: Plan, task: Task) -> Iterator[Alternative]:
    """Yield the shallowest plan of not many more holes."""
    deepest = max((hole.depth_mm for hole in plan.holes), default=0.0)
    for share in _SHALLOWER:
        cap = share * deepest
        if cap < task.rules.min_depth_mm:
            continue
        shallow = tuple(
            dataclasses.replace(cw, max_depth_mm=min(cw.max_depth_mm, cap))
            for cw in task.counterweights
        )
        made = make(dataclasses.replace(task, counterweights=shallow))
        if _good(made) and len(made.holes) <= len(plan.holes) + _MORE_HOLES:
            deep = max(hole.depth_mm for hole in made.holes)
            yield Alternative(f"no hole deeper than {deep:g} mm", made)
            return
