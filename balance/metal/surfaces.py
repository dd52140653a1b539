"""Metal taken off the outside: a skim over an arc of the rim, a flat ground across it."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import InputError, not_negative, positive, together
from balance.metal.shapes import STEEL_G_CM3, Removed, removed

__all__ = ["ground_flat", "ground_flat_for", "skim", "skim_for"]


def skim(
    depth_mm: ArrayLike,
    *,
    surface_radius_mm: ArrayLike,
    half_span_degrees: ArrayLike,
    width_mm: ArrayLike,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
) -> Removed:
    """Return what turning or milling the rim down over an arc takes away.

    ``m = rho w phi (R2^2 - R1^2)``, ``U = rho w 2 sin(phi) (R2^3 - R1^3) / 3`` over +/- phi.

    Parameters
    ----------
    depth_mm : float or array [mm]
        Radial depth of the skim, less than the rim radius.
    surface_radius_mm : float or array [mm]
        Rim radius before the skim.
    half_span_degrees : float or array [degree]
        Half the arc, over 0 and up to 180.
    width_mm : float or array [mm]
        Width along the crank.
    density_g_cm3 : float or array [g/cm3]
        Density of the crank.

    Raises
    ------
    InputError
        When an argument is impossible.

    Examples
    --------
    >>> cut = skim(1.0, surface_radius_mm=76.0, half_span_degrees=60.0, width_mm=20.0)
    >>> round(float(cut.unbalance_gmm)), round(float(cut.mass_g), 1)
    (1550, 24.8)

    Source: derived here, a sector of a ring.
    """
    together(
        depth_mm=depth_mm,
        surface_radius_mm=surface_radius_mm,
        half_span_degrees=half_span_degrees,
        width_mm=width_mm,
        density_g_cm3=density_g_cm3,
    )
    R, phi, per_width = _arc(surface_radius_mm, half_span_degrees, width_mm)
    h = not_negative("depth_mm", depth_mm)
    _check_inside(depth_mm, h, R)
    inner = R - h
    volume = per_width * phi * h * (R + inner)
    moment = per_width * 2 * np.sin(phi) * h * (R * R + R * inner + inner * inner) / 3
    return removed(volume, moment, R * np.sin(phi) / phi, density_g_cm3)


def skim_for(
    unbalance_gmm: ArrayLike,
    *,
    surface_radius_mm: ArrayLike,
    half_span_degrees: ArrayLike,
    width_mm: ArrayLike,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
) -> Any:
    """Return the depth of the skim that takes away an unbalance.

    ``h = R2 - (R2^3 - 3 U / (2 rho w sin phi))^(1/3)``

    Parameters
    ----------
    unbalance_gmm : float or array [g mm]
        Wanted unbalance, not negative.
    surface_radius_mm : float or array [mm]
        Rim radius before the skim.
    half_span_degrees : float or array [degree]
        Half the arc, over 0 and under 180.
    width_mm : float or array [mm]
        Width along the crank.
    density_g_cm3 : float or array [g/cm3]
        Density of the crank.

    Raises
    ------
    InputError
        When the arc does not hold that much, or an argument is impossible.

    Examples
    --------
    >>> place = {"surface_radius_mm": 76.0, "half_span_degrees": 60.0, "width_mm": 20.0}
    >>> round(float(skim_for(1550.16, **place)), 3)
    1.0

    Source: derived here, the inverse of :func:`skim`.
    """
    together(
        unbalance_gmm=unbalance_gmm,
        surface_radius_mm=surface_radius_mm,
        half_span_degrees=half_span_degrees,
        width_mm=width_mm,
        density_g_cm3=density_g_cm3,
    )
    R, phi, width = _arc(surface_radius_mm, half_span_degrees, width_mm)
    density = positive("density_g_cm3", density_g_cm3) / 1000
    wanted = not_negative("unbalance_gmm", unbalance_gmm)
    most = density * width * 2 * np.sin(phi) * R**3 / 3
    if not np.all(wanted < most):
        raise InputError(
            f"unbalance_gmm must be less than all the arc holds, {np.min(most):.6g} g mm, "
            f"got {unbalance_gmm!r}: use a wider arc or holes"
        )
    return -R * np.expm1(np.log1p(-wanted / most) / 3)


def ground_flat(
    depth_mm: ArrayLike,
    *,
    surface_radius_mm: ArrayLike,
    width_mm: ArrayLike,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
) -> Removed:
    """Return what grinding a flat across the rim takes away.

    With half chord c = sqrt(h (2 R - h)): ``m = rho w (R^2 asin(c / R) - (R - h) c)``,
    ``U = rho w 2 c^3 / 3``.

    Parameters
    ----------
    depth_mm : float or array [mm]
        Depth of the flat at its middle, less than the rim radius.
    surface_radius_mm : float or array [mm]
        Rim radius.
    width_mm : float or array [mm]
        Width along the crank.
    density_g_cm3 : float or array [g/cm3]
        Density of the crank.

    Raises
    ------
    InputError
        When an argument is impossible.

    Examples
    --------
    >>> flat = ground_flat(1.0, surface_radius_mm=76.0, width_mm=20.0)
    >>> round(float(flat.mass_g), 2), round(float(flat.unbalance_gmm), 1)
    (2.58, 194.2)

    Source: derived here, a segment of a circle.
    """
    together(
        depth_mm=depth_mm,
        surface_radius_mm=surface_radius_mm,
        width_mm=width_mm,
        density_g_cm3=density_g_cm3,
    )
    h, R = not_negative("depth_mm", depth_mm), positive("surface_radius_mm", surface_radius_mm)
    width = positive("width_mm", width_mm)
    _check_inside(depth_mm, h, R)
    c = np.sqrt(h * (2 * R - h))
    volume = width * (R * R * np.arcsin(c / R) - (R - h) * c)
    return removed(volume, width * 2 * c**3 / 3, R, density_g_cm3)


def ground_flat_for(
    unbalance_gmm: ArrayLike,
    *,
    surface_radius_mm: ArrayLike,
    width_mm: ArrayLike,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
) -> Any:
    """Return the depth of the flat that takes away an unbalance.

    ``c^3 = 3 U / (2 rho w)``, ``h = R - sqrt(R^2 - c^2)``

    Parameters
    ----------
    unbalance_gmm : float or array [g mm]
        Wanted unbalance, not negative.
    surface_radius_mm : float or array [mm]
        Rim radius.
    width_mm : float or array [mm]
        Width along the crank.
    density_g_cm3 : float or array [g/cm3]
        Density of the crank.

    Raises
    ------
    InputError
        When no flat takes that much, or an argument is impossible.

    Examples
    --------
    >>> round(float(ground_flat_for(194.34, surface_radius_mm=76.0, width_mm=20.0)), 3)
    1.0

    Source: derived here, the inverse of :func:`ground_flat`.
    """
    together(
        unbalance_gmm=unbalance_gmm,
        surface_radius_mm=surface_radius_mm,
        width_mm=width_mm,
        density_g_cm3=density_g_cm3,
    )
    R, width = positive("surface_radius_mm", surface_radius_mm), positive("width_mm", width_mm)
    density = positive("density_g_cm3", density_g_cm3) / 1000
    c = np.cbrt(3 * not_negative("unbalance_gmm", unbalance_gmm) / (2 * density * width))
    if not np.all(c < R):
        raise InputError(
            f"unbalance_gmm must be less than half the disc holds, got {unbalance_gmm!r}: "
            f"a flat of that size would pass the crank's axis"
        )
    return c * c / (R + np.sqrt(R * R - c * c))


def _arc(radius: ArrayLike, half_span: ArrayLike, width: ArrayLike) -> tuple[Any, Any, Any]:
    """Check an arc and return rim radius, half span in radians and width."""
    R, w = positive("surface_radius_mm", radius), positive("width_mm", width)
    span = positive("half_span_degrees", half_span)
    if not np.all(span <= 180):
        raise InputError(f"half_span_degrees must not exceed 180, got {half_span!r}")
    return R, np.radians(span), w


def _check_inside(given: ArrayLike, h: Any, R: Any) -> None:
    """Refuse a cut as deep as the rim radius."""
    if not np.all(h < R):
        raise InputError(f"depth_mm must be less than surface_radius_mm, got {given!r}")
