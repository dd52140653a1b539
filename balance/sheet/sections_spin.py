"""The sections of the papers about the machine, the limits and the verdicts."""

from collections.abc import Iterator

from balance.engine.layouts import radius_mm
from balance.engine.steps import engine_of
from balance.errors import InputError, MissingInputError
from balance.job.appended import SpinPage
from balance.job.model import Job, MachinePage
from balance.metal.next_spin import NextSpin, ShouldShow, next_spins
from balance.sheet.blocks import WRITE, Block, Column, Notice, Picture, Side, Table, Text, clean
from balance.sheet.drawings_setup import angle_drawing
from balance.sheet.drawings_side import SidePin, SideWeight, side_drawing
from balance.sheet.results import Results
from balance.sheet.wording import VERDICTS, angle_text, at_text, both_units, number, unbroken
from balance.spin.machine import Machine
from balance.spin.proof_steps import is_proven, machine_in_words, machine_job
from balance.spin.spun import PartUnbalance
from balance.units import show
from balance.vectors import whole_degrees

__all__ = ["angles_section", "expected_section", "limits_text", "respin_section"]


def angles_section(results: Results, *, warn: bool = True) -> tuple[Block, ...]:
    """Return how angles count in this job, in words and as a drawing, and the crank's side view.

    ``warn`` says of a machine that it is not proven, unless it stands on the same page already.
    """
    job = results.job
    machine = known_machine(job)
    drawing = (
        angle_drawing(None)
        if machine is None
        else angle_drawing(machine.sense, machine.zero_degrees)
    )
    words = (
        "Stand at the FLYWHEEL end and look at the crank. 0° is the centre line of crankpin 1. "
        "Degrees count COUNTER-CLOCKWISE (+)."
    )
    blocks: list[Block] = [Text(words)]
    alt = (
        "Crank seen from the flywheel end: crankpin 1 up at 0 degrees, 90 to the left, 180 down, "
        "270 to the right, counting counter-clockwise."
    )
    if machine is not None:
        zero, quarter = machine.zero_degrees, machine.zero_degrees + 90 * machine.sense
        alt += f" The machine's 0 stands at {angle_text(zero)}, its 90 at {angle_text(quarter)}."
        name = clean(job.machine.name) if job.machine and job.machine.name else "the machine"
        said = machine_in_words(job.machine, machine) if job.machine else ""
        blocks.append(Text(f"M = {name}: {said}", small=True))
        blocks.extend(_unproven(results) if warn else ())
    caption = "Seen from the flywheel end. Inside: degrees of the crank."
    caption += " M outside: the machine's own numbers." if machine is not None else ""
    picture = Picture(drawing.svg, alt, drawing.width_mm, caption)
    side = (*blocks, *_side(results))
    return (Side(((picture,), side), (52, 128)),)


def known_machine(job: Job) -> Machine | None:
    """Return the machine of a job, or None while nobody has said or found how it counts."""
    try:
        return machine_job(job)
    except MissingInputError:
        return None


def _unproven(results: Results) -> Iterator[Block]:
    if not is_proven(results.job):
        yield Notice("NOT PROVEN: ", "stick a known mass at a known place, spin, and see that the "
                     "reading points there before any metal is cut.")  # fmt: skip


def _side(results: Results) -> Iterator[Block]:
    job = results.job
    if job.crank is None:
        return
    work = _work(results)
    weights = [
        SideWeight(w.mark, w.z, w.width, w.radius, w.centre, w.half_span, work.get(w.mark, ()))
        for w in job.crank.counterweights
    ]
    planes = [(p.name, p.z) for p in job.machine.planes] if job.machine else []
    parts = [(p.name, p.z) for p in job.bolted]
    try:
        drawing = side_drawing(job.crank.bearings, weights, _pins(job), planes, parts, width_mm=124)
    except InputError:
        return  # both bearings written at one place: nothing to draw to scale
    datum = f" z from: {clean(job.crank.datum)}." if job.crank.datum else ""
    alt = "Crank from the side, nose to flywheel: " + ", ".join(
        f"{clean(weight.mark)} at z {number(weight.z_mm)} mm" for weight in weights
    )
    alt += "".join(f"; {', '.join(names)} in {clean(mark)}" for mark, names in work.items())
    bold = " Dark: worked on." if work else ""
    caption = (
        f"From the side, crankpin 1 up, to scale along z only. Triangles: bearings.{bold}{datum}"
    )
    yield Picture(drawing.svg, alt, drawing.width_mm, caption)


def _pins(job: Job) -> list[SidePin]:
    """Return the crankpins; none while the engine's measures are not known."""
    try:
        engine = engine_of(job)
    except MissingInputError:
        return []
    reach = radius_mm(engine)
    return [
        SidePin(f"pin {n}", pin.z_mm, pin.degrees, reach) for n, pin in enumerate(engine.throws, 1)
    ]


def _work(results: Results) -> dict[str, tuple[str, ...]]:
    """Return, by counterweight, the numbers of the holes or slugs that it gets next."""
    try:
        crank = results.corrected.crank
    except MissingInputError:
        return {}
    pieces = [(f"S{n}", slug.counterweight) for n, slug in enumerate(crank.plan.slugs, 1)]
    pieces = pieces or [(str(n), hole.counterweight) for n, hole in crank.numbered]
    marks = dict.fromkeys(crank.marks[index] for _, index in pieces)
    return {
        mark: tuple(name for name, index in pieces if crank.marks[index] == mark) for mark in marks
    }


def limits_text(results: Results) -> str:
    """Return where the limits come from."""
    targets = results.job.targets
    if targets.grade is not None and targets.service_speed is not None:
        return (
            f"Limits by balance quality grade G {targets.grade:g} at "
            f"{targets.service_speed:.0f} rpm (ISO 21940-11), in the planes of the bearings; a "
            "bolted part has its own limit or its mass's share."
        )
    limit = "" if targets.per_bearing is None else f" {both_units(targets.per_bearing)}"
    return f"Limits as ordered for this job:{limit} in each bearing plane."


GUARD_TEXT = (
    "u is the standard uncertainty of the amount. Within 1.65 u of a limit nothing is proven "
    "either way (decision rule of ISO 14253-1)."
)


def rows_of(part: PartUnbalance) -> list[tuple[str, str]]:
    """Return the name and the plane of every line of a part."""
    return [(clean(part.name), f"z {number(z)} mm") for z in part.planes_mm]


def expected_section(results: Results) -> tuple[Block, ...]:
    """Return, plane by plane, what is there now, what should remain, and the limit."""
    corrected = results.corrected
    crank, *bolted = results.spun.parts
    rows: list[tuple[str | None, ...]] = []
    plans = [(crank, list(corrected.crank.before), list(corrected.crank.plan.residual),
              corrected.crank.verdict)]  # fmt: skip
    plans += [
        (part, [disc.before], [disc.plan.residual], disc.verdict)
        for part, disc in zip(bolted, corrected.discs, strict=True)
    ]
    for part, before, after, verdict in plans:
        for n, (name, plane) in enumerate(rows_of(part)):
            limit = float(part.permissible_gmm[n])
            rows.append((
                name, plane, at_text(before[n]), at_text(after[n]), f"{limit:.0f}",
                show(limit, "unbalance", "oz in").removesuffix(" oz in"),
                f"{part.u_gmm[n]:.1f}", VERDICTS[verdict],
            ))  # fmt: skip
    columns = (
        Column("part"), Column("plane"), Column("heavy side now"), Column("should remain"),
        Column("limit, g mm", "right"), Column("limit, oz in", "right"), Column("u, g mm", "right"),
        Column("expected verdict"),
    )  # fmt: skip
    return (Table(columns, tuple(rows), f"{limits_text(results)} {GUARD_TEXT}"),)


def respin_section(results: Results) -> tuple[Block, ...]:
    """Return what the next spins should show, in the machine's own planes, unit and angles."""
    job, spun = results.job, results.spun
    page = job.machine
    if page is None:
        return ()
    expected = {spin.on: spin for spin in _next_spins(results)}
    spins = {spin.on: spin for spin in job.standing_spins}
    rows = tuple(
        row
        for stack in spun.stacks
        for row in _respin_rows(page, spins[stack.on], expected.get(stack.on))
    )
    heads = [f"spin {n} {what}" for n in (1, 2) for what in ("amount", "angle")]
    columns = (
        Column("what turns, after what"), Column("plane"), Column("shown last", "right"),
        Column("should show", "right"), Column("which is, on the crank"),
        *(Column(head, width_mm=14) for head in heads),
    )  # fmt: skip
    return (Table(columns, rows, " ".join(_respin_notes(results, page.unit))),)


def _next_spins(results: Results) -> tuple[NextSpin, ...]:
    try:
        corrected = results.corrected
    except MissingInputError:
        return ()
    made = corrected.crank.plan.feasible or "crank" in corrected.waiting
    return next_spins(results.job, results.spun, corrected) if made else ()


def _respin_rows(
    page: MachinePage, last: SpinPage, spin: NextSpin | None
) -> Iterator[tuple[str | None, ...]]:
    shown = {reading.plane: reading for reading in last.readings}
    told = {} if spin is None else {plane.plane: plane for plane in spin.planes}
    for n, plane in enumerate(page.planes):
        reading, next_ = shown[plane.name], told.get(plane.name)
        amount = clean(reading.amount)
        unit = "" if any(c.isalpha() for c in amount) else f" {page.unit}"
        turns = " + ".join(clean(name) for name in last.on)
        head = f"{turns}, after {spin.after}" if spin and spin.after else turns
        yield (
            head if n == 0 else "", clean(plane.name),
            unbroken(f"{amount}{unit} at {angle_text(reading.angle)}"),
            "" if next_ is None else unbroken(_as_shown(next_, page.unit)),
            "" if next_ is None else unbroken(at_text(next_.unbalance)), *[WRITE] * 4,
        )  # fmt: skip


def _as_shown(plane: ShouldShow, unit: str) -> str:
    """Return what a plane should show, to a hundredth or so of what is usual to read."""
    digits = 0 if unit == "g mm" else 1 if unit == "g" else 2
    return f"{plane.amount:.{digits}f} {unit} at {whole_degrees(plane.degrees)}°"


def _respin_notes(results: Results, unit: str) -> Iterator[str]:
    spun = results.spun
    yield (
        f"As the machine shows it: its planes, its unit ({unit}), its angle. Beside it the heavy "
        "side in the crank's degrees, in the same plane. Near zero the angle says little. Put "
        "every reading into the job file."
    )
    if spun.machine.points_to in ("light", "add"):
        yield "It points to the LIGHT side: drill by 5, never where it points."
    if any(abs(stack.bobweight_error).max() > 0.5 for stack in spun.stacks):
        yield (
            "Told for the bobweights that hung last, which were not those of the card: with others "
            "it shows something else; 7 takes them as right."
        )
