"""Heavy-metal slugs as candidates: they put unbalance on where holes can only take it off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.errors import InputError
from balance.metal._clearance import Profiles
from balance.metal._sites import Rules, Shapes, Site, clear_of_existing, lattice, share_of
from balance.metal.shapes import point_mm
from balance.metal.slugs import TUNGSTEN_G_CM3, axial_slug, slug

if TYPE_CHECKING:  # a task holds slugs
    from balance.metal._task import Counterweight

__all__ = ["SlugChoice", "slug_site"]

_MOST_HERE = 2  # of one choice on one counterweight: one on either side of its centre line


@dataclass(frozen=True)
class SlugChoice:
    """One slug that the shop can fit in a new bore.

    ``diameter_mm``, ``length_mm`` [mm] and ``density_g_cm3`` [g/cm3] of the slug. With
    ``bore_depth_mm`` [mm] it is seated at the bottom of a radial bore of that depth at full
    diameter; without, in a through bore parallel to the crank whose rim wall is ``wall_mm``.
    """

    diameter_mm: float
    length_mm: float
    density_g_cm3: float = TUNGSTEN_G_CM3
    bore_depth_mm: float | None = None
    wall_mm: float = 4.0

    @property
    def mass_g(self) -> float:
        """What one slug weighs [g]."""
        section = math.pi / 4 * self.diameter_mm**2
        return self.density_g_cm3 / 1000 * section * self.length_mm

    def middle_mm(self, rim_mm: float) -> float:
        """Return how far from the axis its middle sits in a counterweight of this rim [mm]."""
        if self.bore_depth_mm is None:
            return rim_mm - self.wall_mm - self.diameter_mm / 2
        return rim_mm - self.bore_depth_mm + self.length_mm / 2


def slug_site(
    index: int,
    cw: Counterweight,
    choice: SlugChoice,
    rules: Rules,
    beside: Sequence[Counterweight] = (),
) -> Site:
    """Return where one choice of slug may be fitted on one counterweight; none when too wide."""
    gain, profile = _seat(cw, choice, rules)
    fits = gain is not None and gain > 0 and _wide_enough(cw, choice, rules)
    angles = lattice(cw, rules)
    shapes = _one_shape(choice, gain or 0.0, profile)
    shape = np.zeros(len(angles) if fits else 0, dtype=np.int64)
    degrees = angles[: len(shape)]
    kept = clear_of_existing([cw, *beside], shapes, shape, degrees, rules)
    degrees, shape = degrees[kept], shape[kept]
    return Site(
        counterweight=index,
        z_mm=cw.z_mm,
        width_mm=cw.width_mm,
        share=share_of(cw.z_mm, rules.planes_mm),
        x=-(gain or 0.0) * np.exp(1j * np.radians(degrees)),
        mass=shapes.mass_g[shape],
        degrees=degrees,
        step=np.full(len(degrees), -1),
        shape=shape,
        shapes=shapes,
        angles=angles,
        rules=rules,
        hull=(np.zeros(0), np.zeros(0)),
        choice=choice,
        most=_MOST_HERE,
    )


def _seat(cw: Counterweight, choice: SlugChoice, rules: Rules) -> tuple[float | None, Profiles]:
    """Return the net gain at the counterweight, and the flat profile that the bore takes up.

    A through bore is taken to be open to the rim: that is more than it takes up, so a web that
    is wide enough for it is wide enough.
    """
    if choice.bore_depth_mm is None:
        radius = choice.middle_mm(cw.radius_mm)
        inner = radius - choice.diameter_mm / 2
        profile = Profiles(*(np.array([v]) for v in (choice.diameter_mm / 2, inner, inner)))
        if inner <= 0:
            return None, profile
        through = axial_slug(
            choice.diameter_mm,
            choice.length_mm,
            radius_mm=radius,
            thickness_mm=max(cw.width_mm, choice.length_mm),
            slug_density_g_cm3=choice.density_g_cm3,
            density_g_cm3=rules.density_g_cm3,
        )
        return float(through.net_unbalance_gmm), profile
    shoulder = cw.radius_mm - choice.bore_depth_mm
    tip = shoulder - float(point_mm(choice.diameter_mm, rules.point_degrees))
    profile = Profiles(*(np.array([v]) for v in (choice.diameter_mm / 2, shoulder, tip)))
    seated = slug(
        choice.diameter_mm,
        choice.length_mm,
        surface_radius_mm=cw.radius_mm,
        bore_depth_mm=choice.bore_depth_mm,
        slug_density_g_cm3=choice.density_g_cm3,
        density_g_cm3=rules.density_g_cm3,
        point_degrees=rules.point_degrees,
    )
    return float(seated.net_unbalance_gmm), profile


def _wide_enough(cw: Counterweight, choice: SlugChoice, rules: Rules) -> bool:
    """Return whether a radial bore keeps off the faces, or a through slug stays between them."""
    if choice.bore_depth_mm is None:
        return bool(choice.length_mm <= cw.width_mm)
    return bool((cw.width_mm - choice.diameter_mm) / 2 >= rules.edge_mm)


def _one_shape(choice: SlugChoice, gain: float, profile: Profiles) -> Shapes:
    if not math.isfinite(choice.mass_g) or choice.mass_g <= 0:
        raise InputError(f"slugs must have a size and a density above zero, got {choice!r}")
    depth = choice.bore_depth_mm or choice.length_mm
    return Shapes(
        np.array([choice.diameter_mm]),
        np.array([depth]),
        np.array([gain]),
        np.array([choice.mass_g]),
        profile,
        np.array([-1]),
    )
