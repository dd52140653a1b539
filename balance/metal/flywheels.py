"""Flywheels: weights bolted on, and holes that must stand on a pitch circle."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import (
    InputError,
    not_negative,
    one_real,
    one_vector,
    positive,
    real,
    together,
    whole,
)
from balance.metal.axial import axial_hole
from balance.metal.shapes import STEEL_G_CM3
from balance.vectors import fold, turn

__all__ = ["Added", "Split", "bolted_weight", "pitch_circle", "split", "split_on_circle"]


@dataclass(frozen=True)
class Added:
    """What a part gains: mass [g], unbalance towards its angle [g mm], effective radius [mm]."""

    mass_g: Any
    unbalance_gmm: Any
    radius_mm: Any


@dataclass(frozen=True)
class Split:
    """An unbalance shared between two allowed angles [degree], amounts [g mm], none negative."""

    first_degrees: float
    second_degrees: float
    first_gmm: float
    second_gmm: float


def bolted_weight(
    mass_g: ArrayLike,
    *,
    radius_mm: ArrayLike,
    screw_mass_g: ArrayLike = 0.0,
    screw_hole_mm: ArrayLike | None = None,
    thickness_mm: ArrayLike | None = None,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
) -> Added:
    """Return what a weight bolted or screwed to a flywheel gains, its hole's metal taken off.

    ``m = weight + screw - rho pi d^2 t / 4``, ``U = m r``. The whole screw counts, head and shank.

    Parameters
    ----------
    mass_g : float or array [g]
        Mass of the weight, as weighed.
    radius_mm : float or array [mm]
        Radius of the centres of weight and screw.
    screw_mass_g : float or array [g]
        Mass of screw, nut and washer.
    screw_hole_mm : float or array [mm], optional
        Diameter of a new through hole for the screw; left out when the hole was there before.
    thickness_mm : float or array [mm], optional
        Thickness the new hole passes through; wanted with ``screw_hole_mm``.
    density_g_cm3 : float or array [g/cm3]
        Density of the flywheel.

    Raises
    ------
    InputError
        When a value is impossible or only one of hole and thickness is given.

    Examples
    --------
    >>> gain = bolted_weight(20.0, radius_mm=130.0, screw_mass_g=6.0)
    >>> float(gain.unbalance_gmm)
    3380.0

    Source: mechanics.
    """
    together(mass_g=mass_g, screw_mass_g=screw_mass_g, radius_mm=radius_mm)
    positive("density_g_cm3", density_g_cm3)
    mass = not_negative("mass_g", mass_g) + not_negative("screw_mass_g", screw_mass_g)
    r = not_negative("radius_mm", radius_mm)
    if (screw_hole_mm is None) != (thickness_mm is None):
        raise InputError("screw_hole_mm and thickness_mm belong together: give both or neither")
    if screw_hole_mm is not None and thickness_mm is not None:
        hole = axial_hole(
            screw_hole_mm, thickness_mm, radius_mm=r, through=True, density_g_cm3=density_g_cm3
        )
        mass = mass - hole.mass_g
    return Added(mass[()], (mass * r)[()], r[()])


def pitch_circle(count: int, *, first_degrees: float = 0.0) -> Any:
    """Return the angles of equally spaced holes, in [0, 360) degrees.

    Parameters
    ----------
    count : int [1]
        Number of positions, at least 1.
    first_degrees : float [degree]
        Angle of one of them.

    Raises
    ------
    InputError
        When the count is not a whole number of at least 1.

    Examples
    --------
    >>> pitch_circle(4, first_degrees=300.0).tolist()
    [300.0, 30.0, 120.0, 210.0]

    Source: geometry.
    """
    first = one_real("first_degrees", first_degrees)
    positions = whole("count", count, least=1)
    return fold(first + np.arange(positions) * (360.0 / positions))


def split(unbalance: complex, first_degrees: float, second_degrees: float) -> Split:
    """Return how much to take at two allowed angles to take an unbalance away.

    ``U1 = U sin(t2 - t) / sin(t2 - t1)``, ``U2 = U sin(t - t1) / sin(t2 - t1)``

    Parameters
    ----------
    unbalance : complex [g mm]
        The unbalance, pointing to the heavy side.
    first_degrees, second_degrees : float [degree]
        The allowed angles.

    Raises
    ------
    InputError
        When the angles lie on one line, or the unbalance is not between them.

    Examples
    --------
    >>> both = split(100j, 60.0, 120.0)
    >>> round(both.first_gmm, 2), round(both.second_gmm, 2)
    (57.74, 57.74)

    Source: the law of sines.
    """
    u = one_vector("unbalance", unbalance)
    one, two = (
        one_real("first_degrees", first_degrees),
        one_real("second_degrees", second_degrees),
    )
    if abs(turn(2 * (two - one))) < 1e-9:
        raise InputError(f"first_degrees and second_degrees lie on one line: {one!r} and {two!r}")
    axes = np.exp(1j * np.radians([one, two]))
    shares = np.linalg.solve(np.array([axes.real, axes.imag]), [u.real, u.imag])
    if np.any(shares < -1e-9 * abs(u)):
        raise InputError(
            f"unbalance must point between {one:g} and {two:g} degrees, got an angle of "
            f"{fold(np.degrees(np.angle(u))):.6g}: metal would have to be added at one of them"
        )
    first, second = (float(share) for share in np.maximum(shares, 0.0))
    return Split(one, two, first, second)


def split_on_circle(unbalance: complex, positions_degrees: ArrayLike) -> Split:
    """Return the split onto the two neighbouring positions that hold the unbalance between them.

    Of all pairs of positions the neighbours need the least metal.

    Parameters
    ----------
    unbalance : complex [g mm]
        The unbalance, pointing to the heavy side.
    positions_degrees : array (n,) [degree]
        Angles where a hole can go, in any order.

    Raises
    ------
    InputError
        When the positions leave a gap of 180 degrees or more where the unbalance points.

    Examples
    --------
    >>> where = split_on_circle(1000.0, pitch_circle(6, first_degrees=20.0))
    >>> where.first_degrees, where.second_degrees
    (320.0, 20.0)

    Source: the law of sines.
    """
    u = one_vector("unbalance", unbalance)
    positions = np.unique(fold(np.ravel(real("positions_degrees", positions_degrees))))
    if len(positions) < 2:
        raise InputError(f"positions_degrees must hold two angles, got {positions_degrees!r}")
    ahead = fold(positions - np.degrees(np.angle(u)))
    first, second = int(np.argmax(ahead)), int(np.argmin(ahead))
    if ahead[second] == 0.0:  # one hole does it, whatever stands on the other side
        return Split(float(positions[first]), float(positions[second]), 0.0, abs(u))
    if ahead[second] + 360.0 - ahead[first] >= 180.0:
        raise InputError(
            f"positions_degrees leave nothing on one side of the unbalance, got "
            f"{positions_degrees!r}"
        )
    return split(u, float(positions[first]), float(positions[second]))
