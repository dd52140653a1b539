"""Whether two holes of one part run into each other: what one took, the other cannot take again."""

import math

from balance.job.appended import DrilledPage
from balance.job.model import Job
from balance.metal.holes import DrilledHole, web_mm
from balance.vectors import turn

__all__ = ["overlaps"]


def overlaps(job: Job, hole: DrilledPage, other: DrilledPage) -> bool:
    """Return whether two holes of one part meet below the surface.

    Those in counterweights are radial and converge; those in bolted parts stand side by side on
    their circle, ``2 r sin(angle / 2)`` apart.

    Parameters
    ----------
    job : Job
        With the part that both are in.
    hole, other : DrilledPage
        The holes.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> first = DrilledPage(part="W3", angle=313.0, diameter=9.0, depth=17.5)
    >>> [overlaps(job, first, first.model_copy(update={"angle": a})) for a in (316.0, 330.0)]
    [True, False]

    Source: geometry; :func:`balance.metal.webs.web_mm`.
    """
    apart = float(abs(turn(hole.angle - other.angle)))
    for page in job.bolted:
        if page.name == hole.part and page.hole_radius is not None:
            chord = 2 * page.hole_radius * math.sin(math.radians(apart / 2))
            return chord < (hole.diameter + other.diameter) / 2
    one, two = (DrilledHole(each.angle, each.diameter, each.depth) for each in (hole, other))
    return any(
        web_mm(one, two, surface_radius_mm=page.radius, point_degrees=job.drills.point) <= 0
        for page in (job.crank.counterweights if job.crank else ())
        if page.mark == hole.part
    )
