"""The sections of the papers about drilling: every hole, its drawing, and what to beware of."""

from collections.abc import Iterator, Sequence

from balance.errors import MissingInputError
from balance.metal.guards import (
    COMMON,
    CUTTING_CAUTIONS,
    RETENTION_CHECKLIST,
    TUNGSTEN_CAUTIONS,
    practice_warnings,
)
from balance.metal.planning import Counterweight
from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.blocks import (
    TICK,
    WRITE,
    Block,
    Bullets,
    Column,
    Notice,
    Side,
    Table,
    Text,
    clean,
)
from balance.sheet.results import Results
from balance.sheet.sections_views import bore_text, depth_text
from balance.sheet.wording import angle_text, capital, drill_text, number, sentence, tape_text

__all__ = ["cautions_section", "crank_section", "disc_section", "held_back"]

SAFETY = (
    "Eye protection, always; guard closed before anything turns.",
    "Lock the machine out before you touch anything on the crank.",
    "Swarf is sharp and hot: brush it, never by hand or air line.",
    "Check each angle two ways, tape and degrees, before drilling.",
)  # common practice, no source


def crank_section(results: Results) -> tuple[Block, ...]:
    """Return every hole and slug of the crank, in words and to scale."""
    correction = results.corrected.crank
    plan = correction.plan
    if not plan.feasible:
        return (Notice("NO PLAN: ", capital(clean(plan.reason)) + ". Drill nothing."),)
    blocks: list[Block] = [*_stop(results), *_waiting(results), *_hardened(results)]
    if not plan.holes and not plan.slugs:
        return (*blocks, Text(capital(plan.reason) + "."))
    blocks += [*_slug_table(results), *_hole_table(results)]
    blocks += [Notice("", said) for said in _beyond_practice(correction)]
    return tuple(blocks)


def _stop(results: Results) -> Iterator[Block]:
    if said := results.history.unexplained:
        more = "Measure the holes and record what you measure; drill nothing by this paper before."
        yield Notice("STOP: ", clean(f"{capital(said)}. {more}"))
    for doubt in results.spun.doubts:
        yield Notice("LOOKS WRONG: ", clean(sentence(capital(doubt))))


def _waiting(results: Results) -> Iterator[Block]:
    for name, count in results.corrected.waiting.items():
        holes = "holes" if count > 1 else "hole"
        yield Notice("SPIN FIRST: ", f"{clean(name)} got {count} {holes} after its last spin; this "
                     "plan counts them by their geometry only.")  # fmt: skip


def _hardened(results: Results) -> Iterator[Block]:
    if results.job.crank is not None and results.job.crank.hardened:
        yield Notice("HARDENED CRANK: ", "ask its maker before any hole.")


def _hole_table(results: Results) -> Iterator[Block]:
    correction = results.corrected.crank
    holes = correction.plan.holes
    if not holes:
        return
    rows = tuple(_hole_row(results, n) for n in range(len(holes)))
    columns = (
        Column("hole"),
        Column("in, at z mm"),
        Column("angle", "right"),
        Column("tape along rim from 0° mark, mm", "right"),
        Column("tape from middle mark, mm", "right"),
        Column("machine's number", "right"),
        Column("drill"),
        *((Column("first cut, mm (tip)", "right"),) if correction.stage else ()),
        Column("full depth, mm (tip)", "right"),
        Column("takes, g", "right"),
        Column("drilled, mm", width_mm=15),
        Column("done", "center"),
    )
    deepened = [
        f"Hole {n} is there already: deepen it with the same drill."
        for n, hole in enumerate(holes, start=1)
        if hole.deepens is not None
    ]
    said = [*deepened, DEPTHS, *_assumed(results), *_staged(correction), MARKS]
    yield Table(columns, rows, " ".join(said))


def _assumed(results: Results) -> Iterator[str]:
    """Yield what the depths rest on: another drill point or metal takes other grams."""
    if (crank := results.job.crank) is not None:
        yield (
            f"Worked out for a drill point of {results.job.drills.point:g}° and "
            f"{clean(crank.material)} of {crank.density:g} g/cm³."
        )


def _hole_row(results: Results, n: int) -> tuple[str | None, ...]:
    correction = results.corrected.crank
    hole = correction.plan.holes[n]
    weight = correction.counterweights[hole.counterweight]
    staged = correction.stage
    first = (depth_text(results, hole, staged.first_cut[n].depth_mm),) if staged else ()
    return (
        str(n + 1),
        f"{clean(correction.marks[hole.counterweight])}, z {number(hole.z_mm)}",
        angle_text(hole.degrees),
        tape_text(hole.degrees, weight.radius_mm),
        _from_middle(hole.degrees, weight),
        on_machine(results, hole.degrees),
        drill_text(hole.diameter_mm, results.job.drills.sizes),
        *first,
        depth_text(results, hole, hole.depth_mm),
        f"{hole.mass_g:.1f}",
        WRITE,
        TICK,
    )


def held_back(correction: CrankCorrection) -> bool:
    """Return whether any first cut stops short of its hole's full depth."""
    cuts = correction.stage.first_cut if correction.stage else ()
    return any(cut.depth_mm < cut.hole.depth_mm - 0.05 for cut in cuts)


def _staged(correction: CrankCorrection) -> Iterator[str]:
    if correction.stage is None:
        return
    first, at_once = correction.stage.first_overshoot, correction.stage.chance_overshoot
    if not held_back(correction):
        yield (
            "The first cut is the full depth: nothing is held back. Chance of having gone too "
            f"far: {_percent(at_once)}."
        )
        return
    yield (
        "First cut: drill every hole so deep, spin, then plan the rest by what the spin says. "
        f"Chance of having gone too far: {_percent(first)} after the first cut, "
        f"{_percent(at_once)} if drilled to full depth at once."
    )


def _percent(share: float) -> str:
    """Return a share in percent, never a bare nought: many drillings were tried, not all."""
    return "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"


DEPTHS = (
    "Radial holes, at mid-width of the counterweight (z). Depth is at full diameter, from the rim "
    "on the hole's own axis; in brackets how deep the drill's point goes. The drawings are seen "
    "from the flywheel end."
)
MARKS = (
    "0° mark: on the circle of the rim, in line with crankpin 1. Middle mark: on the rim, half-way "
    "along the sector for the middles of holes (tick in the drawing), its angle in brackets. cw is "
    "clockwise, ccw counter-clockwise, both seen from the flywheel end."
)


def _from_middle(angle_degrees: float, weight: Counterweight) -> str:
    where = tape_text(angle_degrees - weight.centre_degrees, weight.radius_mm)
    return f"{where} ({angle_text(weight.centre_degrees)})"


def on_machine(results: Results, angle_degrees: float) -> str:
    """Return the number of the machine's own scale at a place on the crank."""
    machine = results.spun.machine
    return angle_text(machine.sense * (angle_degrees - machine.zero_degrees))


def _slug_table(results: Results) -> Iterator[Block]:
    correction = results.corrected.crank
    slugs = correction.plan.slugs
    if not slugs:
        return
    rows = tuple(
        (
            f"S{n}",
            f"{clean(correction.marks[slug.counterweight])}, "
            f"z {number(correction.counterweights[slug.counterweight].z_mm)}",
            angle_text(slug.degrees),
            tape_text(slug.degrees, correction.counterweights[slug.counterweight].radius_mm),
            on_machine(results, slug.degrees),
            f"{number(slug.choice.diameter_mm, 2)} × {number(slug.choice.length_mm, 2)}",
            f"{number(slug.choice.density_g_cm3, 2)}",
            bore_text(slug, correction.counterweights[slug.counterweight]),
            WRITE,
            TICK,
        )
        for n, slug in enumerate(slugs, start=1)
    )
    columns = (
        Column("slug"),
        Column("in, at z mm"),
        Column("angle", "right"),
        Column("tape along rim from 0° mark, mm", "right"),
        Column("machine's number", "right"),
        Column("diameter × length, mm"),
        Column("g/cm3", "right"),
        Column("bore"),
        Column("press, weight", width_mm=22),
        Column("done", "center"),
    )
    yield Table(
        columns,
        rows,
        "Heavy-metal slugs ADD weight at their angle. Fit all of them before any hole, weigh each, "
        "spin, and plan the holes anew: bore and slug never come out quite as reckoned.",
    )


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
    return tuple(blocks)


def _disc_table(results: Results, discs: Sequence[DiscCorrection]) -> Table:
    rows = tuple(
        (
            str(n),
            clean(disc.name),
            angle_text(hole.degrees),
            number(hole.circle_mm),
            tape_text(hole.degrees, hole.circle_mm),
            on_machine(results, hole.degrees),
            drill_text(hole.diameter_mm, results.job.drills.sizes),
            depth_text(results, hole, hole.depth_mm),
            f"{hole.mass_g:.1f}",
            WRITE,
            TICK,
        )
        for disc in discs
        for n, hole in enumerate(disc.plan.holes, start=1)
    )
    columns = (
        Column("hole"),
        Column("in"),
        Column("angle", "right"),
        Column("on circle of radius, mm", "right"),
        Column("arc along it from 0° mark, mm", "right"),
        Column("machine's number", "right"),
        Column("drill"),
        Column("full depth, mm (tip)", "right"),
        Column("takes, g", "right"),
        Column("drilled, mm", width_mm=15),
        Column("done", "center"),
    )
    caption = (
        "Holes along the crank. Carry the 0° mark (in line with crankpin 1) over to the part while "
        "it is bolted up as it will run. cw and ccw as above."
    )
    return Table(columns, rows, caption)


def cautions_section(results: Results) -> tuple[Block, ...]:
    """Return what can hurt people or engines, and who decides."""
    items = [*SAFETY, *(said.replace(f" ({COMMON})", "") for said in CUTTING_CAUTIONS)]
    half = (len(items) + 1) // 2
    halves = tuple((Bullets(tuple(part), small=True),) for part in (items[:half], items[half:]))
    said = Text(f"{COMMON[0].upper()}{COMMON[1:]}.", small=True)
    blocks: tuple[Block, ...] = (Side(halves, (1, 1)), said)
    if _slugs_planned(results):  # each of these names its own source
        blocks += (Bullets((*TUNGSTEN_CAUTIONS, *RETENTION_CHECKLIST), small=True),)
    return blocks


def _slugs_planned(results: Results) -> bool:
    try:
        return bool(results.corrected.crank.plan.slugs)
    except MissingInputError:
        return False
