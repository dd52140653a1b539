"""Metal between radial holes on one counterweight, for whole arrays of holes at once.

The planner asks this question hundreds of thousands of times, so it is answered here for
arrays; :mod:`balance.metal.webs` answers it for two holes that a person names.

The axes of radial holes on one counterweight meet on the crank's axis and lie in one plane.
Two convex bodies that are both symmetric about a plane are nearest to each other in it, so the
true distance of two holes is that of two flat profiles: a strip with a triangular tip.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Profiles", "clearance_mm", "leaves_web", "steps_apart"]

_Float = NDArray[Any]  # of floats


@dataclass(frozen=True)
class Profiles:
    """Flat profiles of radial holes: half width, shoulder and tip distance from the crank axis."""

    half_mm: _Float
    shoulder_mm: _Float
    tip_mm: _Float

    def __getitem__(self, index: Any) -> "Profiles":
        """Return the profiles at an index, as numpy would."""
        return Profiles(self.half_mm[index], self.shoulder_mm[index], self.tip_mm[index])


def clearance_mm(one: Profiles, two: Profiles, apart_degrees: Any) -> _Float:
    """Return the least metal between two profiles whose axes stand at an angle; 0 if they meet.

    Only the sides that face each other count, and there only shoulders and tips: radial holes
    converge, so the mouths are never nearest.
    """
    turn = np.radians(apart_degrees)
    cos, sin = np.cos(turn), np.sin(turn)
    gap = np.minimum(_to_chain(one, two, cos, sin), _to_chain(two, one, cos, sin))
    return np.where(_apart(one, two, cos, sin, turn), gap, 0.0)


def leaves_web(gap_mm: _Float, min_web_mm: float) -> NDArray[Any]:
    """Return whether metal enough is left; where no web is asked for, holes may not meet either."""
    return np.asarray((gap_mm >= min_web_mm) & (gap_mm > 0))


def _seen(x: Any, y: Any, cos: _Float, sin: _Float) -> tuple[_Float, _Float]:
    """Return a point of one hole in the frame of the other, each frame facing the other hole."""
    return x * cos + y * sin, x * sin - y * cos


def _to_chain(points: Profiles, chain: Profiles, cos: _Float, sin: _Float) -> _Float:
    """Return the least distance from shoulder and tip of one hole to side and cone of the other."""
    shoulder = _seen(points.shoulder_mm, points.half_mm, cos, sin)
    tip = _seen(points.tip_mm, 0.0, cos, sin)
    return np.sqrt(np.minimum(_square(*shoulder, chain), _square(*tip, chain)))


def _square(x: _Float, y: _Float, chain: Profiles) -> _Float:
    """Return the squared distance of a point to the side (a ray) and the cone (a segment)."""
    side = np.maximum(chain.shoulder_mm - x, 0.0) ** 2 + (y - chain.half_mm) ** 2
    run, rise = chain.shoulder_mm - chain.tip_mm, chain.half_mm
    along = ((x - chain.tip_mm) * run + y * rise) / (run**2 + rise**2)
    along = np.minimum(np.maximum(along, 0.0), 1.0)
    cone = (x - chain.tip_mm - along * run) ** 2 + (y - along * rise) ** 2
    return np.asarray(np.minimum(side, cone))


def _apart(one: Profiles, two: Profiles, cos: _Float, sin: _Float, turn: _Float) -> Any:
    """Return whether a straight line parts the profiles (so that they have no common point)."""
    apart = _parted(one, two, cos, sin) | _parted(two, one, cos, sin)
    half_sin, half_cos = np.sin(turn / 2), np.cos(turn / 2)
    beyond = [
        (hole.shoulder_mm * half_sin > hole.half_mm * half_cos) & (hole.tip_mm * half_sin > 0)
        for hole in (one, two)  # the bisector of the two axes parts holes that stand far apart
    ]
    return apart | (beyond[0] & beyond[1])


def _parted(one: Profiles, two: Profiles, cos: _Float, sin: _Float) -> Any:
    """Return whether the side or the cone line of ``one`` has all of ``two`` beyond it."""
    run, rise = one.shoulder_mm - one.tip_mm, one.half_mm
    side: Any = np.inf
    cone: Any = np.inf
    for x, y in ((two.shoulder_mm, two.half_mm), (two.shoulder_mm, -two.half_mm), (two.tip_mm, 0)):
        along, across = _seen(x, y, cos, sin)
        side = np.minimum(side, across - one.half_mm)
        cone = np.minimum(cone, across * run - (along - one.tip_mm) * rise)
    outwards = sin * run - cos * rise  # the strip of ``two`` is taken to run on for ever
    return ((side > 0) & (sin >= 0)) | ((cone > 0) & (outwards >= 0))


def steps_apart(
    shapes: Profiles, *, step_degrees: float, most_steps: int, min_web_mm: float
) -> NDArray[np.int64]:
    """Return, for every two shapes, the least number of angle steps that leaves the web.

    The metal between two holes grows with the angle between them (each profile's facing side
    is swept away from the other), so the least step is found by halving. ``most_steps + 1``
    says that no angle in the sector is enough.
    """
    n = len(shapes.half_mm)
    i, j = np.triu_indices(n)
    low, high = np.zeros(len(i), dtype=np.int64), np.full(len(i), most_steps + 1, dtype=np.int64)
    one, two = shapes[i], shapes[j]
    for _ in range(int(most_steps + 1).bit_length()):
        middle = (low + high) // 2
        enough = leaves_web(clearance_mm(one, two, middle * step_degrees), min_web_mm)
        high, low = (
            np.where(enough, middle, high),
            np.where(enough, low, np.minimum(middle + 1, high)),
        )
    table = np.empty((n, n), dtype=np.int64)
    table[i, j] = table[j, i] = high
    return table
