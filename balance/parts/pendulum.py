"""Inertia of any body from how it swings or twists, and the two masses that replace it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import InputError, one_not_negative, one_positive, positive

__all__ = [
    "STANDARD_GRAVITY_M_S2",
    "TwoPoints",
    "equivalent_points",
    "gyration_squared_mm2",
    "inertia_from_swing",
    "inertia_from_wires",
    "pendulum_length_mm",
]

STANDARD_GRAVITY_M_S2 = 9.80665


@dataclass(frozen=True)
class TwoPoints:
    """Two masses that move as the whole body does: same mass, centre of mass and inertia."""

    first_g: float
    second_g: float
    first_mm: float
    second_mm: float


def inertia_from_swing(
    mass_g: float,
    *,
    period_s: float,
    pivot_to_centre_mm: float,
    amplitude_degrees: float = 0.0,
    gravity_m_s2: float = STANDARD_GRAVITY_M_S2,
) -> float:
    """Return the inertia about its centre of mass [g mm2] of any body swung from one pivot.

    I = m h (g T^2 / (4 pi^2) - h); about the pivot it is m h^2 more.

    Parameters
    ----------
    mass_g : float [g]
        Mass of the body.
    period_s : float [s]
        One full swing, there and back.
    pivot_to_centre_mm : float [mm]
        From the pivot to the centre of mass, h.
    amplitude_degrees : float [degree]
        Largest angle to one side.
    gravity_m_s2 : float [m/s2]
        Local fall.

    Raises
    ------
    InputError
        When a value is not above zero, or the swing is faster than any body hung there can be.

    Examples
    --------
    >>> round(inertia_from_swing(1800.0, period_s=1.2, pivot_to_centre_mm=200.0) / 1e6, 1)
    56.8

    Source: T. Bevan, The Theory of Machines, 3rd ed., ch. 2 (compound pendulum).
    """
    mass = one_positive("mass_g", mass_g)
    h = one_positive("pivot_to_centre_mm", pivot_to_centre_mm)
    e_mm = pendulum_length_mm("period_s", period_s, amplitude_degrees, gravity_m_s2)
    return mass * gyration_squared_mm2("period_s", e_mm, h)


def inertia_from_wires(
    mass_g: float,
    *,
    period_s: float,
    wire_length_mm: float,
    wire_to_centre_mm: ArrayLike,
    gravity_m_s2: float = STANDARD_GRAVITY_M_S2,
) -> float:
    """Return the inertia [g mm2] of a body that twists to and fro on long upright wires.

    I = m g T^2 x y / (4 pi^2 l), about the upright axis through the centre of mass. Two wires
    stand at x and y on either side of it; three or more equally spaced ones stand at one radius.
    For small twists on wires much longer than x and y.

    Parameters
    ----------
    mass_g : float [g]
        Mass of the body.
    period_s : float [s]
        One full twist, there and back.
    wire_length_mm : float [mm]
        Free length of the wires, all alike.
    wire_to_centre_mm : float or array, shape (2,) [mm]
        Distances x and y from the centre of mass, or the one radius.
    gravity_m_s2 : float [m/s2]
        Local fall.

    Raises
    ------
    InputError
        When a value is not above zero or there are not one or two distances.

    Examples
    --------
    >>> inertia = inertia_from_wires(
    ...     1500.0, period_s=2.0, wire_length_mm=1250.0, wire_to_centre_mm=(120.0, 120.0)
    ... )
    >>> round(inertia / 1e6, 2)
    17.17

    Source: R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed., ch. 4 (bifilar and
    trifilar suspension).
    """
    mass = one_positive("mass_g", mass_g)
    wire = one_positive("wire_length_mm", wire_length_mm)
    distances = positive("wire_to_centre_mm", wire_to_centre_mm)
    if distances.shape not in {(), (2,)}:
        raise InputError(
            f"wire_to_centre_mm must be one radius or two distances, got {wire_to_centre_mm!r}"
        )
    x, y = np.broadcast_to(distances, (2,))
    e_mm = pendulum_length_mm("period_s", period_s, 0.0, gravity_m_s2)
    return float(mass * e_mm * x * y / wire)


def equivalent_points(
    mass_g: float, *, inertia_gmm2: float, first_from_centre_mm: float
) -> TwoPoints:
    """Replace a body by two masses that move as it does, one of them at a chosen place.

    l2 = k^2 / l1, m1 = m l2 / (l1 + l2), m2 = m - m1. With the first at the small end the second
    falls near the big end, never quite on it: that is the inertia the end masses get wrong.

    Parameters
    ----------
    mass_g : float [g]
        Mass of the body.
    inertia_gmm2 : float [g mm2]
        Inertia about its centre of mass.
    first_from_centre_mm : float [mm]
        Chosen distance of the first mass, l1.

    Raises
    ------
    InputError
        When a value is not above zero.

    Examples
    --------
    >>> points = equivalent_points(2000.0, inertia_gmm2=24.2e6, first_from_centre_mm=100.0)
    >>> round(points.second_mm, 6), round(points.first_g, 1)
    (121.0, 1095.0)

    Source: R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed., ch. 15 (equivalent
    dynamical system).
    """
    mass = one_positive("mass_g", mass_g)
    first = one_positive("first_from_centre_mm", first_from_centre_mm)
    second = one_positive("inertia_gmm2", inertia_gmm2) / mass / first
    first_g = mass * second / (first + second)
    return TwoPoints(first_g, mass - first_g, first, second)


def pendulum_length_mm(
    name: str, period_s: float, amplitude_degrees: float, gravity_m_s2: float
) -> float:
    """Return the length of the simple pendulum with this period: e = g T^2 / (4 pi^2).

    T is first brought to a vanishing swing; ``name`` is what an error calls the period.

    Examples
    --------
    >>> round(pendulum_length_mm("period_s", 2.0, 0.0, 9.80665), 1)
    993.6
    """
    period = one_positive(name, period_s) * _small_swing(amplitude_degrees)
    return 1000 * one_positive("gravity_m_s2", gravity_m_s2) * (period / math.tau) ** 2


def _small_swing(amplitude_degrees: float) -> float:
    """Return the period of a vanishing swing over that of this one: agm(1, cos(amplitude / 2))."""
    amplitude = one_not_negative("amplitude_degrees", amplitude_degrees)
    if amplitude >= 90:
        raise InputError(f"amplitude_degrees must be less than 90, got {amplitude!r}")
    a, b = 1.0, math.cos(math.radians(amplitude / 2))
    while a - b > 1e-15:
        a, b = (a + b) / 2, math.sqrt(a * b)
    return a


def gyration_squared_mm2(name: str, pendulum_mm: float, pivot_to_centre_mm: float) -> float:
    """Return k^2 = h (e - h) of a body that swings as a simple pendulum of length e.

    Examples
    --------
    >>> gyration_squared_mm2("period_s", 155.0, 119.0)
    4284.0
    """
    h = pivot_to_centre_mm
    if pendulum_mm <= h:
        raise InputError(
            f"{name} is too short: whatever hangs {h:.6g} mm below its pivot swings slower than "
            f"{pendulum_mm:.6g} mm of simple pendulum does. Was it half a swing?"
        )
    return h * (pendulum_mm - h)
