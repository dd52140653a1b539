"""What the machine should show at the next spin, in its own planes, unit and angles."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.errors import MissingInputError
from balance.job.model import Job, MachinePage
from balance.metal.drilled_holes import taken_between
from balance.metal.steps import Corrected
from balance.spin.machine_page import readings_of
from balance.spin.planes import transfer
from balance.spin.spun import Spun, StackReading
from balance.vectors import vector

__all__ = ["NextSpin", "ShouldShow", "next_spins"]

Complex = NDArray[np.complex128]


@dataclass(frozen=True)
class ShouldShow:
    """One plane of the machine: what it should show, and the same in the crank's frame [g mm].

    ``amount`` is in the machine's unit, ``degrees`` its own number.
    """

    plane: str
    amount: float
    degrees: float
    unbalance: complex


@dataclass(frozen=True)
class NextSpin:
    """The next spin of one stack: after which work, and what each plane should show.

    ``after`` is empty where there is no work on the crank that turns alone.
    """

    on: tuple[str, ...]
    after: str
    planes: tuple[ShouldShow, ...]


def next_spins(job: Job, spun: Spun, corrected: Corrected) -> tuple[NextSpin, ...]:
    """Return what the machine should show for every stack once it was worked on.

        shown next = shown last - what is taken - what hangs wrong on the pins

    The crank alone is spun after its slugs if there are any, else after its first cuts; a stack
    with bolted parts after all that is planned. The bobweights are those that hung last.

    Parameters
    ----------
    job, spun, corrected : Job, Spun, Corrected
        As read, as spun and as planned.

    Raises
    ------
    MissingInputError
        When the job has no machine.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> spun = spin_job(job)
    >>> crank, *stacks = next_spins(job, spun, correct_job(job, spun))
    >>> crank.on, crank.after, [plane.plane for plane in crank.planes]
    (('crank',), 'all its holes', ['left', 'right'])

    Source: statics; the machine's convention as for :func:`balance.spin.machine.from_crank`.
    """
    if job.machine is None:
        raise MissingInputError("spin", ["a [machine] table that says how the machine counts"])
    return tuple(_next(job, job.machine, spun, corrected, stack) for stack in spun.stacks)


def _next(
    job: Job, page: MachinePage, spun: Spun, corrected: Corrected, stack: StackReading
) -> NextSpin:
    marks = [*corrected.crank.marks, *(part for part in stack.on if part != "crank")]
    change, after = _crank_work(spun, corrected, alone=len(stack.on) == 1)
    change = change - taken_between(job, marks, stack.drilled)
    for disc in corrected.discs:
        if disc.name in stack.on:
            z_mm = next(part.z for part in job.bolted if part.name == disc.name)
            change = change + transfer([disc.plan.residual - disc.before], [z_mm], spun.bearings_mm)
    there = stack.unbalance + change - stack.bobweight_error
    return NextSpin(stack.on, after, tuple(_shown(page, spun, there)))


def _crank_work(spun: Spun, corrected: Corrected, *, alone: bool) -> tuple[Complex, str]:
    """Return what the next work on the crank changes in the bearing planes, and its name.

    Holes that were drilled since the last spin are counted elsewhere, they only have a name here.
    """
    crank, plan = corrected.crank, corrected.crank.plan
    if "crank" in corrected.waiting:
        return np.zeros(2, complex), "the holes recorded" if alone else "all that is planned"
    if alone and plan.slugs:
        gains = [vector(slug.net_unbalance_gmm, slug.degrees) for slug in plan.slugs]
        places = [crank.counterweights[slug.counterweight].z_mm for slug in plan.slugs]
        return transfer(gains, places, spun.bearings_mm), "the slugs, no hole yet"
    if alone and crank.stage is not None and crank.stage.held_back:
        cuts = crank.stage.first_cut
        taken = [vector(cut.share * cut.hole.unbalance_gmm, cut.hole.degrees) for cut in cuts]
        places = [crank.counterweights[cut.hole.counterweight].z_mm for cut in cuts]
        return -transfer(taken, places, spun.bearings_mm), "its first cuts"
    name = ("all its holes" if plan.holes else "") if alone else "all that is planned"
    return np.asarray(plan.residual - crank.before), name


def _shown(page: MachinePage, spun: Spun, there: Complex) -> Iterator[ShouldShow]:
    """Yield what each plane of the machine shows of an unbalance in the bearing planes."""
    machine = spun.machine
    values = transfer(there, spun.bearings_mm, machine.planes_mm)
    readings = readings_of(page, machine, values)
    ordered = values if machine.nose_first else values[::-1]
    for plane, reading, value in zip(page.planes, readings, ordered, strict=True):
        yield ShouldShow(plane.name, reading.amount, reading.degrees, complex(value))
