"""Record a hole that was drilled, with a question where it does not fit; or take one back."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

from balance.errors import HeavyspotError, InputError
from balance.job.append import append_entry
from balance.job.appended import DrilledPage
from balance.job.drills import SAME_DRILL_MM
from balance.job.entries import drilled_entry, now, written_angle, written_length
from balance.job.load import read_job
from balance.job.model import CounterweightPage, Job
from balance.job.readings import as_marked
from balance.metal.drilled_holes import holes_in, same_place
from balance.metal.overlap import overlaps
from balance.sheet.wording import capital
from balance.units import read
from balance.vectors import fold, turn
from cli.asking import ask, nothing_kept, settle
from cli.held_to_plan import HeldToPlan, held_to_plan
from cli.printing import bullets, harmless, next_step, say


def add_hole(path: Path, said: Sequence[str | None], *, sure: bool) -> int:
    """Append a hole to a job; what the command line leaves out is asked."""
    job = read_job(path)
    with nothing_kept():
        answers = [*_answers(job, said)]
    if len(answers) < len(said):
        say("Nothing was written.")
        return 1
    part, angle, diameter, depth = answers
    _may_be_drilled(job, part)
    entry = drilled_entry(part, angle=angle, diameter=diameter, depth=depth)
    hole = _hole(entry)
    held, doubts = _looked_at(job, hole, sure=sure)
    with nothing_kept():
        agreed = settle(doubts, sure=sure, instead="if it was really drilled so, ")
    if not agreed:
        say("Nothing was written.")
        return 1
    before = max((old.depth for old in _there_already(job, hole)), default=None)
    after = append_entry(path, "drilled", entry)
    deepened = "" if before is None else f" (it was {before:g} mm deep)"
    which = f": {held.kept}" if held.planned else ""
    say(f"The hole in {part} at {entry['angle']}{deepened} is kept in {path}{which}.")
    if held.kept and not held.planned:
        say(f"{capital(held.kept)}.")
    next_step(_there_then(path) if _contradicted(job) else _next(path, held, after))
    return 0


def _contradicted(job: Job) -> bool:
    """Whether the last spin contradicts the holes that were recorded before this one."""
    from balance.sheet.results import Results

    try:
        return bool(Results(job).unexplained)
    except HeavyspotError:  # nothing was spun, or nothing can be made of it: the spin says so
        return False


def _there_then(path: Path) -> str:
    return (
        "was this hole there at the last spin already? Then take that spin back (heavyspot spin "
        f"{path} --undo) and enter it again with --add. Drilled only now? Spin, and enter that"
    )


def _next(path: Path, held: HeldToPlan, after: Job) -> str:
    spin = f"spin again and enter it: heavyspot spin {path} --add"
    numbers = [str(each.number) for each in held.to_come(after)]
    if not numbers:
        return spin
    holes = f"hole {numbers[0]}" if len(numbers) == 1 else f"holes {', '.join(numbers)}"
    return f"drill and record {holes} of the plan (heavyspot correct {path}), then {spin}"


def undo_hole(path: Path, said: Sequence[str | None]) -> int:
    """Take back the latest hole, of a part or of all, by an entry of its own; say which it was."""
    job = read_job(path)
    part, *more = said
    if any(word is not None for word in more):
        raise InputError("--undo takes back the latest hole: name its part or nothing")
    holes = job.standing_holes()
    if part is not None:
        mark = as_marked(part, _marks(job))
        holes = tuple(hole for hole in holes if hole.part == mark)
    if not holes:
        raise InputError(f"no hole{f' of {part}' if part else ''} is recorded: none to take back")
    lost = holes[-1]
    after = append_entry(path, "drilled", {"part": lost.part, "undo": True, "time": now()})
    when = f", of {lost.time:%Y-%m-%d %H:%M}" if lost.time else ""
    say(f"Taken back: the latest hole of {lost.part}{when}.")
    bullets([f"{lost.part} at {lost.angle:g} deg, {lost.diameter:g} mm, {lost.depth:g} mm deep"])
    earlier = sum(hole.part == lost.part for hole in after.standing_holes())
    say(f"Holes of {lost.part} that still count: {earlier}.")
    if len(after.standing_holes(last=_spun(after))) < len(job.standing_holes(last=_spun(job))):
        say(
            "A spin counted it as drilled; for every spin it now was never there. If metal was",
            f"cut, record what was cut, take that spin back (heavyspot spin {path} --undo) and",
            "enter it again.",
        )
    next_step(f"heavyspot drilled {path} for the hole that counts.")
    return 0


def _spun(job: Job) -> int:
    """Return how many entries the spins know of."""
    return max((spin.drilled for spin in job.standing_spins), default=0)


def _marks(job: Job) -> list[str]:
    marks = [page.mark for page in job.crank.counterweights] if job.crank else []
    return marks + [page.name for page in job.bolted]


def _answers(job: Job, said: Sequence[str | None]) -> Iterator[str]:
    """Yield part, angle, drill and depth as they will stand in the file, asked where not said."""
    marks, unit = _marks(job), job.units.length
    length = partial(written_length, unit=unit)
    asked: list[tuple[str, str, Callable[[str], str]]] = [
        (f"part ({', '.join(marks)})", "the mark of what was drilled", lambda w: _part(w, marks)),
        ("angle in the crank's frame, deg", "as the plan counts it: 171 deg", _angle),
        ("drill", f"its diameter: 12 mm, 1/2 in; bare numbers are {unit}", length),
        ("depth at full diameter", f"without the point; bare numbers are {unit}", length),
    ]
    for (name, explained, understood), word in zip(asked, said, strict=True):
        answer = _asked(name, explained, understood) if word is None else understood(word)
        if answer is None:
            return
        yield answer


def _angle(written: str) -> str:
    """Return the place of a hole from 0 to 360 degrees; another number for it is said aloud."""
    text = written_angle(written)
    degrees = read(text, "angle")
    if 0 <= degrees < 360:
        return text
    folded = f"{float(fold(degrees)):.10g} deg"
    say(f"{text} is {folded}.")
    return folded


def _asked(name: str, explained: str, understood: Callable[[str], str]) -> str | None:
    """Ask until the answer can be understood; None when the person stops."""
    while answer := ask(f"{name} > ", explained=f"{explained}; q stops"):
        if answer.lower() == "q":
            return None
        try:
            return understood(answer)
        except InputError as wrong:
            print(f"  {harmless(str(wrong))}")
    return None


def _part(said: str, marks: Sequence[str]) -> str:
    part = as_marked(said, marks)
    if part not in marks:
        known = ", ".join(marks) or "none yet"
        raise InputError(f"{said!r} is neither a counterweight nor a bolted part: {known}")
    return part


def _may_be_drilled(job: Job, part: str) -> None:
    """Refuse a hole in a bolted part of which the job does not know where its holes lie."""
    if any(page.name == part and page.left_as_it_is for page in job.bolted):
        raise InputError(
            f"{part} is written as a part that is not drilled: what a hole takes from it cannot be "
            "told. Write hole_radius, max_depth and hole_spacing of it under [[bolted]] first"
        )


def _hole(entry: dict[str, str]) -> DrilledPage:
    """Return the hole of an entry in inside units; every number in it has its unit."""
    return DrilledPage(
        part=entry["part"],
        angle=read(entry["angle"], "angle"),
        diameter=read(entry["diameter"], "length"),
        depth=read(entry["depth"], "length"),
    )


def _looked_at(job: Job, hole: DrilledPage, *, sure: bool) -> tuple[HeldToPlan, list[str]]:
    """Return what the plan says and what looks wrong, the likeliest alone.

    Planning takes its time: it is left out where the answer would change nothing.
    """
    if sure:
        return HeldToPlan("kept as it was drilled, without a look at the plan"), []
    if twice := [*_twice(job, hole)]:
        return HeldToPlan(), twice
    held = held_to_plan(job, hole)
    if held.slip:
        return held, [held.doubt]
    return held, [*_doubts(job, hole)] or [held.doubt] * bool(held.doubt)


def _twice(job: Job, hole: DrilledPage) -> Iterator[str]:
    """Yield where the metal is gone already: the hole itself, or one that it would cut into."""
    same = [*_there_already(job, hole)]
    for old in same:
        if hole.depth <= old.depth:
            yield (
                f"{hole.part} at {hole.angle:g} deg is already recorded with {old.depth:g} mm: "
                "entered twice? A deeper entry is a hole deepened, --undo takes the latest back"
            )
    for old in holes_in(job, hole.part) if not same else ():
        if not same_place(old, hole) and overlaps(job, hole, old):
            yield (
                f"{hole.part} at {hole.angle:g} deg cuts into the hole at {old.angle:g} deg "
                f"({old.diameter:g} mm, {old.depth:g} mm deep), whose metal is gone: entered "
                f"twice? To deepen that hole write {old.angle:g} deg"
            )


def _doubts(job: Job, hole: DrilledPage) -> Iterator[str]:
    """Yield what does not fit the job: no drill of it, outside the sector, too deep."""
    sizes = [size for _, size in job.drills.sizes]
    if sizes and all(abs(size - hole.diameter) > SAME_DRILL_MM for size in sizes):
        yield f"{hole.diameter:g} mm is no drill of [drills] in this job"
    for weight in job.crank.counterweights if job.crank else ():
        if weight.mark == hole.part:
            yield from _outside(weight, hole)


def _outside(weight: CounterweightPage, hole: DrilledPage) -> Iterator[str]:
    if abs(turn(hole.angle - weight.centre)) > weight.half_span:
        sector = f"{weight.centre:g} +/- {weight.half_span:g} deg"
        yield f"{hole.angle:g} deg is outside counterweight {weight.mark} ({sector})"
    if hole.depth > weight.max_depth:
        yield f"{hole.depth:g} mm is deeper than its max_depth of {weight.max_depth:g} mm"


def _there_already(job: Job, hole: DrilledPage) -> Iterator[DrilledPage]:
    """Yield the holes that the same drill would go into, or a smaller one: they are there."""
    for old in holes_in(job, hole.part):
        if same_place(old, hole) and hole.diameter <= old.diameter + SAME_DRILL_MM:
            yield old
