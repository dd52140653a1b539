"""Every piece of work that may be done on one counterweight, as arrays.

A candidate takes ``x`` (complex, g mm, at the counterweight's own place along the crank) off the
unbalance for ``mass`` grams of metal. Its share in the two planes is real, so all candidates of a
counterweight lie in one plane of the four-dimensional space of two-plane unbalance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from balance.metal._clearance import Profiles, clearance_mm, leaves_web, steps_apart
from balance.metal.radial import radial_hole
from balance.metal.shapes import DrilledHole, point_mm

if TYPE_CHECKING:  # both stand on this module
    from balance.metal._slugs import SlugChoice
    from balance.metal._task import Counterweight

__all__ = [
    "Rules",
    "Shapes",
    "Site",
    "as_real",
    "clear_across",
    "clear_of_existing",
    "drill_site",
    "lattice",
    "share_metal",
    "share_of",
    "steps_upto",
    "untouched",
]

_Float = NDArray[Any]  # of floats
_Int = NDArray[np.int64]
_TINY = 1e-9  # mm and degrees: what adding up steps in binary may be off


@dataclass(frozen=True)
class Rules:
    """The shop's rules, checked, that every hole keeps."""

    planes_mm: tuple[float, float]
    drills_mm: tuple[float, ...]
    point_degrees: float
    density_g_cm3: float
    depth_step_mm: float
    min_depth_mm: float
    angle_step_degrees: float
    min_web_mm: float
    edge_mm: float
    deepen: bool = False


@dataclass(frozen=True)
class Shapes:
    """Holes without their angle: drill, depth, what each takes away, and its flat profile."""

    diameter_mm: _Float
    depth_mm: _Float
    unbalance_gmm: _Float
    mass_g: _Float
    profiles: Profiles
    deepens: _Int


@dataclass(frozen=True, eq=False)
class Site:
    """The candidates of one counterweight; all arrays run over candidates unless said."""

    counterweight: int
    z_mm: float
    width_mm: float
    share: _Float  # (2,) of an unbalance here, in the two planes
    x: NDArray[np.complex128]
    mass: _Float
    degrees: _Float
    step: _Int  # place in ``angles``; -1 for an existing hole, whose angle is its own
    shape: _Int
    shapes: Shapes
    angles: _Float  # the sector's lattice of angles
    rules: Rules
    hull: tuple[_Float, _Float] = field(repr=False)  # lower hull of mass over unbalance
    choice: SlugChoice | None = None  # the slug, if this is what is fitted here
    most: int | None = None  # pieces at most, if not for the webs to say

    @cached_property
    def loose(self) -> _Int:
        """Return the candidates that are not on the lattice of angles."""
        return np.flatnonzero(self.step < 0)

    @cached_property
    def open_angles(self) -> NDArray[Any]:
        """Return which angles of the lattice no existing hole keeps any shape away from."""
        fresh = self.step >= 0
        allowed = np.bincount(self.step[fresh], minlength=len(self.angles))
        return np.asarray(allowed == np.count_nonzero(self.shapes.deepens < 0))

    @cached_property
    def lone(self) -> _Int:
        """Return the new holes beside existing ones, but for those that others there outdo.

        At each such angle other shapes fit, so each has a lower hull of its own.
        """
        beside = np.flatnonzero((self.step >= 0) & ~self.open_angles[self.step])
        beside = beside[np.argsort(self.step[beside], kind="stable")]
        ends = np.flatnonzero(np.diff(self.step[beside])) + 1
        kept = [
            at[_corners(self.shapes, self.shape[at])] for at in np.split(beside, ends) if len(at)
        ]
        return np.concatenate([*kept, np.zeros(0, dtype=np.int64)])

    @cached_property
    def apart(self) -> _Int:
        """Return the least angle steps between new holes of any two shapes (see steps_apart)."""
        span = min(len(self.angles) - 1, int(180.0 / self.rules.angle_step_degrees))
        fresh = self.shapes.deepens < 0
        return steps_apart(
            self.shapes.profiles[fresh],
            step_degrees=self.rules.angle_step_degrees,
            most_steps=span,
            min_web_mm=self.rules.min_web_mm,
        )

    @cached_property
    def room(self) -> int:
        """Return a number of holes that cannot be exceeded, from the sector and the webs."""
        if self.most is not None:
            return self.most
        fresh = self.step >= 0
        used = np.unique(self.shape[fresh])
        new = 0
        if len(used):
            nearest = max(1, int(self.apart[np.ix_(used, used)].min()))
            last = -nearest
            for step in np.unique(self.step[fresh]):  # old holes leave gaps: take what is free
                if step >= last + nearest:
                    new, last = new + 1, int(step)
        return new + len(np.unique(self.shapes.deepens[self.shape[self.loose]]))

    def clear(self, i: _Int, j: _Int) -> NDArray[Any]:
        """Return whether candidates may stand together: enough metal left between them."""
        between = np.abs(self.step[i] - self.step[j])
        plain = (self.step[i] >= 0) & (self.step[j] >= 0)
        plain &= between * self.rules.angle_step_degrees <= 180.0
        free = np.zeros(between.shape, dtype=bool)
        a, b = i[plain], j[plain]
        free[plain] = between[plain] >= self.apart[self.shape[a], self.shape[b]]
        free[~plain] = self._clear_exactly(i[~plain], j[~plain])
        return free

    def _clear_exactly(self, i: _Int, j: _Int) -> NDArray[Any]:
        """Return the same for holes off the lattice or more than half a turn apart."""
        one, two = self.shape[i], self.shape[j]
        gap = clearance_mm(
            self.shapes.profiles[one],
            self.shapes.profiles[two],
            _between(self.degrees[i], self.degrees[j]),
        )
        same = (self.shapes.deepens[one] >= 0) & (
            self.shapes.deepens[one] == self.shapes.deepens[two]
        )
        return np.asarray(leaves_web(gap, self.rules.min_web_mm) & ~same)


def share_metal(one: Site | Counterweight, two: Site | Counterweight) -> bool:
    """Return whether two sites or counterweights lie in one piece of metal along the crank.

    Two sectors of one wheel, each with its own limits, are two counterweights at one place.
    """
    return bool(abs(one.z_mm - two.z_mm) < (one.width_mm + two.width_mm) / 2 - _TINY)


def clear_across(one: Site, i: _Int, two: Site, j: _Int) -> NDArray[Any]:
    """Return whether candidates of two sites leave the web, if the sites share their metal."""
    if not share_metal(one, two):
        return np.ones(len(i), dtype=bool)
    p, q = one.shapes.profiles[one.shape[i]], two.shapes.profiles[two.shape[j]]
    gap = _gap(p, q, _between(one.degrees[i], two.degrees[j]), one.z_mm - two.z_mm)
    return leaves_web(gap, one.rules.min_web_mm)


def _gap(one: Profiles, two: Profiles, apart_degrees: Any, along_mm: float) -> _Float:
    """Return the metal between holes whose middles stand ``along_mm`` apart; never too much.

    Holes are nearest when they stand at one z, and no nearer than their drills leave along z.
    """
    beside = abs(along_mm) - one.half_mm - two.half_mm
    return np.maximum(clearance_mm(one, two, apart_degrees), beside)


def _between(one: Any, two: Any) -> Any:
    """Return the angle between two directions, 0 to 180 degrees."""
    turn = np.abs(one - two) % 360.0
    return np.minimum(turn, 360.0 - turn)


def steps_upto(first: float, step: float, last: float) -> _Float:
    """Return ``first + k step`` for k = 0, 1, ... up to ``last``."""
    return first + step * np.arange(int(np.floor((last - first) / step + _TINY)) + 1)


def _fitting(width_mm: float, rules: Rules) -> list[float]:
    """Return the drills that leave the edges of a counterweight."""
    return [d for d in rules.drills_mm if (width_mm - d) / 2 >= rules.edge_mm - _TINY]


def untouched(counterweight: Counterweight, rules: Rules) -> bool:
    """Return whether a counterweight has no hole yet and some hole fits at all of its angles."""
    cw = counterweight
    depths = steps_upto(rules.min_depth_mm, rules.depth_step_mm, cw.max_depth_mm)
    return not cw.holes and len(depths) > 0 and bool(_fitting(cw.width_mm, rules))


def lattice(counterweight: Counterweight, rules: Rules) -> _Float:
    """Return the angles that are marked on a counterweight; round a disc each one once."""
    cw, step = counterweight, rules.angle_step_degrees
    first = cw.centre_degrees - cw.half_span_degrees
    last = min(cw.centre_degrees + cw.half_span_degrees, first + 360.0 - step)
    return steps_upto(first, step, max(first, last))


def _shapes_of(
    radius_mm: float,
    max_depth_mm: float,
    width_mm: float,
    rules: Rules,
    holes: Sequence[DrilledHole],
) -> Shapes:
    """Return all holes that the drills and depths allow, then all ways to deepen a hole."""
    depths = steps_upto(rules.min_depth_mm, rules.depth_step_mm, max_depth_mm)
    fitting = _fitting(width_mm, rules)
    rows = [(d, h, 0.0, -1) for d in fitting for h in depths]
    if rules.deepen:
        rows += [
            (hole.diameter_mm, h, hole.depth_mm, n)
            for n, hole in enumerate(holes)
            if any(abs(hole.diameter_mm - d) < _TINY for d in fitting)
            for h in depths[depths > hole.depth_mm + _TINY]
        ]
    return _measured(np.array(rows, dtype=float).reshape(-1, 4), radius_mm, rules)


def _measured(rows: _Float, radius_mm: float, rules: Rules) -> Shapes:
    """Return shapes with what they take away; a deepened hole counts what it takes more."""
    diameter, depth, before, deepens = rows.T
    whole = _removed(diameter, depth, radius_mm, rules)
    u, m = np.array(whole[0]), np.array(whole[1])
    old = deepens >= 0
    if old.any():
        less = _removed(diameter[old], before[old], radius_mm, rules)
        u[old] -= less[0]
        m[old] -= less[1]
    shoulder = radius_mm - depth
    tip = shoulder - (point_mm(diameter, rules.point_degrees) if len(diameter) else 0.0)
    return Shapes(
        diameter, depth, u, m, Profiles(diameter / 2, shoulder, tip), deepens.astype(np.int64)
    )


def _removed(d: _Float, h: _Float, radius_mm: float, rules: Rules) -> tuple[_Float, _Float]:
    """Return unbalance and mass of holes (none for none)."""
    if not len(d):
        return d, d
    gone = radial_hole(
        d,
        h,
        surface_radius_mm=radius_mm,
        point_degrees=rules.point_degrees,
        density_g_cm3=rules.density_g_cm3,
    )
    return gone.unbalance_gmm, gone.mass_g


def drill_site(
    index: int, counterweight: Counterweight, rules: Rules, beside: Sequence[Counterweight] = ()
) -> Site:
    """Return the candidates of one counterweight that keep their distance to existing holes.

    Those of the counterweights ``beside`` that share its metal stand in the way as well.
    """
    cw = counterweight
    shapes = _shapes_of(cw.radius_mm, cw.max_depth_mm, cw.width_mm, rules, cw.holes)
    angles = lattice(cw, rules)
    fresh = np.flatnonzero(shapes.deepens < 0)
    old = np.flatnonzero(shapes.deepens >= 0)
    shape = np.concatenate([np.repeat(fresh, len(angles)), old])
    step = np.concatenate([np.tile(np.arange(len(angles)), len(fresh)), np.full(len(old), -1)])
    own = np.array([hole.degrees for hole in cw.holes] or [0.0])
    degrees = np.where(step >= 0, angles[step], own[shapes.deepens[shape]])
    free = clear_of_existing([cw, *beside], shapes, shape, degrees, rules)
    kept = np.flatnonzero(free)
    shape, step, degrees = shape[kept], step[kept], degrees[kept]
    return Site(
        counterweight=index,
        z_mm=cw.z_mm,
        width_mm=cw.width_mm,
        share=share_of(cw.z_mm, rules.planes_mm),
        x=shapes.unbalance_gmm[shape] * np.exp(1j * np.radians(degrees)),
        mass=shapes.mass_g[shape],
        degrees=degrees,
        step=step,
        shape=shape,
        shapes=shapes,
        angles=angles,
        rules=rules,
        hull=_lower_hull(shapes, np.unique(shape[step >= 0])),
    )


def share_of(z_mm: float, planes_mm: tuple[float, float]) -> _Float:
    """Return the shares of an unbalance at z in the two planes: force and moment are kept."""
    a, b = planes_mm
    return np.array([(b - z_mm) / (b - a), (z_mm - a) / (b - a)])


def as_real(planes: NDArray[Any]) -> _Float:
    """Return complex numbers in the two planes, (..., 2), as (..., 4) real ones."""
    return np.ascontiguousarray(planes).view(float)


def clear_of_existing(
    counterweights: Sequence[Counterweight],
    shapes: Shapes,
    shape: _Int,
    degrees: _Float,
    rules: Rules,
) -> NDArray[Any]:
    """Return which candidates of the first leave the web to every existing hole.

    A hole that is deepened does not stand in its own way.
    """
    free = np.ones(len(shape), dtype=bool)
    for old in _existing(counterweights, rules):
        apart = _between(degrees, old.degrees)
        gap = _gap(shapes.profiles[shape], old.profile, apart, old.along_mm)
        free &= leaves_web(gap, rules.min_web_mm) | (shapes.deepens[shape] == old.number)
    return free


@dataclass(frozen=True, eq=False)
class _Existing:
    """A hole that is there: its number on this counterweight, or ``_BESIDE``."""

    number: int
    profile: Profiles
    degrees: float
    along_mm: float


_BESIDE = -2  # a number that no hole to deepen has, nor a new one


def _existing(counterweights: Sequence[Counterweight], rules: Rules) -> Iterator[_Existing]:
    """Yield the holes in the metal of the first counterweight, its own ones first."""
    here = counterweights[0]
    for cw in counterweights:
        for n, hole in enumerate(cw.holes) if share_metal(here, cw) else ():
            profile = _profile(hole, cw.radius_mm, rules)
            number = n if cw is here else _BESIDE
            yield _Existing(number, profile, hole.degrees, here.z_mm - cw.z_mm)


def _profile(hole: DrilledHole, radius_mm: float, rules: Rules) -> Profiles:
    """Return the profile of an existing hole, drilled with its own point if that is known."""
    point = rules.point_degrees if hole.point_degrees is None else hole.point_degrees
    shoulder = radius_mm - hole.depth_mm
    tip = shoulder - float(point_mm(hole.diameter_mm, point))
    return Profiles(np.array(hole.diameter_mm / 2), np.array(shoulder), np.array(tip))


def _lower_hull(shapes: Shapes, used: _Int) -> tuple[_Float, _Float]:
    """Return the corners of the lower convex hull of mass over unbalance, from left to right."""
    corners = used[_corners(shapes, used)]
    return shapes.unbalance_gmm[corners], shapes.mass_g[corners]


def _corners(shapes: Shapes, used: _Int) -> _Int:
    """Return which of some shapes are corners of their lower hull, from left to right."""
    u, m = shapes.unbalance_gmm[used], shapes.mass_g[used]
    hull: list[tuple[float, float, int]] = []
    for n in np.lexsort((m, u)):
        point = (float(u[n]), float(m[n]), int(n))
        while len(hull) > 1 and _turns_down(hull[-2], hull[-1], point):
            hull.pop()
        if not hull or point[0] > hull[-1][0]:
            hull.append(point)
    return np.array([n for _, _, n in hull], dtype=np.int64)


def _turns_down(a: tuple[float, ...], b: tuple[float, ...], c: tuple[float, ...]) -> bool:
    """Return whether b lies on or above the line from a to c."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) <= 0
