"""Which reading or part does not belong with the others."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, positive
from balance.parts._scalars import one_not_negative

__all__ = ["MAKER_SPAN_G", "OddPart", "far_from_middle", "outside_span", "robust_sigma"]

# Largest less smallest inside one engine, as vehicle makers' workshop manuals print it: pistons
# 5 g (others 10), rods 5 to 6 g (others 9). Editable defaults: the engine's own manual decides.
MAKER_SPAN_G = {"piston": 5.0, "rod": 6.0}

MODIFIED_Z = 3.5


@dataclass(frozen=True)
class OddPart:
    """A part outside the span of its set: its index, mass [g] and how far outside [g].

    ``outside_g`` is positive for a heavy part and negative for a light one.
    """

    part: int
    mass_g: float
    outside_g: float


def outside_span(weights_g: ArrayLike, *, span_g: float) -> tuple[OddPart, ...]:
    """Name the parts that cannot have left the maker in one set with the others.

    The window of width ``span_g`` that holds most parts is taken for the set; of equal windows
    the one whose parts lie closest together, then the lighter. What lies outside was probably
    replaced, or is of another weight class.

    Parameters
    ----------
    weights_g : array, shape (n,) [g]
        One kind of part, all of one engine.
    span_g : float [g]
        Largest less smallest that the maker allows (`MAKER_SPAN_G` when the manual is silent).

    Raises
    ------
    InputError
        When a weight is not above zero or the span is negative.

    Examples
    --------
    >>> outside_span([655.0, 657.5, 654.2, 666.0], span_g=6.0)
    (OddPart(part=3, mass_g=666.0, outside_g=5.8),)

    Source: finding one odd rod 11 g out in a set is common practice, no source.
    """
    weights = np.atleast_1d(positive("weights_g", weights_g))
    span = one_not_negative("span_g", span_g)
    if weights.ndim != 1:
        raise InputError(f"weights_g must be a flat list, got shape {weights.shape}")
    if weights.size == 0:
        return ()
    low, high = _fullest_window(np.sort(weights), span)
    # A part may sit at either end of the set, so it is outside by what exceeds the span.
    over = np.where(weights > high, weights - low - span, np.minimum(weights - high + span, 0.0))
    return tuple(
        OddPart(int(i), float(weights[i]), round(float(over[i]), 9))
        for i in np.flatnonzero((weights < low) | (weights > high))
    )


def _fullest_window(ordered: NDArray[np.float64], span: float) -> tuple[float, float]:
    """Return lightest and heaviest of the largest group no wider than the span."""
    slack = 1e-9  # display steps are not exact in binary: 5.0 apart must count as 5.0
    ends = np.searchsorted(ordered, ordered + span + slack, side="right") - 1
    counts = ends - np.arange(ordered.size)
    widths = ordered[ends] - ordered
    start = int(np.lexsort((ordered, widths, -counts))[0])
    return float(ordered[start]), float(ordered[ends[start]])


def robust_sigma(values: NDArray[np.float64]) -> float:
    """Return 1.4826 times the median absolute deviation: a spread that one bad value cannot move.

    Source: B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers, ASQC 1993;
    from memory.

    Examples
    --------
    >>> round(robust_sigma(np.array([1.0, 2.0, 3.0, 4.0, 100.0])), 4)
    1.4826
    """
    return 1.4826 * float(np.median(np.abs(values - np.median(values))))


def far_from_middle(values: NDArray[np.float64], sigma: float) -> tuple[int, ...]:
    """Return the indexes of values more than 3.5 sigma from the median.

    Source: B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers, ASQC 1993
    (modified z-score 3.5); from memory.

    Examples
    --------
    >>> far_from_middle(np.array([1.0, 1.1, 0.9, 2.0]), 0.1)
    (3,)
    """
    off = np.abs(values - np.median(values))
    return tuple(int(i) for i in np.flatnonzero(off > MODIFIED_Z * sigma))
