"""What was recorded as drilled, held against the plan that it was drilled by.

The plan that is meant is the one that the last spins led to, with the holes drilled since left out:
``correct_job(job, spun, as_spun=True)``.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from balance.job.appended import DrilledPage
from balance.job.drills import SAME_DRILL_MM
from balance.job.model import Job
from balance.metal.drilled_holes import SAME_PLACE_DEGREES, hole_g, merged
from balance.metal.planning import Plan
from balance.metal.staging import PRESS_MM
from balance.metal.steps import Corrected
from balance.spin.spun import Spun
from balance.spin.states import part_of
from balance.vectors import fold, turn

__all__ = [
    "Compared",
    "PlannedToRecord",
    "Recorded",
    "compare_hole",
    "hole_text",
    "planned_of",
    "planned_to_record",
    "recorded_since",
]

# What a hole may be off and still be the planned one. Own choice: marked out and centre-punched by
# hand a hole lands inside three degrees, neighbours in a plan stand farther apart; a depth stop set
# twice holds a millimetre. What is farther off is as likely to be mistyped.
AS_PLANNED_DEGREES = 3.0
AS_PLANNED_MM = 1.0


@dataclass(frozen=True)
class PlannedToRecord:
    """A hole of a plan as it is recorded once drilled: ``first_mm`` is the depth of its first cut.

    ``degrees`` is in [0, 360).
    """

    number: int
    part: str
    degrees: float
    diameter_mm: float
    first_mm: float
    depth_mm: float

    @property
    def staged(self) -> bool:
        """Whether its first cut stops short of its depth."""
        return self.first_mm < self.depth_mm - PRESS_MM


@dataclass(frozen=True)
class Compared:
    """A recorded hole and the planned one that it is; None where it is none of them.

    ``words`` say how the two differ, or what the plan has nearest; ``slip`` what was likely
    mistaken, empty where nothing speaks for it.
    """

    hole: DrilledPage
    planned: PlannedToRecord | None
    words: str
    slip: str = ""


@dataclass(frozen=True)
class Recorded:
    """What was drilled since the last spins, and the holes of the plan that are not recorded.

    ``to_come`` is empty for a part with a hole that was not planned: it is to be spun first.
    """

    holes: tuple[Compared, ...]
    to_come: tuple[PlannedToRecord, ...]


def planned_to_record(corrected: Corrected) -> tuple[PlannedToRecord, ...]:
    """Return every hole of the plans of a job as it is to be recorded, by number.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> planned = planned_to_record(correct_job(job, spin_job(job)))
    >>> [(hole.number, hole.part, hole.degrees) for hole in planned[:2]]
    [(1, 'W3', 313.0), (2, 'W8', 165.0)]
    """
    crank = corrected.crank
    cuts = [cut.depth_mm for cut in crank.stage.first_cut] if crank.stage else []
    discs = (
        PlannedToRecord(
            number, disc.name, float(fold(hole.degrees)), hole.diameter_mm, hole.depth_mm,
            hole.depth_mm,
        )
        for disc in corrected.discs
        for number, hole in disc.numbered
    )  # fmt: skip
    return (*planned_of(crank.plan, crank.marks, cuts), *discs)


def planned_of(
    plan: Plan, marks: Sequence[str], first_cuts_mm: Sequence[float] = ()
) -> tuple[PlannedToRecord, ...]:
    """Return the holes of one plan of the crank as they are to be recorded.

    Parameters
    ----------
    plan : Plan
        The plan, or another way.
    marks : sequence of str
        The marks of its counterweights.
    first_cuts_mm : sequence of float [mm], optional
        The first cut of each hole; its full depth where left out.

    Examples
    --------
    >>> from balance.metal.planning import Counterweight, plan
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan([900, 600], [100, 500], counterweights=weights, drills_mm=[10, 12],
    ...             tolerance_gmm=[60, 60])
    >>> [(hole.part, hole.first_mm, hole.depth_mm) for hole in planned_of(made, ["A", "B"])]
    [('A', 12.5, 12.5), ('B', 7.5, 7.5)]
    """
    cuts = first_cuts_mm or [hole.depth_mm for hole in plan.holes]
    return tuple(
        PlannedToRecord(
            number, marks[hole.counterweight], float(fold(hole.degrees)), hole.diameter_mm, first,
            hole.depth_mm,
        )
        for number, (hole, first) in enumerate(zip(plan.holes, cuts, strict=True), 1)
    )  # fmt: skip


def compare_hole(job: Job, hole: DrilledPage, planned: Sequence[PlannedToRecord]) -> Compared:
    """Return which planned hole a recorded one is, or what the plan has nearest and which slip.

    It is a planned one in the same part with the same drill, at most ``AS_PLANNED_DEGREES`` off
    and no more than ``AS_PLANNED_MM`` deeper than planned or short of the first cut.

    Parameters
    ----------
    job : Job
        As read from its file.
    hole : DrilledPage
        What is to be recorded.
    planned : sequence of PlannedToRecord
        From :func:`planned_to_record`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> planned = [PlannedToRecord(1, "W3", 313.0, 9.0, 17.5, 17.5)]
    >>> as_read = DrilledPage(part="W3", angle=313.0, diameter=9.0, depth=18.0)
    >>> compare_hole(job, as_read, planned).words
    '0.5 mm deeper than planned: 0.2 g more'
    >>> compare_hole(job, as_read.model_copy(update={"angle": 47.0}), planned).slip
    'that is the angle of hole 1 counted the other way'
    """
    near = sorted(planned, key=lambda each: _off(each, hole.angle))
    for each in near:
        if _alike(each, hole):
            return Compared(hole, each, _difference(job, hole, each))
    return Compared(hole, None, _nearest(job, hole, near), _slip(hole, near))


def _off(planned: PlannedToRecord, angle_degrees: float) -> float:
    return float(abs(turn(planned.degrees - angle_degrees)))


def _alike(planned: PlannedToRecord, hole: DrilledPage) -> bool:
    least, most = planned.first_mm - AS_PLANNED_MM, planned.depth_mm + AS_PLANNED_MM
    return (
        planned.part == hole.part
        and abs(planned.diameter_mm - hole.diameter) <= SAME_DRILL_MM
        and _beside(planned, hole.angle)
        and least <= hole.depth <= most
    )


def _difference(job: Job, hole: DrilledPage, planned: PlannedToRecord) -> str:
    """Return how a hole differs from the planned one that it is."""
    said = []
    if _off(planned, hole.angle) > SAME_PLACE_DEGREES:
        said.append(f"{_off(planned, hole.angle):g} deg off its {planned.degrees:g} deg")
    meant, name = planned.depth_mm, "planned"
    if planned.staged and hole.depth < meant - PRESS_MM:
        meant, name = planned.first_mm, "the first cut"
    more = hole.depth - meant
    if abs(more) <= PRESS_MM:
        said += ["to the first cut"] if name != "planned" else [] if said else ["as planned"]
    elif more > 0 and name != "planned":
        said.append("between the first cut and its full depth")
    else:
        grams = hole_g(job, hole) - hole_g(job, hole.model_copy(update={"depth": meant}))
        way = (
            f"deeper than {name}: {grams:.1f} g more"
            if more > 0
            else f"short of {'its depth' if name == 'planned' else name}: {-grams:.1f} g less"
        )
        said.append(f"{abs(more):g} mm {way}")
    return ", ".join(said)


def _nearest(job: Job, hole: DrilledPage, near: Sequence[PlannedToRecord]) -> str:
    """Return what the plan has nearest to a hole that is none of its own."""
    if not near:
        return "the plan has no hole to drill"
    here = [each for each in near if each.part == hole.part]
    if not here:
        others = ", ".join(
            f"{each.number} in {each.part}" for each in sorted(near, key=lambda each: each.number)
        )
        return f"the plan has no hole in {hole.part}, but {others}"
    first = here[0]
    wanted = hole_text(
        job, first.part, angle=first.degrees, diameter=first.diameter_mm, depth=first.depth_mm
    )
    staged = f" (first cut {first.first_mm:g} mm)" if first.staged else ""
    return f"nearest is hole {first.number}, {wanted}{staged}"


def _slip(hole: DrilledPage, near: Sequence[PlannedToRecord]) -> str:
    """Return what was likely mistaken: the part, or the sense or the end of the angle.

    What would leave the drill as planned as well is the likelier.
    """
    if any(each.part == hole.part and _beside(each, hole.angle) for each in near):
        return ""
    drilled = [each for each in near if abs(each.diameter_mm - hole.diameter) <= SAME_DRILL_MM]
    return next(chain(_slips(hole, drilled), _slips(hole, near)), "")


def _beside(planned: PlannedToRecord, angle_degrees: float) -> bool:
    return _off(planned, angle_degrees) <= AS_PLANNED_DEGREES


def _slips(hole: DrilledPage, near: Sequence[PlannedToRecord]) -> Iterator[str]:
    for each in near:
        if _beside(each, hole.angle):
            yield f"hole {each.number} is at that angle, but in {each.part}"
    for each in near:
        if each.part == hole.part and _beside(each, -hole.angle):
            yield f"that is the angle of hole {each.number} counted the other way"
        if each.part == hole.part and _beside(each, hole.angle + 180.0):
            yield f"that is half a turn off hole {each.number}"


def hole_text(job: Job, part: str, *, angle: float, diameter: float, depth: float) -> str:
    """Return a hole in words, the drill by its name where the job has one.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> hole_text(job, "W3", angle=313.0, diameter=9.0, depth=17.5)
    'W3 at 313 deg, 9 mm drill, 17.5 mm deep'
    """
    drill = job.drills.name_of(diameter)
    return f"{part} at {angle:g} deg, {drill} drill, {depth:g} mm deep"


def recorded_since(job: Job, spun: Spun, planned: Sequence[PlannedToRecord]) -> Recorded:
    """Return what was drilled in each part after its last spin, held against the plan.

    Parameters
    ----------
    job, spun : Job, Spun
        As read and as spun.
    planned : sequence of PlannedToRecord
        From :func:`planned_to_record`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> recorded_since(job, spin_job(job), ()).holes
    ()
    """
    holes: list[Compared] = []
    to_come: list[PlannedToRecord] = []
    for part in spun.parts:
        since = merged(
            [
                hole
                for hole in job.standing_holes(part.drilled)
                if part_of(job, hole.part) == part.name
            ]
        )
        own = [each for each in planned if part_of(job, each.part) == part.name]
        found = [compare_hole(job, hole, own) for hole in since]
        done = [compared.planned for compared in found]
        holes += found
        to_come += [each for each in own if each not in done] if None not in done else []
    return Recorded(tuple(holes), tuple(to_come))
