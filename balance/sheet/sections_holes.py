"""The table of the holes: what the person at the drill press reads."""

from collections.abc import Iterator
from typing import Any

from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.blocks import TICK, WRITE, Block, Column, Notice, Table, Text, clean
from balance.sheet.results import Results
from balance.sheet.sections_views import depth_text
from balance.sheet.tape import Tape, along_rim, straight
from balance.sheet.wording import angle_text, drill_text, number, unbroken

__all__ = ["deepening", "holes_section", "on_machine"]

Row = tuple[str | None, ...]

DEPTHS = (
    "Depth is at full diameter, from the surface on the hole's own axis; in brackets the drill's "
    "point."
)
MARKS = (
    "Angles and sides as seen from the flywheel end. 0° mark: in line with crankpin 1. Mid: "
    "half-way along the counterweight's sector (tick in the drawing)."
)
RADIAL = "In a counterweight: radial, at mid-width (z), the tape along the rim."
ALONG = (
    "In a bolted part, after the crank is done: along the crank, the length straight across the "
    "face; carry 0° and 180° over while it is bolted up as it will run."
)


def holes_section(results: Results) -> Iterator[Block]:
    """Yield the order to take metal off, and every hole; holes that wait for slugs are not told."""
    corrected = results.corrected
    crank = corrected.crank
    waits = bool(crank.plan.slugs)
    rows = [] if waits or not crank.plan.feasible else [*_crank_rows(results, crank)]
    in_crank = bool(rows)
    discs = [disc for disc in corrected.discs if disc.plan.feasible and disc.plan.holes]
    for disc in discs:
        rows += _disc_rows(results, disc, staged=_staged(results))
    if waits and crank.plan.holes:
        yield Text(_later(crank))
    if not rows:
        return
    yield Notice("REMOVE METAL at these places. ", " ".join(_how(results, in_crank=in_crank)))
    said = [
        *[_chances(crank), deepening(crank)] * in_crank,
        DEPTHS,
        *[RADIAL] * in_crank,
        *[ALONG] * bool(discs),
        MARKS,
        _assumed(results, in_crank=in_crank),
    ]
    note = " ".join(filter(None, said))
    yield Table(_columns(staged=_staged(results)), tuple(rows), note, large=True)


def _later(crank: CrankCorrection) -> str:
    count, grams = len(crank.plan.holes), sum(hole.mass_g for hole in crank.plan.holes)
    holes = "a hole" if count == 1 else f"{count} holes"
    return (
        f"After the slugs {holes} of about {grams:.0f} g may be left for the crank: not told here, "
        "planned anew from the spin after the slugs."
    )


def deepening(crank: CrankCorrection) -> str:
    """Return which holes are there already, and to stop where one is not; or nothing."""
    old = {n: depth for n, hole in crank.numbered if (depth := crank.old_depth_mm(hole))}
    which = " and ".join(f"hole {n} ({depth:.1f} mm deep)" for n, depth in old.items())
    return which and (
        f"There already, to be deepened: {which}. Is it not there, or elsewhere? Stop: then a hole "
        "is recorded that was not drilled so."
    )


def _how(results: Results, *, in_crank: bool) -> Iterator[str]:
    """Yield how far to drill at once, and that the machine may point elsewhere."""
    if in_crank and _staged(results):
        yield "Every hole of the crank to its first cut only; then spin and plan the rest by that."
    elif in_crank:
        yield "To full depth at once: nothing is held back."
    if results.spun.machine.points_to in ("light", "add"):
        yield "The machine points to the LIGHT side: drill by this table, never where it points."


def _staged(results: Results) -> bool:
    """Return whether the holes of the crank are drilled in two cuts."""
    crank = results.corrected.crank
    return crank.stage is not None and crank.stage.held_back and not crank.plan.slugs


def _columns(*, staged: bool) -> tuple[Column, ...]:
    return (
        Column("hole"),
        Column("in"),
        Column("angle", "right"),
        Column("tape, mm", "right"),
        Column("from mark\n→ towards"),
        Column("machine's\nnumber", "right"),
        Column("drill"),
        *((Column("first cut,\nmm (point)"),) if staged else ()),
        Column("full depth,\nmm (point)"),
        Column("takes, g", "right"),
        Column("drilled,\nmm", width_mm=14),
        Column("done", "center"),
    )


def _crank_rows(results: Results, crank: CrankCorrection) -> Iterator[Row]:
    for number_, hole in crank.numbered:
        weight = crank.counterweights[hole.counterweight]
        tape = along_rim(
            hole.degrees,
            radius_mm=weight.radius_mm,
            centre_degrees=weight.centre_degrees,
            half_span_degrees=weight.half_span_degrees,
        )
        place = f"{clean(crank.marks[hole.counterweight])}, " + unbroken(f"z {number(hole.z_mm)}")
        first = _first_cut(results, crank, number_ - 1) if _staged(results) else ()
        deep = _deep(results, hole, crank.old_depth_mm(hole))
        yield _row(results, number_, hole, (place, tape, first, deep))


def _first_cut(results: Results, crank: CrankCorrection, index: int) -> tuple[str]:
    cut = crank.stage.first_cut[index] if crank.stage else None
    short = cut is not None and cut.stops_short
    said = depth_text(results, cut.hole, cut.depth_mm) if cut and short else "full depth"
    return (unbroken(said),)


def _deep(results: Results, hole: Any, old_mm: float | None) -> str:
    """Return how deep to go; of a hole that is there already, from which depth on."""
    depth = unbroken(depth_text(results, hole, hole.depth_mm))
    return depth if old_mm is None else unbroken(f"deepen {old_mm:.1f} →") + f" {depth}"


def _disc_rows(results: Results, disc: DiscCorrection, *, staged: bool) -> Iterator[Row]:
    for number_, hole in disc.numbered:
        place = f"{clean(disc.name)}, " + unbroken(f"radius {number(hole.circle_mm)}")
        tape = straight(hole.degrees, circle_mm=hole.circle_mm)
        first = (unbroken("full depth"),) if staged else ()
        yield _row(results, number_, hole, (place, tape, first, _deep(results, hole, None)))


def _row(
    results: Results, number_: int, hole: Any, told: tuple[str, Tape, tuple[str, ...], str]
) -> Row:
    place, tape, first, depth = told
    return (
        str(number_),
        place,
        angle_text(hole.degrees),
        tape.length,
        tape.way,
        on_machine(results, hole.degrees),
        _drill(results, hole.diameter_mm),
        *first,
        depth,
        f"{hole.mass_g:.1f}",
        WRITE,
        TICK,
    )


def _drill(results: Results, diameter_mm: float) -> str:
    """Return a drill; its name and its diameter may stand below each other."""
    name = unbroken(drill_text(diameter_mm, results.job.drills))
    return name.replace(unbroken(" ("), " (")


def on_machine(results: Results, angle_degrees: float) -> str:
    """Return the number of the machine's own scale at a place on the crank."""
    machine = results.spun.machine
    return angle_text(machine.sense * (angle_degrees - machine.zero_degrees))


def _assumed(results: Results, *, in_crank: bool) -> str:
    """Return what the depths rest on: another drill point or metal takes other grams."""
    job = results.job
    metals = []
    if in_crank and job.crank is not None:
        metals.append(f"{clean(job.crank.material)} of {job.crank.density:g} g/cm³ (crank)")
    drilled = {disc.name for disc in results.corrected.discs if disc.plan.holes}
    metals += [
        f"{part.density:g} g/cm³ ({clean(part.name)})"
        for part in job.bolted
        if part.name in drilled
    ]
    return f"For a drill point of {job.drills.point:g}° and {', '.join(metals)}."


def _chances(crank: CrankCorrection) -> str:
    """Return how likely the crank is drilled too far: a first cut is there to make that rare."""
    if (stage := crank.stage) is None:
        return ""
    at_once = _percent(stage.chance_overshoot)
    if not stage.held_back:
        return f"Chance of going too far: {at_once}."
    return (
        f"Chance of going too far: {_percent(stage.first_overshoot)} with the first cut, "
        f"{at_once} if drilled at once."
    )


def _percent(share: float) -> str:
    """Return a share in percent, never a bare nought: many drillings were tried, not all."""
    return "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"
