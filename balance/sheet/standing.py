"""Where a job stands: which steps can be done, what they lack, and what looks wrong."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from balance.errors import MissingInputError
from balance.job.model import Job
from balance.parts.oddities import MAKER_SPAN_G, outside_span
from balance.parts.weigh_steps import suspects_job
from balance.parts.weighing import check_scale
from balance.sheet.results import Results
from balance.spin.proof_steps import is_proven
from balance.vectors import turn

__all__ = ["Standing", "Step", "standing"]


@dataclass(frozen=True)
class Step:
    """One step of the job and everything it still needs."""

    name: str
    needed: tuple[str, ...]


@dataclass(frozen=True)
class Standing:
    """All steps in the order of the work, what looks wrong, and what to do next."""

    steps: tuple[Step, ...]
    warnings: tuple[str, ...]
    next: str

    @property
    def ready(self) -> bool:
        """Whether no step lacks anything."""
        return not any(step.needed for step in self.steps)


def standing(job: Job) -> Standing:
    """Return where a job stands.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> standing(read_job(files("cli.examples") / "flat-four.toml")).ready
    True
    """
    results = Results(job)
    attempts: tuple[tuple[str, Callable[[], object]], ...] = (
        ("match", lambda: results.matched),
        ("bobweight", lambda: results.card if results.need.needed else None),
        ("shake", lambda: results.shook),
        ("spin", lambda: results.spun),
        ("correct", lambda: results.corrected),
    )
    steps = tuple(Step(name, _needed(attempt)) for name, attempt in attempts)
    warnings = tuple(_warnings(job, results, steps))
    return Standing(steps, warnings, _next(steps, warnings))


def _needed(attempt: Callable[[], object]) -> tuple[str, ...]:
    try:
        attempt()
    except MissingInputError as missing:
        return tuple(missing.needed)
    return ()


def _next(steps: tuple[Step, ...], warnings: tuple[str, ...]) -> str:
    for step in steps:
        if step.needed:
            return f"{step.name} needs: {step.needed[0]}"
    if warnings:
        return "look at what seems wrong above, then heavyspot report."
    return "heavyspot report writes the work sheet."


def _warnings(job: Job, results: Results, steps: tuple[Step, ...]) -> Iterator[str]:
    if not steps[0].needed:
        yield from _weighing_warnings(results)
    yield from _sector_warnings(job)
    if job.machine is not None and not is_proven(job):
        yield "the machine is not proven: stick a known mass at a known place and spin (prove)"
    if job.crank is not None and job.crank.hardened:
        yield "the crank is hardened: ask its maker before any hole"


def _weighing_warnings(results: Results) -> Iterator[str]:
    bench, job = results.matched.bench, results.job
    for mark, found in suspects_job(job):
        which = f"probably its {found.weighing}" if found.weighing else "one of the three is wrong"
        yield (
            f"rod {mark}: big end + small end differ from the total by {found.closure_g:+.2f} g, "
            f"more than weighing explains: {which}; weigh it again"
        )
    for kind, marks, weights in (
        ("piston", bench.piston_marks, bench.pistons),
        ("pin", bench.pin_marks, bench.pins),
    ):
        for mark, weight in zip(marks, weights, strict=True):
            if weight.outliers:
                yield f"{kind} {mark}: its weighings lie {weight.spread_g:.2f} g apart"
    yield from _odd_parts(results)
    yield from _scale_warnings(results)
    if not results.matched.match.feasible:
        yield f"matching: {results.matched.match.reason}"


def _odd_parts(results: Results) -> Iterator[str]:
    bench = results.matched.bench
    kinds = (
        ("piston", bench.piston_marks, [weight.mass_g for weight in bench.pistons]),
        ("rod", bench.rod_marks, [rod.total_g for rod in bench.rods]),
    )
    for kind, marks, masses in kinds:
        for odd in outside_span(masses, span_g=MAKER_SPAN_G[kind]):
            how = "heavy" if odd.outside_g > 0 else "light"
            yield (
                f"{kind} {marks[odd.part]} is {abs(odd.outside_g):.1f} g too {how} for a set as a "
                f"maker delivers it ({MAKER_SPAN_G[kind]:g} g): was it replaced?"
            )


def _scale_warnings(results: Results) -> Iterator[str]:
    tolerance, scale = results.job.targets.match_tolerance, results.job.scale
    if tolerance <= 0:
        return
    found = check_scale(
        tolerance,
        resolution_g=scale.resolution,
        repeatability_g=results.matched.bench.repeatability_g,
    )
    if found.verdict == "cannot":
        yield f"the scale cannot support the match tolerance: {found.advice}"


def _sector_warnings(job: Job) -> Iterator[str]:
    for weight in job.crank.counterweights if job.crank else ():
        for hole in weight.holes:
            if abs(turn(hole.angle - weight.centre)) > weight.half_span:
                yield (
                    f"counterweight {weight.mark}: a hole at {hole.angle:g} degrees is outside its "
                    f"sector ({weight.centre:g} +/- {weight.half_span:g} degrees)"
                )
