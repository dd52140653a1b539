"""Virtual drillings a lot at a time, each lot from a seed of its own, counted as they are made."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.metal._drilling import Errors, VirtualDrillings
from balance.metal.planning import Plan

__all__ = ["Chance", "Lots", "Tally", "lots_of"]

_LOT = 20_000  # drillings: small enough for the cache


@dataclass(frozen=True)
class Chance:
    """How often many virtual drillings of a plan end well.

    ``inside`` [1] the share that ends inside the tolerance in both planes, with its standard
    error ``inside_u``; ``overshoot`` [1] the share that ends outside, light where the crank was
    heavy: metal cannot be put back. ``bias`` (2,) complex [g mm] what the holes take more than
    planned on average (drills cut oversize). ``draws`` is how many drillings it comes from.
    """

    inside: float
    inside_u: float
    overshoot: float
    bias: NDArray[np.complex128]
    draws: int


@dataclass(frozen=True)
class Tally:
    """Counts over some drillings, one place for each row of depths; ``left`` is a sum [g mm]."""

    draws: int
    inside: NDArray[np.int64]
    overshot: NDArray[np.int64]
    left: NDArray[np.complex128]

    @classmethod
    def empty(cls, rows: int) -> "Tally":
        count = np.zeros(rows, dtype=np.int64)
        return cls(0, count, count, np.zeros((rows, 2), dtype=complex))

    def __add__(self, more: "Tally") -> "Tally":
        return Tally(
            self.draws + more.draws,
            self.inside + more.inside,
            self.overshot + more.overshot,
            self.left + more.left,
        )

    def chances(self, plan: Plan) -> tuple[Chance, ...]:
        """Return the chance of each row."""
        shares = self.inside / self.draws
        return tuple(
            Chance(
                inside=float(share),
                inside_u=math.sqrt(share * (1 - share) / self.draws),
                overshoot=float(overshot / self.draws),
                bias=plan.residual - left / self.draws,
                draws=self.draws,
            )
            for share, overshot, left in zip(shares, self.overshot, self.left, strict=True)
        )


@dataclass(frozen=True)
class Lots:
    """Lots of virtual drillings, each from a seed of its own."""

    plan: Plan
    depths_mm: NDArray[np.float64]
    errors: Errors
    seed: int

    def drill(self, lot: tuple[int, int]) -> Tally:
        """Drill one lot (its number, its size) to every row of depths."""
        number, size = lot
        plan, seed = self.plan, (self.seed, number)
        trial = VirtualDrillings(
            plan.holes, plan.task, self.errors, draws=size, seed=seed, slugs=plan.slugs
        )
        found = [self._count(trial, row) for row in self.depths_mm]
        inside, overshot, left = zip(*found, strict=True)
        return Tally(size, np.array(inside), np.array(overshot), np.array(left))

    @staticmethod
    def _count(
        trial: VirtualDrillings, row: NDArray[np.float64]
    ) -> tuple[int, int, NDArray[np.complex128]]:
        left = trial.left(row.tolist())
        inside, overshot = trial.inside(left), trial.overshot(left)
        return int(inside.sum()), int(overshot.sum()), left.sum(axis=1)


def lots_of(draws: int) -> Iterator[int]:
    """Yield the sizes of the lots in which draws are made."""
    whole, rest = divmod(draws, _LOT)
    for _ in range(whole):
        yield _LOT
    if rest:
        yield rest
