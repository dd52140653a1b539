"""Every arrangement compared: one half of the cylinders laid against the other half.

A placing leaves the vector x + y, x from the first half of the cylinders and y from the second.
For each way to deal the sets to the halves all orders of both halves are built, and one product of
two matrices compares every x with every y: ``|x + y|^2 = |x|^2 + |y|^2 + 2 x . y``.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["TIE", "Task", "arrangements", "exhaust", "improve"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Indexes = NDArray[np.intp]

AT_A_TIME = 400_000  # numbers held at a time: about what a core's own cache takes
ONE_CORE = 250_000  # multiplications up to which a product stays on one core: several cores wait
# for each other, and for whatever else the computer does
TIE = 1e-12  # of the squared size of the deviations: differences this small are rounding
MOST_TIES = 1000  # kept of each split
STARTS, ROUNDS, AT_ONCE = 4, 25, 10  # beyond the provable: 10 cylinders at a time, exactly


@dataclass(frozen=True)
class Task:
    """Kinds of sets for free cylinders: vector = start + sum of kinds[kind at c] @ columns[c].

    ``mirror`` says that exchanging the two halves, cylinder k with cylinder half + k, changes no
    length: then only one of each two opposite ways to deal the sets has to be looked at.
    """

    kinds: Floats  # (kinds, 2): reciprocating and rotating deviation
    counts: tuple[int, ...]  # how many sets of each kind there are
    columns: Floats  # (cylinders, 2, dimensions)
    start: Floats  # (dimensions,)
    mirror: bool = False


def arrangements(counts: Sequence[int]) -> int:
    """Return the number of different arrangements: ``n! / (k_1! k_2! ...)``.

    Examples
    --------
    >>> arrangements((1, 1, 2))
    12
    """
    return math.factorial(sum(counts)) // math.prod(math.factorial(k) for k in counts)


@lru_cache(maxsize=4096)
def _orders(counts: tuple[int, ...]) -> Indexes:
    """Return every different order of that many of each kind, a row an order, sorted."""
    if not any(counts):
        return np.zeros((1, 0), dtype=np.intp)
    rows = []
    for kind, count in enumerate(counts):
        if count:
            rest = _orders((*counts[:kind], count - 1, *counts[kind + 1 :]))
            rows.append(np.hstack([np.full((len(rest), 1), kind, dtype=np.intp), rest]))
    return np.vstack(rows)


@dataclass(frozen=True)
class Splits:
    """Ways to deal the kinds to the two halves that look alike: same numbers of equal sets."""

    kinds_a: Indexes  # (splits, kinds in the first half)
    kinds_b: Indexes
    orders_a: Indexes  # (orders, cylinders of the first half)
    orders_b: Indexes

    def rows(self, split: int, a: Indexes, b: Indexes) -> Indexes:
        """Return the kind at each cylinder for pairs (a, b) of orders of one split."""
        first = self.kinds_a[split][self.orders_a[a]]
        return np.hstack([first, self.kinds_b[split][self.orders_b[b]]])


@lru_cache(maxsize=256)
def _splits(counts: tuple[int, ...], size: int, mirror: bool) -> list[Splits]:
    """Return every way to deal the kinds to two halves, those that look alike together."""
    alike = defaultdict(list)
    for dealt, rest in _dealt(counts, size):
        if not (mirror and dealt < rest):
            looks = tuple(tuple(d for d in half if d) for half in (dealt, rest))
            alike[looks].append([[k for k, d in enumerate(half) if d] for half in (dealt, rest)])
    return [
        Splits(
            np.array([a for a, _ in pairs], dtype=np.intp),
            np.array([b for _, b in pairs], dtype=np.intp),
            _orders(dealt_a),
            _orders(dealt_b),
        )
        for (dealt_a, dealt_b), pairs in alike.items()
    ]


def _dealt(counts: tuple[int, ...], size: int) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Return how many of each kind go to the first half and how many to the second."""
    every = (
        np.indices([k + 1 for k in counts]).reshape(len(counts), math.prod(k + 1 for k in counts)).T
    )
    some = every[every.sum(axis=1) == size]
    rest = np.array(counts, dtype=np.intp) - some
    return list(zip(map(tuple, some.tolist()), map(tuple, rest.tolist()), strict=True))


def exhaust(task: Task) -> Indexes:
    """Return the best rows of kinds (rows, cylinders), every arrangement compared.

    First in single precision: the least square of every split, and a bound of the rounding in it.
    Then the pairs that may be the least, in double precision.

    Parameters
    ----------
    task : Task
        What to place.

    Examples
    --------
    >>> columns = np.array([[[1.0], [0.0]], [[-1.0], [0.0]], [[2.0], [0.0]]])
    >>> task = Task(np.array([[-1.0, 0], [0, 0], [1, 0]]), (1, 1, 1), columns, np.zeros(1))
    >>> exhaust(task).tolist()
    [[2, 1, 0], [0, 1, 2]]
    """
    table = np.einsum("kg,cgd->ckd", task.kinds, task.columns)  # (cylinders, kinds, dimensions)
    groups = _splits(task.counts, len(task.columns) // 2, task.mirror)
    least = [_least_squares(task, table, group) for group in groups]
    doubt = _doubt(table, task.start)
    limit = min(float(squares.min()) for squares in least) + 2.0 * doubt
    found = [
        _refined(task, table, group, int(split), limit + doubt)
        for group, squares in zip(groups, least, strict=True)
        for split in np.flatnonzero(squares <= limit)
    ]
    best = min(square for square, _ in found)
    rows = np.vstack([rows for square, rows in found if square <= best + TIE])
    if task.mirror:
        return np.vstack([rows, np.roll(rows, rows.shape[1] // 2, axis=1)])
    return rows


def _doubt(table: Floats, start: Floats) -> float:
    """Return a bound of the rounding in the single-precision squares.

    A square is at most s^2, s the sum of the longest parts. Building x and y rounds n + 2 times,
    their squares and the product of matrices once for each of about 2 d + 6 terms; twice the unit
    of rounding covers what is of second order.
    """
    longest = np.linalg.norm(table, axis=2).max(axis=1, initial=0.0)
    size = float(longest.sum() + np.linalg.norm(start))
    steps = 2 * (len(table) + 2) + 2 * table.shape[2] + 6
    return float(steps * 2.0**-23 * size**2)


def _least_squares(task: Task, table: Floats, group: Splits) -> Singles:
    """Return the least square of each split in single precision."""
    single, half = table.astype(np.float32), group.orders_a.shape[1]
    first, second = single[:half], single[half:]
    picks = [_picks(group.orders_a, group.kinds_a), _picks(group.orders_b, group.kinds_b)]
    found = []
    block = max(1, AT_A_TIME // (len(picks[0]) + len(picks[1])) // 16)
    for at in range(0, len(group.kinds_a), block):
        some = slice(at, at + block)
        x = _built(first, group.kinds_a[some], picks[0]) + task.start.astype(np.float32)
        found.append(_minima(*_factors(x, _built(second, group.kinds_b[some], picks[1]))))
    return np.concatenate(found)


def _picks(orders: Indexes, kinds: Indexes) -> Singles:
    """Return the orders as rows of ones and zeros, (orders, cylinders * kinds)."""
    return np.eye(kinds.shape[1], dtype=np.float32)[orders].reshape(len(orders), -1)


def _built(table: Any, kinds: Indexes, picks: Singles) -> Any:
    """Return the vectors (splits, orders, dimensions) of one half."""
    parts = table[:, kinds].transpose(1, 0, 2, 3)
    return _product(picks, parts.reshape(len(kinds), picks.shape[1], table.shape[2]))


def _factors(x: Any, y: Any) -> tuple[Any, Any]:
    """Return factors whose product is |x + y|^2 for every pair."""
    wide = x.shape[2]
    left = np.ones((*x.shape[:2], wide + 2), dtype=x.dtype)
    right = np.ones((y.shape[0], wide + 2, y.shape[1]), dtype=y.dtype)
    left[:, :, :wide], right[:, :wide] = x, 2.0 * y.transpose(0, 2, 1)
    left[:, :, wide] = np.einsum("sod,sod->so", x, x)
    right[:, wide + 1] = np.einsum("sod,sod->so", y, y)
    return left, right


def _product(left: Any, right: Any) -> Any:
    """Return ``left @ right``, worked out in pieces of rows that stay on one core each."""
    count, depth = left.shape[-2:]
    most = max(1, ONE_CORE // max(1, depth * right.shape[-1]))
    rows = next(r for r in range(min(count, most), 0, -1) if count % r == 0)
    pieces = left.reshape(*left.shape[:-2], count // rows, rows, depth) @ right[..., None, :, :]
    return pieces.reshape(*pieces.shape[:-3], count, right.shape[-1])


def _minima(left: Any, right: Any) -> Any:
    """Return the least entry of each product of a stack."""
    step = max(1, AT_A_TIME // (left.shape[1] * right.shape[2]))
    tiles = (slice(at, at + step) for at in range(0, len(left), step))
    return np.concatenate([_product(left[t], right[t]).min(axis=(1, 2)) for t in tiles])


def _refined(
    task: Task, table: Floats, group: Splits, split: int, limit: float
) -> tuple[float, Indexes]:
    """Return the least square of a split in double precision and the rows that reach it."""
    half, one = group.orders_a.shape[1], slice(split, split + 1)
    x = _built(table[:half], group.kinds_a[one], _picks(group.orders_a, group.kinds_a)) + task.start
    y = _built(table[half:], group.kinds_b[one], _picks(group.orders_b, group.kinds_b))
    first, second = np.nonzero(_product(*_factors(x, y))[0] <= limit)
    sums = x[0, first] + y[0, second]
    squares = np.einsum("pd,pd->p", sums, sums)
    tied = np.flatnonzero(squares <= squares.min() + TIE)[:MOST_TIES]
    return float(squares.min()), group.rows(split, first[tied], second[tied])


def improve(task: Task) -> Indexes:
    """Return one good row of kinds: again and again the best order of a few cylinders.

    Parameters
    ----------
    task : Task
        What to place; more than can be compared.

    Examples
    --------
    >>> columns = np.arange(24.0).reshape(12, 2, 1) % 5
    >>> task = Task(np.array([[-1.0, 1], [2, -2]]), (9, 3), columns, np.zeros(1))
    >>> sorted(improve(task)[0].tolist())
    [0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1]
    """
    rng = np.random.default_rng(0)
    every = np.repeat(np.arange(len(task.counts), dtype=np.intp), task.counts)
    found = [_settled(task, rng.permutation(every), rng) for _ in range(STARTS)]
    return found[int(np.argmin([_square(task, row) for row in found]))][None, :]


def _settled(task: Task, row: Indexes, rng: np.random.Generator) -> Indexes:
    """Return a row whose squares only fell: the best order of some cylinders, many times."""
    for _ in range(ROUNDS):
        few = np.sort(rng.choice(len(row), AT_ONCE, replace=False))
        kinds, counts = np.unique(row[few], return_counts=True)
        rest = np.setdiff1d(np.arange(len(row)), few)
        part = Task(
            kinds=task.kinds[kinds],
            counts=tuple(counts.tolist()),
            columns=task.columns[few],
            start=task.start + _pull(task, row, rest),
        )
        row[few] = kinds[exhaust(part)[0]]
    return row


def _pull(task: Task, row: Indexes, cylinders: Indexes) -> Floats:
    """Return the vector that the kinds of a row add in some cylinders."""
    vector: Floats = np.einsum("ck,ckd->d", task.kinds[row[cylinders]], task.columns[cylinders])
    return vector


def _square(task: Task, row: Indexes) -> float:
    whole = task.start + _pull(task, row, np.arange(len(row)))
    return float(whole @ whole)
