"""Weights on paper to whole hundredths of a gram, checked, sorted so that order cannot matter."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, items_of, not_negative, one_not_negative, positive
from balance.parts._task import Ints, Kind

__all__ = [
    "HAIR",
    "PER_GRAM",
    "Floats",
    "Limits",
    "Parts",
    "above_window",
    "cents",
    "cents_below",
    "limits_of",
    "masses_of",
    "middle",
    "parts_of",
    "tolerance_of",
    "total_of",
    "whole_cents",
    "without_big_ends",
]

Floats = NDArray[np.float64]
Limits = float | Sequence[float | None] | Floats | None

PER_GRAM = 100
HAIR = 1e-6  # of a hundredth: binary fractions of decimal grams are no real difference


@dataclass(frozen=True)
class Parts:
    """The parts of one kind, sorted; ``index`` leads back to the list they came in.

    ``mass_g`` and ``limit_g`` (no limit: the whole mass) are in the order of that list.
    """

    kind: Kind
    index: Ints
    twin_of: Ints  # the first part that is equal in everything
    mass_g: Floats
    limit_g: Floats
    exact: bool  # whether all masses are whole hundredths


def middle(values: Floats) -> float:
    """Return the median of at least one value.

    numpy's own loads its masked arrays first, which takes longer than all that is matched here.
    """
    ranked, half = np.sort(values), values.size // 2
    return float(ranked[half]) if values.size % 2 else float(ranked[half - 1 : half + 1].mean())


def masses_of(name: str, value: ArrayLike) -> Floats:
    """Return a list of weights, each above zero."""
    mass = positive(name, value)
    if mass.ndim != 1 or mass.size == 0:
        raise InputError(f"{name} must be a list of at least one weight, got {value!r}")
    return mass


def limits_of(name: str, value: Limits, mass_g: Floats) -> Floats:
    """Return the largest cut of each part; without a limit (None or infinite) that is all of it."""
    if value is None:
        return mass_g
    if isinstance(value, (int, float, complex, np.number)) or getattr(value, "ndim", 1) == 0:
        one = np.asarray(value).item()
        return mass_g if _endless(one) else np.minimum(not_negative(name, one), mass_g)
    entries = items_of(name, value)
    if len(entries) != mass_g.size:
        raise InputError(
            f"{name} must be one limit or one for each of {mass_g.size} parts, got {len(entries)}"
        )
    given = [float(m) if _endless(e) else e for e, m in zip(entries, mass_g, strict=True)]
    limits = not_negative(name, cast("list[float]", given))
    if limits.ndim != 1:
        raise InputError(f"{name} must be a plain list of limits, got {value!r}")
    return np.minimum(limits, mass_g)


def _endless(limit: object) -> bool:
    """Tell whether an entry sets no limit."""
    return limit is None or (isinstance(limit, (float, np.floating)) and limit == math.inf)


def cents(value_g: ArrayLike) -> Ints:
    """Return grams as the nearest whole hundredths."""
    grams = np.asarray(value_g, dtype=float)
    whole: Ints = np.rint(grams * PER_GRAM).astype(np.int64)
    return whole


def cents_below(value_g: ArrayLike) -> Ints:
    """Return grams as whole hundredths, rounded down: the safe side for tolerances and limits."""
    grams = np.asarray(value_g, dtype=float)
    whole: Ints = np.floor(grams * PER_GRAM + HAIR).astype(np.int64)
    return whole


def whole_cents(value_g: Floats) -> bool:
    """Tell whether all grams are whole hundredths, as far as floats can say."""
    return bool(np.all(np.abs(value_g * PER_GRAM - np.rint(value_g * PER_GRAM)) < HAIR))


def tolerance_of(name: str, value: float) -> int:
    """Return a tolerance in whole hundredths, rounded down."""
    return int(cents_below(one_not_negative(name, value)))


def without_big_ends(**given: object) -> None:
    """Raise when something was said of big ends whose masses are not there."""
    for name, value in given.items():
        if value is not None:
            raise InputError(f"{name} goes with big_ends_g, which is not given; got {value!r}")


def parts_of(mass_g: Floats, limit_g: Floats, *ties: Floats) -> Parts:
    """Sort parts by mass, then limit, then ``ties``, and only then by their place in the list."""
    mass, limit = cents(mass_g), cents_below(limit_g)
    keys = (mass, limit, mass_g, *ties)
    index = np.lexsort(keys[::-1])
    kind = Kind(mass[index], limit[index])
    new = np.any([np.diff(k[index], prepend=-1) != 0 for k in keys], axis=0)
    twin_of = np.maximum.accumulate(np.where(new, np.arange(index.size), 0))
    return Parts(kind, index, twin_of, mass_g, limit_g, whole_cents(mass_g))


def above_window(*mass_g: Floats, slack: int) -> tuple[Floats, float]:
    """Return what each sum stands above ``lightest + slack``, and that top of the window [g].

    Whole hundredths are subtracted as such, so that a cut of 0.07 g is 0.07.
    """
    if all(whole_cents(m) for m in mass_g):
        sums = np.sum([cents(m) for m in mass_g], axis=0)
        top = sums.min() + slack
        return np.maximum(sums - top, 0) / PER_GRAM, float(top / PER_GRAM)
    total = np.sum(mass_g, axis=0)
    highest = total.min() + slack / PER_GRAM
    return np.maximum(total - highest, 0.0), float(highest)


def total_of(*cuts_g: Floats) -> float:
    """Return the sum of cuts, free of binary dust."""
    return round(math.fsum(np.concatenate(cuts_g)), 10)
