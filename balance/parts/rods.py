"""A connecting rod as two end masses: reconciled, closed, or reckoned from its centre of mass."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, one_not_negative, one_positive, positive

__all__ = [
    "RodEnds",
    "rod_ends",
    "rod_from_centre",
    "rod_from_one_end",
    "three_uncertainties",
]

CLOSURE_SIGMAS = 3.0  # of the check sum: common practice, no source


@dataclass(frozen=True)
class RodEnds:
    """A rod's two end masses [g]; their sum is its whole mass.

    ``u_g`` is the standard uncertainty of the worse end. ``closure_g`` is big end + small end -
    total as weighed and ``consistent`` whether it stays within its limit; both are None when
    nothing was weighed that could contradict.
    """

    big_end_g: float
    small_end_g: float
    u_g: float
    closure_g: float | None
    consistent: bool | None
    total_g: float
    u_big_end_g: float
    u_small_end_g: float
    closure_limit_g: float | None


def rod_ends(*, total_g: float, big_end_g: float, small_end_g: float, u_g: ArrayLike) -> RodEnds:
    """Reconcile the three weighings of a rod by least squares and test that they close.

    closure c = B + S - T is shared out by variance: B -= c u_B^2 / V, S -= c u_S^2 / V,
    T += c u_T^2 / V with V = u_T^2 + u_B^2 + u_S^2. Consistent when abs(c) <= 3 sqrt(V), which is
    3 sqrt(3) u for equal doubt. The adjusted ends are better known than the weighed ones:
    u_B'^2 = u_B^2 (1 - u_B^2 / V).

    One sum cannot tell which weighing is wrong, nor notice that big and small end were swapped;
    `balance.parts.suspects.wrong_weighings` compares with the other rods.

    Parameters
    ----------
    total_g, big_end_g, small_end_g : float [g]
        Whole rod on the scale; each end, the other hung level from its centre.
    u_g : float or array, shape (3,) [g]
        Standard uncertainty of each weighing; three are in the order total, big end, small end.

    Raises
    ------
    InputError
        When a mass or uncertainty is not above zero, or an end is not lighter than the whole.

    Examples
    --------
    >>> rod = rod_ends(total_g=600.3, big_end_g=432.0, small_end_g=168.0, u_g=0.06)
    >>> round(rod.big_end_g, 6), round(rod.small_end_g, 6), rod.consistent
    (432.1, 168.1, True)

    Source: JCGM 100:2008 (GUM), 5.1.2, and least squares with a condition (Gauss), a textbook
    method; from memory.
    """
    total, big, small = _weighed(total_g, big_end_g, small_end_g)
    variance = three_uncertainties(u_g) ** 2
    whole = float(variance.sum())
    closure = big + small - total
    limit = CLOSURE_SIGMAS * math.sqrt(whole)
    _, big_share, small_share = variance / whole
    _, u_big, u_small = np.sqrt(variance * (1 - variance / whole))
    return _ends(
        big - closure * big_share,
        small - closure * small_share,
        u_big=u_big,
        u_small=u_small,
        closure_g=closure,
        closure_limit_g=limit,
    )


def rod_from_one_end(
    *,
    total_g: float,
    u_g: ArrayLike,
    big_end_g: float | None = None,
    small_end_g: float | None = None,
) -> RodEnds:
    """Take the other end of a rod as total less the end that was weighed.

    u_other^2 = u_total^2 + u_end^2. There is no check sum: a dragging pivot or a wrong reading
    stays unseen, so weigh both ends when you can.

    Parameters
    ----------
    total_g : float [g]
        Whole rod.
    u_g : float or array, shape (2,) [g]
        Standard uncertainty of the total and of the end.
    big_end_g, small_end_g : float [g]
        Exactly one of them.

    Raises
    ------
    InputError
        When not exactly one end is given, a value is not above zero, or the end is not lighter
        than the whole.

    Examples
    --------
    >>> rod_from_one_end(total_g=600.0, big_end_g=432.0, u_g=0.06).small_end_g
    168.0

    Source: JCGM 100:2008 (GUM), 5.1.2; from memory.
    """
    u = positive("u_g", u_g)
    if u.shape not in {(), (2,)}:
        raise InputError(f"u_g must be one number or two (total, end), got {u_g!r}")
    u_total, u_end = np.broadcast_to(u, (2,))
    u_other = math.hypot(u_total, u_end)
    if big_end_g is not None and small_end_g is None:
        total, big = _lighter("big_end_g", big_end_g, total_g)
        return _ends(big, total - big, u_big=u_end, u_small=u_other)
    if small_end_g is not None and big_end_g is None:
        total, small = _lighter("small_end_g", small_end_g, total_g)
        return _ends(total - small, small, u_big=u_other, u_small=u_end)
    raise InputError(
        f"give exactly one of big_end_g and small_end_g, got {big_end_g!r} and {small_end_g!r}: "
        "with both, use rod_ends, which also checks them"
    )


def rod_from_centre(
    mass_g: float,
    *,
    length_mm: float,
    centre_of_mass_from_big_end_mm: float,
    u_mass_g: float = 0.0,
    u_length_mm: float = 0.0,
    u_centre_mm: float = 0.0,
) -> RodEnds:
    """Split a rod by its centre of mass: small end = m a / l, big end = m (l - a) / l.

    The two masses keep the rod's mass and its centre of mass.

    Parameters
    ----------
    mass_g : float [g]
        Whole rod.
    length_mm : float [mm]
        Centre to centre, l.
    centre_of_mass_from_big_end_mm : float [mm]
        From the big-end centre towards the small end, a.
    u_mass_g, u_length_mm, u_centre_mm : float [g], [mm], [mm]
        Standard uncertainties of the three.

    Raises
    ------
    InputError
        When the centre of mass does not lie between the two centres, or a value is not above
        zero (an uncertainty: negative).

    Examples
    --------
    >>> rod_from_centre(600.0, length_mm=150.0, centre_of_mass_from_big_end_mm=42.0).small_end_g
    168.0

    Source: statics of a beam on two supports; R. S. Khurmi and J. K. Gupta, Theory of Machines,
    14th ed., ch. 15 (two-mass rod).
    """
    mass = one_positive("mass_g", mass_g)
    length = one_positive("length_mm", length_mm)
    a = one_positive("centre_of_mass_from_big_end_mm", centre_of_mass_from_big_end_mm)
    if a >= length:
        raise InputError(
            f"centre_of_mass_from_big_end_mm must lie between the two centres, got {a!r} on a rod "
            f"of length_mm {length!r}: is it measured from the big end's centre?"
        )
    small = mass * a / length
    by_centre = mass / length * one_not_negative("u_centre_mm", u_centre_mm)
    by_length = small / length * one_not_negative("u_length_mm", u_length_mm)
    relative = one_not_negative("u_mass_g", u_mass_g) / mass
    return _ends(
        mass - small,
        small,
        u_big=math.hypot(relative * (mass - small), by_centre, by_length),
        u_small=math.hypot(relative * small, by_centre, by_length),
    )


def _weighed(total_g: float, big_end_g: float, small_end_g: float) -> tuple[float, float, float]:
    """Check three weighings."""
    total, big = _lighter("big_end_g", big_end_g, total_g)
    _, small = _lighter("small_end_g", small_end_g, total_g)
    return total, big, small


def _lighter(name: str, end: float, total_g: float) -> tuple[float, float]:
    """Check one end against the whole rod."""
    total = one_positive("total_g", total_g)
    value = one_positive(name, end)
    if value >= total:
        raise InputError(f"{name} must be less than total_g, got {value!r} of {total!r} g")
    return total, value


def three_uncertainties(u_g: ArrayLike) -> NDArray[np.float64]:
    """Return the uncertainties of total, big end and small end, one number standing for all.

    Examples
    --------
    >>> three_uncertainties(0.06).tolist()
    [0.06, 0.06, 0.06]
    """
    u = positive("u_g", u_g)
    if u.shape not in {(), (3,)}:
        raise InputError(f"u_g must be one number or three (total, big, small), got {u_g!r}")
    return np.broadcast_to(u, (3,))


def _ends(
    big_g: float,
    small_g: float,
    *,
    u_big: float,
    u_small: float,
    closure_g: float | None = None,
    closure_limit_g: float | None = None,
) -> RodEnds:
    """Assemble the result."""
    consistent = None
    if closure_g is not None and closure_limit_g is not None:
        consistent = abs(closure_g) <= closure_limit_g
    return RodEnds(
        big_end_g=float(big_g),
        small_end_g=float(small_g),
        u_g=float(max(u_big, u_small)),
        closure_g=closure_g,
        consistent=consistent,
        total_g=float(big_g + small_g),
        u_big_end_g=float(u_big),
        u_small_end_g=float(u_small),
        closure_limit_g=closure_limit_g,
    )
