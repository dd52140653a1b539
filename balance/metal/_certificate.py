"""Proof that no number of holes can do it, and its reason in words.

What holes can take off is a cone in the four dimensions of two-plane unbalance. Either the wanted
correction lies in it (to within the limit), or a direction ``lam`` exists along which every
candidate takes nothing or puts unbalance on, while more than the limit would have to be taken:

    <lam, U> - sum of limit |lam|  >  0  and  <lam, v> <= 0 for every candidate.

Whether there is one is found by a small simplex. Of all such directions the one that is told is
what stays above the limit at the nearest that the cone comes to it (root of the sum of squares over
the planes): a person sees there what is missing. It is then checked by itself against every
candidate, so the proof does not lean on how it was found.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.metal._sites import Site, as_real, lattice, share_of
from balance.metal._task import Task
from balance.units import show
from balance.vectors import degrees, fold, whole_degrees

__all__ = [
    "WAYS_OUT",
    "Certificate",
    "closed_angles",
    "in_words",
    "out_of_reach",
    "sector_rays",
    "site_rays",
]

_Float = NDArray[Any]  # of floats
_Complex = NDArray[Any]  # of complex numbers
_TURNS = 300  # of any of the loops here; what is not settled by then proves nothing
_TOLD = 0.01  # of the whole: a plane where less is missing is not worth a word
WAYS_OUT = (
    "Ways out: heavy-metal slugs (net gain) in the counterweights, metal off elsewhere (rim "
    "turned down over an arc, a wider sector), or weights outside the crank (flywheel, damper); "
    "a lighter bobweight is not one, for the bobweight is what the parts weigh"
)


@dataclass(frozen=True)
class Certificate:
    """What stays above the limit at the nearest that any holes come: (2,) complex [g mm].

    Along it no hole takes anything off, and at least ``short_gmm`` stays above the limit; that is
    its length (root of the sum of squares) but for rounding.
    """

    missing_gmm: _Complex
    short_gmm: float


def sector_rays(task: Task) -> _Complex:
    """Return directions that span all that the whole sectors could take off, as (n, 2) complex.

    Between two neighbours, less than half a turn apart, every direction is a sum of the two.
    """
    rays = []
    for cw in task.counterweights:
        marked = lattice(cw, task.rules)
        turn = np.linspace(marked[0], marked[-1], 9)
        own = [hole.degrees for hole in cw.holes if task.rules.deepen]
        unit = np.exp(1j * np.radians(np.append(turn, own)))
        rays.append(unit[:, None] * share_of(cw.z_mm, task.rules.planes_mm))
    return np.concatenate(rays)


def site_rays(sites: Sequence[Site]) -> _Complex:
    """Return the directions in which the candidates take off, as (n, 2) complex."""
    return np.concatenate([_rays(site) for site in sites])


def out_of_reach(rays: _Complex, task: Task) -> Certificate | None:
    """Return the proof that no amounts along the rays can reach the limit, or None."""
    wall = _separate(rays, task.unbalance, task.limit_gmm)
    if wall is None:
        return None
    told = _verified(_missing(rays, task.unbalance, task.limit_gmm), rays, task)
    return told or _verified(wall, rays, task)


def _verified(wall: _Complex, rays: _Complex, task: Task) -> Certificate | None:
    """Return the certificate if it holds even for all the metal that is there."""
    if not np.abs(wall).max() > 0:
        return None
    wall = wall / np.linalg.norm(wall)
    along = np.real(rays @ np.conj(wall))
    need = np.real(np.conj(wall) * task.unbalance).sum() - (task.limit_gmm * np.abs(wall)).sum()
    slack = max(0.0, float(along.max())) * _all_there_is(task)
    short = float(need - slack)
    return Certificate(wall * short, short) if short > 1e-6 else None


def _missing(rays: _Complex, target: _Complex, limit: _Float) -> _Complex:
    """Return what stays above the limit at the nearest point of the cone of the rays.

    The cone's point and what may stay are made nearest in turn; every round proves something.
    """
    flat, allowed = as_real(rays), np.zeros_like(target)
    for _ in range(_TURNS):
        left = target - _nearest(flat, as_real(target - allowed)).view(complex)
        amount = np.abs(left)
        before, allowed = allowed, left * np.minimum(1.0, limit / np.maximum(amount, limit))
        if np.abs(allowed - before).max() <= 1e-9 * limit.max():
            break
    return np.asarray(left - before)


def _nearest(rays: _Float, point: _Float) -> _Float:
    """Return the point of the cone of the rays (rows) that is nearest to a point.

    Source: C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974), ch. 23, non
    negative least squares; from memory.
    """
    used: list[int] = []
    weights, near = np.zeros(0), np.zeros_like(point)
    for _ in range(_TURNS):
        along = rays @ (point - near)
        best = int(np.argmax(along))
        if along[best] <= 1e-13 * np.abs(point).max() or best in used:
            break
        used, weights = [*used, best], np.append(weights, 0.0)
        while True:
            wanted = np.linalg.lstsq(rays[used].T, point, rcond=None)[0]
            if (wanted > 0).all():
                break
            falling = wanted <= 0
            share = (weights[falling] / (weights[falling] - wanted[falling])).min()
            weights += share * (wanted - weights)
            kept = weights > 1e-15 * weights.max()
            used = [n for n, keep in zip(used, kept, strict=True) if keep]
            weights = weights[kept]
        weights, near = wanted, wanted @ rays[used]
    return near


def _all_there_is(task: Task) -> float:
    """Return the unbalance of whole discs as wide as the counterweights: more than any holes."""
    density = task.rules.density_g_cm3 / 1000.0
    return sum(
        density * 2 * np.pi * cw.width_mm * cw.radius_mm**3 / 3 for cw in task.counterweights
    )


def _rays(site: Site) -> _Complex:
    """Return the directions in which a site takes off, as (n, 2) complex."""
    _, first = np.unique(site.step[site.step >= 0], return_index=True)
    pick = np.concatenate([np.flatnonzero(site.step >= 0)[first], site.loose])
    return np.asarray((site.x[pick] / np.abs(site.x[pick]))[:, None] * site.share)


def _separate(rays: _Complex, target: _Complex, limit: _Float) -> _Complex | None:
    """Return a direction that parts the target, with its limit, from the cone of the rays.

    Simplex of five rows: the target is a sum of rays and of one mean of points within the limit;
    what is missing is made up by costly unit steps, whose total is driven down. The dual then
    parts the two. Giving up (None) proves nothing.
    """
    scale = max(float(np.abs(target).max()), float(limit.max()))
    goal, reach = as_real(target) / scale, limit / scale
    basis = np.diag(np.append(np.where(goal >= 0, 1.0, -1.0), 1.0))
    cost, right = np.array([1.0, 1.0, 1.0, 1.0, 0.0]), np.append(goal, 1.0)
    flat = as_real(rays)
    for _ in range(_TURNS):
        dual = np.linalg.solve(basis, cost)
        if dual @ right <= 1e-12:
            return None
        wall = dual[[0, 2]] + 1j * dual[[1, 3]]
        length = np.abs(wall)
        along = flat @ dual[:4]
        best = int(np.argmax(along))
        if along[best] > 1e-12:
            new = np.append(flat[best], 0.0)
        elif dual[:4] @ goal - reach @ length > 1e-12:
            return wall
        else:
            unit = np.divide(wall, length, out=np.ones_like(wall), where=length > 0)
            new = np.append(as_real(reach * unit), 1.0)
        if not _pivot(basis, cost, right, new):
            return None
    return None


def _pivot(basis: _Float, cost: _Float, right: _Float, new: _Float) -> bool:
    """Bring a free column into the basis (its rows); False when none can leave."""
    now, change = np.linalg.solve(basis.T, np.stack([right, new], -1)).T
    up = change > 1e-12
    ratio = np.where(up, np.maximum(now, 0.0) / np.where(up, change, 1.0), np.inf)
    leave = int(np.argmin(ratio))
    basis[leave], cost[leave] = new, 0.0
    return bool(up.any())


def closed_angles(task: Task) -> list[tuple[float, float]]:
    """Return the stretches of angle, from and to, in which no counterweight may be drilled."""
    arcs = sorted(
        (float(fold(cw.centre_degrees - cw.half_span_degrees)), 2 * cw.half_span_degrees)
        for cw in task.counterweights
    )
    closed, reached = [], arcs[0][0]
    for start, span in [*arcs, (arcs[0][0] + 360.0, 0.0)]:
        if start > reached + 1e-9:
            closed.append((reached, start))
        reached = max(reached, start + span)
    return _wrapped(closed, arcs)


def _wrapped(
    closed: list[tuple[float, float]], arcs: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Take out of the gaps what arcs that run past 360 degrees cover at the start."""
    over = max(start + span for start, span in arcs) - 360.0
    open_ = [(max(a, over), b) for a, b in closed if b > over + 1e-9]
    return [(a, b) for a, b in open_ if b - a > 1e-9]


def in_words(certificate: Certificate, task: Task) -> str:
    """Return the reason why no number of holes can do it."""
    places = " and ".join(
        f"{show(float(abs(part)), 'unbalance', 'g mm')} at "
        f"{whole_degrees(degrees(part))} degrees in the plane at {z:g} mm"
        for part, z in zip(certificate.missing_gmm, task.rules.planes_mm, strict=True)
        if abs(part) >= _TOLD * certificate.short_gmm
    )
    closed = ", ".join(f"{a % 360:.0f} to {b % 360:.0f}" for a, b in closed_angles(task))
    sectors = (
        f"nothing can be taken at {closed} degrees"
        if closed
        else "metal can be taken at every angle, but not at every place along the crank"
    )
    return (
        "no number of holes can do it: the nearest they come still leaves, above the limit aimed "
        f"at, {places}, and no allowed hole works that way; {sectors}. {WAYS_OUT}"
    )
