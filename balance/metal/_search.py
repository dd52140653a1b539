"""All placings of a pattern whose metal lies within a gap of its bound: nothing is overlooked.

At a multiplier, the metal of any placing is the pattern's bound plus terms that are never
negative: each hole's reduced cost, and what of the limit is left unused. A placing within the gap
therefore uses only holes whose reduced costs add up to no more than the gap. Those are few, and
the placings among them are found by meeting in the middle: lists of partial placings are joined by
where their unbalance must lie (k-d trees in the plane).

Searching a gap and finding a dearer placing proves nothing beyond the gap; the level says exactly
up to which metal the search was complete.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.metal._bounds import set_price
from balance.metal._crowd import Crowd
from balance.metal._sites import Site, clear_across

__all__ = ["SAME_G", "Found", "Pattern", "TooManyError"]

_Float = NDArray[Any]  # of floats
_Int = NDArray[np.int64]
_Complex = NDArray[Any]  # of complex numbers
_MOST = 3_000_000  # partial placings held at once
SAME_G = 1e-7  # metal that counts as equal: far below what any scale shows, above rounding
_ROUNDING = 1e-9  # g and g mm: generous beside the rounding of sums of a few hundred grams


class TooManyError(Exception):
    """A gap holds more partial placings than can be looked at."""


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

    def at(self, rows: NDArray[np.intp] | NDArray[Any]) -> "_Block":
        """Return the block with only some of its rows."""
        return _Block(self.site, self.picks[rows], self.x[rows], self.cost[rows], self.metal[rows])


@dataclass(frozen=True, eq=False)
class _Partial:
    """Partial placings over several sites: a row of each block, with the sums."""

    rows: tuple[NDArray[np.intp], ...]
    taken: _Complex  # (placings, 2)
    cost: _Float
    metal: _Float

    def at(self, keep: NDArray[np.intp] | NDArray[Any]) -> "_Partial":
        """Return only some of the placings."""
        rows = tuple(row[keep] for row in self.rows)
        return _Partial(rows, self.taken[keep], self.cost[keep], self.metal[keep])


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

    def search(self, upto_g: float) -> Found | None:
        """Return the placing of least metal up to ``upto_g``; note how far the search went."""
        gap = upto_g - self.bound_g + _ROUNDING
        blocks = [self._block(n, count, gap) for n, count in self.counts]
        found = self._join(blocks, gap) if all(len(block) for block in blocks) else None
        self.searched_g = max(self.searched_g, upto_g)
        return found

    def _singles(self, n: int, gap: float) -> _Block:
        """Return the candidates of a site whose reduced cost is within the gap, cheapest first."""
        site = self.sites[n]
        if n not in self._reduced:
            pull = self._pull[n]
            along = pull.real * site.x.real + pull.imag * site.x.imag
            self._reduced[n] = site.mass - along - self._base[n]
        cost = self._reduced[n]
        pick = np.flatnonzero(cost <= gap)
        pick = pick[np.argsort(cost[pick], kind="stable")]
        return _Block(n, pick[:, None], site.x[pick], cost[pick], site.mass[pick])

    def _block(self, n: int, count: int, gap: float) -> _Block:
        """Return all sets of ``count`` holes on one site that leave the webs, within the gap.

        What the webs cost at least (``extra``) is part of the bound already: a set's own reduced
        cost is what it costs beyond that.
        """
        wide = gap + self._extra[n]
        single = block = self._singles(n, wide)
        for _ in range(count - 1):
            block = self._one_more(block, single, wide)
        cost = block.cost - self._extra[n]
        return _Block(n, block.picks, block.x, cost, block.metal)

    def _one_more(self, block: _Block, single: _Block, gap: float) -> _Block:
        """Return all sets that one more hole makes of the sets of a block, cheapest first."""
        i, j = _within(block.cost, single.cost, gap)
        # each set once: candidates in falling order of their place in the list
        later = block.picks[i, -1] > single.picks[j, 0]
        i, j = i[later], j[later]
        for held in range(block.picks.shape[1]):
            free = self.sites[block.site].clear(block.picks[i, held], single.picks[j, 0])
            i, j = i[free], j[free]
        grown = _Block(
            block.site,
            np.concatenate([block.picks[i], single.picks[j]], axis=1),
            block.x[i] + single.x[j],
            block.cost[i] + single.cost[j],
            block.metal[i] + single.metal[j],
        )
        return grown.at(np.argsort(grown.cost, kind="stable"))

    def _share(self, block: _Block) -> _Float:
        return self.sites[block.site].share

    def _join(self, blocks: list[_Block], gap: float) -> Found | None:
        """Return the cheapest placing among all rows of the blocks that ends within the limit.

        Metal does not tell angles apart: of equals, the placing that leaves least is taken.
        """
        blocks = sorted(blocks, key=len)
        held = _Partial((), np.zeros((1, 2), dtype=complex), np.zeros(1), np.zeros(1))
        for depth, block in enumerate(blocks):
            held = self._extend(held, block, blocks[depth + 1 :], gap)
        held = self._apart(held, blocks)
        if not len(held.cost):
            return None
        stays = (np.abs(self.target - held.taken) / self.limit).max(axis=1)
        best = int(np.lexsort((stays, np.round(held.metal / SAME_G)))[0])
        picks = [
            (block.site, int(pick))
            for block, row in zip(blocks, held.rows, strict=True)
            for pick in block.picks[row[best]]
        ]
        return Found(tuple(sorted(picks)), float(held.metal[best]))

    def _apart(self, held: _Partial, blocks: list[_Block]) -> _Partial:
        """Keep the placings whose slugs and holes on one counterweight leave the web."""
        for (m, one), (n, two) in itertools.combinations(enumerate(blocks), 2):
            a, b = self.sites[one.site], self.sites[two.site]
            if a.counterweight == b.counterweight:
                for i, j in np.ndindex(one.picks.shape[1], two.picks.shape[1]):
                    p, q = one.picks[held.rows[m], i], two.picks[held.rows[n], j]
                    held = held.at(clear_across(a, p, b, q))
        return held

    def _extend(self, held: _Partial, block: _Block, rest: list[_Block], gap: float) -> _Partial:
        """Return all placings held, each with each row of a block that it can go with."""
        left = self.target - held.taken
        if not rest:
            i, j = self._landing(left, block)
        elif len(rest) == 1:
            across, reach = self._across(self._share(rest[0]))
            i, j = _near(left @ across, block.x * (self._share(block) @ across), reach)
        else:
            i, j = _within(held.cost, block.cost, gap)
        cost = held.cost[i] + block.cost[j]
        keep = cost <= gap
        i, j = i[keep], j[keep]
        taken = held.taken[i] + block.x[j, None] * self._share(block)
        rows = (*(row[i] for row in held.rows), j)
        grown = _Partial(rows, taken, cost[keep], held.metal[i] + block.metal[j])
        return grown if rest else grown.at(self._inside(taken))

    def _inside(self, taken: _Complex) -> NDArray[Any]:
        """Return which placings end within the limit in both planes."""
        return np.asarray((np.abs(self.target - taken) <= self.limit).all(axis=-1))

    def _across(self, share: _Float) -> tuple[_Float, float]:
        """Return the direction in plane shares that a site cannot change, and the reach there."""
        across = np.array([share[1], -share[0]]) / np.hypot(*share)
        return across, float(np.abs(across) @ self.limit)

    def _landing(self, left: _Complex, block: _Block) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return the (placing, row) pairs for which the last block may land inside the limit."""
        share = self._share(block)
        across, reach = self._across(share)
        near = np.flatnonzero(np.abs(left @ across) <= reach + _ROUNDING)
        plane = int(np.argmax(np.abs(share) / self.limit))
        radius = float(self.limit[plane] / abs(share[plane]))
        i, j = _near(left[near, plane] / share[plane], block.x, radius)
        return near[i], j


def _within(one: _Float, two: _Float, gap: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the (row, row) pairs of two ascending lists whose sum is within the gap."""
    counts = np.searchsorted(two, gap - one, side="right")
    _guard(int(counts.sum()))
    i = np.repeat(np.arange(len(one)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    return i, np.arange(len(i)) - first


def _near(one: _Complex, two: _Complex, radius: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return all pairs of points of the plane no further apart than the radius."""
    from scipy.spatial import cKDTree

    if not len(one) or not len(two):
        return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp)
    reach = radius + _ROUNDING
    trees = [
        cKDTree(np.stack([p.real, p.imag], -1), balanced_tree=False, compact_nodes=False)
        for p in (one, two)
    ]
    _guard(int(trees[0].count_neighbors(trees[1], reach)))
    pairs = trees[0].sparse_distance_matrix(trees[1], reach, output_type="ndarray")
    return pairs["i"], pairs["j"]


def _guard(size: int) -> None:
    if size > _MOST:
        raise TooManyError(f"{size} partial placings are more than {_MOST}")
