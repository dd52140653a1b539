"""What a hole is and what it takes away: the records every other page of this room speaks in.

Depth always means depth at full diameter, measured from the surface on the hole's axis. The drill
point goes deeper: :func:`tip_depth_mm` says how deep.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, not_negative, positive, real, together
from balance.parts.trimming import DENSITIES_G_CM3

__all__ = ["DrilledHole", "Removed", "point_mm", "tip_depth_mm"]

STEEL_G_CM3 = DENSITIES_G_CM3["carbon or low-alloy steel"]
POINT_DEGREES = 118.0  # the common jobber drill; Machinery's Handbook, Drilling, from memory


@dataclass(frozen=True)
class Removed:
    """Metal taken away: its mass, its moment about the crank's axis and the ratio of the two.

    ``mass_g`` [g], ``unbalance_gmm`` [g mm] (along the hole's own angle), ``radius_mm`` [mm] the
    radius at which the mass acts. Floats for one hole, arrays for many. Where nothing is removed
    the radius is that of the place itself.
    """

    mass_g: Any
    unbalance_gmm: Any
    radius_mm: Any


@dataclass(frozen=True)
class DrilledHole:
    """One radial hole in the crank's frame.

    ``degrees`` is its angle, ``depth_mm`` the depth at full diameter from the surface on the axis.
    ``surface_radius_mm`` (the rim it starts from) and ``point_degrees`` may be left to the call
    that uses the hole; ``z_mm`` is where its axis stands along the crank.
    """

    degrees: float
    diameter_mm: float
    depth_mm: float
    surface_radius_mm: float | None = None
    z_mm: float = 0.0
    point_degrees: float | None = None


def point_mm(diameter_mm: ArrayLike, point_degrees: ArrayLike = POINT_DEGREES) -> Any:
    """Return the length of a drill's point: ``(d / 2) / tan(point / 2)``.

    Parameters
    ----------
    diameter_mm : float or array [mm]
        Drill diameter.
    point_degrees : float or array [degree]
        Included point angle, over 0 and up to 180 (a flat-bottomed cutter). The point is taken as
        a sharp cone; the chisel edge of a real drill blunts it by a few tenths of a millimetre.

    Raises
    ------
    InputError
        When the diameter is not greater than zero or the angle is outside (0, 180].

    Examples
    --------
    >>> round(float(point_mm(12.7)), 3)
    3.815

    Source: Machinery's Handbook, Drilling (from memory); geometry of a cone.
    """
    together(diameter_mm=diameter_mm, point_degrees=point_degrees)
    diameter = positive("diameter_mm", diameter_mm)
    angle = real("point_degrees", point_degrees)
    if not np.all((angle > 0) & (angle <= 180)):
        raise InputError(
            f"point_degrees must be over 0 and at most 180 (flat), got {point_degrees!r}"
        )
    # tan(90 degrees) is a huge number, not infinite: a flat cutter's point is exactly zero
    return np.where(angle == 180.0, 0.0, diameter / 2 / np.tan(np.radians(angle) / 2))[()]


def tip_depth_mm(
    depth_mm: ArrayLike, diameter_mm: ArrayLike, *, point_degrees: ArrayLike = POINT_DEGREES
) -> Any:
    """Return how deep the tip of the drill goes: depth at full diameter plus the point.

    Parameters
    ----------
    depth_mm : float or array [mm]
        Depth at full diameter from the surface on the hole's axis.
    diameter_mm : float or array [mm]
        Drill diameter.
    point_degrees : float or array [degree]
        Included point angle.

    Raises
    ------
    InputError
        When the depth is negative, or the drill is impossible.

    Examples
    --------
    >>> round(float(tip_depth_mm(20.0, 12.7)), 3)
    23.815

    Source: geometry of a cone.
    """
    together(depth_mm=depth_mm, diameter_mm=diameter_mm, point_degrees=point_degrees)
    return not_negative("depth_mm", depth_mm) + point_mm(diameter_mm, point_degrees)


def removed(volume_mm3: Any, moment_mm4: Any, at_mm: Any, density_g_cm3: ArrayLike) -> Removed:
    """Return mass, unbalance and effective radius from a volume and its first moment."""
    density_g_mm3 = positive("density_g_cm3", density_g_cm3) / 1000.0
    mass, unbalance = volume_mm3 * density_g_mm3, moment_mm4 * density_g_mm3
    empty = mass <= 0
    radius = np.where(empty, at_mm, unbalance / np.where(empty, 1.0, mass))
    return Removed(mass[()], unbalance[()], radius[()])


def radial_arrays(
    diameter_mm: ArrayLike, depth_mm: ArrayLike, surface_radius_mm: ArrayLike, point: ArrayLike
) -> tuple[NDArray[np.float64], ...]:
    """Check a radial hole and return drill radius, depth, rim radius and point length."""
    t = point_mm(diameter_mm, point)
    a = positive("diameter_mm", diameter_mm) / 2
    h, R = not_negative("depth_mm", depth_mm), positive("surface_radius_mm", surface_radius_mm)
    if not np.all(a < R):
        raise InputError(
            f"diameter_mm must be less than the rim's diameter, got {diameter_mm!r} "
            f"at surface_radius_mm {surface_radius_mm!r}"
        )
    if np.all(h + t <= R):
        return a, h, R, t
    if not np.all((h + t <= 2 * R) & (h <= R + np.sqrt(R * R - a * a))):
        raise InputError(
            f"depth_mm must end inside the rotor, got {depth_mm!r}: the drill would come out at "
            f"the far side of a rim of radius {surface_radius_mm!r} mm"
        )
    return a, h, R, t
