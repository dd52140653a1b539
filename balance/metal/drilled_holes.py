"""The holes that a job says were drilled, and what they took by their exact geometry.

A hole may be entered more than once: first cut, then full depth. Of entries in one place the
deepest counts.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from balance.errors import MissingInputError
from balance.job.model import BoltedPage, DrilledPage, Job
from balance.metal.holes import axial_hole, radial_hole
from balance.spin.planes import transfer
from balance.vectors import turn, vector

__all__ = ["SAME_PLACE_DEGREES", "disc_hole_gmm", "holes_in", "merged", "taken_between", "taken_by"]

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


def _inside(hole: DrilledPage, other: DrilledPage) -> bool:
    """Whether a hole has gone into another one: same place, no wider and no deeper."""
    return (
        hole.part == other.part
        and abs(turn(hole.angle - other.angle)) <= SAME_PLACE_DEGREES
        and hole.diameter <= other.diameter
        and hole.depth <= other.depth
    )


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
    return merged([*old, *(hole for hole in job.drilled[:count] if hole.part == part)])


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
    """Return what holes took, each counted whole, in the bearing planes [g mm].

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
    for hole in holes:
        if hole.part in discs:
            pieces.append(disc_hole_gmm(job, discs[hole.part], hole))
            places.append(discs[hole.part].z)
            continue
        page = weights[hole.part]
        removed = radial_hole(
            hole.diameter,
            hole.depth,
            surface_radius_mm=page.radius,
            point_degrees=job.drills.point,
            density_g_cm3=job.crank.density,
        )
        pieces.append(complex(vector(removed.unbalance_gmm, hole.angle)))
        places.append(page.z)
    return transfer(pieces, places, job.crank.bearings)


def disc_hole_gmm(job: Job, page: BoltedPage, hole: DrilledPage) -> complex:
    """Return what one hole along the crank took from a bolted part [g mm].

    Raises
    ------
    MissingInputError
        When the part's hole circle is not written.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> hole = DrilledPage(part="flywheel", angle=0.0, diameter=8.0, depth=6.0)
    >>> round(disc_hole_gmm(job, job.bolted[0], hole).real, 1)
    300.6

    Source: as for :func:`balance.metal.holes.axial_hole`.
    """
    if page.hole_radius is None:
        raise MissingInputError("correct", [f"hole_radius of {page.name} under [[bolted]]"])
    removed = axial_hole(
        hole.diameter,
        hole.depth,
        radius_mm=page.hole_radius,
        point_degrees=job.drills.point,
        density_g_cm3=page.density,
    )
    return complex(vector(removed.unbalance_gmm, hole.angle))
