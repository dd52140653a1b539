"""Record a hole that was drilled, with a question where it does not fit the part."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from balance.errors import InputError
from balance.job.append import append_entry
from balance.job.entries import drilled_entry, written_angle
from balance.job.load import read_job
from balance.job.model import Job
from balance.units import read
from balance.vectors import turn
from cli.asking import ask, settle
from cli.printing import next_step, say

ASKED = ("part", "angle in the crank's frame, deg", "drill", "depth at full diameter")


def add_hole(path: Path, said: Sequence[str | None], *, sure: bool) -> int:
    """Append a hole to a job; what the command line leaves out is asked."""
    job = read_job(path)
    answers = [*_answers(said)]
    if len(answers) < len(ASKED):
        say("Nothing was written.")
        return 1
    part, angle, diameter, depth = answers
    unit = job.units.length
    entry = drilled_entry(
        part,
        angle=written_angle(angle),
        diameter=_length(diameter, unit),
        depth=_length(depth, unit),
    )
    if not settle([*_doubts(job, entry)], sure=sure):
        say("Nothing was written.")
        return 1
    append_entry(path, "drilled", entry)
    say(f"The hole in {part} at {entry['angle']} is kept in {path}.")
    next_step(f"spin again and enter it: heavyspot spin {path} --add")
    return 0


def _answers(said: Sequence[str | None]) -> Iterator[str]:
    for name, word in zip(ASKED, said, strict=True):
        answer = ask(f"{name} > ") if word is None else word
        if not answer or answer.lower() == "q":
            return
        yield answer


def _length(written: str, unit: str) -> str:
    text = " ".join(written.split())
    if read(text, "length", unit=unit) <= 0:
        raise InputError(f"{written!r} must be greater than 0")
    return f"{text} {unit}" if text[-1].isdigit() else text


def _doubts(job: Job, entry: dict[str, str]) -> Iterator[str]:
    """Yield what does not fit: outside the sector, too deep, a drill that is not in the drawer."""
    depth, diameter = (read(entry[key], "length") for key in ("depth", "diameter"))
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
