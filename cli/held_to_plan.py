"""A hole that is to be recorded, held against the plan that the last spins led to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.errors import HeavyspotError, MissingInputError
from cli.printing import busy

if TYPE_CHECKING:
    from balance.job.appended import DrilledPage
    from balance.job.model import Job
    from balance.metal.recorded import Compared, PlannedToRecord
    from balance.metal.steps import Corrected
    from balance.spin.spun import Spun


@dataclass(frozen=True)
class HeldToPlan:
    """What the plan says of a hole: ``kept`` once it is recorded, ``doubt`` before that.

    ``slip`` says whether the doubt knows what was likely mistaken.
    """

    kept: str = ""
    doubt: str = ""
    slip: bool = False
    planned: tuple[PlannedToRecord, ...] = ()
    spun: Spun | None = None

    def to_come(self, job: Job) -> tuple[PlannedToRecord, ...]:
        """Return the holes of the plan that are not recorded in the job as it now stands."""
        from balance.metal.recorded import recorded_since

        return recorded_since(job, self.spun, self.planned).to_come if self.spun else ()


def held_to_plan(job: Job, hole: DrilledPage) -> HeldToPlan:
    """Hold a hole against the plan; where there is none to be had, say why and doubt nothing."""
    from balance.metal.steps import correct_job
    from balance.sheet.results import Results

    results = Results(job)
    try:
        with busy("comparing with the plan ..."):
            if results.unexplained:
                return HeldToPlan(_without(f"{results.unexplained}. {_BEFORE}"))
            corrected = correct_job(job, results.spun, as_spun=True)
            return _held(job, hole, results.spun, corrected)
    except MissingInputError as missing:
        return HeldToPlan(_without(f"{missing.step} needs {missing.needed[0]}"))
    except HeavyspotError as wrong:
        return HeldToPlan(_without(str(wrong)))


_BEFORE = (
    "If the hole was there at that spin, take the spin back and enter it again: heavyspot spin "
    "--undo, then --add"
)


_SLUGS = "but its slugs come first: fit them, spin, and plan the holes anew"


def _without(reason: str) -> str:
    return f"not compared with a plan: {reason}"


def _held(job: Job, hole: DrilledPage, spun: Spun, corrected: Corrected) -> HeldToPlan:
    from balance.metal.recorded import compare_hole, hole_text, planned_to_record

    disc = next((each for each in corrected.discs if each.name == hole.part), None)
    made = disc.plan if disc else corrected.crank.plan
    if not made.feasible:
        return HeldToPlan(_without(f"there is none for {disc.name if disc else 'the crank'}"))
    planned = planned_to_record(corrected)
    found = compare_hole(job, hole, planned)
    said = hole_text(job, hole.part, angle=hole.angle, diameter=hole.diameter, depth=hole.depth)
    if found.planned is not None and disc is None and corrected.crank.plan.slugs:
        return HeldToPlan(doubt=f"{said} is hole {found.planned.number} of the plan, {_SLUGS}")
    if found.planned is not None:
        kept = f"hole {found.planned.number} of the plan, {found.words}"
        return HeldToPlan(kept, planned=planned, spun=spun)
    if disc is None and not found.slip and (other := _other_way(job, hole, corrected)):
        return HeldToPlan(other)
    slip = f": {found.slip}" if found.slip else ""
    return HeldToPlan(doubt=f"{said} is no hole of the plan{slip}; {found.words}", slip=bool(slip))


def _other_way(job: Job, hole: DrilledPage, corrected: Corrected) -> str:
    """Return which hole of another way it is that ``heavyspot correct --others`` shows."""
    from balance.metal.recorded import compare_hole, planned_of
    from balance.metal.variants import other_ways

    for other in other_ways(corrected.crank.plan):
        found: Compared = compare_hole(job, hole, planned_of(other.plan, corrected.crank.marks))
        if found.planned is not None:
            return f"hole {found.planned.number} of another way ({other.kind}), {found.words}"
    return ""
