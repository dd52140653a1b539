"""The chance that a bolted part ends inside its limit when its plan is drilled."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.errors import (
    InputError,
    instance_of,
    one_not_negative,
    one_positive,
    one_vector,
    whole,
)
from balance.metal._drilling import Errors
from balance.metal.discs import DiscHole, DiscPlan
from balance.metal.holes import axial_hole
from balance.metal.shapes import POINT_DEGREES, STEEL_G_CM3

__all__ = ["DiscChance", "disc_chance"]


@dataclass(frozen=True)
class DiscChance:
    """How often many virtual drillings of a disc end well.

    ``inside`` [1] the share that ends inside the limit, with its standard error ``inside_u``;
    ``overshoot`` [1] the share that ends outside, light where the disc was heavy. ``draws`` is how
    many drillings it comes from.
    """

    inside: float
    inside_u: float
    overshoot: float
    draws: int


def disc_chance(
    plan: DiscPlan,
    before: complex,
    *,
    u_gmm: float,
    limit_gmm: float,
    errors: Errors | None = None,
    point_degrees: float = POINT_DEGREES,
    density_g_cm3: float = STEEL_G_CM3,
    draws: int = 40_000,
    seed: int = 1,
) -> DiscChance:
    """Return how often a disc's plan ends inside its limit when it is drilled many times.

    ``|U + e - sum m r exp(i a)| <= limit``, where the reading's error e has the standard
    uncertainty ``u`` in each direction (the reading is the difference of two spins, so its doubt
    does not shrink with it), and each hole's depth, angle and diameter are drawn about the plan.

    Parameters
    ----------
    plan : DiscPlan
        The holes.
    before : complex [g mm]
        Unbalance of the disc as it was read, pointing to the heavy side.
    u_gmm : float [g mm]
        Standard uncertainty of its amount.
    limit_gmm : float [g mm]
        Permissible residual unbalance.
    errors : Errors, optional
        What may be off in a hole; what it says of the reading is not used.
    point_degrees, density_g_cm3 : float [degree], [g/cm3]
        Of the drill points and of the disc.
    draws, seed : int
        Number of virtual drillings, and their seed.

    Raises
    ------
    InputError
        When there is no hole to drill, no draws, or an argument cannot be right.

    Examples
    --------
    >>> from balance.metal.discs import plan_disc
    >>> made = plan_disc(300j, circle_mm=112, drills_mm=[8], max_depth_mm=12, tolerance_gmm=38,
    ...                  hole_spacing_mm=16)
    >>> found = disc_chance(made, 300j, u_gmm=9, limit_gmm=38)
    >>> found.inside > 0.99, found.overshoot < 0.01
    (True, True)

    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method; from memory.
    """
    if not instance_of("plan", plan, DiscPlan).holes:
        raise InputError(f"plan must hold at least one hole, got none: {plan.reason}")
    there, u = one_vector("before", before), one_not_negative("u_gmm", u_gmm)
    limit = one_positive("limit_gmm", limit_gmm)
    whole("draws", draws, least=1)
    off = Errors() if errors is None else instance_of("errors", errors, Errors)
    random = np.random.default_rng(whole("seed", seed, least=0))
    left = there + random.normal(0, u, draws) + 1j * random.normal(0, u, draws)
    metal = {"point_degrees": point_degrees, "density_g_cm3": density_g_cm3}
    for hole in plan.holes:
        left -= _taken(hole, off, random, draws, **metal)
    outside = np.abs(left) > limit
    inside = 1.0 - float(outside.mean())
    light = np.real(np.conj(there) * left) < 0
    u_inside = math.sqrt(inside * (1 - inside) / draws)
    return DiscChance(inside, u_inside, float((outside & light).mean()), draws)


def _taken(
    hole: DiscHole,
    off: Errors,
    random: np.random.Generator,
    draws: int,
    *,
    point_degrees: float,
    density_g_cm3: float,
) -> NDArray[np.complex128]:
    """Return what a hole takes off, drilled so often with depth, drill and angle a bit off."""
    deep = hole.depth_mm + random.normal(0, off.depth_mm / 2, draws)
    gone = axial_hole(
        hole.diameter_mm + random.uniform(0, off.oversize_mm, draws),
        np.maximum(deep, 0.0),  # no drilling above the surface
        radius_mm=hole.circle_mm,
        point_degrees=point_degrees,
        density_g_cm3=density_g_cm3,
    )
    astray = random.normal(0, off.hole_degrees / 2, draws)
    turned = np.exp(1j * np.radians(hole.degrees + astray))
    return np.asarray(gone.unbalance_gmm * turned)
