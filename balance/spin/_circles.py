"""Circles of balancing without phase: the points nearest to all of them.

Each trial run says |1 + c T| = a for the unknown influence c: a circle about -1/T of radius a/|T|.
"""

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from balance.errors import InputError

_SAME = 1e-6  # an influence below this part changes nothing; centres nearer than it are one

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


def apart(c: complex, weights: Complex, sizes: Real) -> Real:
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
    from scipy.optimize import least_squares

    found: list[complex] = []
    for i, j in combinations(range(len(weights)), 2):
        for start in _pair(weights[[i, j]], sizes[[i, j]]):
            fit = least_squares(
                lambda p: apart(complex(*p), weights, sizes),
                (start.real, start.imag),
                xtol=1e-14,
                ftol=1e-14,
                gtol=1e-14,
            )
            point = complex(*fit.x)
            if all(abs(point - known) > 1e-3 * (1 + abs(known)) for known in found):
                found.append(point)
    return found


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
