"""How much metal is left: between two holes, to a face, to an oil way.

Two radial holes converge: the chord between their mouths says nothing. What is measured here is
the true distance of the two empty solids, cylinder and drill point, below the rim.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, instance_of, one_positive, one_real, positive, real
from balance.metal import _radial
from balance.metal._nearest import Support, distance_below
from balance.metal.shapes import POINT_DEGREES, DrilledHole, radial_arrays
from balance.vectors import turn

__all__ = ["KeepOut", "Place", "face_mm", "keep_out_mm", "web_mm"]


Array = NDArray[np.float64]


@dataclass(frozen=True)
class Place:
    """A point of the crank: distance from its axis [mm], angle [degree], z [mm]."""

    radius_mm: float
    degrees: float
    z_mm: float


@dataclass(frozen=True)
class KeepOut:
    """A round body to stay away from, straight from one place to another.

    An oil way; or a crankpin or journal, its diameter enlarged by the fillets to be spared.
    """

    start: Place
    end: Place
    diameter_mm: float


@dataclass(frozen=True)
class _Site:
    """A checked hole: axis, rim, drill radius, depth and point length [mm]."""

    degrees: float
    z_mm: float
    rim: float
    a: float
    h: float
    t: float

    @property
    def mouth(self) -> float:
        """Half the width of the hole where it meets the rim."""
        if self.h >= float(_radial.sagitta(self.a, self.rim)):
            return self.a
        if self.h + self.t == 0:
            return 0.0  # a flat cutter that just touches
        return float(_radial.rim_meeting(self.a, self.h, self.rim, self.t))


def web_mm(
    hole_a: DrilledHole,
    hole_b: DrilledHole,
    *,
    surface_radius_mm: float | None = None,
    point_degrees: float = POINT_DEGREES,
) -> float:
    """Return the thinnest metal between two radial holes; 0 when they meet.

    Each hole is a convex solid that is its own mirror image in the plane of its axis across the
    crank. Mirroring a nearest pair of points in that plane and taking the middle gives another
    pair, no farther apart, in the plane: for holes at one z the distance is that of two flat
    outlines. They are polygons with one side bulged out to the rim; a nearest pair of separate
    outlines on one rim cannot use the bulge, since it would have to look outwards.

    Parameters
    ----------
    hole_a, hole_b : DrilledHole
        The holes. What they leave open is taken from the keywords.
    surface_radius_mm : float [mm], optional
        Rim radius of a hole that does not state its own.
    point_degrees : float [degree]
        Point angle of a hole that does not state its own.

    Returns
    -------
    float [mm]
        Exact for holes at one z on one rim. Otherwise the mouths are drawn out to the larger rim,
        so that the answer is never more than the true distance.

    Raises
    ------
    InputError
        When a hole is impossible or has no rim radius.

    Examples
    --------
    >>> shallow, deep = DrilledHole(0.0, 12.7, 10.0), DrilledHole(20.0, 12.7, 30.0)
    >>> round(web_mm(shallow, deep, surface_radius_mm=76.0), 2)
    10.26

    Source: derived here; tests hold it against meshes.
    """
    one = _site("hole_a", hole_a, surface_radius_mm, point_degrees)
    two = _site("hole_b", hole_b, surface_radius_mm, point_degrees)
    if one.z_mm == two.z_mm and one.rim == two.rim:
        return _flat_web(one, two)
    top = max(one.rim, two.rim)
    return distance_below(_hole(one, top), _hole(two, top))


def keep_out_mm(
    hole: DrilledHole,
    keep_out: KeepOut,
    *,
    surface_radius_mm: float | None = None,
    point_degrees: float = POINT_DEGREES,
) -> float:
    """Return the thinnest metal between a radial hole and a round body; 0 when they meet.

    Parameters
    ----------
    hole : DrilledHole
        The hole. What it leaves open is taken from the keywords.
    keep_out : KeepOut
        An oil way, a crankpin or a journal.
    surface_radius_mm : float [mm], optional
        Rim radius of a hole that does not state its own.
    point_degrees : float [degree]
        Point angle of a hole that does not state its own.

    Returns
    -------
    float [mm]
        Proven from below: never more than the true distance, and within 1e-6 mm of that of the
        hole with its mouth drawn out level with the rim's highest point.

    Raises
    ------
    InputError
        When the hole is impossible, has no rim radius, or the round body has no length.

    Examples
    --------
    >>> oil_way = KeepOut(Place(30.0, 0.0, 0.0), Place(45.0, 0.0, 40.0), 6.0)
    >>> round(keep_out_mm(DrilledHole(0.0, 12.7, 20.0, 76.0, 20.0), oil_way), 2)
    10.75

    Source: geometry; nearest points after Gilbert, Johnson and Keerthi (1988), from memory.
    """
    instance_of("keep_out", keep_out, KeepOut)
    if surface_radius_mm is not None:
        one_positive("surface_radius_mm", surface_radius_mm)
    site = _site("hole", hole, surface_radius_mm, point_degrees)
    ends = [
        _point("keep_out.start", keep_out.start),
        _point("keep_out.end", keep_out.end),
    ]
    along = ends[1] - ends[0]
    if not np.any(along):
        raise InputError("keep_out must have a length: its start and end are the same place")
    radius = one_positive("keep_out.diameter_mm", keep_out.diameter_mm) / 2
    axis = along / np.linalg.norm(along)
    return distance_below(_hole(site, site.rim), _discs(axis, [(end, radius) for end in ends]))


def face_mm(diameter_mm: ArrayLike, *, width_mm: ArrayLike, off_middle_mm: ArrayLike = 0.0) -> Any:
    """Return the metal between a radial hole and the nearer face: ``w / 2 - |off| - d / 2``.

    Parameters
    ----------
    diameter_mm : float or array [mm]
        Drill diameter.
    width_mm : float or array [mm]
        Thickness of the counterweight along the crank.
    off_middle_mm : float or array [mm]
        How far the hole's axis stands off mid-width.

    Returns
    -------
    float or array [mm]
        Negative when the drill breaks out, by so much.

    Raises
    ------
    InputError
        When a size is not greater than zero or not finite.

    Examples
    --------
    >>> float(face_mm(12.0, width_mm=20.0, off_middle_mm=1.0))
    3.0

    Source: geometry.
    """
    off = np.abs(real("off_middle_mm", off_middle_mm))
    return (positive("width_mm", width_mm) - positive("diameter_mm", diameter_mm)) / 2 - off


def _site(name: str, hole: DrilledHole, rim: float | None, point: float) -> _Site:
    """Return a hole checked and complete, or raise naming what it lacks."""
    instance_of(name, hole, DrilledHole)
    rim = hole.surface_radius_mm if hole.surface_radius_mm is not None else rim
    if rim is None:
        raise InputError(
            f"{name} has no surface_radius_mm: give it in the hole or as surface_radius_mm=..."
        )
    point = hole.point_degrees if hole.point_degrees is not None else point
    one_real("surface_radius_mm", rim)
    one_real("point_degrees", point)
    one_real(f"{name}.diameter_mm", hole.diameter_mm)
    one_real(f"{name}.depth_mm", hole.depth_mm)
    a, h, R, t = radial_arrays(hole.diameter_mm, hole.depth_mm, rim, point)
    degrees = one_real(f"{name}.degrees", hole.degrees)
    z = one_real(f"{name}.z_mm", hole.z_mm)
    return _Site(degrees, z, float(R), float(a), float(h), float(t))


def _flat_web(one: _Site, two: _Site) -> float:
    """Return the distance of two holes of one plane and one rim."""
    apart = math.radians(abs(float(turn(two.degrees - one.degrees))))
    mouths = math.asin(one.mouth / one.rim) + math.asin(two.mouth / two.rim)
    if apart <= mouths:
        return 0.0
    p, q = _outline(one), _outline(two) * np.exp(1j * apart)
    if _cross(p, q):
        return 0.0
    return min(_from_corners(p, q), _from_corners(q, p))


def _outline(site: _Site) -> NDArray[np.complex128]:
    """Return the corners of a hole in its own plane, its axis the real one, the rim a chord."""
    mouth, q = site.mouth, site.rim - site.h
    side = [complex(math.sqrt(site.rim**2 - mouth**2), mouth)]
    if mouth == site.a:
        side.append(complex(q, site.a))
    return np.array([*side, complex(q - site.t, 0.0), *(c.conjugate() for c in reversed(side))])


def _sides(outline: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Return the vector of each side of a closed outline, from corner to next corner."""
    return np.roll(outline, -1) - outline


def _side_of(p: NDArray[np.complex128], q: NDArray[np.complex128]) -> Array:
    """Return on which side of each side of p each corner of q lies: the sign of a cross product."""
    turned = np.conj(_sides(p))[:, None] * (q[None, :] - p[:, None])
    return np.sign(turned.imag)


def _cross(p: NDArray[np.complex128], q: NDArray[np.complex128]) -> bool:
    """Return whether any side of one outline crosses a side of the other."""
    of_p, of_q = _side_of(p, q), _side_of(q, p)
    split_by_p = of_p * np.roll(of_p, -1, axis=1) < 0
    split_by_q = of_q * np.roll(of_q, -1, axis=1) < 0
    return bool(np.any(split_by_p & split_by_q.T))


def _from_corners(p: NDArray[np.complex128], q: NDArray[np.complex128]) -> float:
    """Return the least distance of the corners of p to the sides of q."""
    sides, away = _sides(q)[None, :], p[:, None] - q[None, :]
    length = np.abs(sides) ** 2
    share = (np.conj(sides) * away).real / np.where(length > 0, length, 1.0)
    return float(np.min(np.abs(away - np.clip(share, 0.0, 1.0) * sides)))


def _point(name: str, place: Place) -> Array:
    """Return a place as x, y, z."""
    instance_of(name, place, Place)
    angle = math.radians(one_real("degrees", place.degrees))
    r, z = one_real("radius_mm", place.radius_mm), one_real("z_mm", place.z_mm)
    return np.array([r * math.cos(angle), r * math.sin(angle), z])


def _hole(site: _Site, top: float) -> Support:
    """Return the farthest-point rule of a hole drawn out to a flat mouth at ``top``."""
    axis = _point("hole", Place(1.0, site.degrees, 0.0))
    foot = np.array([0.0, 0.0, site.z_mm])
    q = site.rim - site.h
    rings = [(q - site.t, 0.0), (q, site.a), (top, site.a)]
    return _discs(axis, [(foot + s * axis, radius) for s, radius in rings])


def _discs(axis: Array, discs: list[tuple[Array, float]]) -> Support:
    """Return the farthest-point rule of the hull of discs square to one axis."""
    centres = np.array([centre for centre, _ in discs])
    radii = np.array([radius for _, radius in discs])

    def farthest(direction: Array) -> Array:
        across = direction - (direction @ axis) * axis
        length = float(np.linalg.norm(across))
        reach = centres + np.outer(radii, across / length if length > 0 else across)
        return np.asarray(reach[np.argmax(reach @ direction)])

    return farthest
