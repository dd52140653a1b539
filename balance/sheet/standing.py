"""Where a job stands: which steps can be done, what they lack, and what looks wrong."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from balance.errors import MissingInputError
from balance.job.model import Job
from balance.metal.needs import lacks_for_correct
from balance.parts.doubts import doubts_job
from balance.sheet.results import Results
from balance.spin.proof_steps import is_proven
from balance.spin.steps import lacks_for_spin
from balance.vectors import turn

__all__ = ["Standing", "Step", "standing"]


@dataclass(frozen=True)
class Step:
    """One step of the job, everything it still needs, and the parts to be weighed again for it."""

    name: str
    needed: tuple[str, ...]
    weigh_again: str = ""


@dataclass(frozen=True)
class Standing:
    """All steps in the order of the work, what looks wrong, and what to do next."""

    steps: tuple[Step, ...]
    warnings: tuple[str, ...]
    next: str

    def needs_of(self, step: Step) -> tuple[str, ...]:
        """Return what a step needs; what an earlier one needs as well is not said twice."""
        for earlier in self.steps[: self.steps.index(step)]:
            if earlier.needed and set(earlier.needed) <= set(step.needed):
                own = tuple(item for item in step.needed if item not in earlier.needed)
                return (f"as for {earlier.name}", *own)
        return step.needed

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
    )
    steps = [Step(name, _needed(attempt)) for name, attempt in attempts]
    if not steps[0].needed:
        steps[0] = replace(steps[0], weigh_again=results.matched.weigh_again)
    steps.append(Step("spin", _all_of(_needed(lambda: results.spun), lacks_for_spin(job))))
    steps.append(Step("correct", _all_of(steps[-1].needed, lacks_for_correct(job))))
    warnings = tuple(_warnings(job, results, steps))
    first = "look at what seems wrong above, then " if warnings else ""
    return Standing(tuple(steps), warnings, first + _next(job, results, steps))


def _needed(attempt: Callable[[], object]) -> tuple[str, ...]:
    try:
        attempt()
    except MissingInputError as missing:
        return tuple(missing.needed)
    return ()


def _all_of(*needed: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(chain(*needed)))


def _next(job: Job, results: Results, steps: Sequence[Step]) -> str:
    """Return the command that fits what is there: parts before spins, spins before holes."""
    needed = {step.name: step.needed for step in steps}
    return _next_of_parts(job, results, needed["match"]) or _next_of_crank(job, results, needed)


def _next_of_parts(job: Job, results: Results, needed: tuple[str, ...]) -> str:
    """Return what is to be done with the parts; nothing when the crank comes first."""
    if needed:
        parts = any((job.parts.pistons, job.parts.pins, job.parts.rods))
        if job.standing_spins or (_can_spin(job) and not parts):
            return ""
        asks = f"heavyspot weigh {job.source} asks for every weighing; first {needed[0]}"
        return asks if parts else f"write into {job.source}: {needed[0]}"
    if again := results.matched.weigh_again:
        return f"heavyspot weigh {job.source}: weigh {again} again, nothing is to be cut before."
    done = job.standing_spins or any(entry.finished for entry in job.weighings)
    return "" if done and results.matched.sure else f"heavyspot match {job.source}"


def _next_of_crank(job: Job, results: Results, needed: dict[str, tuple[str, ...]]) -> str:
    if _can_spin(job) and not job.standing_spins:
        hung = f"heavyspot bobweight {job.source}, then " if results.need.needed else ""
        return f"{hung}heavyspot spin {job.source} --add"
    for step in ("spin", "correct"):
        if needed[step]:
            return f"heavyspot {step} {job.source}, once it has: {needed[step][0]}"
    if needed["match"]:
        return f"heavyspot correct {job.source}"
    return f"heavyspot report {job.source} writes the work sheet."


def _can_spin(job: Job) -> bool:
    return job.crank is not None and job.machine is not None


def _warnings(job: Job, results: Results, steps: Sequence[Step]) -> Iterator[str]:
    weighed = not steps[0].needed
    doubts = results.matched.doubts if weighed else doubts_job(job)
    yield from (doubt.text for doubt in doubts)
    if weighed and not results.matched.match.feasible:
        yield f"matching: {results.matched.match.reason}"
    yield from _sector_warnings(job)
    if not next(step for step in steps if step.name == "spin").needed:
        yield from results.spun.doubts
        if said := results.history.unexplained:
            yield said
    if job.machine is not None and not is_proven(job):
        yield "the machine is not proven: stick a known mass at a known place and spin (prove)"
    if job.crank is not None and job.crank.hardened:
        yield "the crank is hardened: ask its maker before any hole"


def _sector_warnings(job: Job) -> Iterator[str]:
    for weight in job.crank.counterweights if job.crank else ():
        for hole in weight.holes:
            if abs(turn(hole.angle - weight.centre)) > weight.half_span:
                yield (
                    f"counterweight {weight.mark}: a hole at {hole.angle:g} degrees is outside its "
                    f"sector ({weight.centre:g} +/- {weight.half_span:g} degrees)"
                )
