"""What may have happened between two spins when the second is not where the holes should bring it.

Each cause is the change that would have been read, in the bearing planes: one recorded hole that
was not drilled or went elsewhere, putty that stayed on, a hole that is not recorded, a bolted part
that went back on turned. Which of them fits the reading is judged in :mod:`balance.spin.history`.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.job.appended import DrilledPage
from balance.job.drills import SAME_DRILL_MM
from balance.job.model import BoltedPage, CrankPage, Job
from balance.metal.drilled_holes import (
    SAME_PLACE_DEGREES,
    holes_in,
    merged,
    taken_between,
    taken_by,
)
from balance.spin.check_spin import putty_gmm
from balance.spin.check_spin_steps import putty_of
from balance.spin.history import CorrectionStep
from balance.spin.planes import transfer
from balance.spin.seats import refit_gmm
from balance.spin.spun import StackReading
from balance.units import show
from balance.vectors import degrees, turn, whole_degrees

__all__ = ["Respun", "fitted_causes", "known_causes"]

Complex = NDArray[np.complex128]

_SURE = 2.0  # own choice, in standard uncertainties: what a part adds is known to that
_SAME_WAY_DEGREES = 15.0  # own choice: nearer than this, it is that way to bolt the part up


@dataclass(frozen=True)
class Respun:
    """One stack in two states, and what its bolted parts added in the first.

    Parameters
    ----------
    job, crank : Job, CrankPage
        As read from its file.
    before, after : StackReading
        The stack before its holes and after them.
    added : mapping of str to complex [g mm]
        What each bolted part of the stack added before; without those that nobody can tell.
    """

    job: Job
    crank: CrankPage
    before: StackReading
    after: StackReading
    added: Mapping[str, complex]

    @property
    def move(self) -> CorrectionStep:
        """Both readings, and between them what the recorded holes took."""
        return CorrectionStep(self.before.unbalance, -self._taken(self.parts), self.after.unbalance)

    @property
    def u_gmm(self) -> float:
        """Standard uncertainty of a reading along each axis, that of the seats counted.

        Both readings are taken as the worse of the two, and no machine to read better than 1 g mm.
        A part put on again may sit anywhere in its clearance e: ``m e / 2`` along each axis.
        """
        read = max(self.before.u_machine_gmm.max(), self.after.u_machine_gmm.max(), 1.0)
        bearings = self.crank.bearings
        seats = [refit_gmm(page, bearings).max() / 2 for page in self.bolted]
        return math.hypot(float(read), *seats)

    @property
    def bolted(self) -> list[BoltedPage]:
        """The bolted parts of the stack."""
        return [page for page in self.job.bolted if page.name in self.before.on]

    @property
    def parts(self) -> list[str]:
        """Everything of the stack that may have been drilled: counterweights and bolted parts."""
        weights = [page.mark for page in self.crank.counterweights]
        return [*weights, *(name for name in self.before.on if name != "crank")]

    @property
    def new(self) -> list[DrilledPage]:
        """The holes that were recorded between the two."""
        entered = self.job.standing_holes(self.before.drilled, self.after.drilled)
        return [hole for hole in entered if hole.part in self.parts]

    def should_add(self, page: BoltedPage) -> complex:
        """Return what a part should add after its new holes if it sits as before."""
        return self.added[page.name] - complex(self._taken([page.name]).sum())

    def _taken(self, parts: Sequence[str]) -> Complex:
        return taken_between(self.job, parts, self.before.drilled, self.after.drilled)


def known_causes(respun: Respun) -> Iterator[tuple[str, Complex]]:
    """Yield the causes with nothing to fit, each with the change that it would have made.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import stack_states
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> (state,) = stack_states(job, ("crank",))
    >>> list(known_causes(Respun(job, job.crank, state, state, {})))
    []

    Source: common practice, no source.
    """
    yield from _otherwise(respun)
    yield from _putty(respun)


def fitted_causes(respun: Respun) -> Iterator[tuple[str, Complex]]:
    """Yield the causes with an amount or an angle that is fitted to what was read.

    With shares s of a part's place in the bearing planes, ``x = s . (correction - change) / s . s``
    is the unbalance that one more hole there took. It must point into a counterweight's sector. A
    bolted part that should add ``f`` and adds ``f - x``, of the same length, was turned; that is
    the simpler of the two and comes first.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import stack_states
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> (state,) = stack_states(job, ("crank",))
    >>> later = replace(state, unbalance=state.unbalance + [300, 0])
    >>> next(fitted_causes(Respun(job, job.crank, state, later, {})))[0][:46]
    'a hole that is not recorded, of about 334 g mm'

    Source: statics.
    """
    for weight in respun.crank.counterweights:
        x, change = _one_more(respun, weight.z)
        if abs(turn(degrees(x) - weight.centre)) <= weight.half_span:
            yield _unrecorded(x, f"counterweight {weight.mark}"), change
    for page in respun.bolted:
        x, change = _one_more(respun, page.z)
        if page.name in respun.added and _only_turned(respun, page, x):
            yield _sits(page, float(turn(degrees(1 - x / respun.should_add(page))))), change
        yield _unrecorded(x, page.name), change


def _otherwise(respun: Respun) -> Iterator[tuple[str, Complex]]:
    """Yield every recorded hole of those since the first spin as not drilled, or drilled wrongly.

    Of one hole alone that it was not drilled is known to the check itself.
    """
    job, new = respun.job, respun.new
    old = [hole for part in respun.parts for hole in holes_in(job, part, respun.before.drilled)]
    recorded = taken_by(job, merged([*old, *new]))
    for hole in new:
        rest = [*old, *(other for other in new if other is not hole)]
        place = f"the hole recorded in {hole.part} at {hole.angle:g} degrees"
        if len(new) > 1:
            without = taken_by(job, merged(rest))
            yield f"{place} was not drilled", respun.move.correction + recorded - without
        for words, other in _misdrilled(respun, hole):
            instead = taken_by(job, merged([*rest, other]))
            yield f"{place} {words}", respun.move.correction + recorded - instead


def _misdrilled(respun: Respun, hole: DrilledPage) -> Iterator[tuple[str, DrilledPage]]:
    """Yield what one hole may have become at the press: another drill, place or side."""
    for name, size in respun.job.drills.sizes:
        if abs(size - hole.diameter) > SAME_DRILL_MM:
            yield f"was made with the {name} drill", hole.model_copy(update={"diameter": size})
    angles = {"on the other side, half a turn off": hole.angle + 180, "mirrored": -hole.angle}
    pages = {page.mark: page for page in respun.crank.counterweights}
    if hole.part in pages:
        centre = pages[hole.part].centre
        angles["mirrored in its counterweight"] = 2 * centre - hole.angle
    for words, angle in angles.items():
        if abs(turn(angle - hole.angle)) > SAME_PLACE_DEGREES:
            yield f"was made {words}", hole.model_copy(update={"angle": float(turn(angle))})
    for page in pages.values() if hole.part in pages else ():
        if page.mark != hole.part and abs(turn(hole.angle - page.centre)) <= page.half_span:
            yield f"went into {page.mark}", hole.model_copy(update={"part": page.mark})


def _putty(respun: Respun) -> Iterator[tuple[str, Complex]]:
    if respun.job.check_spins:
        putty = [putty_of(respun.job, stuck) for stuck in respun.job.check_spins[-1].stuck]
        stuck_on = putty_gmm(putty, respun.crank.bearings)
        yield "the putty of the check spin was still on", respun.move.correction + stuck_on


def _one_more(respun: Respun, z_mm: float) -> tuple[complex, Complex]:
    """Return the one hole at a place that comes nearest to the reading, and what it changes."""
    move, share = respun.move, _share(respun.crank, z_mm)
    x = complex(share @ (move.correction - move.change) / (share @ share))
    return x, np.asarray(move.correction - x * share)


def _share(crank: CrankPage, z_mm: float) -> NDArray[np.float64]:
    """Return how much of an unbalance at a place each bearing plane sees."""
    return np.real(transfer(1.0, z_mm, crank.bearings))


def _unrecorded(x: complex, where: str) -> str:
    return (
        f"a hole that is not recorded, of about {show(abs(x), 'unbalance', 'g mm')} at "
        f"{whole_degrees(degrees(x))} degrees in {where} (record it with heavyspot drilled)"
    )


def _only_turned(respun: Respun, page: BoltedPage, x: complex) -> bool:
    """Whether a part adds as much as before, to its doubt: that of four readings."""
    was, u = respun.should_add(page), _SURE * 2 * respun.u_gmm
    return abs(was) > u and bool(abs(abs(was - x) - abs(was)) <= u)


def _sits(page: BoltedPage, angle: float) -> str:
    step = 360 / page.positions
    place = f" (one of its {page.positions} ways)" * bool(
        page.positions > 1 and abs(turn(angle - step * round(angle / step))) < _SAME_WAY_DEGREES
    )
    return f"{page.name} went back on turned by {angle:+.0f} degrees from where it was{place}"
