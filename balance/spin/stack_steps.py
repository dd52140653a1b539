"""The stack of a job: what each bolted part adds, and how it is best bolted up."""

from dataclasses import dataclass

import numpy as np

from balance.job.model import Job
from balance.spin.indexing import BoltUp, Component, best_positions
from balance.spin.planes import transfer
from balance.spin.spun import PartUnbalance, Spun

__all__ = ["Stacked", "stack_job"]


@dataclass(frozen=True)
class Stacked:
    """Every part of a stack, and the best bolt-up of those that go on in several ways."""

    parts: tuple[PartUnbalance, ...]
    marks: tuple[str, ...]
    movable: tuple[str, ...]
    bolt_up: BoltUp | None
    crank_counts: bool


def stack_job(job: Job, spun: Spun) -> Stacked:
    """Return what each part of a job's stack adds, and the positions that leave least.

    Parts with one position stay as they are; the others are turned, all ways looked at. A crank
    that is still outside its limit is taken as corrected: turning a part does not mend it.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> stacked = stack_job(job, spin_job(job))
    >>> stacked.movable, stacked.bolt_up.degrees
    (('clutch cover',), (0.0,))

    Source: as for :func:`balance.spin.indexing.best_positions`.
    """
    pages = {page.name: page for page in job.bolted}
    crank, *bolted = spun.parts
    base = crank.unbalance if crank.verdict == "pass" else np.zeros(2, complex)
    components = []
    for part in bolted:
        at_bearings = transfer(part.unbalance, part.planes_mm, spun.bearings_mm)
        if pages[part.name].positions > 1:
            components.append(Component(at_bearings, pages[part.name].positions, part.name))
        else:
            base = base + at_bearings
    limit = spun.total_permissible_gmm
    best = best_positions(base, components, permissible_gmm=limit) if components else None
    return Stacked(
        parts=spun.parts,
        marks=tuple(pages[part.name].mark for part in bolted),
        movable=tuple(component.name for component in components),
        bolt_up=best,
        crank_counts=crank.verdict == "pass",
    )
