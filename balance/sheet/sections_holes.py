"""The table of the holes: what the person at the drill press reads."""

from collections.abc import Iterator
from typing import Any

from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.blocks import TICK, WRITE, Block, Column, Notice, Table, Text, clean
from balance.sheet.results import Results
from balance.sheet.sections_views import depth_text
from balance.sheet.tape import Tape, along_rim, straight
from balance.sheet.wording import angle_text, drill_text, number, unbroken

__all__ = ["holes_section", "on_machine"]

Row = tuple[str | None, ...]

DEPTHS = (
    "Depth is at full diameter, from the surface on the hole's own axis; in brackets how deep the "
    "drill's point goes."
)
MARKS = (
    "Angles and sides as seen from the flywheel end. 0° mark: in line with crankpin 1. Middle "
    "mark: on the rim, half-way along the counterweight's sector (tick in the drawing)."
)
RADIAL = "In a counterweight: radial, at mid-width (z), the tape along the rim."
ALONG = (
    "In a bolted part, after the crank is done: along the crank, the length straight across the "
    "face; carry the marks over (0°, and 180° opposite) while it is bolted up as it will run."
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
    yield Notice("REMOVE METAL at these places. ", _where(results))
    said = [DEPTHS, *[RADIAL] * in_crank, *[ALONG] * bool(discs), MARKS, *_assumed(results)]
    yield Table(_columns(staged=_staged(results)), tuple(rows), " ".join(said), large=True)
    if in_crank:
        yield from (Text(said) for said in _chances(crank))


def _later(crank: CrankCorrection) -> str:
    count, grams = len(crank.plan.holes), sum(hole.mass_g for hole in crank.plan.holes)
    holes = "a hole" if count == 1 else f"{count} holes"
    return (
        f"After the slugs {holes} of about {grams:.0f} g may be left for the crank: not told here, "
        "planned anew from the spin after the slugs."
    )


def _where(results: Results) -> str:
    if results.spun.machine.points_to in ("light", "add"):
        return "The machine points to the LIGHT side: drill by this table, never where it points."
    return "The machine's own number of each place stands in its column."


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
        Column("from mark at"),
        Column("towards"),
        Column("machine's number", "right"),
        Column("drill"),
        *((Column("first cut, mm (point)"),) if staged else ()),
        Column("full depth, mm (point)"),
        Column("takes, g", "right"),
        Column("drilled, mm", width_mm=14),
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
        old = None if hole.deepens is None else weight.holes[hole.deepens].depth_mm
        yield _row(results, number_, hole, (place, tape, first, _deep(results, hole, old)))


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
        tape.mark,
        tape.towards,
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
    name = unbroken(drill_text(diameter_mm, results.job.drills.sizes))
    return name.replace(unbroken(" ("), " (")


def on_machine(results: Results, angle_degrees: float) -> str:
    """Return the number of the machine's own scale at a place on the crank."""
    machine = results.spun.machine
    return angle_text(machine.sense * (angle_degrees - machine.zero_degrees))


def _assumed(results: Results) -> Iterator[str]:
    """Yield what the depths rest on: another drill point or metal takes other grams."""
    if (crank := results.job.crank) is not None:
        yield (
            f"Worked out for a drill point of {results.job.drills.point:g}° and "
            f"{clean(crank.material)} of {crank.density:g} g/cm³."
        )


def _chances(crank: CrankCorrection) -> Iterator[str]:
    if crank.stage is None:
        return
    first, at_once = crank.stage.first_overshoot, crank.stage.chance_overshoot
    if not crank.stage.held_back:
        yield (
            "Nothing is held back in the crank: drill to full depth at once. Chance of having "
            f"gone too far: {_percent(at_once)}."
        )
        return
    yield (
        "First cut: drill every hole of the crank so deep, spin, then plan the rest by what the "
        f"spin says. Chance of having gone too far: {_percent(first)} after the first cut, "
        f"{_percent(at_once)} if drilled to full depth at once."
    )


def _percent(share: float) -> str:
    """Return a share in percent, never a bare nought: many drillings were tried, not all."""
    return "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"
