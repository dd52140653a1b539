"""How finely parts were weighed, told from the readings themselves.

A scale that shows tenths of an ounce, or a list in whole grams, leaves only multiples of its step.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from balance.errors import one_positive, positive
from balance.units import read

__all__ = ["ToldStep", "told_step"]

# Own choice: how rarely a finer scale may show multiples only. Four whole grams in a row on a scale
# of tenths, three tenths of an ounce.
CHANCE = 1e-4
# Divisions of scales and the figures that people leave out: common practice, no source.
_STEPS = {
    "g": (50, 20, 10, 5, 2, 1, 0.5),
    "oz": (1, 0.5, 0.25, 0.2, 0.125, 0.1, 0.0625, 0.05),
    "lb": (0.5, 0.2, 0.1, 0.05, 0.02, 0.01),
}


@dataclass(frozen=True)
class ToldStep:
    """The step [g] that all readings are multiples of, as a scale shows it: ``0.1 oz``."""

    step_g: float
    text: str


def told_step(readings_g: Sequence[float], *, resolution_g: float) -> ToldStep | None:
    """Return the coarsest step that explains all readings; None when chance explains it as well.

    A reading of a scale with division d is a multiple of the step s by chance once in s / d, so n
    different readings are with ``(d / s)^n``: that must be under one in ten thousand. Ounces that
    were turned into grams count as well, to half a division.

    Parameters
    ----------
    readings_g : sequence of float [g]
        Readings of many parts, as they were written.
    resolution_g : float [g]
        The division that the scale is said to have.

    Raises
    ------
    InputError
        When a reading or the division is not greater than zero.

    Examples
    --------
    >>> tenths_of_an_ounce = [419.57, 422.41, 425.24, 116.23]
    >>> told_step(tenths_of_an_ounce, resolution_g=0.01).text
    '0.1 oz'
    >>> told_step([420.3, 421.0, 422.0, 423.0], resolution_g=0.1) is None
    True

    Source: own rule, no source; 1 oz is 28.349523125 g, as in :mod:`balance.units`.
    """
    division = one_positive("resolution_g", resolution_g)
    readings = positive("readings_g", readings_g)
    different = np.array(sorted(set(np.round(readings, 6).tolist())))  # np.unique loads numpy.ma
    for step in sorted(_steps(), key=lambda each: -each.step_g):
        if different.size and _chance(division / step.step_g, different.size) <= CHANCE:
            off = np.abs(different - step.step_g * np.round(different / step.step_g))
            if off.max() <= division / 2 + 1e-6:
                return step
    return None


def _chance(one: float, count: int) -> float:
    return float(round(one**count, 12))  # a tenth to the fourth is 1e-4 and no hair more


def _steps() -> Iterator[ToldStep]:
    for unit, sizes in _STEPS.items():
        for size in sizes:
            yield ToldStep(read(float(size), "mass", unit=unit), f"{size:g} {unit}")
