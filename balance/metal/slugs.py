"""Heavy metal: what a slug really gains, and what its seat must hold.

"Density difference times slug volume" overstates a radial slug's gain: the bore above it stays
empty and the drill's point below it is metal lost. Both are counted here.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import InputError, instance_of, not_negative, positive, together
from balance.metal import _radial
from balance.metal.axial import axial_hole
from balance.metal.radial import radial_hole
from balance.metal.shapes import (
    POINT_DEGREES,
    STEEL_G_CM3,
    DrilledHole,
    Removed,
    radial_arrays,
    tip_depth_mm,
)

__all__ = ["SlugGain", "axial_slug", "slug", "slug_force_n", "tear_out_mpa"]

TUNGSTEN_G_CM3 = 18.0  # ASTM B777 class 3, nominal, from memory; the maker's certificate decides


@dataclass(frozen=True)
class SlugGain:
    """What the crank gains along the slug's angle, the bore's own loss taken off.

    ``net_mass_g`` [g], ``net_unbalance_gmm`` [g mm] (negative when the bore loses more than the
    slug brings), ``slug_mass_g`` [g] and ``slug_radius_mm`` [mm], its centre's distance from the
    crank's axis.
    """

    net_mass_g: Any
    net_unbalance_gmm: Any
    slug_mass_g: Any
    slug_radius_mm: Any


def slug(
    diameter_mm: ArrayLike,
    length_mm: ArrayLike,
    *,
    surface_radius_mm: ArrayLike,
    bore_depth_mm: ArrayLike,
    slug_density_g_cm3: ArrayLike = TUNGSTEN_G_CM3,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
    point_degrees: ArrayLike = POINT_DEGREES,
    existing: DrilledHole | None = None,
) -> SlugGain:
    """Return what a radial slug gains, seated at the bottom of a drilled bore.

    The slug is a plain cylinder on the bore's shoulder: ``net = slug - (bore - existing hole)``.

    Parameters
    ----------
    diameter_mm : float or array [mm]
        Diameter of slug and bore.
    length_mm : float or array [mm]
        Length of the slug.
    surface_radius_mm : float or array [mm]
        Rim radius.
    bore_depth_mm : float or array [mm]
        Depth of the bore at full diameter, from the surface on its axis.
    slug_density_g_cm3, density_g_cm3 : float or array [g/cm3]
        Densities of slug and crank.
    point_degrees : float or array [degree]
        Included point angle of the bore.
    existing : DrilledHole, optional
        A hole already there on the same axis and inside the new bore: its metal is not lost twice.
        For a slug in an existing bore give the bore itself.

    Raises
    ------
    InputError
        When the slug stands out of the rim or reaches past the crank's axis, or the existing hole
        is not inside the bore.

    Examples
    --------
    >>> new = slug(19.05, 25.4, surface_radius_mm=80.0, bore_depth_mm=30.0)
    >>> round(float(new.slug_mass_g), 1), round(float(new.net_mass_g), 1)
    (130.3, 59.2)
    >>> old = DrilledHole(0.0, 19.05, 30.0)
    >>> refilled = slug(19.05, 25.4, surface_radius_mm=80.0, bore_depth_mm=30.0, existing=old)
    >>> round(float(refilled.net_mass_g), 1)
    130.3

    Source: derived here; tests hold it against exact mesh booleans.
    """
    together(
        diameter_mm=diameter_mm,
        length_mm=length_mm,
        surface_radius_mm=surface_radius_mm,
        bore_depth_mm=bore_depth_mm,
        slug_density_g_cm3=slug_density_g_cm3,
        density_g_cm3=density_g_cm3,
        point_degrees=point_degrees,
    )
    a, h, R, t = radial_arrays(diameter_mm, bore_depth_mm, surface_radius_mm, point_degrees)
    length = positive("length_mm", length_mm)
    _check_seat(length_mm, length, a, h, R)
    metal = {"surface_radius_mm": surface_radius_mm, "density_g_cm3": density_g_cm3}
    lost = radial_hole(diameter_mm, bore_depth_mm, point_degrees=point_degrees, **metal)
    if existing is not None:
        instance_of("existing", existing, DrilledHole)
        own = point_degrees if existing.point_degrees is None else existing.point_degrees
        _check_existing(existing, own, (a, h, R, t))
        old = radial_hole(existing.diameter_mm, existing.depth_mm, point_degrees=own, **metal)
        lost = _without(lost, old)
    mass = positive("slug_density_g_cm3", slug_density_g_cm3) / 1000 * np.pi * a * a * length
    radius = R - h + length / 2
    return _gain(mass - lost.mass_g, mass * radius - lost.unbalance_gmm, mass, radius)


def _gain(*parts: Any) -> SlugGain:
    """Return the gain with every field of one shape."""
    return SlugGain(*(np.array(part)[()] for part in np.broadcast_arrays(*parts)))


def _check_seat(given: ArrayLike, length: Any, a: Any, h: Any, R: Any) -> None:
    """Refuse a slug that stands out of the rim or reaches past the crank's axis."""
    if not np.all(h - length >= _radial.sagitta(a, R)):
        raise InputError(
            f"length_mm must leave the slug below the rim all round, got {given!r} in a bore "
            f"{np.max(h):.6g} mm deep: bore deeper or use a shorter slug"
        )
    if not np.all(h <= R):
        raise InputError("bore_depth_mm must not pass the crank's axis: the slug would weigh back")


def _without(bore: Removed, old: Removed) -> Removed:
    """Return what a bore still has to take away where a hole already is."""
    return Removed(bore.mass_g - old.mass_g, bore.unbalance_gmm - old.unbalance_gmm, bore.radius_mm)


def _check_existing(old: DrilledHole, point: ArrayLike, bore: tuple[Any, ...]) -> None:
    """Refuse an existing hole that is not inside the bore: both are convex, so its corners tell."""
    a, h, R, t = bore
    if old.surface_radius_mm is not None and not np.all(old.surface_radius_mm == R):
        raise InputError(f"existing must start from the same rim, got {old.surface_radius_mm!r} mm")
    b = positive("existing.diameter_mm", old.diameter_mm) / 2
    tip = tip_depth_mm(old.depth_mm, old.diameter_mm, point_degrees=point)
    room = 1e-9  # mm: sizes that were computed may differ in the last digit
    shoulder = h + t * (1 - b / a)
    inside = (b <= a + room) & (old.depth_mm <= shoulder + room) & (tip <= h + t + room)
    if not np.all(inside):
        raise InputError(
            f"existing must lie inside the bore, got {old!r}: bore at least as wide and deep"
        )


def axial_slug(
    diameter_mm: ArrayLike,
    length_mm: ArrayLike,
    *,
    radius_mm: ArrayLike,
    thickness_mm: ArrayLike | None = None,
    slug_density_g_cm3: ArrayLike = TUNGSTEN_G_CM3,
    density_g_cm3: ArrayLike = STEEL_G_CM3,
    existing_diameter_mm: ArrayLike = 0.0,
) -> SlugGain:
    """Return what a slug in a through bore parallel to the crank gains.

    ``net = pi/4 [rho_slug d^2 L - rho_crank (d^2 - d_existing^2) thickness]`` at the bore's radius.

    Parameters
    ----------
    diameter_mm, length_mm : float or array [mm]
        Diameter of slug and bore, length of the slug.
    radius_mm : float or array [mm]
        Distance of the bore's axis from the crank's axis.
    thickness_mm : float or array [mm], optional
        Thickness of the counterweight there, at least the slug's length; the same when left out.
    slug_density_g_cm3, density_g_cm3 : float or array [g/cm3]
        Densities of slug and crank.
    existing_diameter_mm : float or array [mm]
        Diameter of a through bore already there on the same axis, at most the new one.

    Raises
    ------
    InputError
        When a size is impossible, the slug longer than the metal or the old bore wider.

    Examples
    --------
    >>> gain = axial_slug(25.4, 25.4, radius_mm=70.0)
    >>> round(float(gain.slug_mass_g), 1), round(float(gain.net_mass_g), 1)
    (231.7, 130.6)

    Source: geometry.
    """
    together(
        diameter_mm=diameter_mm,
        length_mm=length_mm,
        radius_mm=radius_mm,
        thickness_mm=thickness_mm,
        slug_density_g_cm3=slug_density_g_cm3,
        density_g_cm3=density_g_cm3,
        existing_diameter_mm=existing_diameter_mm,
    )
    length = positive("length_mm", length_mm)
    thickness = length if thickness_mm is None else positive("thickness_mm", thickness_mm)
    if not np.all(length <= thickness):
        raise InputError(
            f"length_mm must not exceed thickness_mm, got {length_mm!r} in {thickness_mm!r}"
        )
    old = not_negative("existing_diameter_mm", existing_diameter_mm)
    bore = axial_hole(
        diameter_mm, thickness, radius_mm=radius_mm, through=True, density_g_cm3=density_g_cm3
    )
    d = np.asarray(diameter_mm, dtype=float)
    if not np.all(old <= d):
        raise InputError(
            f"existing_diameter_mm must not exceed diameter_mm, got {existing_diameter_mm!r}"
        )
    lost = bore.mass_g * (1 - (old / d) ** 2)
    mass = positive("slug_density_g_cm3", slug_density_g_cm3) / 1000 * np.pi / 4 * d * d * length
    radius = np.asarray(radius_mm, dtype=float)
    return _gain(mass - lost, (mass - lost) * radius, mass, radius)


def slug_force_n(mass_g: ArrayLike, *, radius_mm: ArrayLike, speed_rpm: ArrayLike) -> Any:
    """Return the force with which a mass pulls outwards: ``m r w^2``.

    Parameters
    ----------
    mass_g : float or array [g]
        Mass of the slug, weight or screw.
    radius_mm : float or array [mm]
        Distance of its centre from the crank's axis.
    speed_rpm : float or array [rpm]
        The highest speed in service, overspeed included; not the balancing speed.

    Raises
    ------
    InputError
        When a value is negative or not finite.

    Examples
    --------
    >>> round(float(slug_force_n(231.7, radius_mm=70.0, speed_rpm=7000.0)))
    8715

    Source: mechanics.
    """
    together(mass_g=mass_g, radius_mm=radius_mm, speed_rpm=speed_rpm)
    w = not_negative("speed_rpm", speed_rpm) * (2 * math.pi / 60)
    return not_negative("mass_g", mass_g) * not_negative("radius_mm", radius_mm) * w * w * 1e-6


def tear_out_mpa(force_n: ArrayLike, *, wall_mm: ArrayLike, length_mm: ArrayLike) -> Any:
    """Return a first estimate of the shear stress outside an axial slug: ``F / (2 w L)``.

    The load is taken to leave through the two sections of the wall. Stress concentration, fatigue
    and the press fit are not in it: it says when to ask an engineer, never that a seat is safe.

    Parameters
    ----------
    force_n : float or array [N]
        Outward force of the slug.
    wall_mm : float or array [mm]
        Thinnest metal between bore and rim.
    length_mm : float or array [mm]
        Length of the slug.

    Raises
    ------
    InputError
        When a size is not greater than zero or the force negative.

    Examples
    --------
    >>> round(float(tear_out_mpa(8715.0, wall_mm=3.2, length_mm=25.4)))
    54

    Source: elementary shear; an estimate of our own.
    """
    together(force_n=force_n, wall_mm=wall_mm, length_mm=length_mm)
    sections = 2 * positive("wall_mm", wall_mm) * positive("length_mm", length_mm)
    return not_negative("force_n", force_n) / sections
