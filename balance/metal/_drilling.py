"""Many virtual drillings of one plan: what the reading, the drill and the hand may get wrong."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.errors import one_not_negative
from balance.metal import _radial
from balance.metal._sites import share_of
from balance.metal._task import Task
from balance.metal.planning import PlannedHole, PlannedSlug
from balance.metal.shapes import point_mm
from balance.vectors import vector

__all__ = ["Errors", "VirtualDrillings", "gone_before"]

_Array = NDArray[Any]


@dataclass(frozen=True)
class Errors:
    """What may be off: two standard deviations each, but for the drill, which cuts oversize.

    ``reading_percent`` [%] and ``reading_degrees`` [degree] of the balancing machine, each plane
    for itself; ``depth_mm`` [mm] and ``hole_degrees`` [degree] of each hole; ``oversize_mm`` [mm]
    the most that a hole comes out wider than its drill (anything from 0 to it, evenly).

    The defaults are common practice, no source: put in what your machine and hands can do.
    """

    reading_percent: float = 2.0
    reading_degrees: float = 1.0
    depth_mm: float = 0.2
    hole_degrees: float = 1.0
    oversize_mm: float = 0.1

    def __post_init__(self) -> None:
        for name in self.__dataclass_fields__:
            one_not_negative(f"errors.{name}", getattr(self, name))


class VirtualDrillings:
    """Drillings drawn once, so that plans and depths are compared by the same luck."""

    def __init__(
        self,
        holes: Sequence[PlannedHole],
        task: Task,
        errors: Errors,
        *,
        draws: int,
        seed: tuple[int, int],
        slugs: Sequence[PlannedSlug] = (),
    ) -> None:
        self.holes, self.task = tuple(holes), task
        random = np.random.default_rng(seed)
        amount = 1 + random.normal(0, errors.reading_percent / 200, (2, draws))
        turn = random.normal(0, math.radians(errors.reading_degrees) / 2, (2, draws))
        self.truth = task.unbalance[:, None] * amount * _unit(turn) + self._fitted(slugs)
        shape = (len(self.holes), draws)
        self._deeper = random.normal(0, errors.depth_mm / 2, shape)
        self._wider = random.uniform(0, errors.oversize_mm, shape)
        self._unit = _unit(random.normal(0, math.radians(errors.hole_degrees) / 2, shape))

    def _fitted(self, slugs: Sequence[PlannedSlug]) -> _Array:
        """Return what slugs put on in the two planes: weighed and measured, taken as exact."""
        gain = np.zeros((2, 1), dtype=complex)
        for each in slugs:
            z = self.task.counterweights[each.counterweight].z_mm
            u = vector(each.net_unbalance_gmm, each.degrees)
            gain[:, 0] += u * share_of(z, self.task.rules.planes_mm)
        return gain

    def taken(self, index: int, depth_mm: float) -> _Array:
        """Return what a hole takes off, at its own place, if it is meant to be so deep."""
        hole = self.holes[index]
        a = (hole.diameter_mm + self._wider[index]) / 2
        h = np.maximum(depth_mm + self._deeper[index], 0.0)  # no drilling above the surface
        moment = _moment(self.task, hole, a, h) - gone_before(self.task, hole)
        toward = complex(np.exp(1j * math.radians(hole.degrees)))
        return np.asarray(moment * self._unit[index] * toward)

    def left(self, depths_mm: Sequence[float]) -> _Array:
        """Return what is left in the two planes, (2, draws) complex, at the depths meant."""
        left, planes = self.truth.copy(), self.task.rules.planes_mm
        for index, depth in enumerate(depths_mm):
            taken = self.taken(index, depth)
            for plane, share in enumerate(share_of(self.holes[index].z_mm, planes)):
                left[plane] -= taken * share
        return left

    def inside(self, left: _Array) -> _Array:
        """Return which drillings end inside the tolerance in both planes."""
        return np.asarray((np.abs(left) <= self.task.tolerance_gmm[:, None]).all(axis=0))

    def overshot(self, left: _Array) -> _Array:
        """Return which drillings end outside the tolerance, light where they were heavy."""
        outside = np.abs(left) > self.task.tolerance_gmm[:, None]
        light = np.real(np.conj(self.task.unbalance)[:, None] * left) < 0
        return np.asarray((outside & light).any(axis=0))


def gone_before(task: Task, hole: PlannedHole) -> float:
    """Return the unbalance that was already gone where an existing hole is deepened."""
    if hole.deepens is None:
        return 0.0
    old = task.counterweights[hole.counterweight].holes[hole.deepens]
    a, h = np.array([hole.diameter_mm / 2]), np.array([float(old.depth_mm)])
    return float(_moment(task, hole, a, h)[0])


def _moment(task: Task, hole: PlannedHole, a: _Array, h: _Array) -> _Array:
    """Return the unbalance of many holes; the short formula where they are deep enough."""
    density = task.rules.density_g_cm3 / 1000.0
    R = np.float64(task.counterweights[hole.counterweight].radius_mm)
    t = a * float(point_mm(2.0, task.rules.point_degrees))
    if h.min() >= _radial.sagitta(a.max(), R):
        return np.asarray(density * _radial.full_moment(a, h, R, t))
    a, h, wide, t = np.broadcast_arrays(a, h, R, t)
    return density * np.asarray(_radial.radial_moments(a, h, wide, t)[1])


def _unit(turn: _Array) -> _Array:
    """Return ``exp(i turn)``, faster than numpy's complex exponential."""
    unit = np.empty(turn.shape, dtype=complex)
    np.cos(turn, out=unit.real)
    np.sin(turn, out=unit.imag)
    return unit
