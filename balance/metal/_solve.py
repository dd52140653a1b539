"""Fewest holes, then least metal, each with its proof.

For each number of holes, every pattern that its bound does not rule out waits in a queue ordered
by the metal up to which it has been searched. The one furthest behind is searched further, in
growing gaps, until no pattern could still hold a cheaper placing than the best one found.
"""

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from balance.metal._bounds import bound_patterns
from balance.metal._clock import now
from balance.metal._crowd import Crowd, crowd_of
from balance.metal._search import SAME_G, Found, Pattern, TooManyError
from balance.metal._sites import Site
from balance.metal._task import Task

__all__ = ["Outcome", "half_way", "solve"]

_FIRST_GAP_G = 0.01
_GLANCE_G = 3.0  # above the bound: wide enough to hold placings, close enough to be of use
_MANY = 4  # holes: their placings are too many to search through before one is known
_GLANCING = 0.2  # of the time, for a placing of many holes that a search can start from
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


def solve(
    sites: Sequence[Site], task: Task, *, deadline: float, seats: int = 0, slugs: int = 0
) -> Outcome:
    """Return the placing of fewest holes and least metal, with its bounds.

    The last ``seats`` sites take slugs; exactly ``slugs`` of them are to be fitted. At the
    deadline (of :func:`balance.metal._clock.now`) it returns what it has.
    """
    ground = Ground(sites, task, deadline, seats, slugs)
    number = least = 0 if slugs else 1
    sure = True
    while True:
        if sure and ground.too_small(number):
            return Outcome(None, least, math.inf, False, False)
        counts = ground.patterns(number)
        if counts is None or now() > deadline:
            return Outcome(None, least, math.inf, None, False)
        queue = _Queue(ground, counts)
        queue.run(half_way(deadline))
        if queue.found:
            proven = sure and queue.bound_g >= queue.found.metal_g - SAME_G
            return Outcome(queue.found, least, queue.bound_g, True, proven)
        sure = sure and queue.empty
        number += 1
        least = number if sure else least


class Ground:
    """The sites with what is known about crowding on each, found out when first needed."""

    def __init__(
        self, sites: Sequence[Site], task: Task, deadline: float, seats: int, slugs: int
    ) -> None:
        self.sites, self.task, self.deadline = sites, task, deadline
        self._holes, self._slugs = len(sites) - seats, slugs

    @cached_property
    def crowds(self) -> list[Crowd | None]:
        """Return for each site what prices its sets of new holes (none for slugs)."""
        return [crowd_of(site) if (site.step >= 0).any() else None for site in self.sites]

    def patterns(self, number: int) -> NDArray[np.int64] | None:
        """Return all ways to share holes and slugs among the sites; None when too many."""
        holes = _patterns(self._room(number), number)
        if holes is None:
            return None
        seats = [site.room for site in self.sites[self._holes :]]
        ways = list(_shares(seats, self._slugs))
        slugs = np.array(ways, dtype=np.int64).reshape(len(ways), len(seats))
        rows = [np.repeat(holes, len(slugs), axis=0), np.tile(slugs, (len(holes), 1))]
        return np.concatenate(rows, axis=1)

    def _room(self, number: int) -> list[int]:
        """Return the most holes on each site worth asking about for so many in all."""
        drilled = self.sites[: self._holes]
        return [number if number < 3 else min(site.room, number) for site in drilled]

    def too_small(self, number: int) -> bool:
        """Return whether it is proven that no number of holes fits; asked as the number grows.

        The proof costs more than trying a few holes, so it is not sought at first.
        """
        if number == 3:
            return self._leaves_too_much([None] * len(self.sites))
        if number == 5:
            return self._leaves_too_much(self.crowds)
        return number > 3 and number > sum(self._room(number))

    def _leaves_too_much(self, crowds: list[Crowd | None]) -> bool:
        """Return whether even full counterweights leave more than the limit."""
        room = np.array([[site.room for site in self.sites]])
        room[:, self._holes :] = np.minimum(room[:, self._holes :], self._slugs)
        task = self.task
        bounds = bound_patterns(
            self.sites,
            room,
            task.unbalance,
            task.limit_gmm,
            crowds=crowds,
            up_to=True,
            deadline=self.deadline,
        )
        most = room @ np.array([site.mass.max() for site in self.sites])
        return bool(bounds.metal_g[0] > most[0] + SAME_G)


def half_way(deadline: float) -> float:
    """Return the time when half of what is left has gone: more may have to be tried after this."""
    return (now() + deadline) / 2


def _patterns(room: list[int], number: int) -> NDArray[np.int64] | None:
    """Return all ways to share so many holes among the sites, or None when there are too many."""
    ways = math.comb(max(0, len(room) + number - 1), number)
    if ways > _MOST_PATTERNS or number > _MOST_HOLES:
        return None
    shared = list(_shares(room, number))
    return np.array(shared, dtype=np.int64).reshape(len(shared), len(room))


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

    def __init__(self, ground: Ground, counts: NDArray[np.int64]) -> None:
        self.found: Found | None = None
        self._ground = ground
        self._stuck: list[float] = []
        self._deadline = math.inf
        sites, task = ground.sites, ground.task
        bounds = self._bounds = bound_patterns(
            sites, counts, task.unbalance, task.limit_gmm, deadline=ground.deadline
        )
        self._counts = counts
        most = counts @ np.array([site.mass.max() for site in sites])
        able = np.flatnonzero(bounds.metal_g <= most + SAME_G)
        self._heap: list[tuple[float, int, Pattern | None]] = [
            (float(bounds.metal_g[n]), int(n), None) for n in able
        ]
        heapq.heapify(self._heap)

    def _pattern(self, n: int) -> Pattern:
        """Return a pattern, made when it is first looked at: most never are."""
        sites, task = self._ground.sites, self._ground.task
        lam = self._bounds.multiplier[n]
        return Pattern(sites, self._counts[n], lam, task.unbalance, task.limit_gmm)

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
        """Search until the best placing is proven, nothing is left, or the time is up.

        Of many holes any placing is looked for first: all that is dearer need not be searched.
        """
        self._deadline = deadline
        if self._heap and self._counts[0].sum() >= _MANY:
            self._glance_at_all()
        while self._heap and self._heap[0][0] < self.metal_g - SAME_G:
            if now() > deadline:
                return
            _, n, made = heapq.heappop(self._heap)
            pattern = made or self._pattern(n)
            if pattern.may_be_crowded:
                self._crowd(pattern, n)
            else:
                self._advance(pattern, n)

    def _glance_at_all(self) -> None:
        """Find some placing in the patterns that wait, the most promising first."""
        until = (1 - _GLANCING) * now() + _GLANCING * self._deadline
        for _, n, _ in sorted(self._heap, key=lambda waiting: waiting[:2]):
            if self.found or now() > until:
                return
            self.found = self._glance(self._pattern(n), until)

    def _crowd(self, pattern: Pattern, n: int) -> None:
        """Put a pattern back with a bound that knows the webs, unless that rules it out."""
        sites, crowds, task = self._ground.sites, self._ground.crowds, self._ground.task
        bounds = bound_patterns(
            sites,
            pattern.row[None],
            task.unbalance,
            task.limit_gmm,
            crowds=crowds,
            closeness_g=0.01,
            deadline=self._deadline,
        )
        better = Pattern(
            sites,
            pattern.row,
            bounds.multiplier[0],
            task.unbalance,
            task.limit_gmm,
            crowds=crowds,
        )
        better.searched_g = max(better.searched_g, pattern.searched_g)
        if better.bound_g <= better.most_g + SAME_G:
            self._put(better, n)

    def _advance(self, pattern: Pattern, n: int) -> None:
        """Search one pattern one gap further."""
        upto = min(_next_level(pattern, self.metal_g), pattern.most_g)
        try:
            found = pattern.search(upto, deadline=self._deadline)
        except TooManyError:
            self._stuck.append(pattern.searched_g)
            found = None if self.found else self._glance(pattern, self._deadline)
            self.found = found or self.found
            return
        if found and found.metal_g < self.metal_g - SAME_G:
            self.found = found
        if pattern.searched_g < pattern.most_g:
            self._put(pattern, n)

    @staticmethod
    def _glance(pattern: Pattern, deadline: float) -> Found | None:
        """Return some placing of a pattern that is too large to be searched, if one is met."""
        try:
            return pattern.glance(pattern.bound_g + _GLANCE_G, deadline=deadline)
        except TooManyError:
            return None


def _next_level(pattern: Pattern, best_g: float) -> float:
    """Return up to which metal to search next: twice the gap, or all that is still of interest."""
    gap = max(_FIRST_GAP_G, 2 * (pattern.searched_g - pattern.bound_g))
    return best_g if 2 * gap >= best_g - pattern.bound_g else pattern.bound_g + gap
