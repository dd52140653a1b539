"""The holes that a job says were drilled, and what they took by their exact geometry.

A hole may be entered more than once: first cut, then full depth. Of entries in one place the
deepest counts. Where drills of two sizes went into one place, neither hole inside the other (a
pilot hole opened up less deep, a hole drilled on with a smaller drill), the metal that both would
take went once.
"""

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from balance.errors import MissingInputError
from balance.job.appended import DrilledPage
from balance.job.model import BoltedPage, Job
from balance.metal.holes import axial_hole, point_mm, radial_hole
from balance.spin.planes import transfer
from balance.spin.spun import Spun
from balance.spin.states import part_of
from balance.vectors import turn, vector

__all__ = [
    "SAME_PLACE_DEGREES",
    "disc_holes_gmm",
    "hole_g",
    "holes_in",
    "holes_since",
    "merged",
    "same_place",
    "taken_between",
    "taken_by",
]

SAME_PLACE_DEGREES = 0.5  # half of the finest step that is marked on a rim


def merged(holes: Sequence[DrilledPage]) -> tuple[DrilledPage, ...]:
    """Return holes with those that were deepened or opened up counted once, as they are now.

    Examples
    --------
    >>> first = DrilledPage(part="W1", angle=180.0, diameter=8.0, depth=10.0)
    >>> [hole.depth for hole in merged([first, first.model_copy(update={"depth": 14.0})])]
    [14.0]
    """
    kept: list[DrilledPage] = []
    for hole in holes:
        kept = [old for old in kept if not _inside(old, hole)]
        if not any(_inside(hole, old) for old in kept):
            kept.append(hole)
    return tuple(kept)


def same_place(hole: DrilledPage, other: DrilledPage) -> bool:
    """Return whether two holes are in the same place: one part, one mark on its rim.

    Examples
    --------
    >>> first = DrilledPage(part="W1", angle=0.2, diameter=8.0, depth=10.0)
    >>> same_place(first, first.model_copy(update={"angle": 359.9}))
    True
    """
    return hole.part == other.part and bool(
        abs(turn(hole.angle - other.angle)) <= SAME_PLACE_DEGREES
    )


def _inside(hole: DrilledPage, other: DrilledPage) -> bool:
    """Whether a hole has gone into another one: same place, no wider and no deeper."""
    narrow, shallow = hole.diameter <= other.diameter, hole.depth <= other.depth
    return same_place(hole, other) and narrow and shallow


def _counted(holes: Sequence[DrilledPage], point: float) -> Iterator[tuple[int, DrilledPage]]:
    """Yield each hole with +1, and with -1 what it shares with wider ones in the same place.

    Two cones of one point angle are parallel: what is shared ends as the narrow drill would have,
    where its edge meets the wide drill's cone.
    """
    for hole in holes:
        yield 1, hole
        reached = [
            wide.depth + float(point_mm(wide.diameter - hole.diameter, point))
            for wide in holes
            if same_place(hole, wide) and wide.diameter > hole.diameter
        ]
        if reached:
            yield -1, hole.model_copy(update={"depth": min(hole.depth, max(reached))})


def holes_in(job: Job, part: str, count: int | None = None) -> tuple[DrilledPage, ...]:
    """Return the holes in one part: those that were there and the first ``count`` of the job.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> holes_in(read_job(files("cli.examples") / "flat-four.toml"), "W1")
    ()
    """
    weights = job.crank.counterweights if job.crank else ()
    old = [
        DrilledPage(part=part, angle=hole.angle, diameter=hole.diameter, depth=hole.depth)
        for page in weights
        if page.mark == part
        for hole in page.holes
    ]
    return merged([*old, *(hole for hole in job.standing_holes(last=count) if hole.part == part)])


def holes_since(job: Job, spun: Spun) -> dict[str, int]:
    """Return how many holes each part got after its own last spin; parts without any left out.

    A first cut and its deepening are two entries but one hole.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> holes_since(job, spin_job(job))
    {}
    """
    counts = {
        part.name: _places(
            hole
            for hole in job.standing_holes(part.drilled)
            if part_of(job, hole.part) == part.name
        )
        for part in spun.parts
    }
    return {name: count for name, count in counts.items() if count}


def _places(holes: Iterable[DrilledPage]) -> int:
    """Count the places that holes are in."""
    kept: list[DrilledPage] = []
    for hole in holes:
        if not any(same_place(hole, old) for old in kept):
            kept.append(hole)
    return len(kept)


def taken_between(
    job: Job, parts: Sequence[str], first: int, last: int | None = None
) -> NDArray[np.complex128]:
    """Return what the holes entered from ``first`` to ``last`` took from parts [g mm].

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> taken_between(read_job(files("cli.examples") / "flat-four.toml"), ["W1"], 0).tolist()
    [0j, 0j]
    """
    now = [hole for part in parts for hole in holes_in(job, part, last)]
    before = [hole for part in parts for hole in holes_in(job, part, first)]
    return np.asarray(taken_by(job, now) - taken_by(job, before))


def taken_by(job: Job, holes: Sequence[DrilledPage]) -> NDArray[np.complex128]:
    """Return what holes took, as a whole, in the bearing planes [g mm].

    Holes in counterweights are radial, those in bolted parts lie along the crank.

    Raises
    ------
    MissingInputError
        When the crank is not described.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> hole = DrilledPage(part="W1", angle=180.0, diameter=8.0, depth=10.0)
    >>> taken_by(job, [hole]).real.round(0).tolist()
    [-272.0, -37.0]

    Source: as for :func:`balance.metal.holes.radial_hole`.
    """
    if job.crank is None:
        raise MissingInputError("correct", ["a [crank] table with mass and bearings"])
    weights = {page.mark: page for page in job.crank.counterweights}
    discs = {page.name: page for page in job.bolted}
    pieces, places = [0j], [job.crank.bearings[0]]
    for name in dict.fromkeys(hole.part for hole in holes):
        inside = [hole for hole in holes if hole.part == name]
        if name in discs:
            pieces.append(disc_holes_gmm(job, discs[name], inside))
            places.append(discs[name].z)
        else:
            rim, metal = weights[name].radius, job.crank.density
            pieces.append(_rim_holes_gmm(inside, rim_mm=rim, point=job.drills.point, density=metal))
            places.append(weights[name].z)
    return transfer(pieces, places, job.crank.bearings)


def hole_g(job: Job, hole: DrilledPage) -> float:
    """Return the metal that one hole by itself takes from its part [g].

    Raises
    ------
    MissingInputError
        When the part is a bolted one and its hole circle is not written.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> round(hole_g(job, DrilledPage(part="W3", angle=313.0, diameter=9.0, depth=17.5)), 1)
    9.2

    Source: as for :func:`balance.metal.holes.radial_hole`.
    """
    page = next((part for part in job.bolted if part.name == hole.part), None)
    if page is not None:
        return float(abs(disc_holes_gmm(job, page, [hole]))) / (page.hole_radius or 1.0)
    if job.crank is None:
        raise MissingInputError("correct", ["a [crank] table with mass and bearings"])
    weight = next(each for each in job.crank.counterweights if each.mark == hole.part)
    removed = radial_hole(
        hole.diameter,
        hole.depth,
        surface_radius_mm=weight.radius,
        point_degrees=job.drills.point,
        density_g_cm3=job.crank.density,
    )
    return float(removed.mass_g)


def _rim_holes_gmm(
    holes: Sequence[DrilledPage], *, rim_mm: float, point: float, density: float
) -> complex:
    """Return what radial holes took from one counterweight, as a whole [g mm]."""
    taken = 0j
    for sign, hole in _counted(holes, point):
        removed = radial_hole(
            hole.diameter,
            hole.depth,
            surface_radius_mm=rim_mm,
            point_degrees=point,
            density_g_cm3=density,
        )
        taken += sign * complex(vector(removed.unbalance_gmm, hole.angle))
    return taken


def disc_holes_gmm(job: Job, page: BoltedPage, holes: Sequence[DrilledPage]) -> complex:
    """Return what holes along the crank took from a bolted part, as a whole [g mm].

    Raises
    ------
    MissingInputError
        When there are holes and the part's hole circle is not written.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> hole = DrilledPage(part="flywheel", angle=0.0, diameter=8.0, depth=6.0)
    >>> round(disc_holes_gmm(job, job.bolted[0], [hole]).real, 1)
    300.6

    Source: as for :func:`balance.metal.holes.axial_hole`.
    """
    taken = 0j
    for sign, hole in _counted(holes, job.drills.point):
        if page.hole_radius is None:
            raise MissingInputError("correct", [f"hole_radius of {page.name} under [[bolted]]"])
        removed = axial_hole(
            hole.diameter,
            hole.depth,
            radius_mm=page.hole_radius,
            point_degrees=job.drills.point,
            density_g_cm3=page.density,
        )
        taken += sign * complex(vector(removed.unbalance_gmm, hole.angle))
    return taken
