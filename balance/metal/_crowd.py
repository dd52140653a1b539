"""Several holes on one counterweight: what the webs between them cost at least.

Two holes may not stand closer than their webs allow, so their pull in a wanted direction is less
than twice that of the best single hole. Over all ordered pairs of shapes, at their least angle
apart, the best place in the sector is known in closed form; so are the few places where two holes
that stand further apart may both be at their best. For n holes in a row the pairs that are g places
apart stand at least the sum of the webs between them apart; each hole is in n - 1 pairs, so::

    sum of n values  >=  1 / (n - 1) * sum over g of (n - g) * (least pair value g places apart)
"""

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.metal._sites import Site

__all__ = ["Crowd", "Priced", "crowd_of"]

_Array = NDArray[Any]
_SCOUTS = 24  # shapes tried first, to know which others are worth a look


@dataclass(frozen=True)
class Priced:
    """Least value of ``m - Re(conj(pull) x)`` for a set of holes, with the x and m that attain it.

    With three holes or more x and m are those of the bound, not of a real set.
    """

    value: float
    x: complex
    mass: float


_NEVER = Priced(math.inf, 0j, 0.0)


class Crowd:
    """Prices sets of new holes on one counterweight; forbidden places count as allowed."""

    def __init__(self, site: Site) -> None:
        fresh = np.unique(site.shape[site.step >= 0])
        self._u, self._m = site.shapes.unbalance_gmm[fresh], site.shapes.mass_g[fresh]
        self._apart = site.apart[np.ix_(fresh, fresh)]
        self._step, self._first = site.rules.angle_step_degrees, float(site.angles[0])
        self._span = float(site.angles[-1] - site.angles[0])
        self._pairs: dict[int, tuple[_Array, _Array, _Array]] = {}

    def _pair(self, gap: int) -> tuple[_Array, _Array, _Array]:
        """Return angle apart, length and direction [degree] of all ordered pairs of shapes."""
        if gap not in self._pairs:
            apart = self._apart
            if gap > 1:  # what stands between is smallest where it is the smallest hole
                near = apart.min(axis=1)
                between = near[:, None] + near + (gap - 2) * apart.min()
                apart = np.maximum(apart, between)
            degrees = apart * self._step
            both = self._u[:, None] + self._u * np.exp(1j * np.radians(degrees))
            self._pairs[gap] = (degrees, np.abs(both), np.degrees(np.angle(both)))
        return self._pairs[gap]

    def price(self, number: int, pull: complex) -> Priced:
        """Return a lower bound on the value of any set of ``number`` (two or more) holes."""
        return self.prices(number, pull)[-1]

    def prices(self, most: int, pull: complex) -> list[Priced]:
        """Return the same for two, three, ... up to ``most`` holes."""
        pairs = [self._price_pairs(gap, pull) for gap in range(1, most)]
        return [self._mean(pairs[:few]) for few in range(1, most)]

    @staticmethod
    def _mean(pairs: list[Priced]) -> Priced:
        """Return the bound on a row of holes from its pairs one, two, ... places apart."""
        last = len(pairs)
        parts = [((last + 1 - gap) / last, pair) for gap, pair in enumerate(pairs, start=1)]
        return Priced(
            sum(part * pair.value for part, pair in parts),
            sum(part * pair.x for part, pair in parts),
            sum(part * pair.mass for part, pair in parts),
        )

    def _price_pairs(self, gap: int, pull: complex) -> Priced:
        """Return the least value over all pairs that far apart.

        Of the best pair either the two stand as near together as allowed, or each stands where no
        step to either side would better it: in the pull, or at an end of the sector towards which
        its part in the pull rises.
        """
        size = abs(pull)
        middle = self._first + self._span / 2
        turn = (np.degrees(np.angle(pull)) - middle + 180.0) % 360.0 - 180.0 + self._span / 2
        single = self._m - size * self._u * _cos_to(turn, 0.0, self._span)[0]
        scouts = np.argsort(single, kind="stable")[:_SCOUTS]
        best = self._best_of(scouts, gap, turn, size)
        parted = self._price_parted(gap, float(turn), size)
        limit = min(best.value, parted.value)
        worth = np.flatnonzero(single <= limit - single.min())
        if len(worth):
            other = self._best_of(worth, gap, turn, size)
            best = other if other.value < best.value else best
        return parted if parted.value < best.value else best

    def _price_parted(self, gap: int, turn: float, size: float) -> Priced:
        """Return the least value of two holes in different ones of the best places."""
        nearest = float(self._pair(gap)[0].min())
        spots = [self._price_at(place, turn, size) for place in self._best_places(turn)]
        pairs = [
            Priced(one.value + two.value, one.x + two.x, one.mass + two.mass)
            for (here, one), (there, two) in itertools.combinations(spots, 2)
            if abs(here - there) >= nearest
        ]
        return min(pairs, key=lambda pair: pair.value, default=_NEVER)

    def _best_places(self, turn: float) -> list[float]:
        """Return where from the sector's start the cosine to the pull is greatest around."""
        rising = [
            (0.0, math.sin(math.radians(turn)) <= 0.0),
            (self._span, math.sin(math.radians(self._span - turn)) <= 0.0),
        ]
        inside = [turn] if 0.0 <= turn <= self._span else []
        return [*inside, *(end for end, rises in rising if rises)]

    def _price_at(self, place: float, turn: float, size: float) -> tuple[float, Priced]:
        """Return a place with the least value of any hole there."""
        value = self._m - size * self._u * math.cos(math.radians(turn - place))
        k = int(np.argmin(value))
        x = self._u[k] * np.exp(1j * np.radians(self._first + place))
        return place, Priced(float(value[k]), complex(x), float(self._m[k]))

    def _best_of(self, some: _Array, gap: int, turn: float, size: float) -> Priced:
        """Return the least value over all ordered pairs of some shapes."""
        degrees, length, toward = (part[np.ix_(some, some)] for part in self._pair(gap))
        cosine, at = _cos_to(turn - toward, 0.0, self._span - degrees)
        mass = self._m[some][:, None] + self._m[some]
        value = np.where(degrees <= self._span, mass - size * length * cosine, np.inf)
        k = int(np.argmin(value))
        angle = np.radians(self._first + at.flat[k] + toward.flat[k])
        return Priced(
            float(value.flat[k]), complex(length.flat[k] * np.exp(1j * angle)), float(mass.flat[k])
        )


@lru_cache(maxsize=64)
def crowd_of(site: Site) -> Crowd:
    """Return the crowd of a site, made once: plans with another aim ask again."""
    return Crowd(site)


def _cos_to(turn: Any, low: float, high: Any) -> tuple[Any, Any]:
    """Return the greatest cosine between a direction and those from low to high, and where."""
    to_low, to_high = np.cos(np.radians(turn - low)), np.cos(np.radians(turn - high))
    inside = (turn >= low) & (turn <= high)
    cosine = np.where(inside, 1.0, np.maximum(to_low, to_high))
    return cosine, np.where(inside, turn, np.where(to_low >= to_high, low, high))
