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
from time import monotonic

import numpy as np
from numpy.typing import NDArray

__all__ = ["Kind", "Meter", "Outcome", "Task", "search"]

Ints = NDArray[np.int64]
FAR = 1 << 40  # more than any mass here: 1e10 g in hundredths
MOST_PARTS = 62  # of one kind: what was used is kept in the bits of one integer
KEY_BITS = 63


@dataclass(frozen=True)
class Kind:
    """Parts of one kind, lightest first: mass and largest cut, in hundredths of a gram."""

    mass: Ints
    limit: Ints

    def take(self, index: Ints) -> "Kind":
        """Return some of the parts."""
        return Kind(self.mass[index], self.limit[index])

    def twin_before(self) -> Ints:
        """Return, for each part, the bit of the part before it when the two are the same."""
        same = (self.mass[1:] == self.mass[:-1]) & (self.limit[1:] == self.limit[:-1])
        bits = np.int64(1) << np.arange(self.mass.size - 1, dtype=np.int64)
        return np.concatenate(([0], np.where(same, bits, 0))).astype(np.int64)


@dataclass(frozen=True)
class Task:
    """``n`` sets out of ``anchors``, ``first`` and ``second``, to within ``slack``.

    ``extra`` is what each anchor costs when it is used; ``must`` says that anchor 0 is used.
    """

    anchors: Kind
    first: Kind
    second: Kind
    extra: Ints
    n: int
    slack: int
    must: bool = False

    @property
    def kinds(self) -> tuple[Kind, Kind, Kind]:
        """The three kinds in the task's order."""
        return self.anchors, self.first, self.second

    def turned(self, order: Ints) -> "Task":
        """Return the same task with its kinds in another order (without extra costs)."""
        anchors, first, second = (self.kinds[k] for k in order)
        extra = np.zeros(anchors.mass.size, dtype=np.int64)
        return replace(self, anchors=anchors, first=first, second=second, extra=extra)

    def sums(self) -> Ints:
        """Return the sum of every possible set."""
        return self.anchors.mass[:, None, None] + self.first.mass[:, None] + self.second.mass

    @property
    def whole(self) -> bool:
        """Whether every part is used, so that the total of all sums is known."""
        return all(k.mass.size == self.n for k in self.kinds)

    @property
    def total(self) -> int:
        """Sum of all parts."""
        return sum(int(k.mass.sum()) for k in self.kinds)

    @property
    def largest_cost(self) -> int:
        """More than any answer within the limits can cost."""
        return sum(int(np.minimum(k.limit, k.mass).sum()) for k in self.kinds)

    @property
    def limited(self) -> bool:
        """Whether the limits can matter."""
        tightest = sum(int(k.limit.min()) for k in self.kinds)
        span = sum(int(np.ptp(k.mass)) for k in self.kinds)
        return tightest < span


@dataclass
class Meter:
    """What a search may spend: candidates looked at (the same on any machine), and time."""

    candidates: int
    ends: float = float("inf")

    def take(self, count: int) -> bool:
        """Book ``count`` candidates; False when nothing is left."""
        self.candidates -= count
        return self.candidates >= 0 and monotonic() < self.ends


@dataclass(frozen=True)
class Outcome:
    """``picks`` (n, 3) anchors, first, second of the cheapest answer; ``complete``: a proof."""

    cost: int | None
    picks: Ints | None
    complete: bool


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
    floor: Ints  # per root
    start: Ints  # per root
    budget: int
    turning: bool
    cap: int
    meter: Meter
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
        else:
            self.waste = np.full(self.floor.size, FAR)
            self.share = np.full(self.floor.size, self.budget) - self.rest[self.start, 0, task.n]


def search(
    task: Task, floors: Ints, budget: int, *, turning: bool, cap: int, meter: Meter
) -> Outcome:
    """Return the cheapest answer of at most ``budget`` over all ``floors``.

    With ``turning`` every anchor is tried as a start under the cycle lemma, and the search stops
    when it holds more than ``cap`` states. Without, anchors are taken in their order, and past
    ``cap`` only the most promising states are kept: then an answer is an answer, but no proof.
    """
    anchors = task.anchors.mass.size
    starts = np.arange(anchors if turning else 1, dtype=np.int64)
    floor, start = np.repeat(floors, starts.size), np.tile(starts, floors.size)
    run = _Run(task, floor, start, budget, turning, cap, meter)
    levels = [_roots(floor.size)]
    complete = True
    for step in range(anchors):
        states, kept_all = _advance(run, levels[-1], step)
        levels.append(states)
        complete &= kept_all
        if not states.size or (turning and not complete):
            break
    return _answer(run, levels, complete)


def _roots(count: int) -> _States:
    """Return one empty state for each root."""
    zero = np.zeros(count, dtype=np.int64)
    return _States(np.arange(count, dtype=np.int64), *([zero] * 9))


def _advance(run: _Run, states: _States, step: int) -> tuple[_States, bool]:
    """Go past one anchor: use it with every fitting pair, or skip it when there are spares."""
    live = np.flatnonzero(states.count < run.task.n)
    here = states.take(live)
    anchor = (run.start[here.root] + step) % run.task.anchors.mass.size
    used, complete = _use(run, here, live, anchor, step)
    if run.task.anchors.mass.size > run.task.n:
        used = _skip(run, here, live, anchor, step).join(used)
    if not complete and run.turning:
        return used, False
    grown = _merge(run, used)
    if run.task.whole and not run.turning and grown.size:
        grown = grown.take(_hopeful(run, grown, step + 1))
    if grown.size <= run.cap:
        return grown, complete
    return (grown if run.turning else _most_promising(run, grown, run.cap)), False


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


def _use(run: _Run, here: _States, live: Ints, anchor: Ints, step: int) -> tuple[_States, bool]:
    """Return the states that use this anchor with every pair that fits; False when cut short."""
    task = run.task
    low, high = _windows(run, here, anchor, step)
    length = high - low
    complete, most = True, 24 * run.cap
    if length.sum() > most or not run.meter.take(int(length.sum())):
        complete = False
        keep = np.argsort(_rank(run, here), kind="stable")
        dropped = keep[np.cumsum(length[keep]) > (0 if run.turning else most)]
        length[dropped] = 0
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
    ), complete


def _windows(run: _Run, here: _States, anchor: Ints, step: int) -> tuple[Ints, Ints]:
    """Return which pairs, in order of their sum, each state can still afford with its anchor."""
    task, root = run.task, here.root
    rest = run.rest[run.start[root], step + 1, task.n - here.count - 1]
    up = run.budget - here.cost - here.extra - task.extra[anchor] - rest
    wasted = here.cost - here.net if task.whole else np.zeros_like(here.cost)
    down = np.minimum(task.slack, run.waste[root] - wasted)
    if run.turning:
        allowance = run.share[root] * (here.count + 1) // task.n - here.cost - wasted
        up, down = np.minimum(up, allowance), np.minimum(down, allowance)
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


def _rank(run: _Run, states: _States) -> Ints:
    """Return how little promise states have: what they spent beyond an even share."""
    if not run.task.whole:
        return states.cost + states.extra
    spent = 2 * states.cost - states.net
    return spent * run.task.n - run.share[states.root] * states.count


def _most_promising(run: _Run, states: _States, count: int) -> _States:
    """Return the ``count`` most promising states, in their old order."""
    best = np.argsort(_rank(run, states), kind="stable")[:count]
    return states.take(np.sort(best))


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


def _answer(run: _Run, levels: list[_States], complete: bool) -> Outcome:
    """Return the cheapest finished state and the way that led to it."""
    best: tuple[int, int, int] | None = None
    for depth, states in enumerate(levels):
        finished = np.flatnonzero(states.count == run.task.n)
        if finished.size:
            cost = (states.cost + states.extra)[finished]
            found = int(cost.min()), depth, int(finished[cost.argmin()])
            best = found if best is None else min(best, found)
    if best is None:
        return Outcome(None, None, complete)
    return Outcome(best[0], _trace(run, levels, best[1], best[2]), complete)


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
