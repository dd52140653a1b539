"""Least metal that any placing of so many holes on each counterweight must take: a proof.

A pattern says how many holes each counterweight gets. For any multiplier ``lam`` (one complex
number a plane, g per g mm) weak duality gives a bound on the metal::

    metal >= <lam, U> - sum of limit |lam| + sum over holes of min over candidates (m - <lam, v>)

where <a, b> = Re(conj(a) b) summed over the planes, and v is what a candidate takes off in the
two planes. It holds for every ``lam``, so however a good one is found the bound is rigorous; only
its own evaluation must be right, to rounding (1e-9 g here against grams of metal).

The good ``lam`` comes from a small revised simplex over the sum of the hulls (columns generated on
the fly, five rows), run for all patterns at once.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.metal._clock import now, spend
from balance.metal._crowd import Crowd
from balance.metal._sites import Site, as_real

__all__ = ["Bounds", "bound_patterns", "set_price"]

_Float = NDArray[Any]  # of floats
_Complex = NDArray[Any]  # of complex numbers
_Priced = tuple[_Float, _Complex, _Float]  # least value, and the x and mass that attain it
_Row = tuple[float, complex, float]  # the same of one pull
_NOTHING: _Row = (0.0, 0j, 0.0)
_ROUNDS = 80
_FAR, _COSTLY = 10.0, 1e6  # where the starting corners stand and what they cost, relative


@dataclass(frozen=True)
class Bounds:
    """For each pattern: the best multiplier found and the metal it proves necessary."""

    multiplier: _Complex  # (patterns, 2)
    metal_g: _Float  # (patterns,)


def price(site: Site, pull: _Complex) -> _Priced:
    """Return the least ``m - Re(conj(pull) x)`` over the candidates, with its x and m."""
    return _less(price_new(site, pull), _price_each(site, site.loose, pull))


def price_new(site: Site, pull: _Complex) -> _Priced:
    """Return the same over the new holes: of open angles, and of those beside existing holes."""
    return _less(_price_open(site, pull), _price_each(site, site.lone, pull))


def _less(one: _Priced, two: _Priced) -> _Priced:
    """Return the lesser of two prices, place by place."""
    better = two[0] < one[0]
    value, x, mass = (np.where(better, b, a) for a, b in zip(one, two, strict=True))
    return value, x, mass


def _none(pull: _Complex) -> _Priced:
    return np.full(pull.shape, np.inf), np.zeros(pull.shape, dtype=complex), np.zeros(pull.shape)


def _price_each(site: Site, some: NDArray[np.int64], pull: _Complex) -> _Priced:
    """Return the least over some candidates, looked at one by one."""
    if not len(some):
        return _none(pull)
    x = site.x[some]
    along = np.stack([pull.real, pull.imag], -1) @ np.stack([x.real, x.imag])
    own = site.mass[some] - along
    best = np.argmin(own, axis=-1)
    value = np.take_along_axis(own, best[..., None], axis=-1)[..., 0]
    return value, x[best], site.mass[some[best]]


def _price_open(site: Site, pull: _Complex) -> _Priced:
    """Return the least over the open angles: the nearest one first, then the corner of the hull."""
    open_ = site.angles[site.open_angles] - site.angles[0]
    if not len(open_):
        return _none(pull)
    u, m = site.hull
    turn = (np.degrees(np.angle(pull)) - site.angles[0]) % 360.0
    after = np.searchsorted(open_, turn) % len(open_)
    ahead, behind = (open_[after] - turn) % 360.0, (turn - open_[after - 1]) % 360.0
    nearest = np.where(ahead < behind, open_[after], open_[after - 1])
    toward = np.exp(1j * np.radians(site.angles[0] + nearest))
    along = np.real(np.conj(pull) * toward)
    corner = np.searchsorted(np.diff(m) / np.diff(u), along)
    return m[corner] - along * u[corner], u[corner] * toward, m[corner]


class _Oracle:
    """Bound and best column of patterns at given multipliers; everything in units of ``scale``."""

    kind = "bound"  # what it spends

    def __init__(self, sites: Sequence[Site], target: _Complex, limit: _Float) -> None:
        self.sites = sites
        self.scale = max(float(np.abs(site.x).max()) for site in sites)
        self.target, self.limit = target / self.scale, limit / self.scale

    def ask(self, counts: NDArray[np.int64], lam: _Complex) -> tuple[_Float, _Complex, _Float]:
        """Return the bound, and the column (what is taken off, metal) that attains it."""
        length = np.abs(lam)
        unit = np.divide(lam, length, out=np.ones_like(lam), where=length > 0)
        taken, metal = self.limit * unit, np.zeros(len(counts))
        bound = np.real(np.conj(lam) * self.target).sum(-1) - (self.limit * length).sum(-1)
        for index, site in enumerate(self.sites):
            rows = np.flatnonzero(counts[:, index])  # most patterns leave most sites alone
            if len(rows):
                spend("call", 10)
                spend(self.kind, len(rows))
                spend("candidate", len(rows) * (len(site.loose) + len(site.lone)))
                pull = lam[rows] @ site.share / self.scale
                least, x, mass = self.price(index, counts[rows, index], pull)
                bound[rows] += least
                metal[rows] += mass
                taken[rows] += (x / self.scale)[:, None] * site.share
        return bound, taken, metal

    def price(self, index: int, n: NDArray[np.int64], pull: _Complex) -> _Priced:
        """Return least value, x and mass of n holes on a site, as if none were in another's way."""
        least, x, mass = price(self.sites[index], pull)
        return n * least, n * x, n * mass


class _CrowdedOracle(_Oracle):
    """The same with the webs between holes on one counterweight taken into account.

    With ``up_to`` a pattern's numbers are the most holes, not the number of holes.
    """

    kind = "crowd"

    def __init__(
        self,
        sites: Sequence[Site],
        target: _Complex,
        limit: _Float,
        crowds: Sequence[Crowd | None],
        up_to: bool,
    ) -> None:
        super().__init__(sites, target, limit)
        self.crowds, self.up_to = crowds, up_to

    def price(self, index: int, n: NDArray[np.int64], pull: _Complex) -> _Priced:
        """Return least value, x and mass, row by row."""
        rows = [self._row(index, int(number), p) for number, p in zip(n, pull, strict=True)]
        value, x, mass = np.array(rows).T
        return value.real, x, mass.real

    def _row(self, index: int, number: int, pull: complex) -> _Row:
        site, crowd = self.sites[index], self.crowds[index]
        if not self.up_to:
            return set_price(site, crowd, number, pull)
        some = [_NOTHING, *_new_prices(site, crowd, number, pull)]
        deeper = [row for row in _deeper_prices(site, number, pull) if row[0] < 0]
        return _sum([min(some, key=_value), *deeper])


def set_price(site: Site, crowd: Crowd | None, number: int, pull: complex) -> _Row:
    """Return a lower bound on the value of any set of holes on a site, with its x and m.

    With a crowd the webs between new holes count, and that a hole can be deepened only once.
    """
    if number == 0:
        return _NOTHING
    if number == 1 or crowd is None:
        least, x, mass = price(site, np.array(pull))
        return number * float(least), number * complex(x), number * float(mass)
    new = [_NOTHING, *_new_prices(site, crowd, number, pull)]
    deeper = _deeper_prices(site, number, pull)
    mixed = [_sum([new[number - k], *deeper[:k]]) for k in range(min(number, len(deeper)) + 1)]
    return min(mixed, key=_value)


def _new_prices(site: Site, crowd: Crowd | None, most: int, pull: complex) -> list[_Row]:
    """Return lower bounds on the value of any one, two, ... new holes on a site."""
    one, x, mass = (part.item() for part in price_new(site, np.array(pull)))
    alone = [(n * one, n * x, n * mass) for n in range(1, most + 1)]
    if crowd is None or most < 2:
        return alone
    rows = [(priced.value, priced.x, priced.mass) for priced in crowd.prices(most, pull)]
    return [alone[0], *(max(pair, key=_value) for pair in zip(alone[1:], rows, strict=True))]


def _deeper_prices(site: Site, most: int, pull: complex) -> list[_Row]:
    """Return the least values of deepening different holes, the least first, at most so many."""
    value = site.mass[site.loose] - np.real(np.conj(pull) * site.x[site.loose])
    which = site.shapes.deepens[site.shape[site.loose]]
    rows = []
    for hole in np.unique(which):
        best = np.flatnonzero(which == hole)[np.argmin(value[which == hole])]
        pick = site.loose[best]
        rows.append((float(value[best]), complex(site.x[pick]), float(site.mass[pick])))
    return sorted(rows, key=_value)[:most]


def _value(row: _Row) -> float:
    return row[0]


def _sum(rows: list[_Row]) -> _Row:
    value, x, mass = zip(*rows, strict=True)
    return sum(value), sum(x), sum(mass)


def bound_patterns(
    sites: Sequence[Site],
    counts: NDArray[np.int64],
    target: _Complex,
    limit: _Float,
    *,
    crowds: Sequence[Crowd | None] | None = None,
    up_to: bool = False,
    closeness_g: float = 1e-3,
    deadline: float = math.inf,
) -> Bounds:
    """Return bounds for all patterns (rows of ``counts``, one column a site).

    ``target`` is the unbalance to take off and ``limit`` what may be left, in the two planes. A
    bound above the most metal that a pattern can take proves that it cannot be done. With
    ``crowds`` the webs between holes count; with ``up_to`` as well, patterns are the most holes,
    and the search for a bound ends as soon as it is known that nothing is ruled out.
    """
    oracle = (
        _Oracle(sites, target, limit)
        if crowds is None
        else _CrowdedOracle(sites, target, limit, crowds, up_to)
    )
    most = counts @ np.array([site.mass.max() for site in sites])
    master = _Master(oracle.target, _size(oracle, counts), most)
    best = np.full(len(counts), -np.inf)
    lam = np.zeros((len(counts), 2), dtype=complex)
    open_ = np.arange(len(counts))
    for _ in range(_ROUNDS):
        trial, height = master.duals(open_)
        spend("call", 10)
        bound, taken, metal = oracle.ask(counts[open_], trial)
        better = bound > best[open_]
        best[open_[better]], lam[open_[better]] = bound[better], trial[better]
        enough = most[open_] if up_to else best[open_] + closeness_g
        going = (height > enough) & (best[open_] <= most[open_])
        going &= master.enter(open_, taken, metal)
        open_ = open_[going]
        if not len(open_) or now() > deadline:
            break
    return Bounds(lam / oracle.scale, best)


def _size(oracle: _Oracle, counts: NDArray[np.int64]) -> _Float:
    """Return how far from the origin any column can lie, with the target, per pattern."""
    reach = [np.abs(s.x).max() * np.linalg.norm(s.share) / oracle.scale for s in oracle.sites]
    own = np.linalg.norm(as_real(oracle.target)) + np.linalg.norm(oracle.limit)
    return np.asarray(counts @ np.array(reach) + own)


class _Master:
    """Batched revised simplex: the target as a mean of five columns at least cost."""

    def __init__(self, target: _Complex, size: _Float, most: _Float) -> None:
        corners = np.vstack([np.eye(4), -np.ones(4) * (1 + np.sqrt(5)) / 4])
        corners = corners - corners.mean(0)  # a regular simplex about the target
        away = _FAR * size[:, None, None] * corners / np.linalg.norm(corners[0])
        self.columns = np.ones((len(size), 5, 5))  # rows are columns of the basis
        self.columns[:, :, :4] = as_real(target) + away
        self.cost = np.repeat((_COSTLY * most)[:, None], 5, axis=1)
        self.right = np.concatenate([as_real(target), [1.0]])

    def duals(self, rows: NDArray[np.int64]) -> tuple[_Complex, _Float]:
        """Return the multipliers and the master's cost (an upper bound on the relaxation)."""
        y = np.linalg.solve(self.columns[rows], self.cost[rows][..., None])[..., 0]
        return y[:, [0, 2]] + 1j * y[:, [1, 3]], y @ self.right

    def enter(self, rows: NDArray[np.int64], taken: _Complex, metal: _Float) -> NDArray[Any]:
        """Bring a new column into each basis; False where the simplex cannot go on."""
        new = np.concatenate([as_real(taken), np.ones((len(rows), 1))], axis=1)
        both = np.stack([np.broadcast_to(self.right, new.shape), new], -1)
        weights = np.linalg.solve(np.swapaxes(self.columns[rows], 1, 2), both)
        now, change = np.maximum(weights[..., 0], 0.0), weights[..., 1]
        up = change > 1e-11
        ratio = np.where(up, now / np.where(up, change, 1.0), np.inf)
        leave = np.argmin(ratio, axis=1)
        able = np.asarray(up.any(axis=1))
        at, out = rows[able], leave[able]
        self.columns[at, out], self.cost[at, out] = new[able], metal[able]
        return able
