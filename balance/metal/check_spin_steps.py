"""The check spin to make before the first hole: where to stick what, and what must then be shown.

One lump where a hole goes is enough when it tells every known slip from a machine in order. A hole
in line with crankpin 1 shows the same whichever way the angles were counted: then two holes, or a
place beside the holes, are taken. Where no plan can be made a lump at each end asks whether that is
so: half a turn off, every heavy spot seems to lie where nothing can be taken.
"""

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations, product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from balance.job.model import Job, MachinePage
from balance.metal.history_steps import CheckedStep, History
from balance.metal.steps import Corrected
from balance.spin.check_spin import (
    REACH,
    CheckSpin,
    Putty,
    is_told,
    predict_check_spin,
    putty_gmm,
)
from balance.spin.check_spin_steps import RecordedCheck, last_check
from balance.spin.machine import Machine
from balance.spin.machine_page import declared_machine, readings_of, u_shown
from balance.spin.planes import transfer
from balance.spin.proof_steps import machine_rests_on
from balance.spin.slips import SLIPS
from balance.spin.spun import Spun
from balance.vectors import fold

__all__ = ["CheckPlace", "CheckRow", "PlannedCheck", "SpinCheck", "check_spin_job"]

# Round masses that are quickly weighed out; more than 30 g of putty does not stay on while it turns
# (common practice, no source).
HANDY_G = (5.0, 10.0, 20.0, 30.0)
_ASIDE = 0.6  # own choice: of the way from a counterweight's middle to the end of its sector


@dataclass(frozen=True)
class CheckPlace:
    """Where a lump goes: the counterweight's mark, angle, rim radius; ``hole`` is its number or 0.

    ``slug`` likewise is the number of a planned slug.
    """

    mark: str
    degrees: float
    radius_mm: float
    z_mm: float
    mass_g: float
    hole: int = 0
    slug: int = 0


@dataclass(frozen=True)
class CheckRow:
    """One plane in the machine's words: its name, what it shows now, what it must show, how near.

    Amounts in the machine's unit, angles as it counts; ``within_degrees`` is None where any angle
    would be near enough.
    """

    plane: str
    now: float
    now_degrees: float
    must: float
    must_degrees: float
    within: float
    within_degrees: float | None


@dataclass(frozen=True)
class PlannedCheck:
    """A check spin to make, and the single slips that no place on this crank could show.

    ``unplanned`` where nothing can be planned for the crank as its machine is understood.
    """

    places: tuple[CheckPlace, ...]
    check: CheckSpin
    rows: tuple[CheckRow, ...]
    unit: str
    left_open: tuple[str, ...]
    unplanned: bool = False

    @property
    def untold(self) -> tuple[str, ...]:
        """The slips that a machine which reads this coarsely cannot show, though they do harm."""
        return tuple(text for text in self.check.left_open if text not in self.left_open)


@dataclass(frozen=True)
class SpinCheck:
    """What the convention of a job's machine rests on, and where its check spin stands.

    ``planned`` is None when nothing is to be cut, or the crank is to be spun again first.
    ``drilled_as_planned`` when the last holes of the crank were spun and showed as they should,
    and would not have with a slip: as good as putty.
    """

    rests_on: Literal["declared", "proofs", "nothing"]
    planned: PlannedCheck | None
    recorded: RecordedCheck | None
    drilled_as_planned: bool

    @property
    def contradiction(self) -> str:
        """What the check spin says against the machine as it is understood; empty if nothing."""
        last = self.recorded
        return last.message if last is not None and last.contradicts else ""

    @property
    def settled(self) -> bool:
        """Whether putty or holes have shown that the machine counts as it is understood."""
        return self.drilled_as_planned or (self.recorded is not None and self.recorded.agrees)

    @property
    def due(self) -> bool:
        """Whether nothing is to be cut before a check spin."""
        return self.planned is not None and not self.settled and self.rests_on != "declared"


def check_spin_job(job: Job, spun: Spun, corrected: Corrected, history: History) -> SpinCheck:
    """Return the check spin that a job's plan asks for, and what the one that was made says.

    Parameters
    ----------
    job : Job
        As read from its file.
    spun, corrected, history
        The results of the steps before.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.sheet.results import Results
    >>> results = Results(read_job(files("cli.examples") / "v8.toml"))
    >>> check = check_spin_job(results.job, results.spun, results.corrected, results.history)
    >>> check.rests_on, check.due, len(check.planned.places)
    ('declared', False, 1)

    Source: common practice, no source.
    """
    crank = [step for step in history.steps if step.on == ("crank",)]
    planned = _planned(job, spun, corrected)
    never = planned.left_open if planned else ()
    return SpinCheck(
        rests_on=machine_rests_on(job),
        planned=planned,
        recorded=last_check(job, spun.machine),
        drilled_as_planned=bool(crank) and _went_as_planned(spun, crank[-1], never),
    )


def _went_as_planned(spun: Spun, step: CheckedStep, never: Collection[str]) -> bool:
    """Return whether holes showed as they should, and would not have with any slip.

    A slip is made in the planes of the machine, holes are held to account in the bearings.
    """
    change, check = step.check.predicted - step.respun.before.unbalance, step.check
    bearings, planes = spun.bearings_mm, spun.machine.planes_mm
    shown = transfer(change, bearings, planes)
    slipped = [slip(shown) for text, slip in SLIPS.items() if text not in never]
    seen = [np.abs(transfer(each, planes, bearings) - change) for each in slipped]
    return all(check.agrees) and all(np.any(off > 2 * REACH * check.u_gmm) for off in seen)


@dataclass(frozen=True)
class _Bare:
    """The crank as last spun, to be compared with."""

    page: MachinePage
    machine: Machine
    before: NDArray[np.complex128]
    u_before: NDArray[np.float64]

    def with_putty(self, places: Sequence[CheckPlace], *, noise: bool = True) -> CheckSpin:
        putty = [Putty(p.z_mm, p.radius_mm, p.mass_g, p.degrees) for p in places]
        then = self.before + putty_gmm(putty, self.machine.planes_mm)
        u_reading = np.hypot(self.u_before, u_shown(self.page, then))
        return predict_check_spin(
            self.before,
            putty,
            self.machine,
            u_reading_gmm=u_reading if noise else 0.0,
            declared=declared_machine(self.page) is not None,
        )


def _planned(job: Job, spun: Spun, corrected: Corrected) -> PlannedCheck | None:
    """Return the check spin to make; None when nothing is to be cut or the crank has changed."""
    page, work = job.machine, corrected.crank.plan
    cut = work.holes or work.slugs or any(disc.plan.holes for disc in corrected.discs)
    if page is None or not (cut or not work.feasible) or corrected.waiting.get("crank"):
        return None
    stack = spun.stacks[0]
    bare = _Bare(page, spun.machine, stack.shown, stack.u_shown_gmm)
    holes, beside = [*_of_plan(corrected)], [*_beside(corrected)]
    never = _never_told(bare, [*holes, *beside])
    unplanned = not (work.feasible or work.holes or work.slugs)
    tries: list[list[tuple[CheckPlace, ...]]] = [
        [*_at_each_end(beside)] if unplanned else [],
        [(place,) for place in holes],
        [*combinations(holes, 2)],
        [(place,) for place in beside],
        [*combinations(beside, 2)],
    ]
    for group in filter(None, tries):
        made = [*_telling(bare, group, never)]
        if made:
            best = max(made, key=lambda each: _pairs_told(each[1]))
            return replace(_in_words(bare, best, never), unplanned=unplanned)
    last = next(group for group in reversed(tries) if group)
    return replace(_in_words(bare, _heaviest(bare, last), never), unplanned=unplanned)


Made = tuple[tuple[CheckPlace, ...], CheckSpin]


def _telling(
    bare: _Bare, groups: Sequence[tuple[CheckPlace, ...]], never: set[str]
) -> Iterator[Made]:
    """Yield, with the least handy mass, the groups of places that leave no slip open."""
    for mass in HANDY_G:
        found = False
        for group in groups:
            places = _weighing(group, mass)
            check = bare.with_putty(places)
            if not set(check.left_open) - never:
                found = True
                yield places, check
        if found:
            return


def _heaviest(bare: _Bare, groups: Sequence[tuple[CheckPlace, ...]]) -> Made:
    """Return the group of places that leaves the fewest slips open with the largest mass."""
    made = [(p := _weighing(group, HANDY_G[-1]), bare.with_putty(p)) for group in groups]
    return min(made, key=lambda each: len(each[1].left_open))


def _weighing(places: Iterable[CheckPlace], mass_g: float) -> tuple[CheckPlace, ...]:
    return tuple(replace(place, mass_g=mass_g) for place in places)


def _pairs_told(check: CheckSpin) -> int:
    """Return how many slips look different from a machine in order and from each other."""
    whole = [(slip, check.change, check.reach_gmm) for slip in check.slips]
    pairs = [(a, b.change, b.reach_gmm) for a, b in combinations(check.slips, 2)]
    return sum(is_told(*each) for each in (*whole, *pairs))


def _never_told(bare: _Bare, places: Sequence[CheckPlace]) -> set[str]:
    """Return the slips that no place could show with any mass: they do no harm here."""
    heavy = _weighing(places, 1000.0)
    never = {slip.text for slip in bare.with_putty(heavy[:1]).slips if slip.single}
    for group in chain(product(heavy), combinations(heavy, 2)):
        if never:
            never &= set(bare.with_putty(group, noise=False).left_open)
    return never


def _of_plan(corrected: Corrected) -> Iterator[CheckPlace]:
    crank = corrected.crank
    holes = [(n, 0, hole.counterweight, hole.degrees) for n, hole in crank.numbered]
    slugs = [(0, n, s.counterweight, s.degrees) for n, s in crank.numbered_slugs]
    for hole, slug, index, degrees in slugs or holes:  # with slugs in, the holes are planned anew
        weight, angle = crank.counterweights[index], round(float(fold(degrees)), 1)
        yield CheckPlace(crank.marks[index], angle, weight.radius_mm, weight.z_mm, 1.0, hole, slug)


def _beside(corrected: Corrected) -> Iterator[CheckPlace]:
    """Yield places beside the holes: towards either end of each counterweight, and its middle."""
    crank = corrected.crank
    for side in (-1, 1, 0):
        for mark, weight in zip(crank.marks, crank.counterweights, strict=True):
            aside = side * _ASIDE * min(weight.half_span_degrees, 90.0)
            angle = float(fold(round(weight.centre_degrees + aside)))
            yield CheckPlace(mark, angle, weight.radius_mm, weight.z_mm, 1.0)


def _at_each_end(places: Sequence[CheckPlace]) -> Iterator[tuple[CheckPlace, ...]]:
    """Yield pairs of places, one on the counterweight nearest to either end."""
    ends = [place.z_mm for place in places]
    for one, other in combinations(places, 2):
        if {one.z_mm, other.z_mm} == {min(ends), max(ends)} and one.z_mm != other.z_mm:
            yield (one, other) if one.z_mm < other.z_mm else (other, one)


def _in_words(bare: _Bare, made: Made, never: set[str]) -> PlannedCheck:
    (places, check), page = made, bare.page
    shown = [
        readings_of(page, bare.machine, each)
        for each in (check.before, check.shown, check.reach_gmm.astype(complex))
    ]
    rows = tuple(
        CheckRow(
            plane=plane.name,
            now=now.amount,
            now_degrees=now.degrees,
            must=must.amount,
            must_degrees=must.degrees,
            within=reach.amount,
            within_degrees=_within(reach.amount, must.amount),
        )
        for plane, now, must, reach in zip(page.planes, *shown, strict=True)
    )
    return PlannedCheck(places, check, rows, page.unit, tuple(sorted(never)))


def _within(reach: float, amount: float) -> float | None:
    """Return by how many degrees the tip of an arrow may be off when it lies so near."""
    return None if reach >= amount else math.degrees(math.asin(reach / amount))
