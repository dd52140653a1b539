"""Match all parts of three kinds into sets: bounds, a quick good answer, and the proof.

Everything is in whole hundredths of a gram. With ``floor`` the lightest sum of an answer, the
answer costs ``total - n (floor + slack) + waste``, where the waste is what sums stand below the top
of the window. The waste is bounded: j parts of one kind have at best the j heaviest of the others.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from balance.parts._search import MOST_PARTS, search
from balance.parts._task import FAR, Ints, Meter, Outcome, Task

__all__ = ["Solved", "rearranged", "solve_sets"]

RESTARTS = 96
SWEEPS = 6
CAPS = (1_000, 6_000, 36_000, 216_000, 2_000_000)  # states held at once, tried in turn
CLOSE = 10  # sums that can all be met within this part of a kind's spread: turning is shorter


@dataclass(frozen=True)
class Solved:
    """``picks`` (n, 3) in the task's order of kinds, or None; ``bound`` holds in any case."""

    cost: int | None
    picks: Ints | None
    bound: int
    proven: bool


def solve_sets(task: Task, meter: Meter) -> Solved:
    """Return the cheapest way to use all parts of ``task``.

    A good answer first; then every floor that could hold a better one is refuted, or gives one.
    Each way of searching is tried with short lists before any is allowed long ones.
    """
    best = rearranged(task)
    worth = best.cost if best.cost is not None else task.largest_cost + 1
    floors, least = _floors(task, worth)
    for turning, order, cap in _attempts(task, floors):
        progress = task.n <= MOST_PARTS
        while floors.size and progress:
            tried = _tried(task, floors, turning=turning)
            found = search(
                task.turned(order), floors[tried], worth - 1, turning=turning, cap=cap, meter=meter
            )
            if found.cost is not None:
                best, worth = replace(found, picks=_turned_back(found.picks, order)), found.cost
            left = _left_open(task, floors, tried, found) & (least < worth)
            progress = found.cost is not None or 4 * int(left.sum()) <= 3 * floors.size
            floors, least = floors[left], least[left]
    bound = int(least.min(initial=worth))
    return Solved(best.cost, best.picks, bound, not floors.size)


def _attempts(task: Task, floors: Ints) -> list[tuple[bool, Ints, int]]:
    """Return the ways to search in the order of trying: turning, order of kinds, states.

    Where sums can be met closely, turning through the kind that varies least is short; where a few
    odd parts decide, taking them first is.
    """
    if not floors.size:
        return []
    kinds = np.argsort([np.ptp(k.mass) for k in task.kinds], kind="stable")
    spend = (task.total / task.n - floors.min()) * CLOSE
    close = spend < np.ptp(task.kinds[kinds[1]].mass)
    straight = [(False, np.roll(kinds, -place)) for place in (2, 1, 0)]
    turning = [(True, kinds)]
    ways = turning + straight if close else straight + turning
    return [(turn, order, cap) for cap in CAPS for turn, order in ways]


def _monotone(task: Task) -> bool:
    """Tell whether a floor that cannot be met rules out every higher one."""
    return task.slack == 0 and not task.limited


def _tried(task: Task, floors: Ints, *, turning: bool) -> Ints:
    """Return which floors to search: the lowest alone when it decides about all."""
    return np.arange(1 if _monotone(task) and not turning else floors.size)


def _left_open(task: Task, floors: Ints, tried: Ints, found: Outcome) -> NDArray[np.bool_]:
    """Tell which floors may still hold a better answer."""
    left = np.ones(floors.size, dtype=bool)
    left[tried] = found.unfinished
    if _monotone(task) and found.cost is None:
        left &= np.logical_and.accumulate(left)
    return left


def _turned_back(picks: Ints | None, order: Ints) -> Ints | None:
    """Return picks in the first order of the kinds, one row an anchor of that order."""
    if picks is None:
        return None
    back = picks[:, np.argsort(order)]
    return back[np.argsort(back[:, 0])]


def _floors(task: Task, worth: int) -> tuple[Ints, Ints]:
    """Return every floor that an answer cheaper than ``worth`` can have, and its bound."""
    # The values alone would be compared with masked arrays, and load them first.
    floors, _ = np.unique(task.sums(), return_index=True)
    count = np.arange(1, task.n + 1)
    light = [np.cumsum(k.mass) for k in task.kinds]
    heavy = [np.cumsum(k.mass[::-1]) for k in task.kinds]
    most = np.minimum.reduce([sum(heavy) - h + s for h, s in zip(heavy, light, strict=True)])
    floors = floors[floors <= np.min(most // count)]
    lost = np.max(count * (floors[:, None] + task.slack) - most, axis=1)
    least = task.total - task.n * (floors + task.slack) + np.maximum(lost, 0)
    open_ = least < worth
    if task.limited:
        least_sums = np.maximum.reduce(
            [sum(light) - s + h for h, s in zip(heavy, light, strict=True)]
        )
        cuts = least_sums - count * (floors[:, None] + task.slack)
        open_ &= np.all(cuts <= task.most_cut, axis=1) & _within_limits(task, floors)
    return floors[open_], least[open_]


def _within_limits(task: Task, floors: Ints) -> NDArray[np.bool_]:
    """Tell at which floors every part has some partners that keep its limits."""
    a, b, c = (k.limit for k in task.kinds)
    sums = task.sums()
    least = sums - (a[:, None, None] + b[:, None] + c) - task.slack
    fits = np.ones(floors.size, dtype=bool)
    for i, floor in enumerate(floors):
        good = (least <= floor) & (floor <= sums)
        fits[i] = all(good.any(axis=axes).all() for axes in ((1, 2), (0, 2), (0, 1)))
    return fits


def rearranged(task: Task) -> Outcome:
    """Return a good answer: each kind in turn set against the sums of the two others, many times.

    Source: heavy against light is the optimum for two kinds; for more, the rearrangement
    algorithm of G. Puccetti and L. Rueschendorf, J. Computational and Applied Mathematics 236
    (2012) 1833-1840, from memory.
    """
    rng = np.random.default_rng(1)  # a fixed seed: the same parts give the same answer
    start = np.broadcast_to(np.arange(task.n), (RESTARTS, task.n))
    places = [np.array(start), rng.permuted(start, axis=1), rng.permuted(start, axis=1)]
    masses = [k.mass for k in task.kinds]
    for _ in range(SWEEPS):
        for kind in (2, 1, 0):
            others = [masses[k][places[k]] for k in range(3) if k != kind]
            order = np.argsort(-(others[0] + others[1]), axis=1, kind="stable")
            np.put_along_axis(places[kind], order, start, axis=1)
    sums = sum(m[p] for m, p in zip(masses, places, strict=True))
    over = sums - sums.min(axis=1, keepdims=True) - task.slack
    cost = np.maximum(over, 0).sum(axis=1)
    limits = sum(k.limit[p] for k, p in zip(task.kinds, places, strict=True))
    cost[(over > limits).any(axis=1)] = FAR
    at = int(cost.argmin())
    if cost[at] == FAR:
        return Outcome()
    picks = np.column_stack([p[at] for p in places])
    return Outcome(int(cost[at]), picks[np.argsort(picks[:, 0])])
