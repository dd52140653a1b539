"""Exact search for matched sets, in whole hundredths of a gram.

A set is one part of each of three kinds. The parts of one kind, the *anchors*, are gone through one
after the other; a state is what was used of the other two kinds. All sets must end in a window
from ``floor`` to ``floor + slack``: a sum below the floor is impossible, what stands above the
window is cut.

Two ideas keep the list of states short:

* two ways to use up the same parts are one state, the cheaper way is kept;
* whatever is spent over the whole circle of anchors, there is one anchor to start from such that
  after k sets no more than k/n of it is spent (the cycle lemma: start after the point where the
  running total is farthest below the straight line). So every anchor is tried as a start with
  that much tighter allowance, and nothing is missed.

Sources: cycle lemma, A. Dvoretzky and T. Motzkin, "A problem of arrangements", Duke Mathematical
Journal 14 (1947) 305-313; dynamic programming over subsets, M. Held and R. M. Karp, "A dynamic
programming approach to sequencing problems", J. SIAM 10 (1962) 196-210; both from memory.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from balance.parts._task import FAR, Ints, Kind, Meter, Outcome, Task

__all__ = ["MOST_PARTS", "search"]

MOST_PARTS = 62  # of one kind: what was used is kept in the bits of one integer
KEY_BITS = 63
CANDIDATES_PER_STATE = 24  # looked at before they are merged


@dataclass(frozen=True)
class _States:
    """A list of states; ``parent``, ``first`` and ``second`` say how each came about (-1: skip)."""

    root: Ints
    used_first: Ints
    used_second: Ints
    count: Ints
    cost: Ints  # cut from the sets
    extra: Ints  # cost of the anchors
    net: Ints  # sum of (set sum - floor - slack)
    parent: Ints
    first: Ints
    second: Ints

    def take(self, index: NDArray[np.int64] | NDArray[np.bool_]) -> "_States":
        return _States(*(getattr(self, name)[index] for name in self.__dataclass_fields__))

    def join(self, other: "_States") -> "_States":
        names = self.__dataclass_fields__
        return _States(*(np.concatenate((getattr(self, n), getattr(other, n))) for n in names))

    @property
    def size(self) -> int:
        return self.root.size


@dataclass
class _Run:
    """Everything that stays fixed during one search."""

    task: Task
    floors: Ints
    budget: int
    turning: bool
    beam: bool
    cap: int
    meter: Meter
    start: Ints = field(init=False)  # per root
    floor_at: Ints = field(init=False)  # per root: its place in the floors
    floor: Ints = field(init=False)  # per root
    given_up: NDArray[np.bool_] = field(init=False)  # per floor
    pair: Ints = field(init=False)
    pair_first: Ints = field(init=False)
    pair_second: Ints = field(init=False)
    waste: Ints = field(init=False)  # per root: the most that sums may stand below the window's top
    share: Ints = field(init=False)  # per root: n times what each set may spend on average
    rest: Ints = field(init=False)  # (starts, step, k): least extra of k anchors still to come
    twin_first: Ints = field(init=False)
    twin_second: Ints = field(init=False)

    def __post_init__(self) -> None:
        task = self.task
        starts = np.arange(task.anchors.mass.size if self.turning else 1, dtype=np.int64)
        self.floor_at = np.repeat(np.arange(self.floors.size), starts.size)
        self.floor, self.start = self.floors[self.floor_at], np.tile(starts, self.floors.size)
        self.given_up = np.zeros(self.floors.size, dtype=bool)
        sums = task.first.mass[:, None] + task.second.mass[None, :]
        order = np.argsort(sums, axis=None, kind="stable")
        self.pair = sums.ravel()[order]
        self.pair_first, self.pair_second = np.divmod(order, task.second.mass.size)
        self.rest = _least_extras(task, self.turning)
        self.twin_first = task.first.twin_before()
        self.twin_second = task.second.twin_before()
        if task.whole:
            self.waste = self.budget - (task.total - task.n * (self.floor + task.slack))
            self.share = self.budget + self.waste
            if task.slack == 0:  # the floor alone tells the cost
                self.share = task.total - task.n * self.floor
        else:
            self.waste = np.full(self.floor.size, FAR)
            self.share = np.full(self.floor.size, self.budget) - self.rest[self.start, 0, task.n]


def search(
    task: Task,
    floors: Ints,
    budget: int,
    *,
    cap: int,
    meter: Meter,
    turning: bool = False,
    beam: bool = False,
) -> Outcome:
    """Return the cheapest answer of at most ``budget`` over all ``floors``.

    With ``turning`` every anchor is tried as a start under the cycle lemma; without, anchors are
    taken in their order. When there are more than ``cap`` states, the floors with the most are
    given up, or with ``beam`` the most promising states are kept and all floors count as given up.
    """
    run = _Run(task, floors, budget, turning, beam, cap, meter)
    levels = [_roots(run.floor.size)]
    for step in range(task.anchors.mass.size):
        levels.append(_advance(run, levels[-1], step))
        if not levels[-1].size:
            break
    return _answer(run, levels)


def _roots(count: int) -> _States:
    """Return one empty state for each root."""
    zero = np.zeros(count, dtype=np.int64)
    return _States(np.arange(count, dtype=np.int64), *([zero] * 9))


def _advance(run: _Run, states: _States, step: int) -> _States:
    """Go past one anchor: use it with every fitting pair, or skip it when there are spares."""
    live = np.flatnonzero(states.count < run.task.n)
    here = states.take(live)
    anchor = (run.start[here.root] + step) % run.task.anchors.mass.size
    grown = _use(run, here, live, anchor, step)
    if run.task.anchors.mass.size > run.task.n:
        grown = _skip(run, here, live, anchor, step).join(grown)
    grown = _merge(run, grown)
    if run.task.whole and not run.turning and grown.size:
        grown = grown.take(_hopeful(run, grown, step + 1))
    return grown.take(_kept(run, grown, np.ones_like(grown.root), run.cap, step + 1))


def _kept(run: _Run, states: _States, weight: Ints, cap: int, step: int) -> NDArray[np.bool_]:
    """Tell which states to keep so that their weights stay within ``cap``; book what is lost."""
    at = run.floor_at[states.root]
    if int(weight.sum()) <= cap:
        return np.ones(states.size, dtype=bool) if run.beam else ~run.given_up[at]
    if run.beam:
        run.given_up[:] = True
        order = np.lexsort((_shuffled(states), _rank(run, states, step)))
        kept = np.empty(states.size, dtype=bool)
        kept[order] = np.cumsum(weight[order]) <= cap
        return kept
    load = np.bincount(at, weights=weight, minlength=run.floors.size)
    order = np.argsort(load, kind="stable")
    run.given_up[order[np.cumsum(load[order]) > cap]] = True
    return ~run.given_up[at]


def _skip(run: _Run, here: _States, live: Ints, anchor: Ints, step: int) -> _States:
    """Return the states that leave this anchor in the bin."""
    rest = run.rest[run.start[here.root], step + 1, run.task.n - here.count]
    fits = here.cost + here.extra + rest <= run.budget
    if run.turning and step == 0:
        fits[:] = False  # a start is a part that is used
    if run.task.must:
        fits &= anchor != 0
    kept = here.take(fits)
    none = np.full(kept.size, -1, dtype=np.int64)
    return replace(kept, parent=live[fits], first=none, second=none)


def _use(run: _Run, here: _States, live: Ints, anchor: Ints, step: int) -> _States:
    """Return the states that use this anchor with every pair that fits."""
    task = run.task
    low, high = _windows(run, here, anchor, step)
    length = high - low
    length[~_kept(run, here, length, CANDIDATES_PER_STATE * run.cap, step)] = 0
    if not run.meter.take(int(length.sum())):
        run.given_up[:] = True
        length[:] = 0
    at = np.repeat(np.arange(length.size), length)
    pair = np.arange(at.size) + np.repeat(low - (np.cumsum(length) - length), length)
    first, second = run.pair_first[pair], run.pair_second[pair]
    bit_first, bit_second = np.int64(1) << first, np.int64(1) << second
    used_first, used_second = here.used_first[at], here.used_second[at]
    free = ((bit_first & used_first) | (bit_second & used_second)) == 0
    free &= (run.twin_first[first] & ~used_first) == 0
    free &= (run.twin_second[second] & ~used_second) == 0
    over = run.pair[pair] + (task.anchors.mass[anchor] - run.floor[here.root] - task.slack)[at]
    if task.limited:
        limit = task.anchors.limit[anchor[at]] + task.first.limit[first] + task.second.limit[second]
        free &= over <= limit
    at, first, second, over = at[free], first[free], second[free], over[free]
    return _States(
        here.root[at],
        used_first[free] | bit_first[free],
        used_second[free] | bit_second[free],
        here.count[at] + 1,
        here.cost[at] + np.maximum(over, 0),
        here.extra[at] + task.extra[anchor[at]],
        here.net[at] + over,
        live[at],
        first,
        second,
    )


def _windows(run: _Run, here: _States, anchor: Ints, step: int) -> tuple[Ints, Ints]:
    """Return which pairs, in order of their sum, each state can still afford with its anchor."""
    task, root = run.task, here.root
    rest = run.rest[run.start[root], step + 1, task.n - here.count - 1]
    up = run.budget - here.cost - here.extra - task.extra[anchor] - rest
    wasted = here.cost - here.net if task.whole else np.zeros_like(here.cost)
    down = np.minimum(task.slack, run.waste[root] - wasted)
    if run.turning:
        allowance = run.share[root] * (here.count + 1) // task.n - here.cost - wasted
        up = np.minimum(up, allowance)
        if task.whole:
            down = np.minimum(down, allowance)
    top = run.floor[root] + task.slack - task.anchors.mass[anchor]
    low = np.searchsorted(run.pair, top - down, side="left")
    high = np.searchsorted(run.pair, top + up, side="right")
    return low, np.where((up < 0) | (down < 0) | (high < low), low, high)


def _merge(run: _Run, states: _States) -> _States:
    """Keep the cheapest of all states that used the same parts from the same root."""
    bits = run.task.first.mass.size, run.task.second.mass.size
    roots = int(run.floor.size).bit_length()
    cost = states.cost + states.extra
    if sum(bits) + roots <= KEY_BITS:
        key = (states.root << sum(bits)) | (states.used_first << bits[1]) | states.used_second
        if run.task.whole and run.task.slack == 0:  # what was used tells the cost
            return states.take(np.unique(key, return_index=True)[1])
        order = np.lexsort((states.cost, cost, key))
        new = np.diff(key[order], prepend=-1) != 0
    else:
        keys = states.used_second, states.used_first, states.root
        order = np.lexsort((states.cost, cost, *keys))
        new = np.any([np.diff(k[order], prepend=-1) != 0 for k in keys], axis=0)
    return states.take(order[new])


def _rank(run: _Run, states: _States, step: int) -> Ints:
    """Return how little promise states have: the least they cost, or spent beyond an even share."""
    if not run.task.whole:
        rest = run.rest[run.start[states.root], step, run.task.n - states.count]
        least: Ints = states.cost + states.extra + rest
        return least
    spent = 2 * states.cost - states.net
    return spent * run.task.n - run.share[states.root] * states.count


def _shuffled(states: _States) -> Ints:
    """Return a fixed arbitrary number for each state: among equals a beam should keep variety."""
    mixed = states.used_first * 0x9E3779B97F4A7C1 + states.used_second * 0x2545F4914F6CDD1
    return mixed ^ (mixed >> 29)


def _hopeful(run: _Run, states: _States, step: int) -> NDArray[np.bool_]:
    """Tell which states pass the bound: j light parts with the j heaviest of what is left."""
    task = run.task
    anchors = np.broadcast_to(task.anchors.mass[step:], (states.size, task.n - step))
    left = anchors, _left(task.first, states.used_first), _left(task.second, states.used_second)
    light = [np.cumsum(kind, axis=1) for kind in left]
    heavy = [np.cumsum(kind[:, ::-1], axis=1) for kind in left]
    total = heavy[0] + heavy[1] + heavy[2]
    most = np.minimum.reduce([total - h + s for h, s in zip(heavy, light, strict=True)])
    count = np.arange(1, task.n - step + 1)
    short = count * run.floor[states.root][:, None] - most
    wasted = states.cost - states.net
    lost = np.max(short + count * task.slack, axis=1, initial=0) + wasted
    hopeful: NDArray[np.bool_] = np.max(short, axis=1, initial=0) <= 0
    if task.limited:  # the j heaviest of a kind with the lightest of what is left must be cuttable
        total = light[0] + light[1] + light[2]
        least = np.maximum.reduce([total - s + h for h, s in zip(heavy, light, strict=True)])
        tops = count * (run.floor[states.root][:, None] + task.slack)
        hopeful &= np.all(least - tops <= task.most_cut[: count.size], axis=1)
    hopeful &= lost <= run.waste[states.root]
    return hopeful


def _left(kind: Kind, used: Ints) -> Ints:
    """Return the masses that each state has not used, lightest first, one row a state."""
    free = (used[:, None] >> np.arange(kind.mass.size)) & 1 == 0
    return kind.mass[np.nonzero(free)[1]].reshape(used.size, -1)


def _least_extras(task: Task, turning: bool) -> Ints:
    """Return (start, step, k): the least extra cost of k anchors from ``step`` on."""
    size = task.anchors.mass.size
    starts = np.arange(size if turning else 1)
    around = task.extra[(starts[:, None] + np.arange(size)) % size]
    least = np.full((starts.size, size + 1, task.n + 1), FAR)
    least[:, :, 0] = 0
    for step in range(size):
        ahead = np.cumsum(np.sort(around[:, step:], axis=1), axis=1)[:, : task.n]
        least[:, step, 1 : ahead.shape[1] + 1] = ahead
    return least


def _answer(run: _Run, levels: list[_States]) -> Outcome:
    """Return the cheapest finished state and the way that led to it."""
    best: tuple[int, int, int] | None = None
    for depth, states in enumerate(levels):
        finished = np.flatnonzero(states.count == run.task.n)
        if finished.size:
            cost = (states.cost + states.extra)[finished]
            found = int(cost.min()), depth, int(finished[cost.argmin()])
            best = found if best is None else min(best, found)
    if best is None:
        return Outcome(unfinished=run.given_up)
    return Outcome(best[0], _trace(run, levels, best[1], best[2]), run.given_up)


def _trace(run: _Run, levels: list[_States], depth: int, at: int) -> Ints:
    """Return the anchors with their partners, in the order of the anchors."""
    size, picks = run.task.anchors.mass.size, []
    for level in range(depth, 0, -1):
        states = levels[level]
        if states.first[at] >= 0:
            anchor = (run.start[states.root[at]] + level - 1) % size
            picks.append((int(anchor), int(states.first[at]), int(states.second[at])))
        at = int(states.parent[at])
    return np.array(sorted(picks), dtype=np.int64)
