"""Everything in stock, and the cheapest sets from it in whole hundredths of a gram."""

from dataclasses import dataclass, replace

import numpy as np

from balance.parts._grid import Floats, Parts, cents, cents_below
from balance.parts._sets import Solved, solve_sets
from balance.parts._shelf import Shelf, solve_shelf, windows
from balance.parts._swaps import Pool, price, swapped
from balance.parts._task import FAR, Ints, Kind, Meter, Outcome, Task

__all__ = ["Stock", "nearest", "solve"]

LITTLE = 200_000  # candidates


@dataclass(frozen=True)
class Stock:
    """Checked parts; ``slack`` and ``big_slack`` are the tolerances in hundredths of a gram."""

    pistons: Parts
    pins: Parts
    rods: Parts
    big_g: Floats | None
    big_limit_g: Floats
    n: int
    slack: int
    big_slack: int

    @property
    def whole(self) -> bool:
        """Whether every part is used."""
        return all(p.mass_g.size == self.n for p in (self.pistons, self.pins, self.rods))


def solve(stock: Stock, meter: Meter) -> Solved:
    """Return the cheapest sets; ``picks`` (n, 3) are pistons, pins, rods as given."""
    big = None if stock.big_g is None else cents(stock.big_g)[stock.rods.index]
    limits = cents_below(stock.big_limit_g)[stock.rods.index]
    size = stock.rods.mass_g.size
    found = windows(big, limits, tolerance=stock.big_slack, n=stock.n, rods=size)
    kinds = stock.rods.kind, stock.pistons.kind, stock.pins.kind
    ends = None if big is None else Kind(big, limits)
    if not found:
        return Solved(None, None, FAR, True)
    pool = Pool(*kinds, ends, stock.n, stock.slack, stock.big_slack)
    if stock.whole:
        zero = np.zeros(stock.n, dtype=np.int64)
        task = Task(*kinds, extra=zero, n=stock.n, slack=stock.slack)
        solved = _with_big_ends(solve_sets(task, replace(meter)), found[0].least)
        if not solved.proven:
            solved = _bettered(solved, swapped(pool, solved.bound, meter, seed=1))
    else:
        shelf = Shelf(*kinds, found, stock.n, stock.slack, ends, stock.big_slack)
        solved = solve_shelf(shelf, meter)
    solved = _as_priced(solved, pool)
    return replace(solved, picks=_as_given(stock, solved.picks))


def _bettered(solved: Solved, found: Outcome) -> Solved:
    """Return the cheaper answer; the bound stays."""
    if found.cost is None or (solved.cost is not None and solved.cost <= found.cost):
        return solved
    return replace(solved, cost=found.cost, picks=found.picks)


def _as_priced(solved: Solved, pool: Pool) -> Solved:
    """Return the answer at its true price: a stopped search may have counted too much."""
    if solved.picks is None:
        return solved
    cost = price(pool, solved.picks)
    return replace(solved, cost=cost, proven=cost == solved.bound)


def nearest(stock: Stock) -> Solved:
    """Return sets that need little raise of the pistons' limits, when limits forbid all.

    The raise is found by halving: with more to cut, no answer is lost. Each step has little work to
    spend, so the raise may not be the least there is.
    """
    low, high = 0, int(max(p.kind.mass.max() for p in (stock.pistons, stock.pins, stock.rods)))
    best = solve(_raised(stock, high), Meter(LITTLE))
    while high - low > 1:
        middle = (low + high) // 2
        found = solve(_raised(stock, middle), Meter(LITTLE))
        if found.picks is None:
            low = middle
        else:
            best, high = found, middle
    return best


def _raised(stock: Stock, by: int) -> Stock:
    """Return the stock with every piston's and big end's limit raised."""
    kind = stock.pistons.kind
    pistons = replace(stock.pistons, kind=Kind(kind.mass, kind.limit + by))
    return replace(stock, pistons=pistons, big_limit_g=stock.big_limit_g + by / 100)


def _with_big_ends(sets: Solved, least: int) -> Solved:
    """Return the same sets with the fixed cost of all big ends."""
    cost = None if sets.cost is None else sets.cost + least
    bound = sets.bound if sets.cost is None and sets.proven else sets.bound + least
    return replace(sets, cost=cost, bound=bound)


def _as_given(stock: Stock, picks: Ints | None) -> Ints | None:
    """Return rods, pistons, pins in sorted places as pistons, pins, rods in given places."""
    if picks is None:
        return None
    kinds = stock.pistons, stock.pins, stock.rods
    like = np.column_stack([p.twin_of[picks[:, k]] for p, k in zip(kinds, (1, 2, 0), strict=True)])
    like = like[np.lexsort((like[:, 1], like[:, 2], like[:, 0]))]
    given = np.column_stack([p.index[_numbered(like[:, k])] for k, p in enumerate(kinds)])
    return given[np.argsort(given[:, 0])]


def _numbered(like: Ints) -> Ints:
    """Return a part for each set: of equal parts the first, the second, and so on."""
    before: Ints = np.tril(like[:, None] == like, k=-1).sum(axis=1)
    return like + before
