"""A rod hung up and swung: its inertia, and where its mass sits."""

import math
from dataclasses import dataclass

from balance.errors import InputError, one_not_negative, one_positive
from balance.parts.pendulum import (
    STANDARD_GRAVITY_M_S2,
    gyration_squared_mm2,
    pendulum_length_mm,
)
from balance.parts.rods import RodEnds, rod_from_centre

__all__ = ["RodSwing", "rod_from_swing"]


@dataclass(frozen=True)
class RodSwing(RodEnds):
    """End masses, centre of mass and inertia of a rod that was swung.

    ``inertia_gmm2`` is about the centre of mass. ``inertia_defect_gmm2`` is what the two end
    masses have too much of it, m a (l - a) - I: times the rod's angular acceleration it is the
    correction couple. ``u_centre_mm`` and ``u_inertia_gmm2`` follow from the timing alone.
    """

    centre_of_mass_from_big_end_mm: float
    inertia_gmm2: float
    radius_of_gyration_mm: float
    inertia_defect_gmm2: float
    u_centre_mm: float
    u_inertia_gmm2: float


def rod_from_swing(
    mass_g: float,
    *,
    length_mm: float,
    period_big_end_s: float | None = None,
    period_small_end_s: float | None = None,
    centre_of_mass_from_big_end_mm: float | None = None,
    big_end_pivot_mm: float = 0.0,
    small_end_pivot_mm: float = 0.0,
    amplitude_degrees: float = 0.0,
    u_period_s: float = 0.0,
    gravity_m_s2: float = STANDARD_GRAVITY_M_S2,
) -> RodSwing:
    """Find a rod's inertia, and its centre of mass if unknown, from its swing as a pendulum.

    T = 2 pi sqrt((k^2 + h^2) / (g h)), h from the pivot to the centre of mass. Either one period
    and a known centre of mass, or both periods: with e = g T^2 / (4 pi^2) and D between the
    pivots, h_big = D (D - e_small) / (2 D - e_big - e_small), k^2 = h_big (e_big - h_big).

    A rod is close to two masses at its centres, and then two swings about those centres say
    little of where its mass sits: look at ``u_centre_mm``. Weighing both ends and swinging
    once is the better way; hanging the bores on a knife edge helps, as it moves the pivots out.

    Parameters
    ----------
    mass_g : float [g]
        Whole rod, as swung.
    length_mm : float [mm]
        Centre to centre.
    period_big_end_s, period_small_end_s : float [s]
        One full swing (there and back) hung from that end; time fifty or more and divide.
    centre_of_mass_from_big_end_mm : float [mm]
        When one period is given.
    big_end_pivot_mm, small_end_pivot_mm : float [mm]
        How far the pivot lies beyond the bore's centre, away from the rod's middle: the bore's
        radius when it hangs on a knife edge, 0 when on a pin that fits.
    amplitude_degrees : float [degree]
        Largest angle to one side; its lengthening of the period is taken out exactly.
    u_period_s : float [s]
        Standard uncertainty of each period.
    gravity_m_s2 : float [m/s2]
        Local fall.

    Raises
    ------
    InputError
        When neither a second period nor the centre of mass is given, or both; when the periods
        belong to no rod (centre of mass outside it, no positive inertia).

    Examples
    --------
    >>> rod = rod_from_swing(
    ...     600.0, length_mm=150.0, period_big_end_s=0.727385, period_small_end_s=0.790267,
    ...     big_end_pivot_mm=28.0, small_end_pivot_mm=11.0,
    ... )
    >>> round(rod.small_end_g, 1), round(rod.radius_of_gyration_mm, 1)
    (168.0, 65.6)

    Source: H. Kater's reversible pendulum (two pivots); T. Bevan, The Theory of Machines, 3rd
    ed., ch. 2 (compound pendulum); large swings by the arithmetic-geometric mean, textbook,
    from memory.
    """
    mass = one_positive("mass_g", mass_g)
    length = one_positive("length_mm", length_mm)
    beyond_big = one_not_negative("big_end_pivot_mm", big_end_pivot_mm)
    beyond_small = one_not_negative("small_end_pivot_mm", small_end_pivot_mm)
    fall = (amplitude_degrees, u_period_s, gravity_m_s2)
    big = _pendulum("period_big_end_s", period_big_end_s, *fall)
    small = _pendulum("period_small_end_s", period_small_end_s, *fall)
    centre = centre_of_mass_from_big_end_mm
    if big is not None and small is not None:
        found = _two_pivots(big, small, length + beyond_big + beyond_small)
        a = _unknown_centre(centre, found.h_mm - beyond_big, length)
    elif big is not None:
        a = _known_centre(centre, length)
        found = _one_pivot(big, a + beyond_big)
    elif small is not None:
        a = _known_centre(centre, length)
        found = _one_pivot(small, length - a + beyond_small)
    else:
        raise InputError("give period_big_end_s, period_small_end_s or both, got neither")
    return _result(mass, length, a, found)


@dataclass(frozen=True)
class _Pendulum:
    """The simple pendulum that swings as the rod does: its length and doubt [mm]."""

    name: str
    e_mm: float
    u_mm: float


@dataclass(frozen=True)
class _Found:
    """Pivot to centre of mass, radius of gyration squared, and their doubts."""

    h_mm: float
    k2_mm2: float
    u_h_mm: float
    u_k2_mm2: float


def _pendulum(
    name: str, period_s: float | None, amplitude_degrees: float, u_period_s: float, gravity: float
) -> _Pendulum | None:
    """Turn a period into the length of its simple pendulum."""
    u = one_not_negative("u_period_s", u_period_s)
    if period_s is None:
        return None
    e_mm = pendulum_length_mm(name, period_s, amplitude_degrees, gravity)
    return _Pendulum(name, e_mm, 2 * e_mm * u / period_s)


def _one_pivot(swing: _Pendulum, h_mm: float) -> _Found:
    """Find the radius of gyration when the centre of mass is known."""
    return _Found(h_mm, gyration_squared_mm2(swing.name, swing.e_mm, h_mm), 0.0, h_mm * swing.u_mm)


def _two_pivots(big: _Pendulum, small: _Pendulum, apart_mm: float) -> _Found:
    """Find centre of mass and radius of gyration from two pivots on either side of it."""
    spare = 2 * apart_mm - big.e_mm - small.e_mm
    if abs(spare) < 1e-9 * apart_mm:
        raise InputError(
            "period_big_end_s and period_small_end_s fit any centre of mass: this rod swings as "
            "two masses at its pivots. Weigh its ends, or hang it on a knife edge"
        )
    h = apart_mm * (apart_mm - small.e_mm) / spare
    k2 = h * (big.e_mm - h)
    if not (0 < h < apart_mm and k2 > 0):
        raise InputError(
            f"period_big_end_s and period_small_end_s belong to no rod with pivots {apart_mm:.6g} "
            "mm apart: are they swapped, half swings, or is a pivot distance wrong?"
        )
    u_h = math.hypot(h * big.u_mm, (apart_mm - h) * small.u_mm) / abs(spare)
    lever = (big.e_mm - 2 * h) / spare
    u_k2 = math.hypot((h + lever * h) * big.u_mm, lever * (apart_mm - h) * small.u_mm)
    return _Found(h, k2, u_h, u_k2)


def _known_centre(centre_mm: float | None, length: float) -> float:
    """Return the given centre of mass; one swing needs it."""
    if centre_mm is None:
        raise InputError(
            "centre_of_mass_from_big_end_mm must be given with one period, got None: weigh the "
            "ends first, or swing the rod from its other end too"
        )
    return _between(one_positive("centre_of_mass_from_big_end_mm", centre_mm), length)


def _unknown_centre(centre_mm: float | None, found_mm: float, length: float) -> float:
    """Return the centre of mass found; two swings need none."""
    if centre_mm is not None:
        raise InputError(
            f"centre_of_mass_from_big_end_mm must be left out with two periods, got {centre_mm!r}:"
            " it is found from them"
        )
    return _between(found_mm, length)


def _between(centre_mm: float, length: float) -> float:
    """Require the centre of mass to lie between the bores."""
    if not 0 < centre_mm < length:
        raise InputError(
            f"the centre of mass must lie between the two centres, got {centre_mm:.6g} mm from "
            f"the big end on a rod of length_mm {length:.6g}"
        )
    return centre_mm


def _result(mass: float, length: float, a: float, found: _Found) -> RodSwing:
    """Assemble end masses, inertia and their doubts."""
    ends = rod_from_centre(
        mass, length_mm=length, centre_of_mass_from_big_end_mm=a, u_centre_mm=found.u_h_mm
    )
    return RodSwing(
        **vars(ends),
        centre_of_mass_from_big_end_mm=a,
        inertia_gmm2=mass * found.k2_mm2,
        radius_of_gyration_mm=math.sqrt(found.k2_mm2),
        inertia_defect_gmm2=mass * (a * (length - a) - found.k2_mm2),
        u_centre_mm=found.u_h_mm,
        u_inertia_gmm2=mass * found.u_k2_mm2,
    )
