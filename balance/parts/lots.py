"""A lot of parts weighed together: each part's readings help to judge the others."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import items_of, not_negative
from balance.parts.oddities import FALSE_ALARM, far_from_rest, student_two_sided
from balance.parts.weighing import Repeatability, Weight, average, pooled_repeatability

__all__ = ["weigh_all"]


def weigh_all(
    readings_g: Sequence[ArrayLike], *, resolution_g: float, repeatability_g: float | None = None
) -> tuple[Weight, ...]:
    """Return the weight of each part, with the scale's repeatability pooled over all of them.

    Each part is averaged with the pooled s. Its readings are doubted when they lie farther from
    each other than the scatter of the *other* parts explains (Student's t, 5 % for the whole
    lot), so that a bad reading cannot hide behind the scatter it made. Of two readings that
    disagree, both are doubted. With ``repeatability_g``
    given, or no part read twice, each part is averaged by itself.

    Parameters
    ----------
    readings_g : sequence of arrays [g]
        One array of readings a part, any lengths.
    resolution_g : float [g]
        Smallest step of the display.
    repeatability_g : float, optional [g]
        Standard deviation of one reading, when it is known from before.

    Raises
    ------
    InputError
        As in `average`, for any of the parts.

    Examples
    --------
    >>> lot = weigh_all(
    ...     [[420.3, 420.4], [418.0, 418.0], [421.1, 421.0], [419.2, 423.2]], resolution_g=0.1
    ... )
    >>> [weight.outliers for weight in lot]
    [(), (), (), (0, 1)]

    Source: JCGM 100:2008 (GUM), 4.2.4 (pooled estimate); from memory.
    """
    parts = [
        np.atleast_1d(not_negative("readings_g", part))
        for part in items_of("readings_g", readings_g)
    ]
    if repeatability_g is not None or all(part.size <= 1 for part in parts):
        return tuple(
            average(part, resolution_g=resolution_g, repeatability_g=repeatability_g)
            for part in parts
        )
    pooled = pooled_repeatability(parts)
    weights = [average(p, resolution_g=resolution_g, repeatability_g=pooled.s_g) for p in parts]
    alarm = FALSE_ALARM / sum(part.size for part in parts)
    return tuple(
        replace(weight, outliers=_doubtful(part, pooled, resolution_g**2 / 12, alarm))
        for weight, part in zip(weights, parts, strict=True)
    )


def _doubtful(
    part: NDArray[np.float64], pooled: Repeatability, rounding: float, alarm: float
) -> tuple[int, ...]:
    """Return the readings of one part that the scatter of the others does not explain."""
    freedom = pooled.degrees_of_freedom - (part.size - 1)
    if freedom == 0:
        return far_from_rest(part, rounding_variance=rounding)
    own = float(((part - part.mean()) ** 2).sum())
    others = pooled.s_g**2 * pooled.degrees_of_freedom - own
    return _disagreeing(part, math.sqrt(others / freedom + rounding), freedom, alarm)


def _disagreeing(
    values: NDArray[np.float64], sigma: float, freedom: int, alarm: float
) -> tuple[int, ...]:
    """Take out the farthest reading for as long as it is too far from the rest."""
    left = list(range(values.size))
    bad: list[int] = []
    while len(left) > 1:
        off = np.abs(values[left] - values[left].mean())
        worst = int(np.argmax(off))
        # x less the mean of the other k - 1 is k / (k - 1) off, with variance k / (k - 1) sigma^2.
        t = float(off[worst]) * math.sqrt(len(left) / (len(left) - 1)) / sigma
        if student_two_sided(t, freedom) >= alarm:
            break
        gone = list(left) if len(left) == 2 else [left[worst]]
        bad += gone
        left = [i for i in left if i not in gone]
    return tuple(sorted(bad))
