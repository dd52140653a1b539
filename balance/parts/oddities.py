"""Which reading or part does not belong with the others."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, one_not_negative, positive
from balance.parts._grid import middle

__all__ = [
    "MAKER_SPAN_G",
    "OddPart",
    "far_from_middle",
    "far_from_rest",
    "outside_span",
    "student_two_sided",
]

# Largest less smallest inside one engine. Sources, read in excerpts, editions not checked: pistons
# 5 g, a vehicle maker's workshop manual, section 3.8.7, Checking the mass of the pistons (in a
# transcription), another's 10 g; rods 5 and 6 g, two makers' manuals, and 9 g, a builder's report.
# The engine's own manual decides.
MAKER_SPAN_G = {"piston": 5.0, "rod": 6.0}

FAR_SIGMAS = 3.5
FALSE_ALARM = 0.05


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


def far_from_middle(values: NDArray[np.float64], sigma: float) -> tuple[int, ...]:
    """Return the indexes of values more than 3.5 known standard deviations from the median.

    Source: 3.5 as in B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers, ASQC
    1993; from memory.

    Examples
    --------
    >>> far_from_middle(np.array([1.0, 1.1, 0.9, 2.0]), 0.1)
    (3,)
    """
    off = np.abs(values - middle(values))
    return tuple(int(i) for i in np.flatnonzero(off > FAR_SIGMAS * sigma))


def far_from_rest(values: NDArray[np.float64], *, rounding_variance: float) -> tuple[int, ...]:
    """Return the indexes of values that the others' own scatter does not explain.

    The farthest value is held against the mean and scatter of the rest by Student's t, then
    taken out and the next one tested, up to a quarter of all; the largest number that is
    significant at 5 % counts. Testing on past a first "no" finds two bad values that hide each
    other. Values rounded to a display carry that rounding as variance too.

    Source: B. Rosner, Percentage points for a generalized ESD many-outlier procedure,
    Technometrics 25 (1983); from memory.

    Examples
    --------
    >>> far_from_rest(np.array([1.0, 1.1, 0.9, 5.0]), rounding_variance=0.0)
    (3,)
    """
    left = list(range(values.size))
    taken: list[int] = []
    found = 0
    while len(left) > 2 and len(taken) < max(1, values.size // 4):
        farthest = left[int(np.argmax(np.abs(values[left] - values[left].mean())))]
        left.remove(farthest)
        taken.append(farthest)
        if _unlikely(values[farthest], values[left], rounding_variance):
            found = len(taken)
    return tuple(sorted(taken[:found]))


def _unlikely(value: float, rest: NDArray[np.float64], rounding_variance: float) -> bool:
    """Tell whether a value is too far from the rest for the farthest of all."""
    variance = float(rest.var(ddof=1)) + rounding_variance
    off = abs(value - float(rest.mean()))
    if variance == 0:
        return off > 0
    t = off / math.sqrt(variance * (1 + 1 / rest.size))
    return student_two_sided(t, rest.size - 1) * (rest.size + 1) < FALSE_ALARM


def student_two_sided(t: float, freedom: int) -> float:
    """Return the chance that Student's t lies beyond plus or minus t, for whole freedom.

    Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.7.3 and
    26.7.4; from memory.

    Examples
    --------
    >>> round(student_two_sided(12.706, 1), 4), round(student_two_sided(2.228, 10), 4)
    (0.05, 0.05)
    """
    angle = math.atan(t / math.sqrt(freedom))
    odd = freedom % 2
    term, series = math.cos(angle) if odd else 1.0, 0.0
    for j in range(freedom // 2):
        series += term
        term *= (2 * j + 1 + odd) / (2 * j + 2 + odd) * math.cos(angle) ** 2
    inside = math.sin(angle) * series
    return 1 - (2 / math.pi * (angle + inside) if odd else inside)
