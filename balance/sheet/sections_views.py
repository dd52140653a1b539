"""The drawings of a job's counterweights and discs, with what they show in words."""

from collections.abc import Iterator
from typing import Any

from balance.metal.planning import Counterweight, PlannedSlug
from balance.metal.shapes import tip_depth_mm
from balance.metal.steps import DiscCorrection
from balance.sheet.blocks import Block, Picture, Strip, clean
from balance.sheet.drawings import (
    DrawnHole,
    DrawnSlug,
    Sector,
    chord_mm,
    counterweight_drawing,
    disc_drawing,
)
from balance.sheet.results import Results
from balance.sheet.svg import common_scale
from balance.sheet.wording import angle_text, capital, drill_text, number
from balance.vectors import fold

__all__ = ["bore_text", "depth_text", "views_section"]

WEB_ROOM_MM, DISC_ROOM_MM = 46, 26
FEW_WEB_ROOM_MM = 66  # when two pictures share the width of the paper


def depth_text(results: Results, hole: Any, depth_mm: float) -> str:
    """Return a depth at full diameter [mm], with the depth of the drill's point in brackets."""
    point = _point(hole, results)
    tip = float(tip_depth_mm(depth_mm, hole.diameter_mm, point_degrees=point))
    return f"{depth_mm:.1f} ({tip:.1f})"


def bore_text(slug: PlannedSlug, weight: Counterweight) -> str:
    """Return in short how a slug's bore runs: lengthwise at a radius, or in from the rim."""
    depth = slug.choice.bore_depth_mm
    if depth is None:
        return f"through, radius {number(slug.choice.middle_mm(weight.radius_mm))}"
    return f"from the rim, {number(depth)} deep"


def _point(hole: Any, results: Results) -> float:
    own = getattr(hole, "point_degrees", None)
    return float(results.job.drills.point if own is None else own)


def views_section(results: Results, *, done: bool = False) -> tuple[Block, ...]:
    """Return the end views of all counterweights and discs with work, or with work done too."""
    pictures = (*_counterweights(results, done=done), *_discs(results))
    return (Strip(pictures),) if pictures else ()


def _counterweights(results: Results, *, done: bool) -> Iterator[Picture]:
    """Yield the counterweights with work, to one scale."""
    correction = results.corrected.crank
    plan = correction.plan
    drilled = {hole.part for hole in results.job.standing_holes()} if done else set()
    work = sorted(
        {p.counterweight for p in (plan.holes if done else plan.slugs or plan.holes)}
        | {p.counterweight for p in plan.slugs}
        | {n for n, mark in enumerate(correction.marks) if mark in drilled}
    )
    sectors = [_sector(correction.counterweights[n]) for n in work]
    few = len(work) + sum(bool(disc.plan.holes) for disc in results.corrected.discs) <= 2
    room = FEW_WEB_ROOM_MM if few else WEB_ROOM_MM
    scale = common_scale(max(map(chord_mm, sectors), default=1.0), room)
    for index, sector in zip(work, sectors, strict=True):
        yield _counterweight(results, index, (sector, scale), done=done)


def _sector(weight: Counterweight) -> Sector:
    return Sector(
        weight.radius_mm, weight.centre_degrees, weight.half_span_degrees, weight.max_depth_mm
    )


def _counterweight(
    results: Results, index: int, size: tuple[Sector, float], *, done: bool
) -> Picture:
    (sector, scale), correction = size, results.corrected.crank
    weight, mark = correction.counterweights[index], clean(correction.marks[index])
    waits = correction.plan.slugs and not done  # its holes are planned anew after the slugs
    planned = () if waits else correction.numbered
    new = [(str(n), hole) for n, hole in planned if hole.counterweight == index]
    slugs = [
        _drawn_slug(f"S{n}", slug, weight)
        for n, slug in correction.numbered_slugs
        if slug.counterweight == index
    ]
    holes = [_drawn("", old, results) for old in weight.holes]
    holes += [_drawn(label, hole, results) for label, hole in new]
    drawing = counterweight_drawing(sector, holes, slugs, scale=scale)
    words = [_hole_words(label, hole, results) for label, hole in new]
    words += [_slug_words(slug) for slug in slugs]
    if weight.holes:
        there = ", ".join(angle_text(hole.degrees) for hole in weight.holes)
        words.append(f"there already, dashed: {there}")
    caption = (
        f"{mark}, rim radius {number(weight.radius_mm)} mm, 1:{number(scale)}. "
        f"{capital('; '.join(words))}."
    )
    return Picture(drawing.svg, _seen("Counterweight", caption), drawing.width_mm, caption)


def _slug_words(slug: DrawnSlug) -> str:
    size = f"{number(slug.diameter_mm, 2)} × {number(slug.length_mm, 2)} mm"
    way = "parallel to the crank" if slug.along_crank else "in a bore from the rim"
    return (
        f"slug {slug.label}: {angle_text(slug.degrees)}, {size}, {way}, middle at radius "
        f"{number(slug.middle_mm)} mm"
    )


def _drawn_slug(label: str, slug: PlannedSlug, weight: Counterweight) -> DrawnSlug:
    choice = slug.choice
    size = (float(fold(slug.degrees)), choice.diameter_mm, choice.length_mm)
    middle = choice.middle_mm(weight.radius_mm)
    return DrawnSlug(label, *size, middle, along_crank=choice.bore_depth_mm is None)


def _hole_words(label: str, hole: Any, results: Results) -> str:
    drill = drill_text(hole.diameter_mm, results.job.drills)
    return (
        f"hole {label}: {angle_text(hole.degrees)}, {drill} × "
        f"{depth_text(results, hole, hole.depth_mm)} mm"
    )


def _seen(what: str, caption: str) -> str:
    return f"{what} seen from the flywheel end, crankpin 1 up: {caption}"


def _drawn(label: str, hole: Any, results: Results) -> DrawnHole:
    return DrawnHole(label, hole.degrees, hole.diameter_mm, hole.depth_mm, _point(hole, results))


def _discs(results: Results) -> Iterator[Picture]:
    work = [disc for disc in results.corrected.discs if disc.plan.holes]
    widest = max((2 * disc.plan.holes[0].circle_mm for disc in work), default=1.0)
    scale = common_scale(widest, DISC_ROOM_MM)
    for disc in work:
        yield _disc(results, disc, scale)


def _disc(results: Results, disc: DiscCorrection, scale: float) -> Picture:
    page = next(part for part in results.job.bolted if part.name == disc.name)
    point, circle_mm = results.job.drills.point, disc.plan.holes[0].circle_mm
    holes = [
        DrawnHole("", hole.angle, hole.diameter, hole.depth, point)
        for hole in results.job.standing_holes()
        if hole.part == disc.name
    ]
    new = [(str(n), hole) for n, hole in disc.numbered]
    holes += [_drawn(label, hole, results) for label, hole in new]
    drawing = disc_drawing(circle_mm, holes, page.keep_clear, scale=scale)
    words = "; ".join(_hole_words(label, hole, results) for label, hole in new)
    clear = " Thick arcs: keep clear." if page.keep_clear else ""
    caption = (
        f"{capital(clean(disc.name))}, circle of radius {number(circle_mm)} mm, "
        f"1:{number(scale)}. {capital(words)}.{clear}"
    )
    return Picture(drawing.svg, _seen("Disc", caption), drawing.width_mm, caption)
