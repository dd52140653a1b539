"""How much unbalance may remain, where, and whether a reading proves it.

Limits hold in the tolerance planes, which are the bearings: move a reading there with
:func:`balance.spin.planes.transfer` before judging it.
"""

import math
import re
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    finite,
    not_negative,
    one_positive,
    one_real,
    positive,
    together,
    yes_or_no,
)
from balance.parts.weighing import GUARD
from balance.spin.planes import plane_pair
from balance.units import read, show

__all__ = [
    "GUARD",
    "LimitInWords",
    "Verdict",
    "allocate",
    "grade_number",
    "grade_of",
    "in_words",
    "judge",
    "permissible",
]

_ROUNDING = 1e-12  # a turned vector's length is off in its last digit: no verdict hangs on it

Verdict = Literal["pass", "fail", "not proven"]

_OZ_IN = read("1 oz in", "unbalance")
_GRADE = re.compile(r"\s*(?:G\s*)?(\d+(?:[.,]\d+)?|[.,]\d+)\s*", re.IGNORECASE)


@dataclass(frozen=True)
class LimitInWords:
    """One limit in every way a shop speaks of it.

    ``grams_at_radius`` is the mass at ``radius_mm`` that makes the limit; ``grade`` is what the
    whole rotor would have if every plane used its share of the total up to this limit.
    """

    permissible_gmm: float
    oz_in: float
    grams_at_radius: float
    radius_mm: float
    grade: float
    share: float

    def __str__(self) -> str:
        share = "" if self.share == 1 else f" (this plane holding {self.share:.0%} of the total)"
        return (
            f"{show(self.permissible_gmm, 'unbalance', 'g mm')} = "
            f"{show(self.permissible_gmm, 'unbalance', 'oz in')} = "
            f"{show(self.grams_at_radius, 'mass', 'g')} at {show(self.radius_mm, 'length', 'mm')}"
            f" = G {self.grade:.3g}{share}"
        )


def grade_number(grade: float | str) -> float:
    """Return the number of a balance quality grade: ``"G 6.3"``, ``"g6,3"``, ``"6.3"`` or 6.3.

    Parameters
    ----------
    grade : float or str [mm/s]
        The grade; any positive number, not only the standard steps.

    Raises
    ------
    InputError
        When it is not a positive number, with or without the letter G.

    Examples
    --------
    >>> grade_number("G 6.3")
    6.3
    """
    if not isinstance(grade, str):
        return one_positive("grade", grade)
    match = _GRADE.fullmatch(grade)
    if match is None:
        raise InputError(f"grade must look like 'G 6.3' or 6.3, got {grade!r}")
    return float(positive("grade", float(match[1].replace(",", "."))))


def permissible(*, rotor_mass_kg: ArrayLike, speed_rpm: ArrayLike, grade: float | str) -> Any:
    """Return the total permissible residual unbalance of a rotor.

    ``U_per = 1000 G m / w = 9549.3 G m / n``

    Parameters
    ----------
    rotor_mass_kg : float or array [kg]
        Mass of the rotor as balanced; say what it includes (bobweights are not the rotor).
    speed_rpm : float or array [rpm]
        Highest service speed, not the balancing speed.
    grade : float or str [mm/s]
        Balance quality grade, such as 6.3 or ``"G 6.3"``.

    Returns
    -------
    float or array [g mm]
        For the whole rotor; :func:`allocate` shares it out between the bearings.

    Raises
    ------
    InputError
        When mass, speed or grade is not greater than zero.

    Examples
    --------
    >>> f"{permissible(rotor_mass_kg=25, speed_rpm=6000, grade='G 16'):.1f}"
    '636.6'

    Source: ISO 21940-11:2016, permissible residual unbalance; from memory.
    """
    together(rotor_mass_kg=rotor_mass_kg, speed_rpm=speed_rpm)
    mass = positive("rotor_mass_kg", rotor_mass_kg)
    return (1000 * grade_number(grade) * mass / _speed_rad_s(speed_rpm))[()]


def grade_of(permissible_gmm: ArrayLike, *, rotor_mass_kg: ArrayLike, speed_rpm: ArrayLike) -> Any:
    """Return the grade that a total unbalance equals: the inverse of :func:`permissible`.

    ``G = U w / (1000 m)``

    Parameters
    ----------
    permissible_gmm : float or array [g mm]
        Total unbalance of the rotor, not of one plane.
    rotor_mass_kg : float or array [kg]
        Mass of the rotor as balanced.
    speed_rpm : float or array [rpm]
        Highest service speed.

    Raises
    ------
    InputError
        When the unbalance is negative, or mass or speed is not greater than zero.

    Examples
    --------
    >>> f"{grade_of(2 * 72.008, rotor_mass_kg=25, speed_rpm=7000):.1f}"
    '4.2'

    Source: ISO 21940-11:2016, balance quality grade; from memory.
    """
    together(permissible_gmm=permissible_gmm, rotor_mass_kg=rotor_mass_kg, speed_rpm=speed_rpm)
    total = not_negative("permissible_gmm", permissible_gmm)
    mass = positive("rotor_mass_kg", rotor_mass_kg)
    return (total * _speed_rad_s(speed_rpm) / (1000 * mass))[()]


def allocate(
    permissible_gmm: float,
    *,
    centre_of_mass_mm: float,
    bearings_mm: ArrayLike,
    overhung_support: bool = True,
) -> NDArray[np.float64]:
    """Share the total permissible unbalance out between the two bearings.

    ``U_A = U L_B / L``, ``U_B = U L_A / L``. Between the bearings no share goes outside 0.3 to
    0.7; with the centre of mass outside them (overhung) none goes outside 0.3 to 1.3.

    Parameters
    ----------
    permissible_gmm : float [g mm]
        Total for the rotor.
    centre_of_mass_mm : float [mm]
        Where the centre of mass is along the crank.
    bearings_mm : array (2,) [mm]
        The two bearings, in the order of the result.
    overhung_support : bool
        Whether bearing and support next to the overhang are built for that load. If not, an
        overhung rotor gets no more than 0.3 and 0.7 too.

    Returns
    -------
    array (2,) [g mm]
        The limit at each bearing. An overhung pair need not add up to the total.

    Raises
    ------
    InputError
        When the total is not greater than zero or the bearings coincide.

    Examples
    --------
    >>> allocate(100, centre_of_mass_mm=100, bearings_mm=(0, 500))
    array([70., 30.])
    >>> allocate(100, centre_of_mass_mm=600, bearings_mm=(0, 500))
    array([ 30., 120.])

    Source: ISO 21940-11, allocation to tolerance planes (0.3, 0.7 and 1.3); from memory.
    """
    total = one_positive("permissible_gmm", permissible_gmm)
    bearings = plane_pair("bearings_mm", bearings_mm)
    centre = one_real("centre_of_mass_mm", centre_of_mass_mm)
    shares = np.abs(bearings[::-1] - centre) / np.ptp(bearings)
    overhung = not bearings.min() <= centre <= bearings.max()
    largest = 1.3 if yes_or_no("overhung_support", overhung_support) and overhung else 0.7
    return np.asarray(total * np.clip(shares, 0.3, largest), dtype=float)


def judge(unbalance: ArrayLike, *, permissible_gmm: ArrayLike, u_gmm: ArrayLike) -> Verdict:
    """Return the honest verdict on a residual unbalance whose uncertainty is known.

    Pass when every amount <= limit - 1.65 u; fail when any amount >= limit + 1.65 u; between
    the two nothing is proven. Where the limit is only a few u the guard is too narrow, because
    an amount near zero is not normally distributed: show
    :func:`balance.spin.noise.chance_within` beside the verdict.

    Parameters
    ----------
    unbalance : complex or array (n,) [g mm]
        Residual vectors (or amounts) in the tolerance planes.
    permissible_gmm : float or array (n,) [g mm]
        Limit in each plane.
    u_gmm : float or array (n,) [g mm]
        Standard uncertainty of the amounts.

    Returns
    -------
    str
        "pass", "fail" or "not proven"; for several planes the verdict on all of them together.

    Raises
    ------
    InputError
        When a limit is not greater than zero, an uncertainty is negative, the shapes do not
        match, or there is nothing to judge.

    Examples
    --------
    >>> [judge(reading, permissible_gmm=100, u_gmm=15) for reading in (75, 90, 125)]
    ['pass', 'not proven', 'fail']

    Source: ISO 14253-1:2017 and JCGM 106:2012 clause 8 (guard band); from memory.
    """
    residual = np.abs(finite("unbalance", unbalance))
    limit = positive("permissible_gmm", permissible_gmm)
    guard = GUARD * not_negative("u_gmm", u_gmm)
    _same_planes(residual, limit, guard)
    rounding = _ROUNDING * (limit + guard)
    passed = residual <= limit - guard + rounding
    if np.all(passed):
        return "pass"
    return "fail" if np.any(~passed & (residual >= limit + guard - rounding)) else "not proven"


def in_words(
    permissible_gmm: float,
    *,
    rotor_mass_kg: float,
    speed_rpm: float,
    radius_mm: float,
    share: float = 0.5,
) -> LimitInWords:
    """Return one limit as g mm, oz in, grams at the correction radius and the grade it equals.

    Parameters
    ----------
    permissible_gmm : float [g mm]
        The limit in one plane.
    rotor_mass_kg : float [kg]
        Mass of the whole rotor.
    speed_rpm : float [rpm]
        Highest service speed.
    radius_mm : float [mm]
        Radius at which metal is taken off or added.
    share : float [1]
        Part of the rotor's total that this plane holds; one half unless allocated otherwise,
        1 for a single plane.

    Raises
    ------
    InputError
        When a value is not greater than zero.

    Examples
    --------
    >>> print(in_words(72, rotor_mass_kg=25, speed_rpm=7000, radius_mm=76))
    72 g mm = 0.100 oz in = 0.95 g at 76.00 mm = G 4.22 (this plane holding 50% of the total)

    Source: arithmetic; 1 oz in = 720.0778 g mm.
    """
    limit = one_positive("permissible_gmm", permissible_gmm)
    radius, part = one_positive("radius_mm", radius_mm), one_positive("share", share)
    mass, speed = one_positive("rotor_mass_kg", rotor_mass_kg), one_positive("speed_rpm", speed_rpm)
    grade = grade_of(limit / part, rotor_mass_kg=mass, speed_rpm=speed)
    return LimitInWords(limit, limit / _OZ_IN, limit / radius, radius, float(grade), part)


def _speed_rad_s(speed_rpm: ArrayLike) -> NDArray[np.float64]:
    return positive("speed_rpm", speed_rpm) * (2 * math.pi / 60)


def _same_planes(residual: NDArray[Any], limit: NDArray[Any], guard: NDArray[Any]) -> None:
    """Raise unless limits and uncertainties are single values or one for each residual."""
    if residual.size == 0:
        raise InputError("unbalance must hold at least one plane to judge, got none")
    for name, array in (("permissible_gmm", limit), ("u_gmm", guard)):
        if array.ndim and array.shape != residual.shape:
            raise InputError(
                f"{name} must be one value or one for each plane {residual.shape}, "
                f"got shape {array.shape}"
            )
