"""Holes parallel to the crank: blind, through, cutting the rim, breaking out of the back face."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, not_negative, positive, together, yes_or_no
from balance.metal import _axial
from balance.metal.shapes import POINT_DEGREES, STEEL_G_CM3, Removed, point_mm, removed

__all__ = ["axial_hole"]


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
    together(
        diameter_mm=diameter_mm,
        depth_mm=depth_mm,
        radius_mm=radius_mm,
        point_degrees=point_degrees,
        density_g_cm3=density_g_cm3,
        rim_radius_mm=rim_radius_mm,
        thickness_mm=thickness_mm,
    )
    a, h = positive("diameter_mm", diameter_mm) / 2, not_negative("depth_mm", depth_mm)
    r = not_negative("radius_mm", radius_mm)
    t = point_mm(diameter_mm, point_degrees) * (not yes_or_no("through", through))
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
