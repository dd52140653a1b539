"""The sections that only the balance record has: verdict, before and after, what was measured."""

import datetime as dt
import hashlib
from collections.abc import Iterator
from contextlib import suppress

from balance import __version__
from balance.errors import MissingInputError
from balance.job.model import Job, SpinPage
from balance.sheet.blocks import Block, Bullets, Column, Notice, Picture, Table, Text, clean
from balance.sheet.drawings_setup import bars_drawing
from balance.sheet.results import Results
from balance.sheet.sections_spin import GUARD_TEXT, limits_text, rows_of
from balance.sheet.wording import (
    VERDICTS,
    angle_text,
    at_text,
    both_units,
    capital,
    drill_text,
    gmm_text,
    number,
)
from balance.spin.steps import Spun
from balance.units import show
from balance.vectors import amount

__all__ = [
    "change_section",
    "digest_text",
    "measured_section",
    "origin_section",
    "refit_section",
    "verdict_section",
    "weights_section",
    "work_section",
]


def verdict_section(results: Results) -> tuple[Block, ...]:
    """Return in a frame what the last spins prove, and what is still to be done."""
    verdicts = [part.verdict for part in results.spun.parts]
    if results.corrected.waiting:
        said = (
            f"{results.corrected.waiting} holes were drilled since the last spin: not proven yet."
        )
        return (Notice("NOT FINISHED. ", said),)
    if all(verdict == "pass" for verdict in verdicts):
        said = "Every part is within its limit as last measured, its uncertainty counted."
        return (Notice("WITHIN THE LIMITS. ", said),)
    names = ", ".join(
        f"{clean(part.name)}: {VERDICTS[part.verdict]}"
        for part in results.spun.parts
        if part.verdict != "pass"
    )
    plan = "Expected after the planned work: see below; only a spin proves it."
    if not results.corrected.feasible:
        plan = "There is no plan yet that brings every part inside."
    return (Notice("NOT FINISHED. ", f"As last measured: {names}. {plan}"),)


def first_spun(results: Results) -> Spun | None:
    """Return what the spins said before any hole of this job; None when that is not known."""
    job = results.job
    least = {on: min(s.drilled for s in job.spins if s.on == on) for on in
             {spin.on for spin in job.spins}}  # fmt: skip
    early = tuple(spin for spin in job.spins if spin.drilled == least[spin.on])
    if len(early) == len(job.spins):
        return results.spun
    try:
        return Results(job.model_copy(update={"spins": early})).spun
    except MissingInputError:
        return None


def change_section(results: Results) -> tuple[Block, ...]:
    """Return every part and plane: as first and last measured, as planned, limit, verdict."""
    spun, first = results.spun, first_spun(results)
    before = {} if first is None else {part.name: part.unbalance for part in first.parts}
    respun = first is not spun
    after = _planned(results)
    rows: list[tuple[str, ...]] = []
    bars: list[tuple[str, float, float | None, float]] = []
    for part in spun.parts:
        old, planned = before.get(part.name), after.get(part.name)
        for n, (name, plane) in enumerate(rows_of(part)):
            limit, last = float(part.permissible_gmm[n]), part.unbalance[n]
            start = last if old is None else old[n]
            end = planned[n] if planned is not None else last if respun else None
            bars.append((
                f"{name}, {plane}", float(amount(start)),
                None if end is None else float(amount(end)), limit,
            ))  # fmt: skip
            rows.append((
                name, plane, "not known" if old is None else at_text(old[n]),
                *((at_text(last),) if respun else ()),
                "nothing planned" if planned is None else at_text(planned[n]),
                f"{limit:.0f}", show(limit, "unbalance", "oz in").removesuffix(" oz in"),
                f"{part.u_gmm[n]:.1f}", VERDICTS[part.verdict],
            ))  # fmt: skip
    columns = (
        Column("part"), Column("plane"), Column("first measured" if respun else "measured"),
        *((Column("last measured"),) if respun else ()), Column("expected after the plan"),
        Column("limit, g mm", "right"), Column("limit, oz in", "right"),
        Column("u, g mm", "right"), Column("verdict, as measured last"),
    )  # fmt: skip
    table = Table(columns, tuple(rows), f"{limits_text(results)} {GUARD_TEXT}")
    return (table, _bars(bars), *_together(spun))


def _planned(results: Results) -> dict[str, list[complex]]:
    """Return what should remain of each part that has holes or slugs planned."""
    try:
        corrected = results.corrected
    except MissingInputError:
        return {}
    plan = corrected.crank.plan
    planned = {disc.name: [disc.plan.residual] for disc in corrected.discs if disc.plan.holes}
    if plan.holes or plan.slugs:
        planned["crank"] = list(plan.residual)
    return planned


def _bars(bars: list[tuple[str, float, float | None, float]]) -> Picture:
    drawing = bars_drawing(bars)
    words = "; ".join(
        f"{name}: before {gmm_text(before)}"
        + ("" if after is None else f", after {gmm_text(after)}")
        + f", limit {gmm_text(limit)} g mm"
        for name, before, after, limit in bars
    )
    return Picture(drawing.svg, f"Unbalance before and after: {words}.", drawing.width_mm,
                   "Amount of unbalance before and after, g mm. Dashed: the limit.")  # fmt: skip


def _together(spun: Spun) -> Iterator[Block]:
    last = spun.stacks[-1]
    if len(last.on) > 1:
        parts = "; ".join(
            f"bearing at z {number(z)} mm: {at_text(v)}, limit {gmm_text(float(limit))} g mm"
            for z, v, limit in zip(
                spun.bearings_mm, last.unbalance, spun.total_permissible_gmm, strict=True
            )
        )
        names = " + ".join(clean(name) for name in last.on)
        yield Text(f"All together, last measured ({names}): {parts}: "
                   f"{VERDICTS[spun.total_verdict]}.")  # fmt: skip


def weights_section(results: Results) -> tuple[Block, ...]:
    """Return every weighed part: as weighed and as finished."""
    card = results.card
    rows = tuple(
        (
            clean(cylinder), _change(entry.piston_g, entry.piston_cut_g), f"{entry.pin_g:.2f}",
            _change(entry.small_end_g, entry.small_end_cut_g),
            _change(entry.big_end_g, entry.big_end_cut_g), f"{entry.reciprocating_g:.2f}",
            f"{entry.rotating_g:.2f}",
        )
        for cylinder, entry in zip(card.cylinders, card.sets, strict=True)
    )  # fmt: skip
    columns = (
        Column("cylinder"), Column("piston, g", "right"), Column("pin, g", "right"),
        Column("small end, g", "right"), Column("big end, g", "right"),
        Column("reciprocating, g", "right"), Column("rotating, g", "right"),
    )  # fmt: skip
    scale = results.job.scale
    caption = (
        "As weighed → as planned after the cut. Reciprocating and rotating hold rings, locks and "
        f"shells. Scale: {number(scale.resolution, 3)} g a division, repeatability "
        f"{results.matched.bench.repeatability_g:.2f} g."
    )
    return (Table(columns, rows, caption), *_finished(results.job))


def _change(after_g: float, cut_g: float) -> str:
    return f"{after_g + cut_g:.2f} → {after_g:.2f}" if round(cut_g, 2) else f"{after_g:.2f}"


def _finished(job: Job) -> Iterator[Block]:
    """Yield the weighings made after cutting, where there are any."""
    done = [entry for entry in job.weighings if entry.finished and entry.value is not None]
    if done:
        said = "; ".join(
            f"{clean(e.part)} {e.what.replace('_', ' ')} {e.value:.2f} g" for e in done
        )
        yield Text(f"Weighed after cutting: {said}.")


def measured_section(results: Results) -> tuple[Block, ...]:
    """Return the machine as it was understood and every spin as the machine showed it."""
    job, spun = results.job, results.spun
    name = clean(job.machine.name) if job.machine and job.machine.name else "Balancing machine"
    proven = "Proven with known masses." if spun.proven else "NOT PROVEN with a known mass."
    timed = any(spin.time for spin in job.spins)
    rows = tuple(row for spin in job.spins for row in _spin_rows(spin, timed=timed))
    columns = (
        Column("spin"), Column("what turned"), Column("holes so far", "right"),
        *((Column("when"),) if timed else ()),
        Column("rpm", "right"), Column("plane"), Column("amount", "right"),
        Column("angle", "right"),
    )  # fmt: skip
    unit = f" Amounts without a unit in {job.machine.unit}." if job.machine else ""
    table = Table(columns, rows, f"As the machine showed it.{unit}")
    return (Text(f"{capital(name)}. {proven} How it counts: section 8."), table)


def _spin_rows(spin: SpinPage, *, timed: bool) -> Iterator[tuple[str, ...]]:
    for n, reading in enumerate(spin.readings):
        head = (
            clean(spin.name), " + ".join(clean(part) for part in spin.on), str(spin.drilled),
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
    if job.drilled:
        rows = tuple(
            (
                clean(hole.part), angle_text(hole.angle),
                drill_text(hole.diameter, job.drills.sizes), f"{hole.depth:.1f}",
                _when(hole.time),
            )
            for hole in job.drilled
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
    job = results.job
    seats: dict[str, float] = {}
    with suppress(MissingInputError):  # not spun yet: the marks are known all the same
        seats = {part.name: part.mounting_gmm for part in results.spun.parts}
    rows = tuple(
        (
            clean(part.name), clean(part.mark) or "MARK IT before it comes off",
            f"{part.mass / 1000:.2f}", f"{number(part.run_out, 3)}",
            both_units(seats[part.name]) if seats.get(part.name) else "not known",
        )
        for part in job.bolted
    )  # fmt: skip
    columns = (
        Column("part"), Column("mark: refit it exactly so"), Column("mass, kg", "right"),
        Column("run-out of its seat, mm", "right"), Column("a refit may change"),
    )  # fmt: skip
    steps = Bullets((
        "Line up the marks before anything is bolted; no mark, no refit: have it spun again.",
        "Clean both faces and the register; no burr, no paint. Tighten crosswise, in steps, to the "
        "maker's torque.",
        "A new flywheel, clutch cover or damper is a new part: it has to be balanced.",
    ))  # fmt: skip
    return (Table(columns, rows), steps, Text("Common practice, no source.", small=True))


def digest_text(job: Job) -> str:
    """Return a digest of everything that the job's file says, comments left out.

    Examples
    --------
    >>> from balance.job.load import read_text
    >>> text = '''format = 1
    ... job = {name = "one"}
    ... engine = {layout = "single", stroke = 80, rod_length = 130, bore_spacing = 90}
    ... '''
    >>> digest_text(read_text(text)) == digest_text(read_text("# the same" + chr(10) + text))
    True
    """
    return hashlib.sha256(job.model_dump_json().encode()).hexdigest()


def origin_section(results: Results) -> tuple[Block, ...]:
    """Return what this record was made from, so that it can be made again in ten years."""
    job = results.job
    note = f" Note: {clean(job.job.note)}" if job.job.note else ""
    return (
        Text(
            f"Made by heavyspot {__version__} from a job file of format {job.format}. SHA-256 of "
            f"what the file says: {digest_text(job)}.{note}",
            small=True,
        ),
    )
