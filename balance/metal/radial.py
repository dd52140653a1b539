"""Radial holes: what they take away, exactly, and how deep to go for a wanted unbalance."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import InputError, not_negative, positive, together
from balance.metal import _radial
from balance.metal.shapes import (
    POINT_DEGREES,
    STEEL_G_CM3,
    Removed,
    radial_arrays,
    removed,
)

__all__ = ["depth_for", "radial_hole"]


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
    >>> round(float(hole.mass_g), 2), round(float(hole.unbalance_gmm), 1)
    (21.09, 1377.2)
    >>> round(float(hole.radius_mm), 1)
    65.3

    Source: derived here; tests hold it against exact mesh booleans. Elliptic integrals:
    Abramowitz and Stegun, Handbook of Mathematical Functions, ch. 17; from memory.
    """
    together(
        diameter_mm=diameter_mm,
        depth_mm=depth_mm,
        surface_radius_mm=surface_radius_mm,
        point_degrees=point_degrees,
        density_g_cm3=density_g_cm3,
    )
    a, h, R, t = radial_arrays(diameter_mm, depth_mm, surface_radius_mm, point_degrees)
    volume, moment = _radial.radial_moments(a, h, R, t)
    return removed(volume, moment, R, density_g_cm3)


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
        any depth does (past the crank's axis a hole takes unbalance back). Refused as well is a
        pointed drill nearly as wide as the rim, ``9 (R^2 - a^2) < t^2``, even where some depth
        would do: two depths can then give one unbalance, and no shop drills so.

    Examples
    --------
    >>> round(float(depth_for(1377.23, diameter_mm=12.7, surface_radius_mm=76.0)), 3)
    20.0

    Source: derived here, the closed form of the formula's own inverse.
    """
    together(
        unbalance_gmm=unbalance_gmm,
        diameter_mm=diameter_mm,
        surface_radius_mm=surface_radius_mm,
        point_degrees=point_degrees,
        density_g_cm3=density_g_cm3,
    )
    wanted = not_negative("unbalance_gmm", unbalance_gmm)
    a, _, R, t = radial_arrays(diameter_mm, 0.0, surface_radius_mm, point_degrees)
    per_depth = positive("density_g_cm3", density_g_cm3) * np.pi / 2000.0 * a * a  # rho A / 2
    corner = R * R - a * a  # squared height of the rim at the drill's edge
    if not np.all(9 * corner >= t * t):
        raise InputError(_too_wide(a))
    inside = corner + 0.75 * a * a - t * t / 18 - wanted / per_depth
    q = t / 3 + np.sqrt(np.maximum(inside, 0.0))
    if not np.all((inside >= -1e-14 * R * R) & (t - q <= R)):
        most = per_depth * _most(a, R, t)
        raise InputError(_out_of_reach("at most", unbalance_gmm, most, wanted - most))
    depth, spot = R - q, q * q > corner
    if not spot.any():
        return depth
    depth = np.array(depth)
    wanted, per_depth, a, R, t = (
        each[spot] for each in np.broadcast_arrays(wanted, per_depth, a, R, t)
    )
    least = per_depth * 2 * _point_alone(a, R, t)
    if not np.all(wanted >= least * (1 - 1e-12)):
        raise InputError(_out_of_reach("at least", unbalance_gmm, least, least - wanted))
    depth[spot] = _radial.shallow_depth(wanted * np.pi * a * a / (2 * per_depth), a, R, t)
    return depth[()]


def _too_wide(a: Any) -> str:
    """Return the message for a drill whose unbalance falls before it is at full diameter.

    The moment rises with depth until q = t / 3, where what is gained in front of the crank's axis
    is lost behind it.
    """
    return (
        f"diameter_mm is too wide for the rim, got up to {2 * np.max(a):.6g} mm: its unbalance "
        f"falls again before the drill is at full diameter"
    )


def _most(a: Any, R: Any, t: Any) -> Any:
    """Return the largest moment of a hole over A / 2."""
    h = np.minimum(R - t / 3, 2 * R - t)
    return _radial.full_moment(a, h, R, t) / (np.pi * a * a / 2)


def _point_alone(a: Any, R: Any, t: Any) -> Any:
    """Return the moment of a hole of depth 0 over A."""
    return _radial.radial_moments(a, np.zeros(np.shape(a)), R, t)[1] / (np.pi * a * a)


def _out_of_reach(bound: str, given: ArrayLike, limit: Any, excess: Any) -> str:
    """Return the message for the unbalance that misses its limit by most."""
    limit, excess = np.broadcast_arrays(limit, excess)
    worst = float(limit.flat[np.argmax(excess)])
    if bound == "at most":
        why, advice = "all one such hole takes at any depth", "a larger drill or more holes"
    else:
        why, advice = "what the drill's point alone takes", "a smaller drill"
    return f"unbalance_gmm must be {bound} {worst:.6g}, {why}, got {given!r}: use {advice}"
