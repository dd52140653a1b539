"""The sections of the record that are kept: weights, spins, holes, how to refit, origin."""

import datetime as dt
from collections.abc import Iterator, Sequence

from balance import __version__
from balance.job.appended import ProofPage, PuttyPage, ReadingPage, SpinPage, StuckPage
from balance.job.model import BoltedPage, Job, MachinePage
from balance.sheet.blocks import Block, Bullets, Column, Side, Table, Text, clean
from balance.sheet.results import Results
from balance.sheet.wording import angle_text, both_units, drill_text, number, unbroken
from balance.spin.seats import seat_of

__all__ = [
    "measured_section",
    "origin_section",
    "refit_section",
    "work_section",
]


def measured_section(results: Results) -> tuple[Block, ...]:
    """Return the rotor, the machine as it was understood, and every spin as it showed it."""
    job, spun = results.job, results.spun
    page = job.machine
    if page is None:  # something was spun: there is a machine
        return ()
    name = clean(page.name) or "balancing machine"
    proven = "proven with known masses" if spun.proven else "NOT PROVEN with a known mass"
    dated = f", last on {page.proven.isoformat()}" if page.proven else ""
    who = clean(job.job.balancer) or "a name that is not written"
    said = f"Measured by {who} on {name}, {proven}{dated}. How it counts: section 8."
    rows = tuple(row for spin in job.standing_spins for row in _spin_rows(job, spin))
    columns = (
        Column("spin"), Column("what turned"), Column("when"), Column("bobweights, g"),
        Column("holes so far", "right"), Column("rpm", "right"), *SHOWN,
    )  # fmt: skip
    table = Table(columns, rows, "As the machine showed it: its planes, its unit, its angle.")
    return (Text(f"{said} {_rotor(job)}"), table, *_proofs(job, page))


SHOWN = (Column("plane"), Column("amount", "right"), Column("angle", "right"))


def _rotor(job: Job) -> str:
    """Return what the crank was: its mass and where its bearings and counterweights are."""
    if (crank := job.crank) is None:
        return ""
    near, far = (number(z) for z in crank.bearings)
    datum = f"z from: {clean(crank.datum)}" if crank.datum else "z from a place that is not written"
    weights = "; ".join(
        f"{clean(w.mark)} {number(w.z)}, {number(w.radius)}, {angle_text(w.centre)}"
        for w in crank.counterweights
    )
    return (
        f"Crank of {crank.mass / 1000:.2f} kg, {clean(crank.material)}; bearings at z {near} and "
        f"{far} mm ({datum})."
        + f" Counterweights (z, rim radius, middle): {weights}."
        * bool(weights)
    )


def _spin_rows(job: Job, spin: SpinPage) -> Iterator[tuple[str, ...]]:
    head = (
        clean(spin.name), " + ".join(clean(part) for part in spin.on), _when(spin.time),
        ", ".join(number(mass, 1) for mass in spin.bobweights) or "none",
        str(len(job.standing_holes(last=spin.drilled))),
        "" if spin.speed is None else f"{spin.speed:.0f}",
    )  # fmt: skip
    yield from _readings(job, head, spin.readings)


def _readings(
    job: Job, head: tuple[str, ...], readings: Sequence[ReadingPage]
) -> Iterator[tuple[str, ...]]:
    """Yield one row a plane, the first with what is said of the whole spin."""
    unit = job.machine.unit if job.machine else ""
    for n, reading in enumerate(readings):
        amount = clean(reading.amount)
        bare = not any(letter.isalpha() for letter in amount)
        shown = f"{amount} {unit}" if bare else amount
        first = head if n == 0 else ("",) * len(head)
        yield (*first, clean(reading.plane), shown, angle_text(reading.angle))


def _proofs(job: Job, page: MachinePage) -> Iterator[Block]:
    """Yield the spins with known masses: the way back to how the machine counted."""
    rows = [
        row for proof in job.proofs
        for row in _readings(job, (_stuck(proof), _when(proof.time)), proof.readings)
    ]  # fmt: skip
    for spin in job.check_spins:
        said = f"check spin, holes so far {len(job.standing_holes(last=spin.drilled))}: "
        rows += _readings(job, (said + _stuck(spin), _when(spin.time)), spin.readings)
    if not rows:
        return
    places = ", ".join(f"{clean(plane.name)} z {number(plane.z)} mm" for plane in page.planes)
    columns = (Column("known mass stuck on"), Column("when"), *SHOWN)
    yield Table(columns, tuple(rows), f"What proved the machine. Its planes: {places}.")


def _stuck(spin: ProofPage | SpinPage) -> str:
    """Return which known masses were stuck on, angles in degrees of the crank."""
    return "; ".join(_lump(mass) for mass in spin.stuck) or "nothing"


def _lump(mass: StuckPage | PuttyPage) -> str:
    radius = "its rim" if mass.radius is None else f"radius {number(mass.radius)} mm"
    on = mass.part if isinstance(mass, PuttyPage) else None
    place = f"counterweight {on}" if on else f"plane {mass.plane}"
    return (
        f"{number(mass.mass, 2)} g at {radius}, {angle_text(mass.angle)} of the crank, "
        f"{clean(place)}"
    )


def _when(time: dt.datetime | None) -> str:
    return "not written" if time is None else time.isoformat(" ", "minutes")


def work_section(results: Results) -> tuple[Block, ...]:
    """Return what was drilled so far, and what is planned."""
    job = results.job
    blocks: list[Block] = []
    if job.standing_holes():
        rows = tuple(
            (
                clean(hole.part), angle_text(hole.angle),
                drill_text(hole.diameter, job.drills), f"{hole.depth:.1f}",
                _when(hole.time),
            )
            for hole in job.standing_holes()
        )  # fmt: skip
        columns = (
            Column("drilled in"), Column("angle", "right"), Column("drill"),
            Column("full depth, mm", "right"), Column("when"),
        )  # fmt: skip
        said = f"Depth at full diameter, from the surface; drill point {job.drills.point:g}°."
        blocks.append(Table(columns, rows, said))
    planned = [*_planned_holes(results)]
    if planned:
        half = (len(planned) + 1) // 2
        halves = (Bullets(tuple(planned[:half])),), (Bullets(tuple(planned[half:])),)
        blocks += [Text("Planned, not drilled yet:"), Side(halves, (1, 1))]
    return tuple(blocks) or (Text("No hole was drilled and none is planned."),)


def _planned_holes(results: Results) -> Iterator[str]:
    crank, drills = results.corrected.crank, results.job.drills
    for n, slug in crank.numbered_slugs:
        choice = slug.choice
        yield (
            f"{clean(crank.marks[slug.counterweight])}, slug S{n}: {angle_text(slug.degrees)}, "
            f"{number(choice.diameter_mm, 2)} × {number(choice.length_mm, 2)} mm"
        )
    later = " (planned anew after the slugs)" if crank.plan.slugs else ""
    for n, hole in crank.numbered:
        yield (
            f"{clean(crank.marks[hole.counterweight])}, hole {n}: {angle_text(hole.degrees)}, "
            f"{drill_text(hole.diameter_mm, drills)}, {hole.depth_mm:.1f} mm deep{later}"
        )
    for disc in results.corrected.discs:
        for n, spot in disc.numbered:
            yield (
                f"{clean(disc.name)}, hole {n}: {angle_text(spot.degrees)}, "
                f"{drill_text(spot.diameter_mm, drills)}, {spot.depth_mm:.1f} mm deep"
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
        Column("run-out of its seat makes", "right"),
        Column("its clearance may change", "right"),
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
    seat = seat_of(part)
    stays_gmm = seat.unbalance_gmm - seat.refit_gmm
    run_out = f"{number(part.run_out, 3)} mm: {both_units(stays_gmm)}" if part.run_out else ""
    change = both_units(seat.refit_gmm) if part.clearance else ""
    return unbroken(run_out or "not known"), unbroken(change or "clearance not known")


UNITS = (
    "Words and units. Unbalance: 1 g mm is 1 gram 1 millimetre off the axis; 1 oz in is 720.08 "
    "g mm; its angle is that of the heavy side. Degrees turn with the crank, as section 8 shows. z "
    "is the place along the crank, in mm. u is a standard uncertainty. Masses in gram, depths in "
    "mm, speeds in turns a minute (rpm)."
)


def origin_section(results: Results) -> tuple[Block, ...]:
    """Return what this record was made from, so that it can be made again in ten years."""
    job = results.job
    note = f" Note: {clean(job.job.note)}" if job.job.note else ""
    return (
        Text(UNITS, small=True),
        Text(
            f"Made by heavyspot {__version__} from a job file of format {job.format}. SHA-256 of "
            f"the file: {job.digest}.{note}",
            small=True,
        ),
    )
