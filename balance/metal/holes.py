"""Holes: what they take away, exactly, and how deep to go for a wanted unbalance."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, not_negative, positive
from balance.metal import _axial, _radial
from balance.metal.shapes import (
    POINT_DEGREES,
    STEEL_G_CM3,
    DrilledHole,
    Removed,
    point_mm,
    radial_arrays,
    removed,
    tip_depth_mm,
)
from balance.metal.webs import web_mm

__all__ = [
    "DrilledHole",
    "Removed",
    "axial_hole",
    "depth_for",
    "radial_hole",
    "tip_depth_mm",
    "web_mm",
]


def radial_hole(
    diameter_mm: ArrayLike,
    depth_mm: ArrayLike,
    *,
    surface_radius_mm: ArrayLike,
    point_degrees: ArrayLike = POINT_DEGREES,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
) -> Removed:
    """Return what a radial hole drilled into a cylindrical rim takes away.

    With drill radius a, depth h, rim radius R, point length t, A = pi a^2 and q = R - h::

        U = rho [A/2 (R^2 - a^2/4 - q^2) + A t/3 (q - t/4)]
        m = rho [4/3 R ((R^2 + a^2) E(k) - (R^2 - a^2) K(k)) - A q + A t/3],  k = (a/R)^2

    Shallower than the rim falls away across the drill, the spot is integrated ring by ring.

    Parameters
    ----------
    diameter_mm : float or array [mm]
        Drill diameter, less than the rim's.
    depth_mm : float or array [mm]
        Depth at full diameter, from the surface on the hole's axis; 0 leaves the point's cone.
    surface_radius_mm : float or array [mm]
        Radius of the rim where the hole starts.
    point_degrees : float or array [degree]
        Included point angle; 180 is flat.
    density_g_cm3 : float or array [g/cm3]
        Density of the crank. All arguments broadcast.

    Raises
    ------
    InputError
        When an argument is impossible or the drill would come out at the far side.

    Examples
    --------
    >>> hole = radial_hole(12.7, 20.0, surface_radius_mm=76.0)
    >>> round(float(hole.mass_g), 2), round(float(hole.unbalance_gmm)), round(float(hole.radius_mm), 1)
    (21.09, 1377, 65.3)

    Source: derived here; tests hold it against exact mesh booleans. Elliptic integrals:
    Abramowitz and Stegun, Handbook of Mathematical Functions, ch. 17.
    """
    a, h, R, t = radial_arrays(diameter_mm, depth_mm, surface_radius_mm, point_degrees)
    volume, moment = _radial.radial_moments(a, h, R, t)
    return removed(volume, moment, R, density_g_cm3)


def axial_hole(
    diameter_mm: ArrayLike,
    depth_mm: ArrayLike,
    *,
    radius_mm: ArrayLike,
    through: bool = False,
    point_degrees: ArrayLike = POINT_DEGREES,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
    rim_radius_mm: ArrayLike | None = None,
    thickness_mm: ArrayLike | None = None,
) -> Removed:
    """Return what a hole parallel to the crank takes away.

    With drill radius a, depth h and point length t: ``m = rho pi a^2 (h + t/3)``, ``U = m r``. A
    through hole has no point. What lies outside the rim or beyond the back face is not counted.

    Parameters
    ----------
    diameter_mm : float or array [mm]
        Drill diameter.
    depth_mm : float or array [mm]
        Depth at full diameter from the face; for a through hole the thickness of the metal.
    radius_mm : float or array [mm]
        Distance of the hole's axis from the crank's axis.
    through : bool
        Whether the full diameter passes right through.
    point_degrees : float or array [degree]
        Included point angle of a blind hole; 180 is flat.
    density_g_cm3 : float or array [g/cm3]
        Density of the part.
    rim_radius_mm : float or array [mm], optional
        Radius of the rim, when the hole may cut through it.
    thickness_mm : float or array [mm], optional
        Thickness of the metal, when the point of a blind hole may break through the back face.

    Raises
    ------
    InputError
        When an argument is impossible, the hole misses the metal, swallows the rotor, or is
        deeper at full diameter than the metal is thick.

    Examples
    --------
    >>> hole = axial_hole(25.4, 25.4, radius_mm=70.0, through=True)
    >>> round(float(hole.mass_g), 2), round(float(hole.unbalance_gmm), 1)
    (101.03, 7072.3)

    Source: derived here; tests hold it against exact mesh booleans.
    """
    a, h = positive("diameter_mm", diameter_mm) / 2, not_negative("depth_mm", depth_mm)
    r = not_negative("radius_mm", radius_mm)
    t = point_mm(diameter_mm, point_degrees) * (not through)
    parts = [(a, h, t)]
    if thickness_mm is not None:
        parts.append(_beyond(a, h, t, thickness_mm))
    if rim_radius_mm is None:
        sums = [_axial.whole(*part, r) for part in parts]
    else:
        R = _check_rim(a, r, rim_radius_mm)
        sums = [_axial.cut_by_rim(*part, r, R) for part in parts]
    volume, moment = sums[0]
    for beyond, its_moment in sums[1:]:
        volume, moment = volume - beyond, moment - its_moment
    return removed(volume, moment, r, density_g_cm3)


def _beyond(a: Any, h: Any, t: Any, thickness_mm: ArrayLike) -> tuple[Any, Any, Any]:
    """Return the tip that comes out of the back face: a smaller cone of depth 0."""
    thickness = positive("thickness_mm", thickness_mm)
    if not np.all(h <= thickness):
        raise InputError(
            f"depth_mm must not exceed the metal: the drill's full diameter would pass through "
            f"thickness_mm {thickness_mm!r}; say through=True with the thickness as depth"
        )
    tip = np.maximum(h + t - thickness, 0.0)
    share = np.where(tip > 0, tip / np.where(t > 0, t, 1.0), 1.0)
    return a * share, np.zeros(np.shape(tip)), tip


def _check_rim(a: Any, r: Any, rim_radius_mm: ArrayLike) -> NDArray[np.float64]:
    """Return the rim's radius, or raise when hole and rotor do not make sense together."""
    R = positive("rim_radius_mm", rim_radius_mm)
    if not np.all(a < R):
        raise InputError(f"diameter_mm must be less than the rim's, got rim {rim_radius_mm!r} mm")
    if not np.all(r < R + a):
        raise InputError(f"radius_mm must let the hole touch the rim of {rim_radius_mm!r} mm")
    return R


def depth_for(
    unbalance_gmm: ArrayLike,
    *,
    diameter_mm: ArrayLike,
    surface_radius_mm: ArrayLike,
    point_degrees: ArrayLike = POINT_DEGREES,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
) -> Any:
    """Return the depth of the radial hole that takes away a wanted unbalance.

    With M = U / rho and the letters of :func:`radial_hole`::

        h = R - q,  q = t/3 + sqrt(t^2/9 - c),  c = 2 M/A - R^2 + a^2/4 + t^2/6

    A spot shallower than the rim falls away across the drill is found by iteration.

    Parameters
    ----------
    unbalance_gmm : float or array [g mm]
        Wanted unbalance, not negative.
    diameter_mm, surface_radius_mm : float or array [mm]
        Drill diameter and rim radius.
    point_degrees : float or array [degree]
        Included point angle.
    density_g_cm3 : float or array [g/cm3]
        Density of the crank. All arguments broadcast.

    Returns
    -------
    float or array [mm]
        Depth at full diameter, from the surface on the hole's axis.

    Raises
    ------
    InputError
        When no depth gives the unbalance: less than the drill's point alone takes, or more than
        any depth does (past the crank's axis a hole takes unbalance back).

    Examples
    --------
    >>> round(float(depth_for(1377.23, diameter_mm=12.7, surface_radius_mm=76.0)), 3)
    20.0

    Source: derived here, the closed form of the formula's own inverse.
    """
    wanted = not_negative("unbalance_gmm", unbalance_gmm)
    a, _, R, t = radial_arrays(diameter_mm, 0.0, surface_radius_mm, point_degrees)
    moment = 1000.0 * wanted / positive("density_g_cm3", density_g_cm3)
    _check_most(unbalance_gmm, moment, a, R, t)
    c = 2 * moment / (np.pi * a * a) - R * R + a * a / 4 + t * t / 6
    depth = R - t / 3 - np.sqrt(np.maximum(t * t / 9 - c, 0.0))
    spot = moment < _radial.full_moment(a, _radial.sagitta(a, R), R, t)
    if not spot.any():
        return depth
    depth = np.array(depth)
    moment, a, R, t = (each[spot] for each in np.broadcast_arrays(moment, a, R, t))
    _check_least(unbalance_gmm, moment, a, R, t)
    depth[spot] = _radial.shallow_depth(moment, a, R, t)
    return depth[()]


def _check_most(given: ArrayLike, moment: Any, a: Any, R: Any, t: Any) -> None:
    """Refuse a moment beyond that of the deepest useful hole.

    The moment rises with depth until q = t / 3, where what is gained in front of the crank's axis
    is lost behind it.
    """
    if not np.all(9 * (R * R - a * a) >= t * t):
        raise InputError(
            "diameter_mm is too wide for the rim: the drill would never be at full diameter "
            "before its unbalance falls again"
        )
    most = _radial.full_moment(a, np.minimum(R - t / 3, 2 * R - t), R, t)
    if not np.all(moment <= most):
        raise InputError(
            f"unbalance_gmm must be within what one hole takes at any depth, got {given!r}, up to "
            f"{np.max(moment / most):.4g} times that; use a larger drill or more holes"
        )


def _check_least(given: ArrayLike, moment: Any, a: Any, R: Any, t: Any) -> None:
    """Refuse a moment below that of the drill's point alone."""
    least = _radial.radial_moments(a, np.zeros(a.shape), R, t)[1]
    if not np.all(moment >= least):
        raise InputError(
            f"unbalance_gmm must be at least what the drill's point alone takes, got {given!r}, "
            f"down to {np.min(moment / least):.4g} times that; use a smaller drill"
        )
