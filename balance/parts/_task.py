"""What is to be matched, in whole hundredths of a gram, and what the search may spend on it."""

from dataclasses import dataclass, field, replace
from functools import cached_property
from time import monotonic

import numpy as np
from numpy.typing import NDArray

__all__ = ["FAR", "Ints", "Kind", "Meter", "Outcome", "Task"]

Ints = NDArray[np.int64]
FAR = 1 << 40  # more than any mass here: 1e10 g in hundredths


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

    @cached_property
    def whole(self) -> bool:
        """Whether every part is used, so that the total of all sums is known."""
        return all(k.mass.size == self.n for k in self.kinds)

    @cached_property
    def total(self) -> int:
        """Sum of all parts."""
        return sum(int(k.mass.sum()) for k in self.kinds)

    @property
    def largest_cost(self) -> int:
        """More than any answer within the limits can cost."""
        return sum(int(np.minimum(k.limit, k.mass).sum()) for k in self.kinds)

    @cached_property
    def most_cut(self) -> Ints:
        """Return, for j = 1 to n, the most that j sets can lose within the limits."""
        largest = [np.sort(k.limit)[::-1][: self.n] for k in self.kinds]
        most: Ints = np.cumsum(sum(largest))
        return most

    @cached_property
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
    """``picks`` (n, 3): anchors, first, second of the cheapest answer found.

    Nothing cheaper exists at any floor that was searched, but for those marked in ``unfinished``.
    """

    cost: int | None = None
    picks: Ints | None = None
    unfinished: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool))

    @property
    def complete(self) -> bool:
        """Whether no floor was given up."""
        return not self.unfinished.any()
