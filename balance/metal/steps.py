"""The step of the job in this room: from unbalance to holes and slugs, part by part."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.engine.steps import engine_of
from balance.errors import MissingInputError
from balance.job.model import (
    BoltedPage,
    CounterweightPage,
    CrankPage,
    Job,
    SlugPage,
)
from balance.metal._clock import by_steps
from balance.metal.bays import bays_of, beyond_practice
from balance.metal.chance import Chance, Errors, chance_of, plan_for_chance
from balance.metal.disc_chance import DiscChance, disc_chance
from balance.metal.discs import DiscHole, DiscPlan, plan_disc
from balance.metal.drilled_holes import disc_holes_gmm, holes_in, holes_since, taken_between
from balance.metal.held import held_disc, held_plan, why_held
from balance.metal.holes import DrilledHole
from balance.metal.needs import lacks_for_correct
from balance.metal.planning import (
    Counterweight,
    Plan,
    PlannedHole,
    PlannedSlug,
    SlugChoice,
    plan,
)
from balance.metal.slugs import slug_force_n
from balance.metal.staging import Stage, stage
from balance.spin.spun import PartUnbalance, Spun
from balance.spin.tolerance import GUARD, judge

__all__ = [
    "Corrected",
    "CrankCorrection",
    "DiscCorrection",
    "correct_job",
    "errors_of",
]

Complex = NDArray[np.complex128]
NOT_DRILLED = (
    "the job says nowhere that it may be drilled (hole_radius, max_depth and hole_spacing under "
    "[[bolted]]): bolt it up in another of its positions (heavyspot stack), exchange it, or have "
    "it balanced by its maker"
)
_PLAN_S = 5.0  # for each of up to three plans: nobody waits longer than a quarter of a minute


@dataclass(frozen=True)
class CrankCorrection:
    """What to do to the crank: ``before`` and the plan's residual in the bearing planes [g mm].

    ``bays`` are the counterweights of each throw, as indexes.
    """

    before: Complex
    plan: Plan
    marks: tuple[str, ...]
    counterweights: tuple[Counterweight, ...]
    permissible_gmm: NDArray[np.float64]
    verdict: str
    chance: Chance | None
    stage: Stage | None
    bays: tuple[tuple[int, ...], ...]

    @property
    def numbered(self) -> tuple[tuple[int, PlannedHole], ...]:
        """The holes with their numbers, from 1 in the order of the plan."""
        return tuple(enumerate(self.plan.holes, 1))

    @property
    def numbered_slugs(self) -> tuple[tuple[int, PlannedSlug], ...]:
        """The slugs with theirs, from 1 as well: on paper they are S1, S2, ..."""
        return tuple(enumerate(self.plan.slugs, 1))

    def old_depth_mm(self, hole: PlannedHole) -> float | None:
        """Return how deep a hole is already that is to be deepened; None of a new one."""
        old = self.counterweights[hole.counterweight].holes
        return None if hole.deepens is None else old[hole.deepens].depth_mm


@dataclass(frozen=True)
class DiscCorrection:
    """What to do to a bolted part; no plan when its place is not known well enough to drill.

    ``first_hole`` is the number of its first hole: every hole of a job has a number of its own.
    ``chance`` is how often its holes end inside the limit; None where there is none to drill.
    """

    name: str
    before: complex
    plan: DiscPlan
    permissible_gmm: float
    mounting_gmm: float
    verdict: str
    first_hole: int
    chance: DiscChance | None

    @property
    def numbered(self) -> tuple[tuple[int, DiscHole], ...]:
        """The holes with their numbers, counted on from the crank and the parts before."""
        return tuple(enumerate(self.plan.holes, self.first_hole))


@dataclass(frozen=True)
class Corrected:
    """The plans of a job.

    ``waiting`` counts the holes that parts got after their last spin. Such a part has no plan, as
    only a spin can show what they did; its ``before`` takes them off by their exact geometry.
    """

    crank: CrankCorrection
    discs: tuple[DiscCorrection, ...]
    waiting: Mapping[str, int]
    warnings: tuple[str, ...]
    slug_pull_n: tuple[float, ...]

    @property
    def feasible(self) -> bool:
        """Whether every part can be brought inside its limit."""
        return bool(self.crank.plan.feasible) and all(disc.plan.feasible for disc in self.discs)


def correct_job(job: Job, spun: Spun, *, as_spun: bool = False) -> Corrected:
    """Return the holes and slugs that bring every part of a job inside its limit.

    Each part is corrected on itself: the crank in its counterweights, a bolted part on its own
    circle. Nothing is planned for a part that was drilled after its last spin.

    Parameters
    ----------
    job : Job
        With counterweights and drills.
    spun : Spun
        From :func:`balance.spin.steps.spin_job`.
    as_spun : bool
        Whether to leave out what was drilled after the last spins: the plan that they led to, by
        which those holes were drilled.

    Raises
    ------
    MissingInputError
        Listing what must be measured or written first.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> correct_job(job, spin_job(job)).feasible
    True

    Source: as for :func:`balance.metal.planning.plan` and :func:`balance.metal.discs.plan_disc`.
    """
    crank = job.crank
    needed = [*lacks_for_correct(job)]
    if crank is None or needed:
        raise MissingInputError("correct", needed)
    first, *bolted = spun.parts
    waiting = {} if as_spun else holes_since(job, spun)
    with by_steps():  # every command plans anew: all must come to the same holes
        correction = _crank(job, crank, first)
    discs = [*_discs(job, bolted, 1 + len(correction.plan.holes))]
    if "crank" in waiting:
        correction = _crank_held(job, first, correction, waiting["crank"])
    return Corrected(
        crank=correction,
        discs=tuple(
            _disc_held(job, part, disc, waiting[disc.name]) if disc.name in waiting else disc
            for part, disc in zip(bolted, discs, strict=True)
        ),
        waiting=waiting,
        warnings=tuple(_warnings(crank, correction)),
        slug_pull_n=tuple(_pulls(job, correction)),
    )


def _warnings(crank: CrankPage, correction: CrankCorrection) -> Iterator[str]:
    """Yield where the plan goes beyond what published practice takes from a counterweight."""
    if crank.hardened:
        yield "this crank is hardened: ask its maker before any hole"
    for name, said in beyond_practice(correction).items():
        yield from (f"{name}: {each}" for each in said)


def _pulls(job: Job, correction: CrankCorrection) -> Iterator[float]:
    """Yield the pull of each slug at the service speed [N]."""
    speed = job.targets.service_speed
    if speed is None:
        return
    for slug in correction.plan.slugs:
        radius = slug.choice.middle_mm(correction.counterweights[slug.counterweight].radius_mm)
        yield float(slug_force_n(slug.choice.mass_g, radius_mm=radius, speed_rpm=speed))


def _drills(job: Job) -> list[float]:
    return [diameter for _, diameter in job.drills.sizes]


def _crank(job: Job, crank: CrankPage, part: PartUnbalance) -> CrankCorrection:
    """Return the correction of the crank as it was spun last."""
    marks = tuple(page.mark for page in crank.counterweights)
    before = part.unbalance
    weights = tuple(_counterweight(job, page, part.drilled) for page in crank.counterweights)
    task: dict[str, Any] = {
        "counterweights": weights,
        "drills_mm": _drills(job),
        "tolerance_gmm": _provable(part),
        "slugs": [_slug(page) for page in crank.slugs] or None,
        "deepen": bool(job.standing_holes(last=part.drilled)),
        **_rules(job, crank),
    }
    made, chance = _aimed(job, before, crank.bearings, task)
    staged = stage(made, errors=errors_of(job)) if made.holes else None
    verdict = judge(made.residual, permissible_gmm=part.permissible_gmm, u_gmm=part.u_gmm)
    bays = bays_of(engine_of(job), [page.z for page in crank.counterweights])
    return CrankCorrection(
        before, made, marks, weights, part.permissible_gmm, verdict, chance, staged, bays
    )


def _crank_held(
    job: Job, part: PartUnbalance, made: CrankCorrection, waiting: int
) -> CrankCorrection:
    """Return the crank with the holes drilled since its last spin, and no plan before the next."""
    before = part.unbalance - taken_between(job, made.marks, part.drilled)
    pages = job.crank.counterweights if job.crank else ()
    weights = tuple(_counterweight(job, page, None) for page in pages)
    return replace(
        made,
        before=before,
        counterweights=weights,
        plan=held_plan(made.plan, before, weights, why_held(waiting)),
        verdict=judge(before, permissible_gmm=part.permissible_gmm, u_gmm=part.u_gmm),
        chance=None,
        stage=None,
    )


def _aimed(
    job: Job, before: Complex, planes_mm: tuple[float, ...], task: dict[str, Any]
) -> tuple[Plan, Chance | None]:
    """Return the plan for the wanted chance, and its chance.

    A crank that is good enough is left alone. A plan with slugs keeps to half the limit: after
    fitting them the crank is spun and planned again in any case.
    """
    task = {**task, "time_limit_s": _PLAN_S}
    enough = bool(np.all(np.abs(before) <= task["tolerance_gmm"]))
    made = plan(before, planes_mm, margin=1.0 if enough else 0.5, **task)
    if not made.feasible:
        made = plan(before, planes_mm, margin=1.0, **task)
    if not made.feasible or not (made.holes or made.slugs):
        return made, None
    errors = errors_of(job)
    if made.slugs:
        return made, chance_of(made, errors=errors)
    chance = job.targets.chance
    aimed = plan_for_chance(before, planes_mm, chance=chance, errors=errors, start=made, **task)
    return aimed.plan, aimed.chance


def _provable(part: PartUnbalance) -> NDArray[np.float64]:
    """Return what may stay so that a re-spin can prove it: the limit less its guard, or half."""
    limit = part.permissible_gmm
    return np.maximum(limit - GUARD * part.u_gmm, limit / 2)


def _rules(job: Job, crank: CrankPage) -> dict[str, float]:
    return {
        "point_degrees": job.drills.point,
        "density_g_cm3": crank.density,
        "depth_step_mm": crank.depth_step,
        "min_depth_mm": crank.min_depth,
        "angle_step_degrees": crank.angle_step,
        "min_web_mm": crank.min_web,
        "edge_mm": crank.edge,
    }


def errors_of(job: Job) -> Errors:
    """Return what may be off; the job holds standard uncertainties, the drilling wants two."""
    machine, drills = job.machine, job.drills
    return Errors(
        reading_percent=2 * machine.amount_error if machine else 2.0,
        reading_degrees=2 * machine.angle_error if machine else 1.0,
        depth_mm=2 * drills.depth_error,
        hole_degrees=2 * drills.angle_error,
        oversize_mm=drills.oversize,
    )


def _slug(page: SlugPage) -> SlugChoice:
    return SlugChoice(page.diameter, page.length, page.density, page.bore_depth, page.wall)


def _counterweight(job: Job, page: CounterweightPage, entries: int | None) -> Counterweight:
    """Return a counterweight with the holes that were there and those drilled in this job."""
    holes = tuple(
        DrilledHole(hole.angle, hole.diameter, hole.depth)
        for hole in holes_in(job, page.mark, entries)
    )
    return Counterweight(
        page.z, page.centre, page.half_span, page.radius, page.width, page.max_depth, holes
    )


def _discs(job: Job, parts: Sequence[PartUnbalance], first_hole: int) -> Iterator[DiscCorrection]:
    for part in parts:
        made = _disc(job, part, first_hole)
        first_hole += len(made.plan.holes)
        yield made


def _disc(job: Job, part: PartUnbalance, first_hole: int) -> DiscCorrection:
    """Return the correction of a disc as it was spun last."""
    page = next(bolted for bolted in job.bolted if bolted.name == part.name)
    before = complex(part.unbalance[0])
    limit = float(part.permissible_gmm[0])
    provable = float(_provable(part)[0])
    if page.left_as_it_is:
        return _left_as_it_is(part, first_hole, inside=abs(before) <= limit)
    margins = (1.0,) if abs(before) <= provable else (0.5, 1.0)
    there = [hole.angle for hole in holes_in(job, part.name, part.drilled)]
    plans = (
        _plan_disc(job, page, before, provable, margin=margin, there=there) for margin in margins
    )
    made = next((each for each in plans if each.feasible), None)
    made = made or _plan_disc(job, page, before, provable, margin=1.0, there=there)
    u = float(part.u_gmm[0])
    return DiscCorrection(
        name=part.name,
        before=before,
        plan=made,
        permissible_gmm=limit,
        mounting_gmm=part.mounting_gmm,
        verdict=judge(made.residual, permissible_gmm=limit, u_gmm=u),
        first_hole=first_hole,
        chance=_chance_of_disc(job, page, made, before, u_gmm=u, limit_gmm=limit),
    )


def _left_as_it_is(part: PartUnbalance, first_hole: int, *, inside: bool) -> DiscCorrection:
    """Return the correction of a part that is not to be drilled: none, whatever it adds."""
    before, limit = complex(part.unbalance[0]), float(part.permissible_gmm[0])
    return DiscCorrection(
        name=part.name,
        before=before,
        plan=DiscPlan((), before, 0.0, 0, inside, "" if inside else NOT_DRILLED),
        permissible_gmm=limit,
        mounting_gmm=part.mounting_gmm,
        verdict=part.verdict,
        first_hole=first_hole,
        chance=None,
    )


def _disc_held(job: Job, part: PartUnbalance, made: DiscCorrection, waiting: int) -> DiscCorrection:
    """Return a disc with the holes drilled since its last spin, and no plan before the next."""
    page = next(bolted for bolted in job.bolted if bolted.name == part.name)
    now, then = holes_in(job, part.name), holes_in(job, part.name, part.drilled)
    taken = disc_holes_gmm(job, page, now) - disc_holes_gmm(job, page, then)
    before = complex(part.unbalance[0]) - taken
    limit, u = float(part.permissible_gmm[0]), float(part.u_gmm[0])
    return replace(
        made,
        before=before,
        plan=held_disc(before, why_held(waiting)),
        verdict=judge(before, permissible_gmm=limit, u_gmm=u),
        chance=None,
    )


def _chance_of_disc(
    job: Job, page: BoltedPage, made: DiscPlan, before: complex, *, u_gmm: float, limit_gmm: float
) -> DiscChance | None:
    if not made.holes:
        return None
    return disc_chance(
        made,
        before,
        u_gmm=u_gmm,
        limit_gmm=limit_gmm,
        errors=errors_of(job),
        point_degrees=job.drills.point,
        density_g_cm3=page.density,
    )


def _plan_disc(
    job: Job,
    page: BoltedPage,
    before: complex,
    tolerance_gmm: float,
    *,
    margin: float,
    there: Sequence[float],
) -> DiscPlan:
    return plan_disc(
        before,
        circle_mm=page.hole_radius or 0.0,
        drills_mm=_drills(job),
        max_depth_mm=page.max_depth or 0.0,
        tolerance_gmm=tolerance_gmm,
        hole_spacing_mm=page.hole_spacing or 0.0,
        point_degrees=job.drills.point,
        density_g_cm3=page.density,
        keep_clear=page.keep_clear,
        holes_degrees=there,
        margin=margin,
    )
