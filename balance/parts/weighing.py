"""Weigh honestly: every mass with its uncertainty, doubtful readings flagged and none dropped.

The rod functions are re-exported here, so that one module answers "what does this part weigh?".
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    instance_of,
    items_of,
    not_negative,
    one_not_negative,
    one_positive,
    real,
    whole,
)
from balance.parts.oddities import far_from_middle, far_from_rest
from balance.parts.rods import RodEnds, rod_ends, rod_from_centre, rod_from_one_end
from balance.parts.swing import RodSwing, rod_from_swing

__all__ = [
    "GUARD",
    "Repeatability",
    "RodEnds",
    "RodSwing",
    "ScaleCheck",
    "Weight",
    "average",
    "check_scale",
    "difference",
    "pooled_repeatability",
    "rod_ends",
    "rod_from_centre",
    "rod_from_one_end",
    "rod_from_swing",
    "u_of_sum",
]

GUARD = 1.65
"""Guard band in standard uncertainties: one-sided 95 % (ISO 14253-1:2017, from memory)."""

DIVISIONS_PER_TOLERANCE = 10  # common practice, no source


@dataclass(frozen=True)
class Weight:
    """One mass with its doubt.

    ``mass_g`` is the mean of all ``n`` readings, ``u_g`` its standard uncertainty [g],
    ``spread_g`` the largest reading less the smallest, ``outliers`` the indexes of doubtful
    readings. These are still inside the mean: weigh again, or leave them out by hand.
    """

    mass_g: float
    u_g: float
    n: int
    spread_g: float = 0.0
    outliers: tuple[int, ...] = ()


@dataclass(frozen=True)
class Repeatability:
    """Standard deviation of one reading [g], its degrees of freedom and the parts that gave it."""

    s_g: float
    degrees_of_freedom: int
    parts: int


@dataclass(frozen=True)
class ScaleCheck:
    """Whether a scale can carry a tolerance.

    ``verdict`` is "good", "coarse" or "cannot"; ``u_g`` the uncertainty of one reading and
    ``guard_g`` the guard on a difference of two. Parts whose displays differ by no more than
    ``provable_g`` are proven inside the tolerance (0 when nothing can be proven);
    ``finest_tolerance_g`` is the least tolerance the scale carries well.
    """

    verdict: str
    u_g: float
    guard_g: float
    provable_g: float
    finest_tolerance_g: float
    advice: str


def average(
    readings_g: ArrayLike, *, resolution_g: float, repeatability_g: float | None = None
) -> Weight:
    """Return the mean of repeated readings of one part, with its standard uncertainty.

    u^2 = s^2 / n + d^2 / 12: the scatter shrinks with repeats, the rounding of the display does
    not (it rounds the same part the same way each time). ``s`` is the scale's repeatability when
    it is given, else the readings' own standard deviation; a single reading has none of its own
    and then carries the rounding alone.

    Parameters
    ----------
    readings_g : float or array, shape (n,) [g]
        Repeated readings of one part.
    resolution_g : float [g]
        Smallest step of the display, d.
    repeatability_g : float, optional [g]
        Standard deviation of one reading, pooled over many parts (`pooled_repeatability`). Two or
        three readings are too few to tell it themselves.

    Raises
    ------
    InputError
        When there is no reading, or one is negative or not finite.

    Examples
    --------
    >>> round(average([420.3], resolution_g=0.1, repeatability_g=0.05).u_g, 3)
    0.058
    >>> average([420.3, 420.3, 423.3], resolution_g=0.1).outliers
    (2,)

    Source: JCGM 100:2008 (GUM), 4.2.3 (mean), 4.2.4 (pooled), F.2.2.1 (resolution);
    from memory.
    """
    readings = _readings("readings_g", readings_g)
    step = one_positive("resolution_g", resolution_g)
    s = _scatter(readings, repeatability_g)
    rounding = step**2 / 12
    return Weight(
        mass_g=float(readings.mean()),
        u_g=math.sqrt(s**2 / readings.size + rounding),
        n=readings.size,
        spread_g=float(np.ptp(readings)),
        outliers=_doubtful(readings, repeatability_g, rounding),
    )


def pooled_repeatability(readings_g: Sequence[ArrayLike]) -> Repeatability:
    """Return the repeatability of a scale from repeated readings of many parts.

    s^2 = sum (n_i - 1) s_i^2 / sum (n_i - 1). A part read once tells nothing and adds nothing.

    Parameters
    ----------
    readings_g : sequence of arrays [g]
        One array of readings a part, any lengths.

    Raises
    ------
    InputError
        When no part was read twice, or a reading is negative or not finite.

    Examples
    --------
    >>> pooled_repeatability([[420.3, 420.4], [418.0, 418.0, 418.1]]).degrees_of_freedom
    3

    Source: JCGM 100:2008 (GUM), 4.2.4 and H.3.6 note on pooled variance; from memory.
    """
    parts = [
        _readings(f"readings_g[{i}]", part)
        for i, part in enumerate(items_of("readings_g", readings_g))
    ]
    freedom = sum(part.size - 1 for part in parts)
    if freedom == 0:
        raise InputError(
            f"readings_g must hold a part that was read at least twice, got {len(parts)} parts "
            "with one reading or none: lift the part off and weigh it again"
        )
    squares = sum(float(((part - part.mean()) ** 2).sum()) for part in parts)
    return Repeatability(math.sqrt(squares / freedom), freedom, sum(p.size > 1 for p in parts))


def difference(gross: Weight, tare: Weight) -> Weight:
    """Return the mass of a part weighed in a holder: ``gross - tare``.

    u^2 = u_gross^2 + u_tare^2: two displays, so the rounding enters twice. A press of the tare
    button is a weighing too: give it as ``Weight(0.0, u_g, 1)``. A fixed offset of the scale
    cancels.

    Raises
    ------
    InputError
        When the tare is not lighter than the whole, or a weight cannot be.

    Examples
    --------
    >>> difference(Weight(512.4, 0.03, 1), Weight(92.1, 0.04, 1)).u_g
    0.05

    Source: JCGM 100:2008 (GUM), 5.1.2, independent quantities; from memory.
    """
    instance_of("gross", gross, Weight)
    instance_of("tare", tare, Weight)
    for name, weight in (("gross", gross), ("tare", tare)):
        one_not_negative(f"{name}.mass_g", weight.mass_g)
        one_not_negative(f"{name}.u_g", weight.u_g)
        whole(f"{name}.n", weight.n, least=1)
    if not gross.mass_g > tare.mass_g:
        raise InputError(
            f"tare must be lighter than gross, got tare {tare.mass_g!r} g and gross "
            f"{gross.mass_g!r} g: are the two swapped?"
        )
    u = math.hypot(gross.u_g, tare.u_g)
    return Weight(gross.mass_g - tare.mass_g, u, min(gross.n, tare.n))


def u_of_sum(counts: ArrayLike, u_g: ArrayLike, *, offset_u_g: float = 0.0) -> float:
    """Return the uncertainty of ``sum counts * mass`` for masses weighed one by one.

    u^2 = sum (c u)^2 + (sum c)^2 u_offset^2. Scatter and rounding are independent and add as
    squares; what the scale shows too much of on every weighing enters with the sum of the counts.

    Parameters
    ----------
    counts : array, shape (n,) [-]
        How often each mass counts; may be a half, or negative for a tare.
    u_g : float or array, shape (n,) [g]
        Standard uncertainty of each mass.
    offset_u_g : float [g]
        Standard uncertainty of the offset that all weighings share.

    Raises
    ------
    InputError
        When an uncertainty is negative, anything is not finite, or the lengths differ.

    Examples
    --------
    Bobweight of a V8 at one half: big end and bearings twice, five reciprocating parts once.

    >>> round(u_of_sum([2, 2, 1, 1, 1, 1, 1], 0.0577), 2)
    0.21

    Source: JCGM 100:2008 (GUM), 5.1.2 and 5.2.2 note 1 (correlated with r = 1); from memory.
    """
    count = np.atleast_1d(real("counts", counts))
    if count.ndim > 1 or not count.size:
        raise InputError(f"counts must be a plain list of at least one, got {counts!r}")
    u = not_negative("u_g", u_g)
    offset = one_not_negative("offset_u_g", offset_u_g)
    if u.ndim and u.shape != count.shape:
        raise InputError(
            f"u_g must be one number or one for each count, got {u.size} for {count.size} counts"
        )
    return math.sqrt(float(((count * u) ** 2).sum()) + (float(count.sum()) * offset) ** 2)


def check_scale(
    tolerance_g: float, *, resolution_g: float, repeatability_g: float = 0.0
) -> ScaleCheck:
    """Tell whether a scale supports a matching tolerance.

    A tolerance compares two parts, so u_difference = sqrt(2) u and the guard is
    1.65 sqrt(2) u, with u^2 = s^2 + d^2 / 12. "cannot": the guard eats the whole tolerance.
    "coarse": something can be proven, but the display step is over a tenth of the tolerance.

    Parameters
    ----------
    tolerance_g : float [g]
        Largest allowed difference between two parts.
    resolution_g : float [g]
        Smallest step of the display.
    repeatability_g : float [g]
        Standard deviation of one reading.

    Raises
    ------
    InputError
        When the tolerance or repeatability is negative or the resolution not above zero.

    Examples
    --------
    >>> check_scale(0.5, resolution_g=0.1, repeatability_g=0.05).verdict
    'coarse'
    >>> check_scale(0.5, resolution_g=1.0).verdict
    'cannot'

    Source: guard, ISO 14253-1:2017 (from memory); one tenth, common practice, no source.
    """
    tolerance = one_not_negative("tolerance_g", tolerance_g)
    step = one_positive("resolution_g", resolution_g)
    s = one_not_negative("repeatability_g", repeatability_g)
    u = math.sqrt(s**2 + step**2 / 12)
    guard = GUARD * math.sqrt(2) * u
    finest = max(DIVISIONS_PER_TOLERANCE * step, 2 * guard)
    verdict = _verdict(tolerance, guard, finest)
    provable = max(tolerance - guard, 0.0) if verdict != "cannot" else 0.0
    return ScaleCheck(verdict, u, guard, provable, finest, _advice(verdict, tolerance, provable))


def _verdict(tolerance: float, guard: float, finest: float) -> str:
    """Judge; equality within rounding counts as met (ten steps of 0.1 are a tolerance of 1)."""
    if tolerance <= guard:
        return "cannot"
    return "good" if tolerance >= finest * (1 - 1e-12) else "coarse"


def _advice(verdict: str, tolerance: float, provable: float) -> str:
    """Say what the verdict means at the bench."""
    if verdict == "cannot":
        return f"this scale cannot tell {tolerance:g} g: use a finer scale or average more readings"
    if verdict == "coarse":
        return (
            f"only parts whose displays agree within {provable:.2g} g are proven to {tolerance:g} g"
        )
    return f"the scale supports {tolerance:g} g"


def _readings(name: str, value: ArrayLike) -> NDArray[np.float64]:
    """Return readings as a flat array with at least one in it."""
    readings = np.atleast_1d(not_negative(name, value))
    if readings.ndim != 1 or readings.size == 0:
        raise InputError(f"{name} must be a list of at least one reading, got {value!r}")
    return readings


def _scatter(readings: NDArray[np.float64], repeatability_g: float | None) -> float:
    """Return the standard deviation of one reading: the given one, else the readings' own."""
    if repeatability_g is not None:
        return one_not_negative("repeatability_g", repeatability_g)
    return float(readings.std(ddof=1)) if readings.size > 1 else 0.0


def _doubtful(
    readings: NDArray[np.float64], repeatability_g: float | None, rounding: float
) -> tuple[int, ...]:
    """Return the readings that neither scatter nor rounding explains."""
    if repeatability_g is None:
        return far_from_rest(readings, rounding_variance=rounding)
    return far_from_middle(readings, math.sqrt(repeatability_g**2 + rounding))
