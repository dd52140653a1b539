"""All placings of a pattern whose metal lies within a gap of its bound: nothing is overlooked.

At a multiplier, the metal of any placing is the pattern's bound plus terms that are never
negative: each hole's reduced cost, and what of the limit is left unused. A placing within the gap
therefore uses only holes whose reduced costs add up to no more than the gap. Those are few, and
the placings among them are found by meeting in the middle: lists of partial placings are joined by
where their unbalance must lie (k-d trees in the plane).

Searching a gap and finding a dearer placing proves nothing beyond the gap; the level says exactly
up to which metal the search was complete.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.metal._bounds import set_price
from balance.metal._clock import now, spend
from balance.metal._crowd import Crowd
from balance.metal._sites import Site, clear_across, share_metal

__all__ = ["SAME_G", "Found", "Pattern", "TooManyError"]

_Float = NDArray[Any]  # of floats
_Int = NDArray[np.int64]
_Complex = NDArray[Any]  # of complex numbers
_Index = NDArray[Any]  # of places in a list
_MOST = 3_000_000  # partial placings held at once
_MOST_TRIED = 30_000_000  # ... and looked at
_GLANCED = 30_000_000_000  # placings behind a glance, most of them never made
_LOT = 200  # placings taken further at once: few at first, to find one that rules out others
_MOST_A_LOT = 100_000
_SMALL = 2_000_000
_PARALLEL = 1e-12  # shares of counterweights at one place along the crank
SAME_G = 1e-7  # metal that counts as equal: far below what any scale shows, above rounding
_ROUNDING = 1e-9  # g and g mm: generous beside the rounding of sums of a few hundred grams


class TooManyError(Exception):
    """A gap holds more partial placings than can be looked at."""


class _EnoughError(Exception):
    """The time is up, or one placing was all that was wanted."""


@dataclass(frozen=True)
class Found:
    """A placing: (site, candidate) pairs and its metal."""

    picks: tuple[tuple[int, int], ...]
    metal_g: float


@dataclass(frozen=True, eq=False)
class _Block:
    """Partial placings on one site: candidates (rows), what they take off, reduced cost, metal."""

    site: int
    picks: _Int  # (placings, holes)
    x: _Complex
    cost: _Float
    metal: _Float

    def __len__(self) -> int:
        return len(self.x)

    def at(self, rows: _Index | slice) -> "_Block":
        """Return the block with only some of its rows."""
        return _Block(self.site, self.picks[rows], self.x[rows], self.cost[rows], self.metal[rows])


@dataclass(frozen=True, eq=False)
class _Partial:
    """Partial placings over several sites: a row of each block, with the sums."""

    rows: tuple[_Index, ...]
    taken: _Complex  # (placings, 2)
    cost: _Float
    metal: _Float

    def at(self, keep: _Index | slice) -> "_Partial":
        """Return only some of the placings."""
        rows = tuple(row[keep] for row in self.rows)
        return _Partial(rows, self.taken[keep], self.cost[keep], self.metal[keep])


class _Hunt:
    """The best placing met so far, and the gap that one must lie in to be better."""

    def __init__(self, gap: float, deadline: float, *, any_will_do: bool = False) -> None:
        self.gap, self.deadline, self.any_will_do = gap, deadline, any_will_do
        self.found: Found | None = None
        self._rank = (math.inf, math.inf)

    def check(self) -> None:
        """Raise when there is no more to be done."""
        if now() > self.deadline or (self.any_will_do and self.found):
            raise _EnoughError

    def meet(self, rank: tuple[float, float], found: Found, gap: float) -> None:
        """Take a placing if it is better; what lies beyond its gap is of no interest then."""
        if rank < self._rank:
            self._rank, self.found = rank, found
            self.gap = min(self.gap, gap + SAME_G + _ROUNDING)


class Pattern:
    """So many holes on each site, with a multiplier and the bound it proves."""

    def __init__(
        self,
        sites: Sequence[Site],
        counts: NDArray[np.int64],
        multiplier: _Complex,
        target: _Complex,
        limit: _Float,
        *,
        crowds: Sequence[Crowd | None] | None = None,
    ) -> None:
        self.sites, self.target, self.limit, self.crowded = sites, target, limit, crowds is not None
        self.row = counts
        self.counts = [(n, int(count)) for n, count in enumerate(counts) if count]
        self._pull = {n: complex(multiplier @ sites[n].share) for n, _ in self.counts}
        self._base, self._extra = {}, {}
        bound = float(
            np.real(np.conj(multiplier) * target).sum() - (limit * np.abs(multiplier)).sum()
        )
        for n, count in self.counts:
            single = set_price(sites[n], None, 1, self._pull[n])[0]
            together = set_price(sites[n], crowds[n] if crowds else None, count, self._pull[n])[0]
            self._base[n], self._extra[n] = single, max(0.0, together - count * single)
            bound += max(together, count * single)
        self._reduced: dict[int, _Float] = {}
        self.bound_g = self.searched_g = bound

    @property
    def most_g(self) -> float:
        """Return the most metal that the pattern can take."""
        return float(sum(c * self.sites[n].mass.max() for n, c in self.counts))

    @property
    def may_be_crowded(self) -> bool:
        """Return whether webs on one counterweight could still raise the bound."""
        return not self.crowded and any(count > 1 for _, count in self.counts)

    def search(self, upto_g: float, *, deadline: float = math.inf) -> Found | None:
        """Return the placing of least metal up to ``upto_g``; note how far the search went.

        At the deadline it returns the best placing so far, and notes nothing.
        """
        hunt = _Hunt(upto_g - self.bound_g + _ROUNDING, deadline)
        try:
            self._hunt_down(self._all_singles(hunt.gap), hunt)
        except _EnoughError:
            return hunt.found
        self.searched_g = max(self.searched_g, upto_g)
        return hunt.found

    def glance(self, upto_g: float, *, deadline: float = math.inf) -> Found | None:
        """Return some placing up to ``upto_g`` from a thinned list; proves nothing."""
        hunt = _Hunt(upto_g - self.bound_g + _ROUNDING, deadline, any_will_do=True)
        single = self._all_singles(hunt.gap)
        few = max(4, int(_GLANCED ** (1 / sum(count for _, count in self.counts))))
        thin = {
            n: block.at(np.unique(np.linspace(0, len(block) - 1, few).astype(int)))
            for n, block in single.items()
            if len(block)
        }
        try:
            if len(thin) == len(single):
                self._hunt_down(thin, hunt)
        except _EnoughError:
            pass
        return hunt.found

    def _all_singles(self, gap: float) -> dict[int, _Block]:
        return {n: self._singles(n, gap + self._extra[n]) for n, _ in self.counts}

    def _hunt_down(self, single: dict[int, _Block], hunt: _Hunt) -> None:
        """Look at all placings of the candidates that could be better than the best one met."""
        nothing = _Partial((), np.zeros((1, 2), dtype=complex), np.zeros(1), np.zeros(1))
        self._grow(nothing, self._blocks(single, hunt), 0, hunt)

    def _blocks(self, single: dict[int, _Block], hunt: _Hunt) -> list[_Block]:
        """Return the partial placings to join, in the order in which they are joined.

        The largest set on one site is left open by one hole: that hole is looked up last, by
        where it must land, so that most of its sets are never made.
        """
        many = {n: count * math.log(len(single[n]) + 1) for n, count in self.counts if count > 1}
        parted = max(many, key=lambda n: many[n]) if many else None
        rest = [self._block(single[n], count, hunt) for n, count in self.counts if n != parted]
        rest.sort(key=len)
        if parted is None:
            return rest
        count = dict(self.counts)[parted]
        return [*rest, self._block(single[parted], count - 1, hunt), single[parted]]

    def _singles(self, n: int, gap: float) -> _Block:
        """Return the candidates of a site whose reduced cost is within the gap, cheapest first."""
        site = self.sites[n]
        if n not in self._reduced:
            pull = self._pull[n]
            along = pull.real * site.x.real + pull.imag * site.x.imag
            self._reduced[n] = site.mass - along - self._base[n]
        cost = self._reduced[n]
        spend("call", 10)
        spend("candidate", len(cost))
        pick = np.flatnonzero(cost <= gap)
        pick = pick[np.argsort(cost[pick], kind="stable")]
        return _Block(n, pick[:, None], site.x[pick], cost[pick], site.mass[pick])

    def _block(self, single: _Block, count: int, hunt: _Hunt) -> _Block:
        """Return all sets of ``count`` holes on one site that leave the webs, within the gap.

        What the webs cost at least (``extra``) is part of the bound already: a set's own reduced
        cost is what it costs beyond that.
        """
        extra = self._extra[single.site]
        block = single
        for _ in range(count - 1):
            block = self._one_more(block, single, hunt.gap + extra, hunt)
        return _Block(block.site, block.picks, block.x, block.cost - extra, block.metal)

    def _one_more(self, block: _Block, single: _Block, gap: float, hunt: _Hunt) -> _Block:
        """Return all sets that one more hole makes of the sets of a block, cheapest first."""
        kept = []
        for i, j in _parts(block.cost, single.cost, gap):
            hunt.check()
            spend("call", 10)
            spend("pair", len(i) * block.picks.shape[1])
            keep = self._sets(block, single, i, j)
            kept.append((i[keep], j[keep]))
        i, j = (np.concatenate(rows) for rows in zip(*kept, strict=True))
        _guard(len(i), _MOST)
        grown = _Block(
            block.site,
            np.concatenate([block.picks[i], single.picks[j]], axis=1),
            block.x[i] + single.x[j],
            block.cost[i] + single.cost[j],
            block.metal[i] + single.metal[j],
        )
        return grown.at(np.argsort(grown.cost, kind="stable"))

    def _sets(self, block: _Block, single: _Block, i: _Index, j: _Index) -> _Index:
        """Return which pairs of rows make a set not made otherwise, and leave the webs."""
        # each set once: candidates in falling order of their place in the list
        keep = np.flatnonzero(block.picks[i, -1] > single.picks[j, 0])
        for held in block.picks.T:
            one, other = held[i[keep]], single.picks[j[keep], 0]
            keep = keep[self.sites[block.site].clear(one, other)]
        return keep

    def _share(self, block: _Block) -> _Float:
        return self.sites[block.site].share

    def _grow(self, held: _Partial, blocks: list[_Block], depth: int, hunt: _Hunt) -> None:
        """Extend placings block by block, cheapest first, and meet those that end inside."""
        block, rest = blocks[depth], blocks[depth + 1 :]
        for lot in _lots(held):
            hunt.check()
            part = lot.at(lot.cost <= hunt.gap)
            for more in self._extended(part, block, rest, hunt.gap):
                grown = self._apart(more, blocks[: depth + 1])
                if rest:
                    cheapest = np.argsort(grown.cost, kind="stable")
                    self._grow(grown.at(cheapest), blocks, depth + 1, hunt)
                else:
                    self._meet(grown, blocks, hunt)

    def _extended(
        self, held: _Partial, block: _Block, rest: list[_Block], gap: float
    ) -> Iterator[_Partial]:
        """Yield the extended placings, in parts where they are too many to hold at once."""
        try:
            yield self._extend(held, block, rest, gap)
        except TooManyError:
            if len(held.cost) < 2:
                raise
            for rows in np.array_split(np.arange(len(held.cost)), 2):
                yield from self._extended(held.at(rows), block, rest, gap)

    def _meet(self, ended: _Partial, blocks: list[_Block], hunt: _Hunt) -> None:
        """Take the best of some placings: metal first, then what stays.

        Metal does not tell angles apart: of equals, the placing that leaves least is taken.
        """
        if not len(ended.cost):
            return
        stays = (np.abs(self.target - ended.taken) / self.limit).max(axis=1)
        metal = np.round(ended.metal / SAME_G)
        best = int(np.lexsort((stays, metal))[0])
        picks = [
            (block.site, int(pick))
            for block, row in zip(blocks, ended.rows, strict=True)
            for pick in block.picks[row[best]]
        ]
        found = Found(tuple(sorted(picks)), float(ended.metal[best]))
        rank = (float(metal[best]), float(stays[best]))
        hunt.meet(rank, found, found.metal_g - self.bound_g)

    def _apart(self, held: _Partial, blocks: list[_Block]) -> _Partial:
        """Keep the placings whose last pieces leave the web to the others, each set once."""
        n, two = len(blocks) - 1, blocks[-1]
        for m, one in enumerate(blocks[:-1]):
            if one.site == two.site:
                held = held.at(self._sets(one, two, held.rows[m], held.rows[n]))
            elif share_metal(self.sites[one.site], self.sites[two.site]):
                held = self._across_sites(held, (m, one), (n, two))
        return held

    def _across_sites(
        self, held: _Partial, first: tuple[int, _Block], second: tuple[int, _Block]
    ) -> _Partial:
        """Keep the placings whose pieces on two sites of one piece of metal leave the web."""
        (m, one), (n, two) = first, second
        for i, j in np.ndindex(one.picks.shape[1], two.picks.shape[1]):
            p, q = one.picks[held.rows[m], i], two.picks[held.rows[n], j]
            held = held.at(clear_across(self.sites[one.site], p, self.sites[two.site], q))
        return held

    def _extend(self, held: _Partial, block: _Block, rest: list[_Block], gap: float) -> _Partial:
        """Return all placings held, each with each row of a block that it can go with."""
        least = held.cost.min() if len(held.cost) else math.inf
        block = block.at(slice(int(np.searchsorted(block.cost, gap - least, side="right"))))
        left = self.target - held.taken
        i, j = self._pairs(held, left, block, rest, gap) if rest else self._landing(left, block)
        spend("call", 20)
        spend("pair", len(held.cost) + len(block) + len(i))
        cost = held.cost[i] + block.cost[j]
        keep = cost <= gap
        i, j = i[keep], j[keep]
        taken = held.taken[i] + block.x[j, None] * self._share(block)
        rows = (*(row[i] for row in held.rows), j)
        grown = _Partial(rows, taken, cost[keep], held.metal[i] + block.metal[j])
        return grown if rest else grown.at(self._inside(taken))

    def _pairs(
        self, held: _Partial, left: _Complex, block: _Block, rest: list[_Block], gap: float
    ) -> tuple[_Index, _Index]:
        """Return the (placing, row) pairs that the rest may still bring inside the limit.

        If all the rest works along one share of the planes, it changes nothing across it.
        """
        across, reach = self._across(self._share(rest[-1]))
        alike = [abs(float(self._share(other) @ across)) < _PARALLEL for other in (block, *rest)]
        if not all(alike[1:]):
            return _within(held.cost, block.cost, gap)
        if not alike[0]:
            return _near(left @ across, block.x * (self._share(block) @ across), reach)
        near = np.flatnonzero(np.abs(left @ across) <= reach + _ROUNDING)
        i, j = _within(held.cost[near], block.cost, gap)
        return near[i], j

    def _inside(self, taken: _Complex) -> NDArray[Any]:
        """Return which placings end within the limit in both planes."""
        return np.asarray((np.abs(self.target - taken) <= self.limit).all(axis=-1))

    def _across(self, share: _Float) -> tuple[_Float, float]:
        """Return the direction in plane shares that a site cannot change, and the reach there."""
        across = np.array([share[1], -share[0]]) / np.hypot(*share)
        return across, float(np.abs(across) @ self.limit)

    def _landing(self, left: _Complex, block: _Block) -> tuple[_Index, _Index]:
        """Return the (placing, row) pairs for which the last block may land inside the limit."""
        share = self._share(block)
        across, reach = self._across(share)
        near = np.flatnonzero(np.abs(left @ across) <= reach + _ROUNDING)
        plane = int(np.argmax(np.abs(share) / self.limit))
        radius = float(self.limit[plane] / abs(share[plane]))
        i, j = _near(left[near, plane] / share[plane], block.x, radius)
        return near[i], j


def _lots(held: _Partial) -> Iterator[_Partial]:
    """Yield placings a lot at a time, each lot larger than the one before."""
    start, size = 0, _LOT
    while start < len(held.cost):
        yield held.at(slice(start, start + size))
        start, size = start + size, min(4 * size, _MOST_A_LOT)


def _within(one: _Float, two: _Float, gap: float) -> tuple[_Index, _Index]:
    """Return the (row, row) pairs of two lists, the second ascending, with sums within the gap."""
    counts = np.searchsorted(two, gap - one, side="right")
    _guard(int(counts.sum()), _MOST)
    return _listed(np.arange(len(one)), counts)


def _parts(one: _Float, two: _Float, gap: float) -> Iterator[tuple[_Index, _Index]]:
    """Yield the same pairs in parts, for those who keep few of them."""
    counts = np.searchsorted(two, gap - one, side="right")
    _guard(int(counts.sum()), _MOST_TRIED)
    for rows in np.array_split(np.arange(len(one)), int(counts.sum()) // _MOST + 1):
        yield _listed(rows, counts[rows])


def _listed(rows: _Index, counts: _Index) -> tuple[_Index, _Index]:
    """Return each row as often as its count, with 0, 1, ... beside it."""
    i = np.repeat(rows, counts)
    return i, np.arange(len(i)) - np.repeat(np.cumsum(counts) - counts, counts)


def _near(one: _Complex, two: _Complex, radius: float) -> tuple[_Index, _Index]:
    """Return all pairs of points of the plane no further apart than the radius."""
    reach = radius + _ROUNDING
    if len(one) * len(two) <= _SMALL:  # looked at whole: sooner done than a tree is even loaded
        i, j = np.nonzero(np.abs(one[:, None] - two[None, :]) <= reach)
        return i, j
    from scipy.spatial import cKDTree

    trees = [
        cKDTree(np.stack([p.real, p.imag], -1), balanced_tree=False, compact_nodes=False)
        for p in (one, two)
    ]
    _guard(int(trees[0].count_neighbors(trees[1], reach)), _MOST)
    pairs = trees[0].sparse_distance_matrix(trees[1], reach, output_type="ndarray")
    return pairs["i"], pairs["j"]


def _guard(size: int, most: int) -> None:
    if size > most:
        raise TooManyError(f"{size} partial placings are more than {most}")
