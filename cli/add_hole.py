"""Record a hole that was drilled, with a question where it does not fit the part."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from balance.errors import InputError
from balance.job.append import append_entry
from balance.job.appended import DrilledPage
from balance.job.entries import drilled_entry, written_angle
from balance.job.load import read_job
from balance.job.model import Job
from balance.job.readings import as_marked
from balance.metal.drilled_holes import SAME_PLACE_DEGREES, holes_in
from balance.units import read
from balance.vectors import turn
from cli.asking import ask, settle
from cli.printing import harmless, next_step, say

_SAME_DRILL_MM = 0.01


def add_hole(path: Path, said: Sequence[str | None], *, sure: bool) -> int:
    """Append a hole to a job; what the command line leaves out is asked."""
    job = read_job(path)
    answers = [*_answers(job, said)]
    if len(answers) < len(said):
        say("Nothing was written.")
        return 1
    part, angle, diameter, depth = answers
    entry = drilled_entry(part, angle=angle, diameter=diameter, depth=depth)
    if not settle([*_doubts(job, entry)], sure=sure):
        say("Nothing was written.")
        return 1
    before = max((hole.depth for hole in _same_place(job, entry)), default=None)
    append_entry(path, "drilled", entry)
    deepened = "" if before is None else f" (it was {before:g} mm deep)"
    say(f"The hole in {part} at {entry['angle']}{deepened} is kept in {path}.")
    next_step(f"spin again and enter it: heavyspot spin {path} --add")
    return 0


def _answers(job: Job, said: Sequence[str | None]) -> Iterator[str]:
    """Yield part, angle, drill and depth as they will stand in the file, asked where not said."""
    marks = [page.mark for page in job.crank.counterweights] if job.crank else []
    marks += [page.name for page in job.bolted]
    unit = job.units.length
    asked: list[tuple[str, str, Callable[[str], str]]] = [
        (f"part ({', '.join(marks)})", "the mark of what was drilled", lambda w: _part(w, marks)),
        ("angle in the crank's frame, deg", "as the plan counts it: 171 deg", written_angle),
        ("drill", f"its diameter: 12 mm, 1/2 in; bare numbers are {unit}", _lengths(unit)),
        ("depth at full diameter", f"without the point; bare numbers are {unit}", _lengths(unit)),
    ]
    for (name, explained, understood), word in zip(asked, said, strict=True):
        answer = _asked(name, explained, understood) if word is None else understood(word)
        if answer is None:
            return
        yield answer


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


def _lengths(unit: str) -> Callable[[str], str]:
    return lambda written: _length(written, unit)


def _length(written: str, unit: str) -> str:
    text = " ".join(written.split())
    if read(text, "length", unit=unit) <= 0:
        raise InputError(f"{written!r} must be greater than 0")
    return f"{text} {unit}" if text[-1].isdigit() else text


def _doubts(job: Job, entry: dict[str, str]) -> Iterator[str]:
    """Yield what does not fit: already there, outside the sector, too deep, no drill of the job."""
    depth, diameter = (read(entry[key], "length") for key in ("depth", "diameter"))
    for hole in _same_place(job, entry):
        if depth <= hole.depth:
            yield (
                f"{entry['part']} at {entry['angle']} is already recorded with {hole.depth:g} mm; "
                "a deeper entry is a hole deepened"
            )
    sizes = [size for _, size in job.drills.sizes]
    if sizes and all(abs(size - diameter) > 0.01 for size in sizes):
        yield f"{entry['diameter']} is no drill of [drills] in this job"
    for weight in job.crank.counterweights if job.crank else ():
        if weight.mark != entry["part"]:
            continue
        if abs(turn(read(entry["angle"], "angle") - weight.centre)) > weight.half_span:
            sector = f"{weight.centre:g} +/- {weight.half_span:g} deg"
            yield f"{entry['angle']} is outside counterweight {weight.mark} ({sector})"
        if depth > weight.max_depth:
            yield f"{entry['depth']} is deeper than its max_depth of {weight.max_depth:g} mm"


def _same_place(job: Job, entry: dict[str, str]) -> Iterator[DrilledPage]:
    """Yield the holes that the same drill would go into, or a smaller one: they are there."""
    angle, diameter = read(entry["angle"], "angle"), read(entry["diameter"], "length")
    for hole in holes_in(job, entry["part"]):
        near = abs(turn(hole.angle - angle)) <= SAME_PLACE_DEGREES
        if near and diameter <= hole.diameter + _SAME_DRILL_MM:
            yield hole
