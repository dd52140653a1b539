"""Distance of two convex bodies, each known by its farthest point in a direction."""

import itertools
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Support = Callable[[Vector], Vector]

STEPS = 200


def distance_below(support_a: Support, support_b: Support) -> float:
    """Return the distance of two convex bodies, approached from below; 0 when they meet.

    Each step finds the point of the difference body farthest towards the origin. The plane through
    it proves a distance; the best one proven is returned, so the answer is never too large.

    Source: E. G. Gilbert, D. W. Johnson and S. S. Keerthi, A fast procedure for computing the
    distance between complex objects in three-dimensional space (1988), from memory.
    """
    nearest = support_a(np.ones(3)) - support_b(-np.ones(3))
    corners, proven = [nearest], 0.0
    for _ in range(STEPS):
        length = float(np.linalg.norm(nearest))
        if length - proven <= 1e-9:
            break
        corner = support_a(-nearest) - support_b(nearest)
        proven = max(proven, float(corner @ nearest) / length)
        nearest, corners = _least([*corners, corner])
    return proven


def _least(corners: list[Vector]) -> tuple[Vector, list[Vector]]:
    """Return the point of a simplex nearest to the origin and the corners it rests on."""
    best, kept = corners[-1], [corners[-1]]
    for count in range(1, len(corners) + 1):
        for some in itertools.combinations(corners, count):
            share = _shares(np.array(some))
            if share is None:
                continue
            point = share @ np.array(some)
            if point @ point < best @ best:
                best, kept = point, list(some)
    return best, kept


def _shares(corners: Vector) -> Vector | None:
    """Return the positive weights of the point nearest to the origin on the flat of corners."""
    edges = corners[1:] - corners[0]
    along = np.linalg.lstsq(edges.T, -corners[0], rcond=None)[0]
    share = np.concatenate([[1 - along.sum()], along])
    return share if np.all(share >= 0) else None
