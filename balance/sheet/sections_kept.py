"""The sections of the record that are kept: weights, spins, holes, how to refit, origin."""

import datetime as dt
from collections.abc import Iterator

from balance import __version__
from balance.job.appended import SpinPage
from balance.job.model import BoltedPage, Job
from balance.sheet.blocks import Block, Bullets, Column, Table, Text, clean
from balance.sheet.results import Results
from balance.sheet.wording import (
    angle_text,
    both_units,
    capital,
    drill_text,
    number,
)
from balance.spin.stack import mounting

__all__ = [
    "measured_section",
    "origin_section",
    "refit_section",
    "work_section",
]


def measured_section(results: Results) -> tuple[Block, ...]:
    """Return the machine as it was understood and every spin as the machine showed it."""
    job, spun = results.job, results.spun
    name = clean(job.machine.name) if job.machine and job.machine.name else "Balancing machine"
    proven = "Proven with known masses." if spun.proven else "NOT PROVEN with a known mass."
    timed = any(spin.time for spin in job.standing_spins)
    rows = tuple(row for spin in job.standing_spins for row in _spin_rows(job, spin, timed=timed))
    columns = (
        Column("spin"), Column("what turned"), Column("holes so far", "right"),
        *((Column("when"),) if timed else ()),
        Column("rpm", "right"), Column("plane"), Column("amount", "right"),
        Column("angle", "right"),
    )  # fmt: skip
    unit = f" Amounts without a unit in {job.machine.unit}." if job.machine else ""
    table = Table(columns, rows, f"As the machine showed it.{unit}")
    return (Text(f"{capital(name)}. {proven} How it counts: section 8."), table)


def _spin_rows(job: Job, spin: SpinPage, *, timed: bool) -> Iterator[tuple[str, ...]]:
    for n, reading in enumerate(spin.readings):
        head = (
            clean(spin.name), " + ".join(clean(part) for part in spin.on),
            str(len(job.standing_holes(last=spin.drilled))),
            *((_when(spin.time),) if timed else ()),
            "" if spin.speed is None else f"{spin.speed:.0f}",
        )  # fmt: skip
        shown = (clean(reading.plane), clean(reading.amount), angle_text(reading.angle))
        yield (*(head if n == 0 else [""] * len(head)), *shown)


def _when(time: dt.datetime | None) -> str:
    return "" if time is None else time.isoformat(" ", "minutes")


def work_section(results: Results) -> tuple[Block, ...]:
    """Return what was drilled so far, and what is planned."""
    job = results.job
    blocks: list[Block] = []
    if job.standing_holes():
        rows = tuple(
            (
                clean(hole.part), angle_text(hole.angle),
                drill_text(hole.diameter, job.drills.sizes), f"{hole.depth:.1f}",
                _when(hole.time),
            )
            for hole in job.standing_holes()
        )  # fmt: skip
        columns = (
            Column("drilled in"), Column("angle", "right"), Column("drill"),
            Column("full depth, mm", "right"), Column("when"),
        )  # fmt: skip
        blocks.append(Table(columns, rows))
    planned = [*_planned_holes(results)]
    if planned:
        blocks += [Text("Planned, not drilled yet:"), Bullets(tuple(planned))]
    return tuple(blocks) or (Text("No hole was drilled and none is planned."),)


def _planned_holes(results: Results) -> Iterator[str]:
    crank, sizes = results.corrected.crank, results.job.drills.sizes
    for n, slug in enumerate(crank.plan.slugs, start=1):
        choice = slug.choice
        yield (
            f"{clean(crank.marks[slug.counterweight])}, slug S{n}: {angle_text(slug.degrees)}, "
            f"{number(choice.diameter_mm, 2)} × {number(choice.length_mm, 2)} mm"
        )
    for n, hole in enumerate(crank.plan.holes, start=1):
        yield (
            f"{clean(crank.marks[hole.counterweight])}, hole {n}: {angle_text(hole.degrees)}, "
            f"{drill_text(hole.diameter_mm, sizes)}, {hole.depth_mm:.1f} mm deep"
        )
    for disc in results.corrected.discs:
        for n, spot in enumerate(disc.plan.holes, start=1):
            yield (
                f"{clean(disc.name)}, hole {n}: {angle_text(spot.degrees)}, "
                f"{drill_text(spot.diameter_mm, sizes)}, {spot.depth_mm:.1f} mm deep"
            )


def refit_section(results: Results) -> tuple[Block, ...]:
    """Return how the bolted parts go back on, and what a refit can change."""
    rows = tuple(
        (
            clean(part.name), clean(part.mark) or "MARK IT before it comes off",
            f"{part.mass / 1000:.2f}", *_seat(part),
        )
        for part in results.job.bolted
    )  # fmt: skip
    columns = (
        Column("part"), Column("mark: refit it exactly so"), Column("mass, kg", "right"),
        Column("run-out of its seat, and what that makes at its mark", "right"),
        Column("a refit may change, by the clearance", "right"),
    )  # fmt: skip
    steps = Bullets((
        "Line up the marks before anything is bolted; no mark, no refit: have it spun again.",
        "Clean both faces and the register; no burr, no paint. Tighten crosswise, in steps, to the "
        "maker's torque.",
        "A new flywheel, clutch cover or damper is a new part: it has to be balanced.",
    ))  # fmt: skip
    return (Table(columns, rows), steps, Text("Common practice, no source.", small=True))


def _seat(part: BoltedPage) -> tuple[str, str]:
    """Return what the run-out of a part's seat makes, and what its clearance lets a refit change.

    At the same mark the run-out stays as it is, so that only the clearance can come out anew.
    """
    seat = mounting(mass_g=part.mass, tir_mm=part.run_out, clearance_mm=part.clearance)
    stays_gmm = seat.unbalance_gmm - seat.refit_gmm
    run_out = f"{number(part.run_out, 3)} mm: {both_units(stays_gmm)}" if part.run_out else ""
    change = both_units(seat.refit_gmm) if part.clearance else ""
    return run_out or "not known", change or "clearance not known"


def origin_section(results: Results) -> tuple[Block, ...]:
    """Return what this record was made from, so that it can be made again in ten years."""
    job = results.job
    note = f" Note: {clean(job.job.note)}" if job.job.note else ""
    return (
        Text(
            f"Made by heavyspot {__version__} from a job file of format {job.format}. SHA-256 of "
            f"the file: {job.digest}.{note}",
            small=True,
        ),
    )
