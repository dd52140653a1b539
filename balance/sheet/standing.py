"""Where a job stands: which steps can be done, what they lack, and what looks wrong."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from balance.engine.steps import taken_as_usual
from balance.engine.usual_sizes import bolted_mass_doubt, crank_mass_doubt, speed_doubt
from balance.errors import HeavyspotError, MissingInputError
from balance.job.model import Job
from balance.metal.drilled_holes import holes_since
from balance.metal.needs import lacks_for_correct
from balance.parts.doubts import doubts_job
from balance.parts.finished import still_to_weigh
from balance.sheet.check_spin_words import stop_text
from balance.sheet.results import Results
from balance.sheet.still_open import bolt_up, still_open
from balance.spin.proof_steps import is_proven
from balance.spin.steps import lacks_for_spin
from balance.vectors import turn

__all__ = ["Standing", "Step", "standing"]


@dataclass(frozen=True)
class Step:
    """One step of the job, everything it still needs, and the parts to be weighed again for it.

    ``wrong`` says what in the job stands in its way, though nothing is missing.
    """

    name: str
    needed: tuple[str, ...]
    weigh_again: str = ""
    wrong: str = ""

    @property
    def done(self) -> bool:
        """Whether the step can be done with what is there."""
        return not (self.needed or self.wrong)


@dataclass(frozen=True)
class Standing:
    """All steps in the order of the work, what looks wrong, and what to do next."""

    steps: tuple[Step, ...]
    warnings: tuple[str, ...]
    next: str

    def needs_of(self, step: Step) -> tuple[str, ...]:
        """Return what a step needs; what an earlier one needs as well is not said twice."""
        before = self.steps[: self.steps.index(step)]
        within = [e for e in before if e.needed and set(e.needed) <= set(step.needed)]
        if not within:
            return step.needed
        most = max(within, key=lambda earlier: len(earlier.needed))
        own = tuple(item for item in step.needed if item not in most.needed)
        return (f"as for {most.name}", *own)

    @property
    def ready(self) -> bool:
        """Whether no step lacks anything and none is stopped by what is there."""
        return all(step.done for step in self.steps)

    @property
    def wrong(self) -> tuple[str, ...]:
        """What in the job stops a step, each said once."""
        return tuple(dict.fromkeys(step.wrong for step in self.steps if step.wrong))


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
    steps = [_tried(name, attempt) for name, attempt in attempts]
    if steps[0].done:
        steps[0] = replace(steps[0], weigh_again=results.matched.weigh_again)
    spin = _tried("spin", lambda: results.spun)
    steps.append(replace(spin, needed=_all_of(spin.needed, lacks_for_spin(job))))
    needed = _all_of(steps[-1].needed, lacks_for_correct(job))
    steps.append(Step("correct", needed, wrong=spin.wrong))
    warnings = tuple(dict.fromkeys(_warnings(job, results, steps)))
    found = Standing(tuple(steps), warnings, "")
    found = replace(found, warnings=tuple(text for text in warnings if text not in found.wrong))
    return replace(found, next=_first(job, results, found))


def _tried(name: str, attempt: Callable[[], object]) -> Step:
    """Return a step with what it lacks or what stops it; the other steps are tried all the same."""
    try:
        attempt()
    except MissingInputError as missing:
        return Step(name, tuple(missing.needed))
    except HeavyspotError as wrong:
        return Step(name, (), wrong=str(wrong))
    return Step(name, ())


def _first(job: Job, results: Results, found: Standing) -> str:
    if found.wrong:
        return f"mend what stops a step above in {job.source}, then heavyspot check {job.source}"
    first = "look at what seems wrong above, then " if found.warnings else ""
    return first + _next(job, results, found.steps)


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
    if not (done and results.matched.sure):
        return f"heavyspot match {job.source}"
    return "" if job.standing_spins else _after_cuts(job, results)


def _after_cuts(job: Job, results: Results) -> str:
    """Return which parts are still to be weighed after their cuts, where some were."""
    names = ", ".join(part.name for part in still_to_weigh(results.matched.sets))
    return names and f"cut {names}, then heavyspot weigh {job.source} --finished for each"


def _next_of_crank(job: Job, results: Results, needed: dict[str, tuple[str, ...]]) -> str:
    if _can_spin(job) and not job.standing_spins:
        hung = f"heavyspot bobweight {job.source}, then " if results.need.needed else ""
        return f"{hung}heavyspot spin {job.source} --add"
    for step in ("spin", "correct"):
        if needed[step]:
            return f"heavyspot {step} {job.source}, once it has: {needed[step][0]}"
    return _next_of_spins(job, results, parts_missing=bool(needed["match"]))


def _next_of_spins(job: Job, results: Results, *, parts_missing: bool) -> str:
    """Return what comes next once the crank was spun and can be planned."""
    found = still_open(results)
    if found and found.kind == "stop":
        return "drill nothing before it is cleared up: heavyspot correct says what to look at"
    if waiting := sum(holes_since(job, results.spun).values()):
        holes = "hole was" if waiting == 1 else "holes were"
        return f"heavyspot spin {job.source} --add: {waiting} {holes} drilled since the last spin"
    if parts_missing:
        return f"heavyspot correct {job.source}"
    if after := _after_cuts(job, results):
        return after
    if found and found.kind == "bolt up":
        return bolt_up(results)
    paper = "work sheet" if found else "record: keep it, sign it, hand it over"
    return f"heavyspot report {job.source} writes the {paper}."


def _can_spin(job: Job) -> bool:
    return job.crank is not None and job.machine is not None


def _warnings(job: Job, results: Results, steps: Sequence[Step]) -> Iterator[str]:
    """Yield what looks wrong, as far as it can be looked at."""
    done = {step.name: step.done for step in steps}
    looks: tuple[Callable[[], Iterable[str]], ...] = (
        lambda: _of_parts(job, results, matched=done["match"]),
        lambda: filter(None, [taken_as_usual(job)]),
        lambda: filter(None, _of_sizes(job)),
        lambda: _sector_warnings(job),
        lambda: _of_spins(results) if done["spin"] else (),
        lambda: _of_machine(job),
    )
    for look in looks:
        try:
            yield from look()
        except HeavyspotError as wrong:
            yield str(wrong)


def _of_parts(job: Job, results: Results, *, matched: bool) -> Iterator[str]:
    doubts = results.matched.doubts if matched else doubts_job(job)
    yield from (doubt.text for doubt in doubts)
    if matched and not results.matched.match.feasible:
        yield f"matching: {results.matched.match.reason}"


def _of_sizes(job: Job) -> Iterator[str]:
    """Yield speeds and masses that are ten times wrong, seen against the stroke."""
    stroke, speed, crank = job.engine.stroke, job.targets.service_speed, job.crank
    if stroke is not None and speed is not None:
        yield speed_doubt(stroke, speed)
    if crank is None:
        return
    for part in job.bolted:
        yield bolted_mass_doubt(part.name, part.mass, crank_mass_g=crank.mass)
    if stroke is not None:
        yield crank_mass_doubt(
            crank.mass,
            stroke_mm=stroke,
            length_mm=crank.bearings[1] - crank.bearings[0],
            density_g_cm3=crank.density,
        )


def _of_spins(results: Results) -> Iterator[str]:
    yield from results.spun.doubts
    if said := results.unexplained:
        yield said
    if said := stop_text(results.job, results.recorded_check):
        yield said


def _of_machine(job: Job) -> Iterator[str]:
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
