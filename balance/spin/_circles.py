"""Circles of balancing without phase: the points nearest to all of them.

Each trial run says |1 + c T| = a for the unknown influence c: a circle about -1/T of radius a/|T|.
"""

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from balance.errors import InputError

_SAME = 1e-6  # an influence below this part changes nothing; centres nearer than it are one
_AT_REST = 1e-13  # a step below this part of the influence moves nothing
_STUCK = 1e12  # damped so much and still no better: rounding is all that is left
_MOST_STEPS = 200  # some twenty are taken
_ASIDE = 1e-4j  # trials on one line make a saddle on it: a start on the line must leave it

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


def apart(c: complex | Complex, weights: Complex, sizes: Real) -> Real:
    """Return how far each run's computed amplitude is above the measured one."""
    return np.asarray(np.abs(1 + c * weights) - sizes)


def misfit_rms(c: complex, weights: Complex, sizes: Real) -> float:
    """Return the root mean square of what the circles miss a point by."""
    return float(np.sqrt(np.mean(apart(c, weights, sizes) ** 2)))


def meeting_points(weights: Complex, sizes: Real, bar: float) -> list[complex]:
    """Return the points that fit all circles alike, best first."""
    found = sorted(_least_points(weights, sizes), key=lambda c: misfit_rms(c, weights, sizes))
    if not found:
        raise InputError(
            f"trials must differ in place or size, got {len(weights)} of the same: "
            "put the trial weight at 0, 120 and 240 degrees in turn"
        )
    worst = 2 * max(misfit_rms(found[0], weights, sizes), bar)
    near = [c for c in found if misfit_rms(c, weights, sizes) <= worst]
    usable = [c for c in near if abs(c) * np.max(np.abs(weights)) > _SAME]
    if not usable:
        raise InputError(
            "amplitudes must differ from initial, but the trial weights changed nothing: "
            "use a larger trial weight"
        )
    return usable


def _least_points(weights: Complex, sizes: Real) -> list[complex]:
    """Return the local least-squares points of the circles; every pair of circles starts two."""
    pairs = combinations(range(len(weights)), 2)
    starts = [c for i, j in pairs for c in _pair(weights[[i, j]], sizes[[i, j]])]
    found: list[complex] = []
    for point in _settled(np.array(starts, dtype=complex), weights, sizes).tolist():
        if all(abs(point - known) > 1e-3 * (1 + abs(known)) for known in found):
            found.append(point)
    return found


def _settled(points: Complex, weights: Complex, sizes: Real) -> Complex:
    """Return where each start comes to rest: damped Newton steps, all starts at once.

    Of half the sum of squares, with u the direction of ``1 + c T``: slope ``g = sum (|1 + c T| - a)
    u conj(T)``, curvature ``p d + q conj(d)`` along a step d, where ``p = sum |T|^2 (1 - k)``,
    ``q = sum (u conj(T))^2 k`` and ``k = a / |1 + c T| / 2``.
    """
    points = points * (1 + _ASIDE * (-1.0) ** np.arange(len(points)))  # the two of a pair part
    scale = np.sum(np.abs(weights) ** 2)
    damping = np.full(len(points), 1e-2)
    miss = _squares(points, weights, sizes)
    for _ in range(_MOST_STEPS):
        turned = 1 + points[:, None] * weights
        length = np.maximum(np.abs(turned), _AT_REST)
        lean, k = turned / length * np.conj(weights), sizes / length / 2
        slope = np.sum((length - sizes) * lean, axis=1)
        q = np.sum(lean**2 * k, axis=1)
        p = np.maximum(np.sum(np.abs(weights) ** 2 * (1 - k), axis=1), np.abs(q)) + damping * scale
        step = (q * np.conj(slope) - p * slope) / (p**2 - np.abs(q) ** 2)
        if np.all((np.abs(step) <= _AT_REST * (1 + np.abs(points))) | (damping >= _STUCK)):
            break
        there = _squares(points + step, weights, sizes)
        better = there < miss
        points, miss = np.where(better, points + step, points), np.where(better, there, miss)
        damping = np.where(better, damping / 10, damping * 10).clip(1e-12, _STUCK)
    return points


def _squares(points: Complex, weights: Complex, sizes: Real) -> Real:
    """Return the sum of squares of what the circles miss each point by."""
    return np.asarray(np.sum(apart(points[:, None], weights, sizes) ** 2, axis=1))


def _pair(weights: Complex, sizes: Real) -> list[complex]:
    """Return where two circles |1 + c T| = a meet, or the point between them when they do not."""
    centres, radii = -1 / weights, sizes / np.abs(weights)
    line = centres[1] - centres[0]
    if abs(line) <= _SAME * np.max(np.abs(centres)):
        return []
    along = (radii[0] ** 2 - radii[1] ** 2 + abs(line) ** 2) / (2 * abs(line))
    across = np.sqrt(complex(radii[0] ** 2 - along**2)).real
    unit = line / abs(line)
    return [complex(centres[0] + unit * complex(along, side * across)) for side in (1, -1)]
