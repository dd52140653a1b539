"""Fewest holes, then least metal, each with its proof.

For each number of holes, every pattern that its bound does not rule out waits in a queue ordered
by the metal up to which it has been searched. The one furthest behind is searched further, in
growing gaps, until no pattern could still hold a cheaper placing than the best one found.
"""

import heapq
import itertools
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.metal._bounds import bound_patterns
from balance.metal._search import Found, Pattern, TooManyError
from balance.metal._sites import Site
from balance.metal._task import Task

__all__ = ["Outcome", "solve"]

_SAME_G = 1e-7  # metal that counts as equal: far below what any scale shows, above rounding
_FIRST_GAP_G = 0.01
_MOST_PATTERNS = 20_000
_MOST_HOLES = 12


@dataclass(frozen=True)
class Outcome:
    """What the search found and what it proved.

    ``least_holes`` holes are proven necessary; with as many holes as were found (or tried last),
    ``bound_g`` of metal is. ``fits`` is False only when every number of holes is ruled out.
    """

    found: Found | None
    least_holes: int
    bound_g: float
    fits: bool | None
    optimal: bool


def solve(sites: Sequence[Site], task: Task, room: NDArray[np.int64]) -> Outcome:
    """Return the placing of fewest holes and least metal, with its bounds.

    ``room`` is the most holes that each site can hold.
    """
    deadline = time.monotonic() + task.time_limit_s
    least, sure = 1, True
    for number in itertools.count(1):
        if number > int(room.sum()):
            return Outcome(None, least, math.inf, False if sure else None, False)
        counts = _patterns(room, number)
        if counts is None or time.monotonic() > deadline:
            return Outcome(None, least, math.inf, None, False)
        queue = _Queue(sites, counts, task)
        queue.run(deadline if number == 1 else _share_of(deadline))
        if queue.found:
            proven = sure and queue.bound_g >= queue.found.metal_g - _SAME_G
            return Outcome(queue.found, least, queue.bound_g, True, proven)
        sure = sure and queue.empty
        least = number + 1 if sure else least
    raise AssertionError("the loop above only ends by return")


def _share_of(deadline: float) -> float:
    """Return the time until which one number of holes may be tried: two thirds of what is left."""
    now = time.monotonic()
    return now + (deadline - now) * 2 / 3


def _patterns(room: NDArray[np.int64], number: int) -> NDArray[np.int64] | None:
    """Return all ways to share so many holes among the sites, or None when there are too many."""
    if math.comb(len(room) + number - 1, number) > _MOST_PATTERNS or number > _MOST_HOLES:
        return None
    return np.array(list(_shares(list(room), number)), dtype=np.int64).reshape(-1, len(room))


def _shares(room: list[int], number: int) -> Iterator[tuple[int, ...]]:
    if not room:
        if number == 0:
            yield ()
        return
    for here in range(min(number, room[0]) + 1):
        for rest in _shares(room[1:], number - here):
            yield (here, *rest)


class _Queue:
    """All patterns of one number of holes, and the best placing found in them."""

    def __init__(self, sites: Sequence[Site], counts: NDArray[np.int64], task: Task) -> None:
        self.found: Found | None = None
        self._stuck: list[float] = []
        self._heap: list[tuple[float, int, Pattern]] = []
        bounds = bound_patterns(sites, counts, task.unbalance, task.limit_gmm)
        most = counts @ np.array([site.mass.max() for site in sites])
        for n in np.flatnonzero(bounds.metal_g <= most + _SAME_G):
            pattern = Pattern(
                sites, counts[n], bounds.multiplier[n], task.unbalance, task.limit_gmm
            )
            self._put(pattern, int(n))

    def _put(self, pattern: Pattern, n: int) -> None:
        heapq.heappush(self._heap, (pattern.searched_g, n, pattern))

    @property
    def empty(self) -> bool:
        """Return whether every pattern was searched to its end."""
        return not self._heap and not self._stuck

    @property
    def metal_g(self) -> float:
        """Return the metal of the best placing so far."""
        return self.found.metal_g if self.found else math.inf

    @property
    def bound_g(self) -> float:
        """Return the metal that any placing of this number of holes must take."""
        waiting = self._heap[0][0] if self._heap else math.inf
        return min([self.metal_g, waiting, *self._stuck])

    def run(self, deadline: float) -> None:
        """Search until the best placing is proven, nothing is left, or the time is up."""
        while self._heap and self._heap[0][0] < self.metal_g - _SAME_G:
            if time.monotonic() > deadline:
                return
            _, n, pattern = heapq.heappop(self._heap)
            self._advance(pattern, n)

    def _advance(self, pattern: Pattern, n: int) -> None:
        """Search one pattern one gap further."""
        upto = min(_next_level(pattern, self.metal_g), pattern.most_g)
        try:
            found = pattern.search(upto)
        except TooManyError:
            self._stuck.append(pattern.searched_g)
            return
        if found and found.metal_g < self.metal_g - _SAME_G:
            self.found = found
        if upto < pattern.most_g:
            self._put(pattern, n)


def _next_level(pattern: Pattern, best_g: float) -> float:
    """Return up to which metal to search next: twice the gap, or all that is still of interest."""
    gap = max(_FIRST_GAP_G, 2 * (pattern.searched_g - pattern.bound_g))
    return best_g if 2 * gap >= best_g - pattern.bound_g else pattern.bound_g + gap
