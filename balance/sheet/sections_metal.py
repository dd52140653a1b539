"""The section of the work sheet about metal: what stops the work, slugs, holes, cautions."""

from collections.abc import Iterator, Sequence

from balance.errors import MissingInputError
from balance.metal.bays import beyond_practice
from balance.metal.guards import (
    COMMON,
    CUTTING_CAUTIONS,
    RETENTION_CHECKLIST,
    TUNGSTEN_CAUTIONS,
)
from balance.metal.planning import PlannedSlug
from balance.metal.steps import DiscCorrection
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
from balance.sheet.sections_holes import MARKS, holes_section, on_machine
from balance.sheet.sections_views import bore_text
from balance.sheet.tape import along_rim
from balance.sheet.wording import angle_text, capital, number, sentence, unbroken

__all__ = ["cautions_section", "drill_section", "seats_section", "stop_section"]

NOTHING = "Crank: nothing to drill; both planes are inside the limit, their doubt counted."
SAFETY = (
    "Eye protection, always; guard closed before anything turns.",
    "Lock the machine out before you touch anything on the crank.",
    "Swarf is sharp and hot: brush it, never by hand or air line.",
    "Check each angle two ways, tape and degrees, before drilling.",
)  # common practice, no source


def drill_section(results: Results) -> tuple[Block, ...]:
    """Return what stops the work, and every slug and hole of crank and bolted parts."""
    correction = results.corrected.crank
    plan = correction.plan
    blocks: list[Block] = [*stop_section(results), *_waiting(results), *_hardened(results)]
    if not plan.feasible:
        said = sentence(capital(clean(plan.reason).rstrip(".")))
        blocks.append(Notice("NO PLAN for the crank: ", f"{said} Drill nothing in the crank."))
    elif not plan.holes and not plan.slugs:
        blocks.append(Text(NOTHING))
    blocks += [block for disc in results.corrected.discs for block in _no_holes(disc)]
    blocks += [*_slug_table(results), *holes_section(results)]
    blocks += [
        Notice("", f"{capital(clean(name))}: {each}.")
        for name, said in beyond_practice(correction).items()
        for each in said
    ]
    return tuple(blocks)


def stop_section(results: Results) -> Iterator[Block]:
    """Yield what the last spin says against the recorded holes, and what looks mistyped."""
    if said := results.unexplained:
        more = "Measure the holes and record what you measure; drill nothing by this paper before."
        if results.sure:
            more = "Planned all the same, on the word that every hole was measured and is as here."
        yield Notice("LOOK: " if results.sure else "STOP: ", clean(f"{capital(said)}. {more}"))
    for doubt in results.spun.doubts:
        yield Notice("LOOKS WRONG: ", clean(sentence(capital(doubt))))


def _waiting(results: Results) -> Iterator[Block]:
    for name, count in results.corrected.waiting.items():
        holes = "holes" if count > 1 else "hole"
        yield Notice("SPIN FIRST: ", f"{clean(name)} got {count} {holes} after its last spin; "
                     "nothing is planned there before a spin shows what came off.")  # fmt: skip


def _hardened(results: Results) -> Iterator[Block]:
    if results.job.crank is not None and results.job.crank.hardened:
        yield Notice("HARDENED CRANK: ", "ask its maker before any hole.")


def _slug_table(results: Results) -> Iterator[Block]:
    correction = results.corrected.crank
    slugs = correction.plan.slugs
    if not slugs:
        return
    yield Notice(
        "ADD HEAVY METAL at these places. ",
        "Fit all slugs before any hole of the crank, weigh each, spin, and make this sheet again: "
        "bore and slug never come out quite as reckoned.",
    )
    rows = tuple(_slug_row(results, f"S{n}", slug) for n, slug in correction.numbered_slugs)
    columns = (
        Column("slug"),
        Column("in"),
        Column("angle", "right"),
        Column("tape, mm", "right"),
        Column("from mark\n→ towards"),
        Column("machine's\nnumber", "right"),
        Column("diameter × length, mm"),
        Column("bore, mm"),
        Column("press, weight", width_mm=16),
        Column("done", "center"),
    )
    density = " or ".join(dict.fromkeys(number(slug.choice.density_g_cm3, 2) for slug in slugs))
    metal = f"Slugs of {density} g/cm³, at mid-width (z)."
    yield Table(columns, rows, f"{metal} {_bores(slugs)} {MARKS}", large=True)


def _bores(slugs: Sequence[PlannedSlug]) -> str:
    along = any(slug.choice.bore_depth_mm is None for slug in slugs)
    radial = any(slug.choice.bore_depth_mm is not None for slug in slugs)
    through = "Bore through: along the crank, its centre at that radius." * along
    rim = "Bore from the rim: so deep at full diameter, the slug at its bottom." * radial
    return f"{through} {rim}".strip()


def _slug_row(results: Results, name: str, slug: PlannedSlug) -> tuple[str | None, ...]:
    correction = results.corrected.crank
    weight = correction.counterweights[slug.counterweight]
    tape = along_rim(
        slug.degrees,
        radius_mm=weight.radius_mm,
        centre_degrees=weight.centre_degrees,
        half_span_degrees=weight.half_span_degrees,
    )
    return (
        name,
        f"{clean(correction.marks[slug.counterweight])}, " + unbroken(f"z {number(weight.z_mm)}"),
        angle_text(slug.degrees),
        tape.length,
        tape.way,
        on_machine(results, slug.degrees),
        unbroken(f"{number(slug.choice.diameter_mm, 2)} × {number(slug.choice.length_mm, 2)}"),
        bore_text(slug, weight),
        WRITE,
        TICK,
    )


def _no_holes(disc: DiscCorrection) -> Iterator[Block]:
    """Yield why a bolted part has no hole, when it has none."""
    name = clean(disc.name)
    if not disc.plan.feasible:
        said = sentence(capital(clean(disc.plan.reason).rstrip(".")))
        yield Notice(f"NO PLAN for {name}: ", said)
    elif not disc.plan.holes:
        yield Text(f"{capital(name)}: nothing to drill.")


def cautions_section(results: Results) -> tuple[Block, ...]:
    """Return what can hurt people or engines."""
    items = [*SAFETY, *(said.replace(f" ({COMMON})", "") for said in CUTTING_CAUTIONS)]
    half = (len(items) + 1) // 2
    halves = tuple((Bullets(tuple(part), small=True),) for part in (items[:half], items[half:]))
    said = Text(f"{capital(COMMON)}.", small=True)
    blocks: tuple[Block, ...] = (Side((halves[0], (*halves[1], said)), (1, 1)),)
    if _slugs_planned(results):  # each of these names its own source
        blocks += (Bullets(TUNGSTEN_CAUTIONS, small=True),)
    return blocks


def seats_section(results: Results) -> tuple[Block, ...]:
    """Return what keeps slugs in their bores; nothing where there are none."""
    if not _slugs_planned(results):
        return ()
    said = (Text("So that a slug stays where it is:"), Bullets(RETENTION_CHECKLIST, small=True))
    return (Side((said,), (1,)),)


def _slugs_planned(results: Results) -> bool:
    try:
        return bool(results.corrected.crank.plan.slugs)
    except MissingInputError:
        return False
