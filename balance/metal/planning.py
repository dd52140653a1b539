"""Which drill, where, how deep: the fewest holes, then the least metal, with proof."""

import dataclasses
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.metal._certificate import (
    WAYS_OUT,
    Certificate,
    in_words,
    out_of_reach,
    sector_rays,
    site_rays,
)
from balance.metal._clock import now, spend
from balance.metal._sites import Site, drill_site, untouched
from balance.metal._slugs import SlugChoice, slug_site
from balance.metal._solve import Outcome, half_way, solve
from balance.metal._task import Counterweight, Task, checked_task
from balance.metal.shapes import POINT_DEGREES, STEEL_G_CM3, DrilledHole

__all__ = [
    "Counterweight",
    "DrilledHole",
    "Plan",
    "PlannedHole",
    "PlannedSlug",
    "SlugChoice",
    "plan",
]

_MOST_SLUGS = 4


@dataclass(frozen=True)
class PlannedHole(DrilledHole):
    """A hole to drill, and where: ``counterweight`` is an index into the list that was given.

    ``deepens`` is the index of the existing hole that is to be deepened to ``depth_mm``, or None
    for a new hole. ``mass_g`` and ``unbalance_gmm`` are what the work takes away (for a deepened
    hole: what it takes more).
    """

    counterweight: int = 0
    deepens: int | None = None
    mass_g: float = 0.0
    unbalance_gmm: float = 0.0


@dataclass(frozen=True)
class PlannedSlug:
    """A slug to fit: which of the choices, at what angle, on which counterweight (its index).

    ``net_unbalance_gmm`` is what it adds at its angle, its own bore taken off.
    """

    choice: SlugChoice
    degrees: float
    counterweight: int
    net_unbalance_gmm: float


@dataclass(frozen=True, eq=False)
class Plan:
    """What to drill, what stays, and what was proven.

    ``holes`` in the order of counterweight and angle; ``residual`` (2,) complex [g mm] what stays
    in the two planes if all goes to plan; ``removed_g`` [g] the metal taken.

    ``bound_holes`` holes are proven necessary, and ``bound_g`` [g] of metal for as many holes as
    the plan has; ``optimal`` when the plan meets both. ``feasible`` is False only when it is
    proven that no plan exists (both bounds are None then), and None when the time was up before
    a plan was found or ruled out; ``reason`` says why in words.

    ``missing_gmm`` (2,) complex [g mm], where the directions of the holes rule out every plan: what
    stays above ``margin * tolerance`` in the two planes at the nearest that any number of holes
    comes (least root of the sum of squares); it points to where metal would have to come off.

    With ``slugs`` (only when no plan of holes alone exists or is found in time) fewest slugs come
    before fewest holes, the two bounds hold for so many slugs, and ``bound_g`` counts the slugs'
    own mass too; ``removed_g`` does not.
    """

    holes: tuple[PlannedHole, ...]
    slugs: tuple[PlannedSlug, ...]
    residual: NDArray[np.complex128]
    removed_g: float
    optimal: bool
    bound_g: float | None
    bound_holes: int | None
    feasible: bool | None
    reason: str
    task: Task = field(repr=False)
    missing_gmm: NDArray[np.complex128] | None = None


def plan(
    unbalance: ArrayLike,
    planes_mm: ArrayLike,
    *,
    counterweights: Sequence[Counterweight],
    drills_mm: ArrayLike,
    tolerance_gmm: ArrayLike,
    point_degrees: float = POINT_DEGREES,
    density_g_cm3: float = STEEL_G_CM3,
    depth_step_mm: float = 0.5,
    min_depth_mm: float = 5.0,
    angle_step_degrees: float = 1.0,
    min_web_mm: float = 4.0,
    edge_mm: float = 3.0,
    margin: float = 0.5,
    slugs: Sequence[SlugChoice] | None = None,
    time_limit_s: float = 10,
    deepen: bool = False,
) -> Plan:
    """Return the plan of fewest holes, then least metal, that brings both planes inside.

    The residual in each plane is at most ``margin * tolerance``. All counterweights are planned
    together. A hole is radial, at mid-width, at ``centre - half_span + k angle_step``, of a listed
    drill with ``(width - d) / 2 >= edge``, ``min_depth + k depth_step <= max_depth`` deep at full
    diameter, and leaves ``min_web`` of metal to every other hole, old or new, tip included, in
    every counterweight at the same place along the crank (holes may not meet at ``min_web`` 0
    either)::

        U_A = U - sum m r e^(i a) (z_B - z) / (z_B - z_A),  U_B likewise

    Parameters
    ----------
    unbalance : array (2,) complex [g mm]
        Unbalance in the two planes; it points to the heavy side.
    planes_mm : array (2,) [mm]
        Where the two planes stand along the crank.
    counterweights : sequence of Counterweight
        What may be drilled.
    drills_mm : array [mm]
        Drills in the drawer.
    tolerance_gmm : array (2,) [g mm]
        Permissible residual unbalance in the two planes.
    point_degrees : float [degree]
        Included angle of the drill points.
    density_g_cm3 : float [g/cm3]
        Density of the crank.
    depth_step_mm, min_depth_mm : float [mm]
        Depths that are drilled: the least, and the step from it.
    angle_step_degrees : float [degree]
        Angles that are marked, from the start of each sector.
    min_web_mm, edge_mm : float [mm]
        Metal to leave between holes, and between a hole and the faces. The defaults are common
        practice, no source: the maker of the crank comes first.
    margin : float [1]
        Share of the tolerance to plan for: a plan on the edge of the tolerance ends outside it
        half the time.
    slugs : sequence of SlugChoice, optional
        Heavy-metal slugs that may be fitted when no plan of holes alone exists or is found in
        time.
    time_limit_s : float [s]
        Time after which the best plan so far is returned, with the bounds proven by then.
    deepen : bool
        Whether existing holes may be deepened, with the drill that made them and each once;
        otherwise they only stand in the way. A hole deepened is set up, drilled and measured like
        a new one and counts as one; its metal is what is taken more. So of equally many the plan
        of less metal is taken, deepened or new: deeper metal lies nearer the axis, and deepening
        wins where new holes would have to stand aside. Of equal metal, what leaves less is taken.

    Raises
    ------
    InputError
        When an argument cannot be right; the message names it.

    Examples
    --------
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan([900, 600], [100, 500], counterweights=weights, drills_mm=[10, 12],
    ...             tolerance_gmm=[60, 60])
    >>> [(hole.counterweight, hole.degrees, hole.diameter_mm, hole.depth_mm) for hole in made.holes]
    [(0, 0.0, 12.0, 12.5), (1, 0.0, 12.0, 7.5)]
    >>> made.optimal, round(made.removed_g, 2)
    (True, 19.79)

    Source: plane transfer keeps force and moment (statics). Bounds: weak Lagrangian duality, e.g.
    Nemhauser and Wolsey, Integer and Combinatorial Optimization, ch. II.3 (from memory).
    """
    task = checked_task(
        unbalance,
        planes_mm,
        counterweights=counterweights,
        drills_mm=drills_mm,
        tolerance_gmm=tolerance_gmm,
        margin=margin,
        slugs=slugs,
        time_limit_s=time_limit_s,
        deepen=deepen,
        point_degrees=point_degrees,
        density_g_cm3=density_g_cm3,
        depth_step_mm=depth_step_mm,
        min_depth_mm=min_depth_mm,
        angle_step_degrees=angle_step_degrees,
        min_web_mm=min_web_mm,
        edge_mm=edge_mm,
    )
    return make(task)


def make(
    task: Task, *, only: Collection[int] | None = None, sites: Sequence[Site] | None = None
) -> Plan:
    """Return the plan of a task that has been checked, drilling ``only`` some counterweights.

    Tasks that differ in unbalance and aim alone share their ``sites`` from :func:`sites_of`.
    """
    deadline = now() + task.time_limit_s
    if (np.abs(task.unbalance) <= task.limit_gmm).all():
        return _no_work(task)
    made = _by_holes(task, only, sites, half_way(deadline) if task.slugs else deadline)
    if made.feasible is not True and task.slugs:
        return _with_slugs(made, sites_of(task, only), task, deadline)
    return made


def sites_of(task: Task, only: Collection[int] | None = None) -> list[Site]:
    """Return the counterweights that can be drilled, with all their candidates."""
    every = enumerate(task.counterweights)
    sites = [
        drill_site(n, cw, task.rules, _beside(n, task))
        for n, cw in every
        if only is None or n in only
    ]
    spend("call", 100 * len(sites))
    spend("candidate", sum(len(site.x) for site in sites))
    return [site for site in sites if len(site.x)]


def _beside(index: int, task: Task) -> list[Counterweight]:
    """Return the other counterweights: their holes may stand in the metal of this one."""
    return [cw for n, cw in enumerate(task.counterweights) if n != index]


def _by_holes(
    task: Task, only: Collection[int] | None, sites: Sequence[Site] | None, deadline: float
) -> Plan:
    """Return the plan of holes alone; what the directions rule out is not looked into further.

    The whole sectors are asked first; where other holes stand in them, what is left of them.
    """
    certificate = out_of_reach(sector_rays(task), task)
    if certificate and all(untouched(cw, task.rules) for cw in task.counterweights):
        return _out_of_reach(certificate, task)
    sites = sites_of(task, only) if sites is None else sites
    if not sites:
        return _refused(
            task, f"no drill and depth fits any counterweight within its limits. {WAYS_OUT}"
        )
    certificate = out_of_reach(site_rays(sites), task) or certificate
    if certificate:
        return _out_of_reach(certificate, task)
    return _plan_of(solve(sites, task, deadline=deadline), sites, task)


def _with_slugs(refused: Plan, sites: Sequence[Site], task: Task, deadline: float) -> Plan:
    """Return the plan of fewest slugs, then fewest holes; the refusal of holes alone if none."""
    seats = [
        seat
        for n, cw in enumerate(task.counterweights)
        for choice in task.slugs or ()
        for seat in [slug_site(n, cw, choice, task.rules, _beside(n, task))]
        if len(seat.x)
    ]
    sure, every = bool(seats), [*sites, *seats]
    for number in range(1, _MOST_SLUGS + 1) if seats else ():
        until = half_way(deadline) if number < _MOST_SLUGS else deadline
        outcome = solve(every, task, deadline=until, seats=len(seats), slugs=number)
        if outcome.found:
            return _plan_of(outcome, every, task)
        sure = sure and outcome.fits is False
    words = f"up to {_MOST_SLUGS} of the slugs offered are proven not to help either"
    if not seats:
        words = "none of the slugs offered fits a counterweight"
    elif not sure:
        words = "no plan with the slugs offered was found within the time limit"
    proven = refused.feasible is False and (sure or not seats)
    return dataclasses.replace(
        refused, reason=f"{refused.reason} ({words})", feasible=False if proven else None
    )


def _no_work(task: Task) -> Plan:
    """Return the empty plan: the unbalance is within the aim already."""
    reason = "nothing to drill: both planes are inside the limit aimed at already"
    return empty_plan(task, reason, feasible=True, optimal=True, bound_g=0.0, bound_holes=0)


def _refused(task: Task, reason: str) -> Plan:
    """Return the plan that cannot be, with its proven reason."""
    return empty_plan(task, reason, feasible=False)


def empty_plan(
    task: Task,
    reason: str,
    *,
    feasible: bool | None,
    optimal: bool = False,
    bound_g: float | None = None,
    bound_holes: int | None = None,
) -> Plan:
    """Return a plan that takes nothing off: none is needed, there is none, or none is known."""
    return Plan(
        holes=(),
        slugs=(),
        residual=task.unbalance,
        removed_g=0.0,
        optimal=optimal,
        bound_g=bound_g,
        bound_holes=bound_holes,
        feasible=feasible,
        reason=reason,
        task=task,
    )


def _out_of_reach(certificate: Certificate, task: Task) -> Plan:
    """Return the plan that cannot be because no hole works in the direction that is missing."""
    refused = _refused(task, in_words(certificate, task))
    return dataclasses.replace(refused, missing_gmm=certificate.missing_gmm)


def _plan_of(outcome: Outcome, sites: Sequence[Site], task: Task) -> Plan:
    """Return the plan of what the search found."""
    if outcome.found is None:
        return _not_found(outcome, task)
    picks = outcome.found.picks
    drilled = [_hole(sites[n], pick, task) for n, pick in picks if sites[n].choice is None]
    slugs = [
        _slug(sites[n], choice, pick)
        for n, pick in picks
        if (choice := sites[n].choice) is not None
    ]
    holes = tuple(sorted(drilled, key=lambda hole: (hole.counterweight, hole.degrees)))
    taken = sum(sites[n].x[pick] * sites[n].share for n, pick in picks)
    return Plan(
        holes=holes,
        slugs=tuple(sorted(slugs, key=lambda slug: (slug.counterweight, slug.degrees))),
        residual=task.unbalance - taken,
        removed_g=math.fsum(hole.mass_g for hole in holes),
        optimal=outcome.optimal,
        bound_g=outcome.bound_g,
        bound_holes=outcome.least_holes,
        feasible=True,
        reason=_verdict(outcome, len(holes)),
        task=task,
    )


def _verdict(outcome: Outcome, number: int) -> str:
    if outcome.optimal:
        return f"proven: no plan of fewer holes, and none of {number} takes less metal"
    return (
        f"not proven best within the time: at least {outcome.least_holes} holes are needed, and "
        f"{number} holes take at least {outcome.bound_g:.2f} g"
    )


def _not_found(outcome: Outcome, task: Task) -> Plan:
    """Return the plan without holes: ruled out, or out of time."""
    if outcome.fits is False:
        return _refused(
            task,
            "the holes do not fit: even counterweights drilled as full as the webs, depths and "
            f"sectors allow leave more than the limit. {WAYS_OUT}",
        )
    reason = (
        f"no plan found within the time limit of {task.time_limit_s:g} s, and none ruled out: at "
        f"least {outcome.least_holes} holes are needed; allow more time, depth or drills"
    )
    return empty_plan(task, reason, feasible=None, bound_holes=outcome.least_holes)


def _slug(site: Site, choice: SlugChoice, pick: int) -> PlannedSlug:
    """Return a candidate as a slug to fit."""
    return PlannedSlug(
        choice=choice,
        degrees=float(site.degrees[pick]),
        counterweight=site.counterweight,
        net_unbalance_gmm=float(abs(site.x[pick])),
    )


def _hole(site: Site, pick: int, task: Task) -> PlannedHole:
    """Return a candidate as a hole to drill."""
    cw, shape = task.counterweights[site.counterweight], site.shape[pick]
    deepens = int(site.shapes.deepens[shape])
    return PlannedHole(
        degrees=float(site.degrees[pick]),
        diameter_mm=float(site.shapes.diameter_mm[shape]),
        depth_mm=float(site.shapes.depth_mm[shape]),
        surface_radius_mm=cw.radius_mm,
        z_mm=cw.z_mm,
        point_degrees=task.rules.point_degrees,
        counterweight=site.counterweight,
        deepens=None if deepens < 0 else deepens,
        mass_g=float(site.mass[pick]),
        unbalance_gmm=float(site.shapes.unbalance_gmm[shape]),
    )
