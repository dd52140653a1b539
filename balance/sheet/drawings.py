"""Drawings of counterweights and discs, to scale, as SVG text: black on white, no colour needed."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from balance.metal.shapes import tip_depth_mm
from balance.sheet.svg import (
    GREY,
    INK,
    PALE,
    Drawing,
    arc,
    at,
    dash,
    framed,
    spread,
    words,
)
from balance.vectors import fold, turn

__all__ = ["DrawnHole", "Sector", "chord_mm", "counterweight_drawing", "disc_drawing"]


@dataclass(frozen=True)
class DrawnHole:
    """A hole as it is drawn; an old hole has no ``label``."""

    label: str
    degrees: float
    diameter_mm: float
    depth_mm: float
    point_degrees: float = 118.0


@dataclass(frozen=True)
class DrawnSlug:
    """A heavy-metal slug as it is drawn: its middle's radius, and which way it lies."""

    label: str
    degrees: float
    diameter_mm: float
    length_mm: float
    middle_mm: float
    along_crank: bool


@dataclass(frozen=True)
class Sector:
    """What can be seen of a counterweight from the end."""

    radius_mm: float
    centre_degrees: float
    half_span_degrees: float
    max_depth_mm: float


def counterweight_drawing(
    sector: Sector,
    holes: Sequence[DrawnHole],
    slugs: Sequence[DrawnSlug] = (),
    *,
    scale: float,
) -> Drawing:
    """Return a counterweight seen from the flywheel end, with its holes in true depth and shape.

    Parameters
    ----------
    sector : Sector
        The counterweight.
    holes : sequence of DrawnHole
        Those with a label are to be drilled, the others are there already (dashed).
    slugs : sequence of DrawnSlug
        Heavy-metal slugs to fit.
    scale : float
        One to how many.

    Examples
    --------
    >>> hole = DrawnHole("1", 190, 12, 20)
    >>> view = counterweight_drawing(Sector(80, 180, 60, 30), [hole], scale=2)
    >>> view.svg[:4], round(view.width_mm, 1)
    ('<svg', 75.3)

    Source: geometry of a drilled rim.
    """
    r, text = sector.radius_mm, 2.7 * scale
    start = sector.centre_degrees - sector.half_span_degrees
    end = sector.centre_degrees + sector.half_span_degrees
    body = [
        _wedge(r, start, end),
        arc(
            r - sector.max_depth_mm,
            start,
            end,
            f'stroke-dasharray="{dash(text, 0.2, 0.4)}"',
            GREY,
        ),
        arc(r, start, end, f'stroke-width="{0.55 * scale:g}"'),
        *_middle(0.3 * r, text),
        *_marks(sector, text, [*(h.degrees for h in holes), *(s.degrees for s in slugs)]),
        *(_radial(hole, r, text) for hole in holes),
        *(_slug(slug, text) for slug in slugs),
    ]
    labelled = [(h.label, h.degrees) for h in holes if h.label]
    labelled += [(slug.label, slug.degrees) for slug in slugs]
    badges = _badges(labelled, r, r + 1.6 * text, text)
    body += [badge.svg for badge in badges]
    outside = [at(badge.radius + 0.6 * text, badge.degrees) for badge in badges]
    outside.append(at(r + 2.2 * text, sector.centre_degrees))
    shown = [*(at(r, a) for a in spread(start, end)), *outside, (4.6 * text, -0.3 * r)]
    return framed(body, shown, scale)


def disc_drawing(
    circle_mm: float, holes: Sequence[DrawnHole], keep_clear: Sequence[tuple[float, float]] = (),
    *, scale: float,
) -> Drawing:  # fmt: skip
    """Return a flywheel or clutch cover seen from the flywheel end: its hole circle and holes.

    Parameters
    ----------
    circle_mm : float [mm]
        Radius of the circle on which it may be drilled along the crank.
    holes : sequence of DrawnHole
        As for :func:`counterweight_drawing`; they run along the crank and show as circles.
    keep_clear : sequence of (from, to) [degree]
        Arcs that must not be drilled.
    scale : float
        One to how many.

    Examples
    --------
    >>> disc_drawing(100, [DrawnHole("1", 64, 8, 6)], scale=5).width_mm > 2 * 100 / 5
    True
    """
    text = 2.7 * scale
    body = [
        f'<circle r="{circle_mm:g}" fill="none" stroke="{GREY}" '
        f'stroke-dasharray="{dash(text, 1.1, 0.4, 0.25, 0.4)}"/>',
        *(arc(circle_mm, a, a + _sweep(a, b), f'stroke-width="{1.4 * scale:g}"')
          for a, b in keep_clear),
        *_middle(0.55 * circle_mm, text, "0°"),
        _tick(circle_mm, 0.0, text),
        _tick(circle_mm, 180.0, text),
        *(_round(h.label, h.degrees, circle_mm, h.diameter_mm, text) for h in holes),
    ]  # fmt: skip
    widest = max((h.diameter_mm for h in holes), default=0.0)
    labelled = [(h.label, h.degrees) for h in holes if h.label]
    badges = _badges(labelled, circle_mm, circle_mm + widest / 2 + 1.5 * text, text)
    body += [badge.svg for badge in badges]
    edges = [(circle_mm * x, circle_mm * y) for x, y in ((1, 1), (-1, -1))]
    outside = [at(badge.radius, badge.degrees) for badge in badges]
    return framed(body, [*edges, *outside], scale)


def chord_mm(sector: Sector) -> float:
    """Return how wide a counterweight is, seen from the end.

    Examples
    --------
    >>> round(chord_mm(Sector(80, 180, 90, 30)), 6)
    160.0
    """
    start = sector.centre_degrees - sector.half_span_degrees
    places = spread(start, start + 2 * sector.half_span_degrees)
    xs = [at(sector.radius_mm, a)[0] for a in places] + [0.0]
    return max(xs) - min(xs)


def _sweep(start: float, end: float) -> float:
    return float(fold(end - start))


def _wedge(radius: float, start: float, end: float) -> str:
    points = [at(radius, a) for a in spread(start, end)]
    whole = end - start >= 360
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in (points if whole else [(0.0, 0.0), *points]))
    return f'<polygon points="{path}" fill="{PALE}" stroke="{GREY}"/>'


def _middle(reach: float, text: float, label: str = "0° pin 1") -> list[str]:
    """Return the crank's centre and the way to crankpin 1."""
    arm, head = 0.8 * text, 0.45 * text
    return [
        f'<path d="M{-arm:.2f} 0H{arm:.2f}M0 {arm:.2f}V{-reach:.2f}" fill="none" stroke="{INK}"/>',
        f'<path d="M0 {-reach:.2f}l{head / 2:.2f} {head:.2f}h{-head:.2f}z" fill="{INK}"/>',
        words(0.5 * text, -reach + 0.9 * text, label, text, "start"),
    ]


def _marks(sector: Sector, text: float, taken: Sequence[float]) -> Iterator[str]:
    """Yield the marks that a tape is held at: the middle, and 0 where it is on this rim."""
    on_it = abs(turn(sector.centre_degrees)) <= sector.half_span_degrees
    places = dict.fromkeys([float(fold(sector.centre_degrees)), *([0.0] if on_it else [])])
    for degrees in places:
        yield _tick(sector.radius_mm, degrees, text)
        room = math.degrees(3.2 * text / sector.radius_mm)
        if all(abs(turn(degrees - other)) > room for other in taken):
            x, y = at(sector.radius_mm + 1.9 * text, degrees)
            yield words(x, y, f"{degrees:g}°", text)


def _tick(radius: float, degrees: float, text: float) -> str:
    """Return a mark across the rim where the tape is held."""
    (x1, y1), (x2, y2) = at(radius - 0.7 * text, degrees), at(radius + 0.9 * text, degrees)
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{INK}" '
        f'stroke-width="{0.18 * text:.2f}"/>'
    )


def _radial(hole: DrawnHole, radius: float, text: float) -> str:
    """Return a radial hole: straight walls from the rim to full depth, then the drill's point."""
    a = hole.diameter_mm / 2
    mouth = math.sqrt(radius * radius - a * a)
    floor = radius - hole.depth_mm
    tip = radius - float(
        tip_depth_mm(hole.depth_mm, hole.diameter_mm, point_degrees=hole.point_degrees)
    )
    corners = [(mouth, -a), (floor, -a), (tip, 0.0), (floor, a), (mouth, a)]
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in (_beside(hole.degrees, *c) for c in corners))
    new = 'fill="#fff"' if hole.label else f'fill="none" stroke-dasharray="{dash(text, 0.4, 0.25)}"'
    shape = f'<polygon points="{path}" {new} stroke="{INK}" stroke-width="{0.1 * text:.2f}"/>'
    if not hole.label:
        return shape
    x1, y1 = at(radius + 0.5 * text, hole.degrees)
    x2, y2 = at(tip - 0.8 * text, hole.degrees)
    line = (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{GREY}" '
        f'stroke-dasharray="{dash(text, 1, 0.3, 0.15, 0.3)}"/>'
    )
    return shape + line


def _slug(slug: DrawnSlug, text: float) -> str:
    """Return a slug, dark: a circle along the crank, else a block at its bore's bottom."""
    look = f'fill="#999" stroke="{INK}" stroke-width="{0.1 * text:.2f}"'
    a, half = slug.diameter_mm / 2, slug.length_mm / 2
    x, y = at(slug.middle_mm, slug.degrees)
    if slug.along_crank:
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{a:g}" {look}/>'
    ends = (slug.middle_mm + half, slug.middle_mm - half)
    corners = [(ends[0], -a), (ends[1], -a), (ends[1], a), (ends[0], a)]
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in (_beside(slug.degrees, *c) for c in corners))
    return f'<polygon points="{path}" {look}/>'


def _beside(degrees: float, along: float, across: float) -> tuple[float, float]:
    """Return a point given along and across a radial axis."""
    x, y = at(along, degrees)
    dx, dy = at(across, degrees + 90)
    return x + dx, y + dy


def _round(label: str, degrees: float, on_mm: float, diameter_mm: float, text: float) -> str:
    """Return a hole along the crank: a circle, dashed when it is there already."""
    x, y = at(on_mm, degrees)
    dashed = "" if label else f' stroke-dasharray="{dash(text, 0.4, 0.25)}"'
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{diameter_mm / 2:g}" fill="#fff" stroke="{INK}" '
        f'stroke-width="{0.1 * text:.2f}"{dashed}/>'
    )


@dataclass(frozen=True)
class _Badge:
    svg: str
    radius: float
    degrees: float


def _badges(
    labelled: Sequence[tuple[str, float]], rim: float, radius: float, text: float
) -> list[_Badge]:
    """Return the numbers outside a rim; one that would cover another moves out, on a line."""
    done: list[_Badge] = []
    for label, degrees in labelled:
        away = radius
        while any(_covers(away, degrees, badge, text) for badge in done):
            away += 0.5 * text
        done.append(_Badge(_badge(rim, away, degrees, label, text), away, degrees))
    return done


def _covers(radius: float, degrees: float, badge: _Badge, text: float) -> bool:
    (x, y), (there_x, there_y) = at(radius, degrees), at(badge.radius, badge.degrees)
    return math.hypot(x - there_x, y - there_y) < 1.8 * text


def _badge(rim: float, radius: float, degrees: float, label: str, text: float) -> str:
    (x0, y0), (x, y) = at(rim, degrees), at(radius, degrees)
    return (
        f'<path d="M{x0:.2f} {y0:.2f}L{x:.2f} {y:.2f}" stroke="{GREY}" '
        f'stroke-width="{0.07 * text:.2f}"/>'
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{0.85 * text:.2f}" fill="#fff" stroke="{INK}"/>'
        + words(x, y, label, text, weight="bold")
    )
