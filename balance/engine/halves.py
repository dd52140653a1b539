"""Every arrangement compared: one half of the cylinders laid against the other half."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["TIE", "Task", "arrangements", "exhaust", "improve"]

Floats = NDArray[np.float64]

TILE = 600_000  # numbers in one tile of the comparison: about what a core's own cache holds
TIE = 1e-10  # of the squared size of the deviations: differences this small are rounding
MOST_TIES = 1000  # kept of each split
ROUNDS, AT_ONCE = 400, 8  # improving beyond the provable: 8 cylinders at a time, exactly


@dataclass(frozen=True)
class Task:
    """Kinds of sets for free cylinders: vector = start + sum of kinds[kind at c] @ columns[c]."""

    kinds: Floats  # (kinds, 2): reciprocating and rotating deviation
    counts: tuple[int, ...]  # how many sets of each kind there are
    columns: Floats  # (cylinders, 2, dimensions)
    start: Floats  # (dimensions,)


def arrangements(counts: Sequence[int]) -> int:
    """Return the number of different arrangements: n! / (k_1! k_2! ...)."""
    return math.factorial(sum(counts)) // math.prod(math.factorial(k) for k in counts)


@lru_cache(maxsize=4096)
def _orders(counts: tuple[int, ...]) -> NDArray[np.intp]:
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

    kinds_a: NDArray[np.intp]  # (splits, kinds in the first half)
    kinds_b: NDArray[np.intp]
    orders_a: NDArray[np.intp]  # (orders, cylinders of the first half)
    orders_b: NDArray[np.intp]

    def rows(self, split: int, a: NDArray[np.intp], b: NDArray[np.intp]) -> NDArray[np.intp]:
        """Return the kind at each cylinder for pairs (a, b) of orders of one split."""
        first = self.kinds_a[split][self.orders_a[a]]
        return np.hstack([first, self.kinds_b[split][self.orders_b[b]]])

    def vectors(self, task: Task, some: slice) -> tuple[Floats, Floats]:
        """Return the vectors (splits, orders, dimensions) of the two halves."""
        half = self.orders_a.shape[1]
        a = _vectors(task, self.kinds_a[some][:, self.orders_a], task.columns[:half])
        b = _vectors(task, self.kinds_b[some][:, self.orders_b], task.columns[half:])
        return a + task.start, b


def _vectors(task: Task, kinds: NDArray[np.intp], columns: Floats) -> Floats:
    size = 2 * len(columns)
    masses = task.kinds[kinds].reshape(*kinds.shape[:-1], size)
    result: Floats = masses @ columns.reshape(size, columns.shape[-1])
    return result


def _splits(counts: Sequence[int], size: int) -> list[Splits]:
    """Return every way to deal the kinds to two halves, those that look alike together."""
    alike: dict[Any, list[tuple[Any, Any]]] = defaultdict(list)
    for dealt in product(*(range(k + 1) for k in counts)):
        if sum(dealt) == size:
            halves = dealt, tuple(k - d for k, d in zip(counts, dealt, strict=True))
            first, second = (tuple(k for k, d in enumerate(half) if d) for half in halves)
            alike[tuple(tuple(d for d in half if d) for half in halves)].append((first, second))
    return [
        Splits(
            np.array([a for a, _ in pairs], dtype=np.intp),
            np.array([b for _, b in pairs], dtype=np.intp),
            _orders(dealt_a),
            _orders(dealt_b),
        )
        for (dealt_a, dealt_b), pairs in alike.items()
    ]


def exhaust(task: Task) -> NDArray[np.intp]:
    """Return the best rows of kinds, every arrangement compared.

    First in single precision: the least square of every split and how wrong it may be. Then the
    pairs that may be the least, in double precision.
    """
    groups = _splits(task.counts, len(task.columns) // 2)
    least = [_least_squares(task, group) for group in groups]
    doubt = max(found.doubt for found in least)
    limit = min(float(found.squares.min()) for found in least) + 2.0 * doubt
    candidates = [
        _refined(task, group, int(split), limit)
        for group, found in zip(groups, least, strict=True)
        for split in np.flatnonzero(found.squares <= limit)
    ]
    best = min(square for square, _ in candidates)
    return np.vstack([rows for square, rows in candidates if square <= best + TIE])


@dataclass(frozen=True)
class Least:
    """The least square of each split in single precision, and a bound of its rounding."""

    squares: NDArray[np.float32]
    doubt: float


def _least_squares(task: Task, group: Splits) -> Least:
    count, a, b = len(group.kinds_a), len(group.orders_a), len(group.orders_b)
    step = max(1, TILE // (a * b))
    block = step * max(1, TILE // (step * 10 * (a + b)))
    tile = np.empty((step, a, b), dtype=np.float32)
    squares, size = np.empty(count, dtype=np.float32), 0.0
    for start in range(0, count, block):
        left, right, longest = _single(*group.vectors(task, slice(start, start + block)))
        size = max(size, longest)
        for at in range(0, len(left), step):
            some = slice(at, min(at + step, len(left)))
            sums = np.matmul(left[some], right[some], out=tile[: some.stop - at])
            squares[start + at : start + some.stop] = sums.reshape(len(sums), -1).min(axis=1)
    return Least(squares, (task.columns.shape[2] + 5) * 2.0**-23 * size**2)


def _single(a: Floats, b: Floats) -> tuple[NDArray[np.float32], NDArray[np.float32], float]:
    """Return factors whose product is |x + y|^2 for every pair, and the largest |x| + |y|."""
    square_a, square_b = (np.einsum("sod,sod->so", v, v)[..., None] for v in (a, b))
    left = np.concatenate([a, square_a, np.ones_like(square_a)], axis=2)
    right = np.concatenate([2.0 * b, np.ones_like(square_b), square_b], axis=2)
    size = math.sqrt(square_a.max()) + math.sqrt(square_b.max())
    return left.astype(np.float32), right.astype(np.float32).transpose(0, 2, 1), size


def _refined(task: Task, group: Splits, split: int, limit: float) -> tuple[float, NDArray[np.intp]]:
    """Return the least square of a split in double precision and the rows that reach it."""
    a, b = group.vectors(task, slice(split, split + 1))
    left, right, _ = _single(a, b)
    at_a, at_b = np.nonzero((left @ right)[0] <= limit)
    sums = a[0, at_a] + b[0, at_b]
    squares = np.einsum("pd,pd->p", sums, sums)
    tied = np.flatnonzero(squares <= squares.min() + TIE)[:MOST_TIES]
    return float(squares.min()), group.rows(split, at_a[tied], at_b[tied])


def improve(task: Task) -> NDArray[np.intp]:
    """Return a good row of kinds: again and again the best order of a few cylinders."""
    rng = np.random.default_rng(0)
    row = np.repeat(np.arange(len(task.counts), dtype=np.intp), task.counts)
    for _ in range(ROUNDS):
        few = np.sort(rng.choice(len(row), AT_ONCE, replace=False))
        kinds, counts = np.unique(row[few], return_counts=True)
        rest = np.setdiff1d(np.arange(len(row)), few)
        others = np.einsum("ck,ckd->d", task.kinds[row[rest]], task.columns[rest])
        part = Task(
            kinds=task.kinds[kinds],
            counts=tuple(counts.tolist()),
            columns=task.columns[few],
            start=task.start + others,
        )
        row[few] = kinds[exhaust(part)[0]]
    return row[None, :]
