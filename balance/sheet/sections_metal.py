"""The sections of the papers about drilling: every hole, its drawing, and what to beware of."""

from collections.abc import Iterator, Sequence
from typing import Any

from balance.metal.guards import (
    CUTTING_CAUTIONS,
    RETENTION_CHECKLIST,
    TUNGSTEN_CAUTIONS,
    practice_warnings,
)
from balance.metal.planning import Counterweight
from balance.metal.shapes import tip_depth_mm
from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.blocks import (
    TICK,
    WRITE,
    Block,
    Bullets,
    Column,
    Notice,
    Picture,
    Side,
    Table,
    Text,
    clean,
)
from balance.sheet.drawings import DrawnHole, Sector, common_scale, disc_view, end_view
from balance.sheet.results import Results
from balance.sheet.wording import angle_text, capital, drill_text, number, tape_text
from balance.vectors import fold

__all__ = ["cautions_section", "crank_section", "disc_section"]

WIDE_MM, ROOM_MM = 182, 86

SAFETY = (
    "Eye protection, always. Guard closed and hair, sleeves and gloves away before anything turns.",
    "Lock the machine out before you touch, drill or hang anything on the crank.",
    "Clamp the crank; drill with a stop; swarf is sharp and hot: brush, never hand or air line.",
    "Angle checked twice by two ways (tape and degrees) before the drill touches: metal cannot be "
    "put back.",
)  # common practice, no source
AID = (
    "A calculation aid: the person who signs the job decides. The maker's limits, local rules and "
    "licensed practice come first."
)


def crank_section(results: Results) -> tuple[Block, ...]:
    """Return every hole and slug of the crank, in words and to scale."""
    correction = results.corrected.crank
    plan = correction.plan
    if not plan.feasible:
        return (Notice("NO PLAN: ", capital(clean(plan.reason)) + ". Drill nothing."),)
    blocks: list[Block] = [*_waiting(results), *_hardened(results)]
    if not plan.holes and not plan.slugs:
        return (*blocks, Text(capital(plan.reason) + "."))
    blocks += [*_slug_table(results), *_hole_table(results)]
    blocks += [Notice("", said) for said in _beyond_practice(correction)]
    return (*blocks, *_views(results))


def _waiting(results: Results) -> Iterator[Block]:
    if results.corrected.waiting:
        yield Notice("SPIN FIRST: ", f"{results.corrected.waiting} holes were drilled since the "
                     "last spin; this plan counts them by their geometry only.")  # fmt: skip


def _hardened(results: Results) -> Iterator[Block]:
    if results.job.crank is not None and results.job.crank.hardened:
        yield Notice("HARDENED CRANK: ", "ask its maker before any hole.")


def _hole_table(results: Results) -> Iterator[Block]:
    correction = results.corrected.crank
    rows = tuple(
        (
            str(n), clean(correction.marks[hole.counterweight]), number(hole.z_mm),
            angle_text(hole.degrees),
            tape_text(hole.degrees, correction.counterweights[hole.counterweight].radius_mm),
            _from_middle(hole.degrees, correction.counterweights[hole.counterweight]),
            _on_machine(results, hole.degrees),
            drill_text(hole.diameter_mm, results.job.drills.sizes), f"{hole.depth_mm:.1f}",
            f"{_tip(hole, results):.1f}", f"{hole.mass_g:.1f}", WRITE, TICK,
        )
        for n, hole in enumerate(correction.plan.holes, start=1)
    )  # fmt: skip
    if not rows:
        return
    columns = (
        Column("hole"), Column("in"), Column("z, mm", "right"), Column("angle", "right"),
        Column("tape along the rim from the 0° mark"), Column("tape from the middle mark"),
        Column("on the machine", "right"), Column("drill"), Column("full depth, mm", "right"),
        Column("tip, mm", "right"), Column("takes, g", "right"), Column("drilled, mm", width_mm=14),
        Column("done", "center"),
    )  # fmt: skip
    deepened = [
        f"Hole {n} is there already: deepen it, same drill."
        for n, hole in enumerate(correction.plan.holes, start=1)
        if hole.deepens is not None
    ]
    caption = " ".join([*deepened, DEPTHS, MARKS])
    yield Table(columns, rows, caption)


DEPTHS = (
    "Radial holes, at mid-width of the counterweight (z). Full depth is at full diameter, from the "
    "rim on the hole's own axis; tip is how deep the drill's point goes."
)
MARKS = (
    "0° mark: on the circle of the rim, in line with crankpin 1. Middle mark: on the rim, half-way "
    "along the sector that may be drilled (tick in the drawing). Senses seen from the flywheel end."
)


def _tip(hole: Any, results: Results) -> float:
    """Return how deep the drill's point goes [mm]."""
    point = getattr(hole, "point_degrees", None) or results.job.drills.point
    return float(tip_depth_mm(hole.depth_mm, hole.diameter_mm, point_degrees=point))


def _from_middle(angle_degrees: float, weight: Counterweight) -> str:
    where = tape_text(angle_degrees - weight.centre_degrees, weight.radius_mm)
    return f"{where} ({angle_text(weight.centre_degrees)})"


def _on_machine(results: Results, angle_degrees: float) -> str:
    """Return the number of the machine's own scale at a place on the crank."""
    machine = results.spun.machine
    return angle_text(machine.sense * (angle_degrees - machine.zero_degrees))


def _slug_table(results: Results) -> Iterator[Block]:
    correction = results.corrected.crank
    rows = tuple(
        (
            f"S{n}", clean(correction.marks[slug.counterweight]), angle_text(slug.degrees),
            number(slug.radius_mm), _on_machine(results, slug.degrees),
            f"{number(slug.diameter_mm, 2)} × {number(slug.length_mm, 2)}", WRITE, TICK,
        )
        for n, slug in enumerate(correction.plan.slugs, start=1)
    )  # fmt: skip
    if not rows:
        return
    columns = (
        Column("slug"), Column("in"), Column("angle", "right"),
        Column("radius to its centre, mm", "right"), Column("on the machine", "right"),
        Column("diameter × length, mm"), Column("bore and slug measured", width_mm=34),
        Column("done", "center"),
    )  # fmt: skip
    yield Table(columns, rows, "Heavy-metal slugs, parallel to the crank, fitted BEFORE the holes. "
                "Weigh each slug and spin again before drilling: the holes change.")  # fmt: skip


def _beyond_practice(correction: CrankCorrection) -> list[str]:
    """Return in words where the holes of a counterweight go beyond published practice."""
    said = []
    for index, (mark, weight) in enumerate(
        zip(correction.marks, correction.counterweights, strict=True)
    ):
        new = [hole for hole in correction.plan.holes if hole.counterweight == index]
        if new:
            said += [f"{clean(mark)}: {w}." for w in practice_warnings([*weight.holes, *new])]
    return said


def _views(results: Results) -> Iterator[Block]:
    """Yield the end views of the counterweights with work, two beside each other, to one scale."""
    correction = results.corrected.crank
    work = sorted({p.counterweight for p in (*correction.plan.holes, *correction.plan.slugs)})
    widest = max(2 * correction.counterweights[n].radius_mm for n in work)
    scale = common_scale(widest + 4, ROOM_MM - 14)
    yield from beside([_view(results, n, scale) for n in work])


def beside(pictures: Sequence[Picture]) -> Iterator[Block]:
    """Yield pictures as rows of two."""
    for n in range(0, len(pictures), 2):
        pair = pictures[n : n + 2]
        yield Side(tuple((picture,) for picture in pair) + ((),) * (2 - len(pair)), (1, 1))


def _view(results: Results, index: int, scale: float) -> Picture:
    correction = results.corrected.crank
    weight, mark = correction.counterweights[index], clean(correction.marks[index])
    point = results.job.drills.point
    new = [
        (str(n), hole) for n, hole in enumerate(correction.plan.holes, start=1)
        if hole.counterweight == index
    ]  # fmt: skip
    slugs = [
        (f"S{n}", float(fold(slug.degrees)), slug.radius_mm, slug.diameter_mm)
        for n, slug in enumerate(correction.plan.slugs, start=1)
        if slug.counterweight == index
    ]
    holes = [_drawn("", old, point) for old in weight.holes]
    holes += [_drawn(label, hole, point) for label, hole in new]
    sector = Sector(
        weight.radius_mm, weight.centre_degrees, weight.half_span_degrees, weight.max_depth_mm
    )
    drawing = end_view(sector, holes, slugs, scale=scale)
    words = [
        f"hole {label} at {angle_text(hole.degrees)}, drill "
        f"{drill_text(hole.diameter_mm, results.job.drills.sizes)}, {hole.depth_mm:.1f} mm deep "
        f"at full diameter, tip {_tip(hole, results):.1f} mm"
        for label, hole in new
    ]
    words += [f"slug {label} at {angle_text(at)}, radius {number(on)} mm"
              for label, at, on, _ in slugs]  # fmt: skip
    old = f", {len(weight.holes)} old holes dashed" if weight.holes else ""
    alt = f"Counterweight {mark} seen from the flywheel end{old}: {'; '.join(words)}."
    caption = (
        f"{mark}, rim radius {number(weight.radius_mm)} mm, seen from the flywheel end, scale "
        f"1:{number(scale)}. {capital('; '.join(words))}."
    )
    return Picture(drawing.svg, alt, drawing.width_mm, caption)


def _drawn(label: str, hole: Any, point_degrees: float) -> DrawnHole:
    point = getattr(hole, "point_degrees", None) or point_degrees
    return DrawnHole(label, hole.degrees, hole.diameter_mm, hole.depth_mm, point)


def disc_section(results: Results) -> tuple[Block, ...]:
    """Return the holes of every bolted part, in one table, with their drawings."""
    discs = results.corrected.discs
    blocks: list[Block] = [
        Notice(f"NO PLAN for {clean(disc.name)}: ", capital(clean(disc.plan.reason)) + ".")
        for disc in discs
        if not disc.plan.feasible
    ]
    blocks += [
        Text(f"{capital(clean(disc.name))}: nothing to drill.")
        for disc in discs
        if disc.plan.feasible and not disc.plan.holes
    ]
    work = [disc for disc in discs if disc.plan.holes]
    if work:
        blocks.append(_disc_table(results, work))
        widest = max(hole.circle_mm for disc in work for hole in disc.plan.holes)
        scale = common_scale(2 * widest, 46)
        blocks += beside([_disc_picture(results, disc, scale) for disc in work])
    return tuple(blocks)


def _disc_table(results: Results, discs: Sequence[DiscCorrection]) -> Table:
    rows = tuple(
        (
            str(n), clean(disc.name), angle_text(hole.degrees), f"{number(hole.circle_mm)}",
            tape_text(hole.degrees, hole.circle_mm), _on_machine(results, hole.degrees),
            drill_text(hole.diameter_mm, results.job.drills.sizes), f"{hole.depth_mm:.1f}",
            f"{_tip(hole, results):.1f}", f"{hole.mass_g:.1f}", WRITE, TICK,
        )
        for disc in discs
        for n, hole in enumerate(disc.plan.holes, start=1)
    )  # fmt: skip
    columns = (
        Column("hole"), Column("in"), Column("angle", "right"),
        Column("on circle of radius, mm", "right"), Column("arc along that circle from 0°"),
        Column("on the machine", "right"), Column("drill"), Column("full depth, mm", "right"),
        Column("tip, mm", "right"), Column("takes, g", "right"), Column("drilled, mm", width_mm=14),
        Column("done", "center"),
    )  # fmt: skip
    caption = (
        "Holes along the crank. Carry the 0° mark (in line with crankpin 1) over to the part while "
        "it is bolted up as it will run. Senses and drawings seen from the flywheel end."
    )
    return Table(columns, rows, caption)


def _disc_picture(results: Results, disc: DiscCorrection, scale: float) -> Picture:
    page = next(part for part in results.job.bolted if part.name == disc.name)
    drilled = [hole for hole in results.job.drilled if hole.part == disc.name]
    point = results.job.drills.point
    holes = [DrawnHole("", hole.angle, hole.diameter, hole.depth, point) for hole in drilled]
    holes += [_drawn(str(n), hole, point) for n, hole in enumerate(disc.plan.holes, start=1)]
    circle_mm = disc.plan.holes[0].circle_mm
    drawing = disc_view(circle_mm, holes, page.keep_clear, scale=scale)
    words = "; ".join(
        f"hole {n} at {angle_text(hole.degrees)}, drill "
        f"{drill_text(hole.diameter_mm, results.job.drills.sizes)}, {hole.depth_mm:.1f} mm deep"
        for n, hole in enumerate(disc.plan.holes, start=1)
    )
    clear = " Thick arcs: keep clear." if page.keep_clear else ""
    caption = (
        f"{capital(clean(disc.name))}, hole circle of radius {number(circle_mm)} mm, seen from the "
        f"flywheel end, scale 1:{number(scale)}. {capital(words)}.{clear}"
    )
    return Picture(drawing.svg, caption, drawing.width_mm, caption)


def cautions_section(results: Results) -> tuple[Block, ...]:
    """Return what can hurt people or engines, and who decides."""
    from balance.errors import MissingInputError

    items = [*SAFETY, *CUTTING_CAUTIONS]
    try:
        slugs = bool(results.corrected.crank.plan.slugs)
    except MissingInputError:
        slugs = False
    if slugs:
        items += [*TUNGSTEN_CAUTIONS, *RETENTION_CHECKLIST]
    return (Bullets(tuple(items), small=True), Notice("", AID))
