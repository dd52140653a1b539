"""Holes along the crank on the pitch circle of a flywheel, a damper or a clutch cover."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from balance.errors import (
    InputError,
    items_of,
    one_not_negative,
    one_positive,
    one_real,
    one_vector,
    positive,
)
from balance.metal.holes import axial_hole
from balance.metal.shapes import POINT_DEGREES, STEEL_G_CM3
from balance.vectors import fold, turn, vector

__all__ = ["DiscHole", "DiscPlan", "plan_disc"]

Real = NDArray[np.float64]
_MOST_HOLES = 12
_ENOUGH = "nothing to drill: inside the limit aimed at already"
_TOO_FAR = f"{_MOST_HOLES} holes of the largest drill, as deep as allowed, do not reach it"
_NO_ROW = (
    "no row of equal holes was found that ends inside: the smallest takes too much, or none fits "
    "between the arcs to keep clear and the holes already there"
)


@dataclass(frozen=True)
class DiscHole:
    """A hole drilled along the crank: angle [degree], drill and full-diameter depth [mm]."""

    degrees: float
    diameter_mm: float
    depth_mm: float
    circle_mm: float
    mass_g: float
    unbalance_gmm: float


@dataclass(frozen=True)
class DiscPlan:
    """Holes of one disc, what they leave [g mm], and the fewest holes that could ever do it.

    ``feasible`` is None while nothing is planned: holes that were drilled wait for a spin.
    """

    holes: tuple[DiscHole, ...]
    residual: complex
    removed_g: float
    bound_holes: int
    feasible: bool | None
    reason: str


@dataclass(frozen=True)
class _Row:
    """Equal drills side by side: every start angle and depth at once."""

    degrees: Real  # (starts, holes)
    diameter_mm: float
    depth_mm: Real  # (depths, holes)
    mass_g: Real  # (depths, holes)


@dataclass(frozen=True)
class _Blocked:
    """Where no hole may stand: arcs, and holes that are there already with the gap to keep."""

    arcs: tuple[tuple[float, float], ...]
    holes: tuple[float, ...]
    gap: float


def plan_disc(
    unbalance: complex,
    *,
    circle_mm: float,
    drills_mm: Sequence[float],
    max_depth_mm: float,
    tolerance_gmm: float,
    hole_spacing_mm: float,
    min_depth_mm: float = 2.0,
    depth_step_mm: float = 0.5,
    angle_step_degrees: float = 1.0,
    point_degrees: float = POINT_DEGREES,
    density_g_cm3: float = STEEL_G_CM3,
    keep_clear: Sequence[tuple[float, float]] = (),
    holes_degrees: Sequence[float] = (),
    margin: float = 0.5,
) -> DiscPlan:
    """Return a row of holes on one pitch circle that takes a disc's unbalance away.

    ``residual = U - sum m r exp(i a)``, with the amount of the residual at most
    ``margin * tolerance``. The row has as few holes as the plan's own bound allows: n holes that
    far apart, each as deep and wide as it may be, reach at most ``m r sin(n g / 2) / sin(g / 2)``
    with g the angle between neighbours. Among rows of that many holes the one that takes the
    least metal is chosen.

    Parameters
    ----------
    unbalance : complex [g mm]
        Of the disc, in its own plane, pointing to the heavy side.
    circle_mm : float [mm]
        Radius of the pitch circle.
    drills_mm : sequence of float [mm]
        Drills in the drawer.
    max_depth_mm, min_depth_mm, depth_step_mm : float [mm]
        Full-diameter depths that are drilled.
    tolerance_gmm : float [g mm]
        The disc's permissible residual unbalance.
    hole_spacing_mm : float [mm]
        Least distance between hole centres along the circle.
    angle_step_degrees, point_degrees : float [degree]
        Angles that are marked; included angle of the drill points.
    density_g_cm3 : float [g/cm3]
        Of the disc.
    keep_clear : sequence of (from, to) [degree]
        Arcs that must not be drilled, counted counter-clockwise.
    holes_degrees : sequence of float [degree]
        Holes that are on the circle already.
    margin : float [1]
        Share of the tolerance that the plan may leave.

    Raises
    ------
    InputError
        When a size is not positive or there is no drill.

    Examples
    --------
    >>> made = plan_disc(300j, circle_mm=110, drills_mm=[8, 10], max_depth_mm=9,
    ...                  tolerance_gmm=40, hole_spacing_mm=15)
    >>> [(hole.degrees, hole.diameter_mm, hole.depth_mm) for hole in made.holes]
    [(90.0, 8.0, 6.0)]

    Source: mechanics; sum of equally spaced vectors, any text on wave interference.
    """
    target, limit = one_vector("unbalance", unbalance), _limit(tolerance_gmm, margin)
    gap = _gap(hole_spacing_mm, circle_mm, angle_step_degrees)
    blocked = _Blocked(_arcs(keep_clear), _angles(holes_degrees), gap)
    if abs(target) <= limit:
        return DiscPlan((), target, 0.0, 0, True, _ENOUGH)
    depths = _depths(min_depth_mm, max_depth_mm, depth_step_mm)
    hole = partial(
        axial_hole, radius_mm=circle_mm, point_degrees=point_degrees, density_g_cm3=density_g_cm3
    )
    sizes = [(d, hole(d, depths).mass_g) for d in _drills(drills_mm)]
    deepest = max(float(masses[-1]) for _, masses in sizes) * circle_mm
    fewest = _fewest(abs(target) - limit, deepest, gap)
    if fewest is None:
        return DiscPlan((), target, 0.0, _MOST_HOLES + 1, False, _TOO_FAR)
    starts = np.arange(0.0, 360.0, angle_step_degrees)
    for count in range(fewest, _MOST_HOLES + 1):
        rows = _rows(count, gap, starts, depths, sizes)
        best = _least(rows, target, limit, circle_mm, blocked)
        if best is not None:
            residual = target - sum(h.unbalance_gmm * vector(1, h.degrees) for h in best)
            removed = sum(hole.mass_g for hole in best)
            return DiscPlan(tuple(best), complex(residual), removed, fewest, True, "")
    return DiscPlan((), target, 0.0, fewest, False, _NO_ROW)


def _limit(tolerance_gmm: float, margin: float) -> float:
    if not 0 < one_real("margin", margin) <= 1:
        raise InputError(f"margin must be greater than 0 and at most 1, got {margin!r}")
    return one_positive("tolerance_gmm", tolerance_gmm) * margin


def _drills(drills_mm: Sequence[float]) -> list[float]:
    drills = positive("drills_mm", items_of("drills_mm", drills_mm))
    if not drills.size:
        raise InputError("drills_mm must name at least one drill, got none")
    if drills.ndim != 1:
        raise InputError(f"drills_mm must be a plain list, got {drills_mm!r}")
    return [float(d) for d in drills]


def _arcs(keep_clear: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    return tuple(_arc(arc) for arc in items_of("keep_clear", keep_clear))


def _arc(arc: tuple[float, float]) -> tuple[float, float]:
    ends = items_of("keep_clear", arc)
    if len(ends) != 2:
        raise InputError(f"keep_clear must hold pairs (from, to), got {arc!r}")
    return one_real("keep_clear", ends[0]), one_real("keep_clear", ends[1])


def _angles(holes_degrees: Sequence[float]) -> tuple[float, ...]:
    return tuple(
        one_real("holes_degrees", angle) for angle in items_of("holes_degrees", holes_degrees)
    )


def _gap(spacing_mm: float, circle_mm: float, step: float) -> float:
    """Return the angle between neighbours, rounded up to whole steps."""
    spacing, circle = (
        one_positive("hole_spacing_mm", spacing_mm),
        one_positive("circle_mm", circle_mm),
    )
    if one_positive("angle_step_degrees", step) > 180:
        raise InputError(f"angle_step_degrees must be at most 180, got {step!r}")
    steps = np.degrees(spacing / circle) / step
    return float(np.ceil(steps - 1e-9) * step)


def _depths(least: float, most: float, step: float) -> Real:
    if one_not_negative("min_depth_mm", least) > one_positive("max_depth_mm", most):
        raise InputError(f"max_depth_mm must not be less than {least:g}, got {most!r}")
    count = int((most - least) / one_positive("depth_step_mm", step) + 1e-9)
    return np.asarray(least + step * np.arange(count + 1))


def _reach(count: int, gap: float) -> float:
    """Return the largest vector sum of unit holes that stand at least a gap apart."""
    half = np.radians(gap) / 2
    return float(np.sin(count * half) / np.sin(half)) if count * gap < 180 + gap else 0.0


def _fewest(wanted: float, deepest: float, gap: float) -> int | None:
    counts = range(1, _MOST_HOLES + 1)
    return next((n for n in counts if _reach(n, gap) * deepest >= wanted), None)


def _rows(
    count: int, gap: float, starts: Real, depths: Real, sizes: Sequence[tuple[float, Real]]
) -> Iterator[_Row]:
    """Yield rows of equal drills; the first few holes may be one step deeper than the others."""
    step = starts[1] - starts[0]
    for wider in range(0, 16, 4):  # wider gaps step over what is in the way
        degrees = starts[:, None] + np.arange(count) * (gap + wider * step)
        for diameter, masses in sizes:
            index = np.arange(len(depths))[:, None] + (
                np.arange(count) < np.arange(count)[:, None]
            ).reshape(count, 1, count)
            index = index.reshape(-1, count)
            index = index[index.max(axis=1) < len(depths)]
            yield _Row(degrees, diameter, depths[index], masses[index])
        if count == 1:
            return


def _free(degrees: Real, blocked: _Blocked) -> Real:
    free = np.ones(degrees.shape, bool)
    for start, end in blocked.arcs:
        free &= fold(degrees - start) > fold(end - start)
    for hole in blocked.holes:
        free &= np.abs(turn(degrees - hole)) > blocked.gap - 1e-9
    return np.asarray(free.all(axis=1))


def _least(
    rows: Iterator[_Row],
    target: complex,
    limit: float,
    circle_mm: float,
    blocked: _Blocked,
) -> list[DiscHole] | None:
    """Return the holes of the row that takes the least metal and leaves little enough."""
    best, least = None, (np.inf, np.inf)
    for row in rows:
        free = row.degrees[_free(row.degrees, blocked)]
        taken = np.exp(1j * np.radians(free)) @ row.mass_g.T * circle_mm
        left = np.abs(target - taken)
        total = np.where(left <= limit, row.mass_g.sum(axis=1), np.inf)
        if not np.any(left <= limit) or total.min() > least[0]:
            continue
        left[total > total.min()] = np.inf  # of rows that take the same, the one that leaves least
        start, depth = np.unravel_index(int(left.argmin()), left.shape)
        if (total.min(), left.min()) < least:
            least = (float(total.min()), float(left.min()))
            best = _holes(row, free[start], int(depth), circle_mm)
    return best


def _holes(row: _Row, degrees: Real, depth: int, circle_mm: float) -> list[DiscHole]:
    return [
        DiscHole(
            float(fold(a)), row.diameter_mm, float(h), circle_mm, float(m), float(m) * circle_mm
        )
        for a, h, m in zip(degrees, row.depth_mm[depth], row.mass_g[depth], strict=True)
    ]
