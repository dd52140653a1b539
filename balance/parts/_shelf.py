"""Choose n sets from a shelf with more parts than that, big ends included.

The big ends that are used must end within their tolerance of the lightest one used. So each big end
in turn is taken as the lightest (the anchor of a window); what the others then cost is known before
any set is formed, and n - 1 cheapest of them bound the answer. Windows whose bound is above the
best answer are never opened.
"""

from dataclasses import dataclass, replace

import numpy as np

from balance.parts._search import search
from balance.parts._sets import Solved, rearranged
from balance.parts._swaps import Pool, swapped
from balance.parts._task import FAR, Ints, Kind, Meter, Outcome, Task

__all__ = ["Shelf", "Window", "solve_shelf", "windows"]

QUICK, WIDE = 100, 2_000  # states held at once when looking for any answer
TURNING = ((True, 20_000), (False, 10_000), (True, 400_000))  # turning, states held at once
STRAIGHT = ((False, 20_000), *TURNING)  # with little to spend, all starts are more than needed
FIRST_FLOORS = 16
PROOF = 16_000_000  # candidates that a proof may look at
ON_THE_BENCH = 40  # parts of one kind that are searched through
MOST_RODS = 160  # that swaps are tried with
FIRST_STEP = 4  # first budget above the bound, in hundredths of a gram
WIDER = 4  # each budget above the bound is so many times the last: the best is often known


@dataclass(frozen=True)
class Window:
    """Rods that may be used when ``rods[0]`` has the lightest big end; ``least`` cost of n."""

    rods: Ints
    extra: Ints
    least: int


@dataclass(frozen=True)
class Shelf:
    """All parts in stock, of which ``n`` of each are wanted with sums to within ``slack``."""

    rods: Kind
    pistons: Kind
    pins: Kind
    windows: list[Window]
    n: int
    slack: int
    big: Kind | None  # the rods' big ends
    big_slack: int

    @property
    def has_big_ends(self) -> bool:
        """Whether big ends are matched too."""
        return self.big is not None

    def task(self, window: Window) -> Task:
        """Return the task of one window."""
        return Task(
            anchors=self.rods.take(window.rods),
            first=self.pistons,
            second=self.pins,
            extra=window.extra,
            n=self.n,
            slack=self.slack,
            must=self.has_big_ends,
        )


def windows(
    big_ends: Ints | None, limits: Ints, *, tolerance: int, n: int, rods: int
) -> list[Window]:
    """Return one window for each big end that can be the lightest, cheapest first."""
    if big_ends is None:
        return [Window(np.arange(rods), np.zeros(rods, dtype=np.int64), 0)]
    order, found = np.argsort(big_ends, kind="stable"), []
    for at in range(rods - n + 1):
        inside = order[at:]
        extra = np.maximum(big_ends[inside] - big_ends[inside[0]] - tolerance, 0)
        fits = extra <= limits[inside]
        if fits.sum() >= n:
            cheapest = np.sort(extra[fits])[:n]
            found.append(Window(inside[fits], extra[fits], int(cheapest.sum())))
    return sorted(found, key=lambda w: w.least)


def solve_shelf(shelf: Shelf, meter: Meter) -> Solved:
    """Return the cheapest n sets; ``picks`` are rods, pistons, pins.

    Try for an answer at the bound first, then for a good one by swaps. Then budgets grow from
    the bound upwards; each is either refuted or gives the cheapest answer. Where that is too much
    work, swaps try once more.
    """
    if not shelf.windows:
        return Solved(None, None, FAR, True)
    bound = _bound(shelf)
    pistons, pins = (_sample(k.mass.size, shelf.n) for k in (shelf.pistons, shelf.pins))
    bench = replace(
        shelf,
        pistons=shelf.pistons.take(pistons),
        pins=shelf.pins.take(pins),
        windows=[_trimmed(w, shelf.n) for w in shelf.windows],
    )
    solved = _on_the_bench(bench, bound, meter)
    if solved.picks is not None:
        rods, first, second = solved.picks.T
        solved = replace(solved, picks=np.column_stack([rods, pistons[first], pins[second]]))
    largest = max(k.mass.size for k in (shelf.rods, shelf.pistons, shelf.pins))
    if largest <= ON_THE_BENCH or solved.cost == bound:
        return solved
    return replace(solved, bound=bound, proven=False)  # what was left out may do better


def _bound(shelf: Shelf) -> int:
    """Return what n sets cost at least: the big ends, and sets that stand above the window."""
    largest = max(k.mass.size for k in (shelf.rods, shelf.pistons, shelf.pins))
    if largest > ON_THE_BENCH:
        return shelf.windows[0].least
    return min(w.least + _above(shelf.task(w)) for w in shelf.windows)


def _above(task: Task) -> int:
    """Return what n sets stand at least above the highest window that they can have."""
    light, high = _extremes(task)
    tops = np.arange(1, task.n + 1) * (high + task.slack)
    return max(0, int(np.max(light - tops)))


def _on_the_bench(shelf: Shelf, bound: int, meter: Meter) -> Solved:
    """Return the cheapest n sets from a shelf that can be searched through."""
    best = _first_try(shelf, bound, meter)
    if best.cost != bound:
        best = _cheaper(best, _plain(shelf))
        best = _cheaper(best, _swapped(shelf, bound, meter, seed=1))
    if best.cost == bound:
        return Solved(best.cost, best.picks, bound, True)
    solved = _deepen(shelf, best, bound, Meter(min(meter.candidates, PROOF), meter.ends))
    if solved.proven:
        return solved
    found = _swapped(shelf, solved.bound, meter, seed=2)
    best = _cheaper(Outcome(solved.cost, solved.picks), found)
    return Solved(best.cost, best.picks, solved.bound, best.cost == solved.bound)


def _swapped(shelf: Shelf, bound: int, meter: Meter, *, seed: int) -> Outcome:
    """Return a good answer met by swaps, with rods of the cheapest windows when there are many."""
    rods = np.arange(shelf.rods.mass.size)
    if rods.size > MOST_RODS:
        cheapest = [w.rods for w in shelf.windows[:MOST_RODS]]
        rods = np.unique(np.concatenate(cheapest)[:MOST_RODS])
    big = None if shelf.big is None else shelf.big.take(rods)
    kinds = shelf.rods.take(rods), shelf.pistons, shelf.pins
    found = swapped(
        Pool(*kinds, big, shelf.n, shelf.slack, shelf.big_slack), bound, meter, seed=seed
    )
    if found.picks is None:
        return found
    return replace(found, picks=np.column_stack([rods[found.picks[:, 0]], found.picks[:, 1:]]))


def _deepen(shelf: Shelf, best: Outcome, bound: int, meter: Meter) -> Solved:
    """Raise the budget until an answer is proven or the meter is empty."""
    start, step = bound, FIRST_STEP
    ceiling = max(shelf.task(w).largest_cost + int(w.extra.sum()) for w in shelf.windows)
    worth = ceiling + 1 if best.cost is None else best.cost
    while bound < worth:
        budget = min(worth - 1, start + step)
        found = _all_windows(shelf, budget, meter)
        if found.cost is not None:
            best, worth = found, found.cost
        if not found.complete:
            return Solved(best.cost, best.picks, bound, False)
        bound = worth if found.cost is not None else budget + 1
        step *= WIDER
    return Solved(best.cost, best.picks, worth, True)


def _all_windows(shelf: Shelf, budget: int, meter: Meter) -> Outcome:
    """Return the cheapest answer up to ``budget`` over all windows that can hold one."""
    best = Outcome()
    for window in shelf.windows:
        limit = budget if best.cost is None else best.cost - 1
        if window.least > limit:
            break
        best = _cheaper(best, _one_window(shelf, window, limit, meter))
    return best


def _one_window(shelf: Shelf, window: Window, budget: int, meter: Meter) -> Outcome:
    """Return the cheapest answer up to ``budget`` in one window, with proof if it can be had."""
    task, order = shelf.task(window), np.arange(3)
    if not shelf.has_big_ends:
        order = np.argsort([np.ptp(k.mass) for k in task.kinds], kind="stable")
        task = task.turned(order)
    floors, best = _floors(task, budget - window.least), Outcome()
    ways = STRAIGHT if budget - window.least <= task.n else TURNING
    for turning, cap in ways:
        if floors.size and best.cost != window.least:
            limit = budget if best.cost is None else best.cost - 1
            found = search(task, floors, limit, turning=turning, cap=cap, meter=meter)
            best, floors = _cheaper(best, found), floors[found.unfinished]
            if floors.size and best.cost is None:  # too many answers to list, or hard to tell
                few = floors[:: max(1, floors.size // FIRST_FLOORS)]
                best = search(task, few, limit, beam=True, cap=WIDE, meter=meter)
    if best.cost == window.least:
        floors = floors[:0]
    left = np.ones(floors.size, dtype=bool)
    return _in_stock(replace(best, unfinished=left), window, order)


def _floors(task: Task, budget: int) -> Ints:
    """Return every floor that n sets of at most ``budget`` can have."""
    light, high = _extremes(task)
    low = np.max((light - budget) // np.arange(1, task.n + 1)) - task.slack
    sums: Ints = np.unique(task.sums())
    within: Ints = sums[(sums >= low) & (sums <= high)]
    return within


def _extremes(task: Task) -> tuple[Ints, int]:
    """Return (kind, j - 1) the least that j sets weigh, and the highest floor that n can have."""
    light = [np.sort(k.mass)[: task.n] for k in task.kinds]
    heavy = [np.sort(k.mass)[::-1][: task.n] for k in task.kinds]
    high = int(np.min(_against(heavy) // np.arange(1, task.n + 1)))
    return _against(light), high


def _against(kinds: list[Ints]) -> Ints:
    """Return (kind, j - 1): the j last parts of one kind with the j first of the other two."""
    front = [np.cumsum(k) for k in kinds]
    back = [np.cumsum(k[::-1]) for k in kinds]
    return np.stack([sum(front) - f + b for f, b in zip(front, back, strict=True)])


def _first_try(shelf: Shelf, bound: int, meter: Meter) -> Outcome:
    """Look for an answer at the bound: the cheapest rods, the oddest first, near their middle."""
    window, rods = shelf.windows[0], _cheapest_rods(shelf)
    task = _with_rods(shelf, rods)
    pairs = task.first.mass[:, None] + task.second.mass
    low = int(task.anchors.mass.max() + pairs.min()) - task.slack
    high = int(task.anchors.mass.min() + pairs.max())
    margin = (high - low) // 4  # at the edges the odd rods find few partners
    middle = int(task.anchors.mass.mean() + np.median(pairs)) - task.slack // 2
    middle = min(max(middle, low + margin), high - margin)
    sums = np.unique(pairs + task.anchors.mass[0])
    near = np.sort(sums[np.argsort(np.abs(sums - middle), kind="stable")[:FIRST_FLOORS]])
    found = search(task, near, bound, beam=True, cap=QUICK, meter=meter)
    if found.picks is None:
        return found
    picks = np.column_stack([rods[found.picks[:, 0]], found.picks[:, 1:]])
    return _in_stock(replace(found, picks=picks), window, np.arange(3))


def _cheapest_rods(shelf: Shelf) -> Ints:
    """Return n rods of the best window that cost least, of equals the most alike; oddest first."""
    window = shelf.windows[0]
    mass = shelf.rods.mass[window.rods]
    rods = np.lexsort((np.abs(mass - int(np.median(mass))), window.extra))[: shelf.n]
    odd = np.abs(mass[rods] - int(np.median(mass[rods])))
    return rods[np.argsort(-odd, kind="stable")]


def _with_rods(shelf: Shelf, rods: Ints) -> Task:
    """Return the task of the best window with some of its rods, all to be used."""
    task = shelf.task(shelf.windows[0])
    return replace(task, anchors=task.anchors.take(rods), extra=task.extra[rods], must=False)


def _plain(shelf: Shelf) -> Outcome:
    """Return a fair answer: the cheapest rods, neighbours by mass, set against each other."""
    window, rods = shelf.windows[0], np.sort(_cheapest_rods(shelf))
    inside = [np.arange(shelf.n), *(_closest(k.mass, shelf.n) for k in (shelf.pistons, shelf.pins))]
    task = _with_rods(shelf, rods)
    few = replace(task, first=task.first.take(inside[1]), second=task.second.take(inside[2]))
    found = rearranged(few)
    if found.cost is None or found.picks is None:
        return found
    picks = np.column_stack([i[found.picks[:, k]] for k, i in enumerate([rods, *inside[1:]])])
    cost = found.cost + int(few.extra.sum())
    return _in_stock(Outcome(cost, picks), window, np.arange(3))


def _closest(mass: Ints, n: int) -> Ints:
    """Return the n neighbours that span least."""
    spans = mass[n - 1 :] - mass[: mass.size - n + 1]
    return np.arange(n) + int(spans.argmin())


def _cheaper(one: Outcome, other: Outcome) -> Outcome:
    """Return the cheaper of two answers, with all that was given up for both."""
    costs = [FAR if o.cost is None else o.cost for o in (one, other)]
    best = one if costs[0] <= costs[1] else other
    return replace(best, unfinished=np.concatenate((one.unfinished, other.unfinished)))


def _in_stock(found: Outcome, window: Window, order: Ints) -> Outcome:
    """Return the answer with the rods numbered as in stock, kinds as rods, pistons, pins."""
    if found.picks is None:
        return found
    picks = found.picks[:, np.argsort(order)]
    picks[:, 0] = window.rods[picks[:, 0]]
    return replace(found, picks=picks[np.argsort(picks[:, 0])])


def _sample(size: int, n: int) -> Ints:
    """Return the indexes of an even sample of at most `ON_THE_BENCH` parts."""
    most = max(ON_THE_BENCH, n)
    if size <= most:
        return np.arange(size)
    return np.linspace(0, size - 1, most).round().astype(np.int64)


def _trimmed(window: Window, n: int) -> Window:
    """Return the window with its cheapest rods only, the lightest big end among them."""
    if window.rods.size <= ON_THE_BENCH:
        return window
    if not window.extra.any():  # no big ends
        kept = _sample(window.rods.size, n)
    else:
        kept = np.sort(np.argsort(window.extra, kind="stable")[: max(ON_THE_BENCH, n)])
    return replace(window, rods=window.rods[kept], extra=window.extra[kept])
