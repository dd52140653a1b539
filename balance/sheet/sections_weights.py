"""The section of the record about weights: first weighed, and after the cuts."""

from collections.abc import Iterator

from balance.job.model import Job
from balance.job.readings import wanted_weighings
from balance.parts.finished import CutPart
from balance.sheet.blocks import Block, Column, Notice, Table, Text, clean
from balance.sheet.results import Results
from balance.sheet.wording import number

__all__ = ["weights_section"]


def weights_section(results: Results) -> tuple[Block, ...]:
    """Return every weighed part: as first weighed and as finished."""
    matched = results.matched
    if again := matched.weigh_again:
        return (Notice("NOT KNOWN: ", f"the weighings of {clean(again)} contradict each other."),)
    if not matched.match.feasible:
        return (Notice("NO SETS: ", clean(matched.match.reason)),)
    rows = tuple(
        (
            clean(cylinder) or "–", _change(entry.cut_parts[0]), f"{entry.pin_g:.2f}",
            _change(entry.cut_parts[1]), _change(entry.cut_parts[2]),
            f"{entry.reciprocating_g:.2f}", f"{entry.rotating_g:.2f}",
        )
        for cylinder, entry in results.placed
    )  # fmt: skip
    columns = (
        Column("cylinder"), Column("piston, g", "right"), Column("pin, g", "right"),
        Column("small end, g", "right"), Column("big end, g", "right"),
        Column("reciprocating, g", "right"), Column("rotating, g", "right"),
    )  # fmt: skip
    scale = results.job.scale
    caption = (
        "First weighed → weighed after the cut; in brackets: planned, not weighed yet. "
        "Reciprocating and rotating hold rings, locks and shells. Scale: "
        f"{number(scale.resolution, 3)} g a division, repeatability "
        f"{matched.bench.repeatability_g:.2f} g."
    )
    return (Table(columns, rows, caption), *_finished(results.job))


def _change(part: CutPart) -> str:
    before = f"{part.first_g:.2f}"
    if part.finished_g is not None:
        return f"{before} → {part.finished_g:.2f}"
    planned = round(part.first_g - part.stop_g, 2)
    return f"{before} → ({part.stop_g:.2f})" if planned else before


def _finished(job: Job) -> Iterator[Block]:
    """Yield the weighings made after cutting that stand, where there are any."""
    done = [entry for entry in wanted_weighings(job, finished=True) if entry.readings_g]
    if done:
        said = "; ".join(
            f"{clean(e.part)} {e.what.replace('_', ' ')} {value:.2f} g"
            for e in done
            for value in e.readings_g
        )
        yield Text(f"Weighed after cutting: {said}.")
